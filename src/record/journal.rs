//! The journal: each edit is on the disk before the screen shows it.
//!
//! JSON lines in `NAME.points.journal`, beside the sidecar:
//!
//! ```text
//! {"journal":"changeover-journal","version":3,"base":"<sha-256 of the sidecar it starts from>","sum":"…"}
//! {"n":1,"edit":{…},"sum":"…"}
//! {"n":2,"edit":{…},"sum":"…"}
//! {"saving":"<sha-256 of the sidecar about to replace it>","n":2,"sum":"…"}
//! ```
//!
//! `sum` is the first eight digits of the SHA-256 of the line before it. The header is written together with the
//! first entry; a journal that is not there holds no edits.

use std::fs::File;
use std::io::{self, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::disk;
use super::read::digest;

const NAME: &str = "changeover-journal";
/// How a journal starts. A file that starts differently is not ours and is not truncated.
const START: &[u8] = b"{\"journal\":\"changeover-journal\",";

/// Whether a file that starts like this is a journal, of whatever version.
pub(crate) fn is_journal(head: &[u8]) -> bool {
    head.starts_with(START)
}

#[derive(Serialize, Deserialize)]
struct Header {
    journal: String,
    version: u32,
    base: String,
}

/// A line after the header; `saving` or `edit`.
#[derive(Debug, Serialize, Deserialize)]
#[serde(bound(deserialize = "E: DeserializeOwned"))]
struct Line<E> {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    saving: Option<String>,
    n: usize,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    edit: Option<E>,
}

/// What a journal file holds, as far as it can be trusted.
#[derive(Debug)]
pub(super) struct Found<E> {
    /// Digest of the sidecar that the first edit was made on.
    pub base: String,
    /// The edits, in order; the first has number 1.
    pub edits: Vec<E>,
    /// The line of each edit, from 1.
    pub lines: Vec<usize>,
    /// Saves that were started: digest of the new sidecar, and how many of the edits are in it.
    pub saves: Vec<(String, usize)>,
    /// Bytes from the start that are whole lines.
    pub good: usize,
    /// What is wrong with the rest, if anything.
    pub damage: Option<Damage>,
    /// How many edits come after the last good line.
    pub left_out: usize,
    /// Whether a newer version wrote it.
    pub newer: bool,
}

/// What is wrong with a journal after its last good line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Damage {
    /// The last line has no end: the write was interrupted.
    Torn,
    /// This line is not ours or was changed.
    Line(usize),
}

impl<E> Default for Found<E> {
    fn default() -> Self {
        Self {
            base: String::new(),
            edits: Vec::new(),
            lines: Vec::new(),
            saves: Vec::new(),
            good: 0,
            damage: None,
            left_out: 0,
            newer: false,
        }
    }
}

impl<E> Found<E> {
    /// How many of the edits are already in a sidecar with this digest; `None` when the journal does not belong
    /// to it.
    pub(super) fn done_in(&self, sidecar: &str) -> Option<usize> {
        let saved = self.saves.iter().rev().find(|(digest, _)| digest == sidecar).map(|(_, n)| *n);
        saved.or((self.base == sidecar).then_some(0))
    }
}

/// Reads a journal. Whatever the bytes, the result holds only complete lines with a correct checksum, from the start.
/// `version` is that of the document that it belongs to.
pub(super) fn read<E: DeserializeOwned>(bytes: &[u8], version: u32) -> Found<E> {
    let mut found = Found::default();
    for (i, line) in bytes.split_inclusive(|b| *b == b'\n').enumerate() {
        if take(&mut found, version, i, line).is_none() {
            let cut = !line.ends_with(b"\n") && (i > 0 || START.starts_with(line) || line.starts_with(START));
            found.damage = Some(if cut { Damage::Torn } else { Damage::Line(i + 1) });
            found.left_out = edits_in(&bytes[found.good..]);
            break;
        }
        if found.newer {
            break;
        }
        found.good += line.len();
    }
    found
}

