//! From the bytes of a sidecar to a document, and back.

use std::path::Path;

use serde::Deserialize;
use serde_path_to_error::{Path as Place, Segment};
use sha2::{Digest, Sha256};

use super::document::Document;
use super::document_kind::DocumentKind;
use super::error::RecordError;
use super::strict;
use super::unsound::Unsound;
use crate::system::printable;
use crate::textfile::{self, Limit, TextError};
use crate::wording::in_json;

/// No sidecar and no journal is larger; a file that is, is not one of ours.
const LIMIT: Limit = Limit::RECORD;
/// The same in bytes.
pub(super) const MOST_BYTES: u64 = LIMIT.bytes();

/// A document as read, and why it may not be written again.
#[derive(Debug)]
pub(super) struct Parsed<D> {
    pub document: D,
    /// Why a save would lose something, in words.
    pub read_only: Option<String>,
    /// The version that the file is of, if older than ours; the document is upgraded.
    pub older: Option<u32>,
}

/// The bytes of a regular file of at most [`MOST_BYTES`]; `None` when there is none.
pub(super) fn bytes(
    path: &Path,
    kind: DocumentKind,
    what: &'static str,
) -> Result<Option<Vec<u8>>, RecordError> {
    match textfile::bytes(path, LIMIT) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(e) if e.is_missing() => Ok(None),
        Err(TextError::Open(e)) => Err(RecordError::io(path, "open it")(e)),
        Err(TextError::Read(e)) => Err(RecordError::io(path, "read it")(e)),
        Err(TextError::Folder | TextError::NotAFile) => {
            Err(RecordError::NotAFile { path: path.to_owned(), kind })
        }
        Err(TextError::TooBig(_)) => Err(too_big(path, kind, what)),
        Err(source) => Err(RecordError::Text { path: path.to_owned(), source }),
    }
}

fn too_big(path: &Path, kind: DocumentKind, what: &'static str) -> RecordError {
    RecordError::TooBig { path: path.to_owned(), kind, what, allowed: LIMIT.words() }
}

/// Like [`bytes`], for a document that must be there.
pub(super) fn sidecar(path: &Path, kind: DocumentKind) -> Result<Vec<u8>, RecordError> {
    bytes(path, kind, kind.the())?.ok_or_else(|| {
        let missing = std::io::Error::from(std::io::ErrorKind::NotFound);
        RecordError::io(path, "open it")(missing)
    })
}

/// The first 64 hex digits of what a content is: its SHA-256.
pub(super) fn digest(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// Lower-case hexadecimal.
pub(super) fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    bytes.iter().fold(String::new(), |mut s, b| {
        let _ = write!(s, "{b:02x}");
        s
    })
}

/// The text that a save writes.
pub(crate) fn to_bytes<D: Document>(path: &Path, document: &D) -> Result<Vec<u8>, RecordError> {
    document.sound().map_err(|why| unsound(path, D::KIND, why))?;
    let mut bytes = serde_json::to_vec_pretty(document)
        .map_err(|e| RecordError::io(path, "write it as JSON")(e.into()))?;
    bytes.push(b'\n');
    if bytes.len() as u64 > MOST_BYTES { Err(too_big(path, D::KIND, D::KIND.the())) } else { Ok(bytes) }
}

fn unsound(path: &Path, kind: DocumentKind, why: Unsound) -> RecordError {
    let path = path.to_owned();
    match why {
        Unsound::TooMuch(source) => RecordError::TooMuch { path, kind, source },
        Unsound::Rules(source) => RecordError::Rules { path, source },
        Unsound::Unfit(source) => RecordError::Unfit { path, kind, source },
    }
}

/// `points.3.x` as the other messages write it: `points[3].x (point 4)`.
fn with_place(kind: DocumentKind, field: &str) -> String {
    let mut shown = String::new();
    for part in field.split('.').map(|p| p.trim_end_matches('?')).filter(|p| !p.is_empty()) {
        if part.bytes().all(|b| b.is_ascii_digit()) {
            shown.push('[');
            shown.push_str(part);
            shown.push(']');
        } else {
            if !shown.is_empty() {
                shown.push('.');
            }
            shown.push_str(part);
        }
    }
    kind.counted(&shown)
}

/// Only what says which program and version wrote the file.
#[derive(Deserialize)]
#[serde(expecting = "fields in braces")]
struct Head {
    #[serde(default)]
    format: serde_json::Value,
    #[serde(default)]
    version: serde_json::Value,
}

/// A text as read, before it is judged.
struct Text<D> {
    document: D,
    version: u64,
    /// Its first fields that this version does not know.
    unknown: Vec<String>,
}

/// Which document of ours a text is, of whatever version, also one that is broken somewhere.
pub(crate) fn kind_of(bytes: &[u8]) -> Option<DocumentKind> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes).trim_ascii_start();
    if bytes.first() != Some(&b'{') {
        return None;
    }
    let head = serde_json::from_slice::<Head>(bytes);
    [DocumentKind::Record, DocumentKind::Lesson].into_iter().find(|kind| match &head {
        Ok(head) => head.format == kind.format(),
        // Where it breaks is not known: it may be after the name.
        Err(_) => bytes.windows(kind.format().len()).any(|w| w == kind.format().as_bytes()),
    })
}

/// Reads a document. `path` is only for messages.
pub(super) fn parse<D: Document>(path: &Path, bytes: &[u8]) -> Result<Parsed<D>, RecordError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = quick(bytes).map_or_else(|| careful(path, bytes), Ok)?;
    judged(path, text)
}

