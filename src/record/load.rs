//! Reading a record without opening it for editing, and who has it open.

use std::path::{Path, PathBuf};

use super::document::Document;
use super::document_kind::DocumentKind;
use super::error::RecordError;
use super::files::beside;
use super::holder::HeldBy;
use super::lock::Lock;
use super::model::Record;
use super::read;
use super::recover::{Fate, look, recover};

use crate::counted::{Counted, Noun};

/// Reads a record for looking at it, with the edits of its journal, without taking the lock and without changing
/// anything. The second value is what the user should be told.
///
/// # Errors
/// [`RecordError`] when there is no record at `path` or it is not one.
pub fn load(path: &Path) -> Result<(Record, Vec<String>), RecordError> {
    Ok(told(load_with_fate(path)?.0))
}

/// Like [`load`], for answers that need everything that was logged.
///
/// # Errors
/// As [`load`], and [`RecordError::Journal`] when a line of the journal is damaged.
pub fn load_whole(path: &Path) -> Result<(Record, Vec<String>), RecordError> {
    load_closely(path).map(told)
}

fn told<D>(loaded: Loaded<D>) -> (D, Vec<String>) {
    let Loaded { record, read_only, notices } = loaded;
    (record, read_only.into_iter().chain(notices).collect())
}

/// A record as [`load_closely`] found it.
#[derive(Debug, Clone)]
pub struct Loaded<D = Record> {
    /// The record, with the edits of its journal.
    pub record: D,
    /// Why this version of the program may not change it: what a save would lose, in words.
    pub read_only: Option<String>,
    /// Other messages for the user.
    pub notices: Vec<String>,
}

/// Like [`load_whole`], with what keeps the record from being changed told apart.
///
/// # Errors
/// As [`load_whole`].
pub fn load_closely(path: &Path) -> Result<Loaded, RecordError> {
    match load_with_fate(path)? {
        (_, Fate::Damaged { line, left_out, .. }) => {
            let journal = beside(path, "journal");
            Err(RecordError::Journal { path: path.to_owned(), journal, line, left_out })
        }
        (loaded, _) => Ok(loaded),
    }
}

fn load_with_fate<D: Document>(path: &Path) -> Result<(Loaded<D>, Fate<D::Edit>), RecordError> {
    let real = follow(path, D::KIND)?;
    let seen = look(path, &real, &beside(&real, "journal"), D::KIND)?;
    let parsed = read::parse::<D>(path, &seen.sidecar)?;
    let recovered = recover(parsed.document, &seen);
    let mut notices = Vec::new();
    if !recovered.undo.is_empty() {
        notices.push(format!("with {} from its journal, not yet saved", edits(recovered.undo.len())));
    }
    notices.extend(left_alone(D::KIND, &recovered.fate));
    Ok((Loaded { record: recovered.document, read_only: parsed.read_only, notices }, recovered.fate))
}

/// Reads a document for looking at it, with the edits of its journal. The second value is what the user should be told.
pub(crate) fn load_document<D: Document>(path: &Path) -> Result<(D, Vec<String>), RecordError> {
    Ok(told(load_with_fate(path)?.0))
}

/// Holds the record at `path`, as a window that has it open does, until what is given back is dropped. Nothing is held
/// where the folder takes no lock file.
///
/// # Errors
/// [`RecordError::InUse`] when somebody else holds it; [`RecordError::Io`] when there is none.
pub(crate) fn hold(path: &Path) -> Result<Option<Lock>, RecordError> {
    Lock::take(&beside(&follow(path, DocumentKind::Record)?, "lock"))
        .map_err(|who| RecordError::InUse { path: path.to_owned(), who })
}

/// Who has the document at `path` open. Leaves nothing beside it.
pub(crate) fn held_by(path: &Path, kind: DocumentKind) -> Option<HeldBy> {
    let lock = beside(&follow(path, kind).ok()?, "lock");
    // Whoever holds it has made it.
    if lock.exists() { Lock::take(&lock).err() } else { None }
}

/// The file itself, links followed.
pub(super) fn follow(path: &Path, kind: DocumentKind) -> Result<PathBuf, RecordError> {
    let real = std::fs::canonicalize(path).map_err(RecordError::io(path, "open it"))?;
    if real.is_dir() { Err(RecordError::NotAFile { path: path.to_owned(), kind }) } else { Ok(real) }
}

/// The message about the journal for a reader that may not change it.
pub(super) fn left_alone<E>(kind: DocumentKind, fate: &Fate<E>) -> Option<String> {
    match fate {
        Fate::Fresh | Fate::Resume(_) | Fate::Done => None,
        Fate::Foreign => Some(format!(
            "the journal beside it belongs to another version of this {}; its edits are left out",
            kind.noun()
        )),
        Fate::Damaged { line, left_out, .. } => Some(format!(
            "line {line} of its journal is damaged; {} from there on {} left out, but stay in the journal",
            edits(*left_out),
            edits(*left_out).is()
        )),
        Fate::Newer => {
            Some("a newer version of Changeover left edits in its journal; they are left out".into())
        }
    }
}

/// `3 edits`.
pub(super) const fn edits(n: usize) -> Counted {
    Counted(n, Noun::Edit)
}