/// How many lines of a damaged part hold an edit, as far as that can be seen.
fn edits_in(part: &[u8]) -> usize {
    let lines = part.split(|b| *b == b'\n').map(<[u8]>::trim_ascii);
    let other = |line: &[u8]| line.is_empty() || line.starts_with(b"{\"saving\"") || line.starts_with(START);
    lines.filter(|line| !other(line)).count()
}

/// Whether a line is the header of a newer version, which may seal its lines in another way.
fn is_newer(line: &[u8], version: u32) -> bool {
    #[derive(Deserialize)]
    struct Any {
        journal: String,
        version: u64,
    }
    let any: Option<Any> = serde_json::from_slice(line).ok();
    any.is_some_and(|any| any.journal == NAME && any.version > u64::from(version))
}

fn take<E: DeserializeOwned>(found: &mut Found<E>, version: u32, i: usize, line: &[u8]) -> Option<()> {
    if i == 0 && is_newer(line, version) {
        found.newer = true;
        return Some(());
    }
    let text = unsealed(line)?;
    if i == 0 {
        let header: Header = serde_json::from_str(&text).ok().filter(|h: &Header| h.journal == NAME)?;
        found.base = header.base;
        return Some(());
    }
    match serde_json::from_str(&text).ok()? {
        Line { saving: None, n, edit: Some(edit) } if n == found.edits.len() + 1 => {
            found.edits.push(edit);
            found.lines.push(i + 1);
        }
        Line { saving: Some(digest), n, edit: None } if n <= found.edits.len() => {
            found.saves.push((digest, n));
        }
        _ => return None,
    }
    Some(())
}

/// A JSON object and its checksum as one line.
fn sealed(object: &impl Serialize) -> serde_json::Result<String> {
    serde_json::to_string(object).map(|text| sealed_text(&text))
}

/// The same of an object that is JSON already.
fn sealed_text(text: &str) -> String {
    let body = text.strip_suffix('}').unwrap_or(text);
    format!("{body},\"sum\":\"{}\"}}\n", &digest(body.as_bytes())[..8])
}

/// The object of a line whose checksum is right.
fn unsealed(line: &[u8]) -> Option<String> {
    let text = std::str::from_utf8(line).ok()?;
    let text = text.strip_suffix('\n').unwrap_or(text);
    let (body, sum) = text.rsplit_once(",\"sum\":\"")?;
    (sum.strip_suffix("\"}")? == &digest(body.as_bytes())[..8]).then(|| format!("{body}}}"))
}

/// The journal being written.
#[derive(Debug)]
pub(super) struct Journal {
    path: PathBuf,
    file: Option<File>,
    /// Bytes that are on disk for certain.
    len: u64,
    /// Lines that could not be written yet.
    waiting: Vec<u8>,
    /// Number of the last edit.
    n: usize,
    base: String,
    /// That of the document. It increases with each version, because an older program would silently drop new fields of edits.
    version: u32,
    started: bool,
    /// Whether what was written is no longer at its path.
    lost: bool,
}

impl Journal {
    /// A journal at `path` over a sidecar with digest `base`, with no edits; nothing is written yet.
    pub(super) fn new(path: &Path, base: String, version: u32) -> Self {
        let path = path.to_owned();
        Self {
            path,
            file: None,
            len: 0,
            waiting: Vec::new(),
            n: 0,
            base,
            version,
            started: false,
            lost: false,
        }
    }

    /// Continues after the complete lines of an existing journal.
    pub(super) fn resume<E>(path: &Path, found: &Found<E>, bytes: &[u8], version: u32) -> Self {
        let mut journal = Self::new(path, found.base.clone(), version);
        journal.len = found.good as u64;
        journal.n = found.edits.len();
        journal.started = found.good > 0;
        if found.good > 0 && bytes.get(found.good - 1) != Some(&b'\n') {
            journal.waiting.push(b'\n');
        }
        journal
    }

    /// How long the file is or will be.
    pub(super) fn len(&self) -> u64 {
        self.len + self.waiting.len() as u64
    }

    /// Whether it holds anything at all.
    pub(super) const fn started(&self) -> bool {
        self.started
    }