/// A text with which nothing is wrong, in a third of the time that the careful way takes; `None` where that must look.
fn quick<D: Document>(bytes: &[u8]) -> Option<Text<D>> {
    // The fields of a document in their order, without names, could be taken for one too.
    if bytes.trim_ascii_start().first() != Some(&b'{') {
        return None;
    }
    let document: D = strict::known_only(bytes).ok()?;
    let (format, version) = document.head();
    let fits = format == D::KIND.format() && version >= 1;
    let version = u64::from(version);
    fits.then_some(Text { document, version, unknown: Vec::new() })
}

/// Any text: what is wrong with it, and where.
fn careful<D: Document>(path: &Path, bytes: &[u8]) -> Result<Text<D>, RecordError> {
    textfile::utf_8(bytes).map_err(|source| RecordError::Text { path: path.to_owned(), source })?;
    let version = head(path, D::KIND, bytes)?;
    let mut unknown = Vec::new();
    let document = whole(path, bytes, |field| {
        if unknown.len() < 4 {
            unknown.push(with_place(D::KIND, &printable(&field, 80)));
        }
    })?;
    Ok(Text { document, version, unknown })
}

fn judged<D: Document>(path: &Path, text: Text<D>) -> Result<Parsed<D>, RecordError> {
    let Text { mut document, version, unknown } = text;
    document.sound().map_err(|why| unsound(path, D::KIND, why))?;
    let read_only = if version > u64::from(D::VERSION) {
        Some(format!(
            "it has version {version}, but this program writes version {}; update the program to change {}",
            D::VERSION,
            D::KIND.the()
        ))
    } else if unknown.is_empty() {
        None
    } else {
        Some(format!(
            "it has fields that this version does not know and would lose: {}; delete them, or update the program",
            unknown.join(", ")
        ))
    };
    // Each version so far only added fields that may be absent: to upgrade is to say so.
    let older = (version < u64::from(D::VERSION)).then_some(document.head().1);
    if older.is_some() {
        document.upgrade();
    }
    Ok(Parsed { document, read_only, older })
}

/// The version, once the file says that it is a document of this kind.
fn head(path: &Path, kind: DocumentKind, bytes: &[u8]) -> Result<u64, RecordError> {
    let shown = |v: &serde_json::Value| match v {
        serde_json::Value::Null => "missing".to_owned(),
        v => printable(&v.to_string(), 60),
    };
    if bytes.trim_ascii().is_empty() {
        return Err(RecordError::Text { path: path.to_owned(), source: TextError::Empty });
    }
    if bytes.trim_ascii_start().first() == Some(&b'[') {
        let found = format!("found a list; allowed: a {} in braces {{ }}", kind.noun());
        return Err(RecordError::Broken {
            path: path.to_owned(),
            kind,
            line: 1,
            column: 1,
            field: String::new(),
            found,
        });
    }
    let head: Head =
        serde_json::from_slice(bytes).map_err(|e| broken(path, kind, &e, "", &in_json(&e, "")))?;
    if head.format != kind.format() {
        return Err(RecordError::Format { path: path.to_owned(), kind, found: shown(&head.format) });
    }
    match head.version.as_u64() {
        Some(n) if n >= 1 => Ok(n),
        _ => Err(RecordError::Version { path: path.to_owned(), found: shown(&head.version) }),
    }
}

fn whole<D: Document>(path: &Path, bytes: &[u8], mut unknown: impl FnMut(String)) -> Result<D, RecordError> {
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let mut track = serde_path_to_error::Track::new();
    let tracked = serde_path_to_error::Deserializer::new(strict::braces(&mut json), &mut track);
    let document = serde_ignored::deserialize(tracked, |field| unknown(field.to_string()));
    let document = document.map_err(|e| {
        let place = track.path();
        let found = misplaced(bytes, &e, &place).unwrap_or_else(|| in_json(&e, last_key(&place)));
        broken(path, D::KIND, &e, &place.to_string(), &found)
    })?;
    json.end().map_err(|e| broken(path, D::KIND, &e, "", &in_json(&e, "")))?;
    Ok(document)
}

/// The key at the end of a place; empty where a list ends it.
fn last_key(place: &Place) -> &str {
    match place.iter().next_back() {
        Some(Segment::Map { key }) => key,
        _ => "",
    }
}

/// What stands where a word belongs: of that the reader only says that it expected a value.
fn misplaced(bytes: &[u8], e: &serde_json::Error, place: &Place) -> Option<String> {
    if !e.is_syntax() {
        return None;
    }
    // Read as a whole there is nothing wrong with it: then it was the kind of value that was not expected.
    let whole: serde_json::Value = serde_json::from_slice(bytes).ok()?;
    let found = place.iter().try_fold(&whole, |at, part| match part {
        Segment::Seq { index } => at.get(index),
        Segment::Map { key } => at.get(key),
        Segment::Enum { .. } | Segment::Unknown => None,
    })?;
    Some(format!("found {}; allowed: a word in quotes", printable(&found.to_string(), 60)))
}

fn broken(path: &Path, kind: DocumentKind, e: &serde_json::Error, field: &str, found: &str) -> RecordError {
    RecordError::Broken {
        path: path.to_owned(),
        kind,
        line: e.line(),
        // At the end of a line the reader counts from 0.
        column: e.column().max(1),
        field: printable(field, 120),
        found: printable(found, 240),
    }
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;
