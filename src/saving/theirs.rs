//! The user's own files, which are never replaced, whatever the user allowed.

use std::fmt;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::kind::footage_kind;
use super::place::{folder, same};
use crate::record::footage::name_path;
use crate::record::{DocumentKind, is_beside_name, is_journal, kind_of, load, printable};

/// Nothing larger is looked through to its end; no export is that large.
const MOST_BYTES: u64 = 64 << 20;
/// Records of one folder that are asked for their footage.
const MOST_RECORDS: usize = 500;

/// Why an export may not replace what is at a path. The words continue a sentence that begins with the path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Theirs {
    /// A record or a lesson.
    Document(DocumentKind),
    /// The journal or lock of a record, or a file kept from before.
    BesideRecord,
    /// Footage, by its first bytes: the kind, in words.
    Footage(&'static str),
    /// Footage of this record.
    FootageOf(PathBuf),
    /// A key card, patterns, questions or rules.
    Settings,
    /// A file that is being read for what is to be written.
    Read,
    /// A folder.
    Folder,
    /// A device, a pipe or the like.
    NotAFile,
    /// A picture, a workbook or the like.
    NotText,
}

impl fmt::Display for Theirs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Document(kind) => write!(f, "is a {}, which is never replaced", kind.noun()),
            Self::BesideRecord => write!(f, "has the name of a record's journal or lock"),
            Self::Footage(kind) => write!(f, "is footage ({kind}), which is never replaced"),
            Self::FootageOf(record) => {
                let record = printable(&record.to_string_lossy(), 400);
                write!(f, "is footage of {record}, which is never replaced")
            }
            Self::Settings => {
                write!(f, "is a file of keys, patterns, questions or rules, which is never replaced")
            }
            Self::Read => write!(f, "is read by this command, so it is not replaced"),
            Self::Folder => write!(f, "is a folder"),
            Self::NotAFile => write!(f, "is not a regular file"),
            Self::NotText => write!(f, "is there already and is no text file, so it is not replaced"),
        }
    }
}

/// The user's own file at `path`; `None` if there is no file, or one that a program wrote. `reads` are the files that are being
/// read; if they are records, their footage counts too, wherever it is.
pub fn theirs(path: &Path, reads: &[&Path]) -> Option<Theirs> {
    if is_beside_name(path) {
        return Some(Theirs::BesideRecord);
    }
    let about = path.metadata().ok()?;
    if about.is_dir() {
        return Some(Theirs::Folder);
    }
    if !about.is_file() {
        return Some(Theirs::NotAFile);
    }
    if reads.iter().any(|read| same(read, path)) {
        return Some(by_name(path).unwrap_or(Theirs::Read));
    }
    by_name(path).or_else(|| by_content(path)).or_else(|| footage_of(path, reads).map(Theirs::FootageOf))
}

fn by_name(path: &Path) -> Option<Theirs> {
    // What a link leads to counts as well as the link.
    let real = path.canonicalize();
    let names = [Some(path), real.as_deref().ok()];
    names.into_iter().flatten().find_map(|path| {
        let name = path.file_name()?.to_string_lossy().to_lowercase();
        let ends = |end: &str| name.ends_with(end);
        match () {
            () if is_beside_name(path) => Some(Theirs::BesideRecord),
            () if ends(".points.json") => Some(Theirs::Document(DocumentKind::Record)),
            () if ends(".lesson.json") => Some(Theirs::Document(DocumentKind::Lesson)),
            () if ends(".toml") => Some(Theirs::Settings),
            () => None,
        }
    })
}

pub(super) fn by_content(path: &Path) -> Option<Theirs> {
    let mut bytes = Vec::new();
    // What cannot be read cannot be judged, so it stays.
    if File::open(path).and_then(|file| file.take(MOST_BYTES).read_to_end(&mut bytes)).is_err() {
        return Some(Theirs::NotText);
    }
    if let Some(kind) = footage_kind(&bytes[..bytes.len().min(1024)]) {
        return Some(Theirs::Footage(kind));
    }
    if is_journal(&bytes) {
        return Some(Theirs::BesideRecord);
    }
    if let Some(kind) = kind_of(&bytes) {
        return Some(Theirs::Document(kind));
    }
    let text = match std::str::from_utf8(&bytes) {
        Ok(text) => text,
        // The last character may have been cut off by the limit.
        Err(e) if e.error_len().is_none() && bytes.len() as u64 == MOST_BYTES => "",
        Err(_) => return Some(Theirs::NotText),
    };
    if text.contains('\0') {
        return Some(Theirs::NotText);
    }
    let table = text.parse::<toml::Table>();
    table.is_ok_and(|table| !table.is_empty()).then_some(Theirs::Settings)
}

/// The record that names the file at `path` as its footage: of those being read, and of those in the same folder.
fn footage_of(path: &Path, reads: &[&Path]) -> Option<PathBuf> {
    let is_record = |p: &Path| p.as_os_str().as_encoded_bytes().ends_with(b".points.json");
    let entries = std::fs::read_dir(folder(path)).into_iter().flatten().flatten();
    let beside = entries.map(|e| e.path()).filter(|p| is_record(p)).take(MOST_RECORDS);
    let names_it = |record: &Path| {
        let Ok((read, _)) = load(record) else { return false };
        read.footage.iter().any(|f| same(&folder(record).join(name_path(&f.file)), path))
    };
    let reads = reads.iter().map(|p| p.to_path_buf());
    reads.chain(beside).find(|record| names_it(record))
}