    /// Whether another program removed the journal: then only a save brings the edits back to the disk.
    pub(super) const fn lost(&self) -> bool {
        self.lost
    }

    /// Puts an edit, as JSON, in the queue; [`Self::flush`] writes it.
    pub(super) fn edit(&mut self, edit: &str) -> io::Result<()> {
        let line = sealed_text(&format!("{{\"n\":{},\"edit\":{edit}}}", self.n + 1));
        if !self.started {
            let header = Header { journal: NAME.into(), version: self.version, base: self.base.clone() };
            self.waiting.extend_from_slice(sealed(&header)?.as_bytes());
            self.started = true;
        }
        self.n += 1;
        self.waiting.extend_from_slice(line.as_bytes());
        Ok(())
    }

    /// Notes that a sidecar with this digest is about to hold all edits so far.
    pub(super) fn saving(&mut self, digest: &str) -> io::Result<()> {
        let line = sealed(&Line::<()> { saving: Some(digest.into()), n: self.n, edit: None })?;
        self.waiting.extend_from_slice(line.as_bytes());
        self.flush()
    }

    /// Syncs all queued edits to the disk. After an error nothing is lost: call it again.
    pub(super) fn flush(&mut self) -> io::Result<()> {
        if self.waiting.is_empty() {
            return Ok(());
        }
        let written = self.write();
        if written.is_ok() {
            self.len += self.waiting.len() as u64;
            self.waiting.clear();
        } else {
            // What the file holds after a failed write or sync is not known: open it anew and write again.
            self.file = None;
        }
        written
    }

    fn write(&mut self) -> io::Result<()> {
        let here = self.file.as_ref().is_none_or(|file| disk::is_at(file, &self.path));
        if !here {
            return Err(self.gone());
        }
        if self.file.is_none() {
            self.file = Some(self.reopen()?);
        }
        if let Some(file) = &mut self.file {
            disk::write(file, &self.waiting)?;
            disk::sync_data(file)?;
        }
        Ok(())
    }

    /// The file again, as it was after the last line that is on disk for certain.
    fn reopen(&mut self) -> io::Result<File> {
        let opened = disk::open(&self.path, self.len == 0);
        let mut file = match opened {
            Err(e) if e.kind() == io::ErrorKind::NotFound && self.len > 0 => return Err(self.gone()),
            opened => opened?,
        };
        // Setting the length of a shorter file would fill it with nothing.
        if file.metadata()?.len() < self.len {
            return Err(self.gone());
        }
        disk::set_len(&file, self.len)?;
        file.seek(SeekFrom::Start(self.len))?;
        if self.len == 0 {
            disk::sync_folder(&self.path)?;
        }
        Ok(file)
    }

    fn gone(&mut self) -> io::Error {
        self.lost = true;
        io::Error::new(io::ErrorKind::NotFound, "another program took it away")
    }

    /// Starts again over a sidecar with digest `base` that holds everything.
    pub(super) fn reset(&mut self, base: String) -> io::Result<()> {
        let started = self.started;
        *self = Self::new(&self.path, base, self.version);
        if started { self.remove() } else { Ok(()) }
    }

    /// Deletes a journal whose edits are all in the sidecar.
    pub(super) fn remove(&self) -> io::Result<()> {
        match disk::remove(&self.path) {
            Ok(()) => disk::sync_folder(&self.path),
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(()),
            Err(e) => Err(e),
        }
    }

    /// Atomically replaces the file at its path by a journal with these edits.
    pub(super) fn rewrite<E: Serialize>(&mut self, edits: Vec<E>) -> io::Result<()> {
        let path = self.path.clone();
        *self = Self::new(&path, std::mem::take(&mut self.base), self.version);
        if edits.is_empty() {
            return self.remove();
        }
        for edit in edits {
            self.edit(&serde_json::to_string(&edit)?)?;
        }
        super::files::replace(&path, &self.waiting)?;
        self.len = self.waiting.len() as u64;
        self.waiting.clear();
        Ok(())
    }
}
