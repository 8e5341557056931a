//! What a sidecar and its journal make together: every edit that was flushed, and none twice.

use std::path::Path;

use super::document::Document;
use super::document_kind::DocumentKind;
use super::error::RecordError;
use super::journal::{self, Damage, Found};
use super::read;

/// A sidecar and the journal that lay beside it at the same moment.
pub(super) struct Seen {
    pub sidecar: Vec<u8>,
    pub digest: String,
    pub journal: Option<Vec<u8>>,
}

/// What shall become of the journal that was found.
#[derive(Debug)]
pub(super) enum Fate<E> {
    /// There is none, or it holds no whole line.
    Fresh,
    /// It goes on where it ends.
    Resume(Found<E>),
    /// All of it is in the sidecar: the last session ended between its save and its tidying.
    Done,
    /// It was written over another state of the sidecar.
    Foreign,
    /// Some line is not ours; the edits before it are `kept`, those from it on `left_out`.
    Damaged { line: usize, kept: Vec<E>, left_out: usize },
    /// A newer version wrote it.
    Newer,
}

/// A document with the journal's edits in it.
pub(super) struct Recovered<D: Document> {
    pub document: D,
    /// The edits that take the journal's edits back, the last one last.
    pub undo: Vec<D::Edit>,
    pub fate: Fate<D::Edit>,
    /// Whether the last line was cut and is ignored.
    pub torn: bool,
}

/// Reads both files; again when a save came between.
pub(super) fn look(
    path: &Path,
    real: &Path,
    journal: &Path,
    kind: DocumentKind,
) -> Result<Seen, RecordError> {
    let mut sidecar = read::sidecar(real, kind).map_err(|e| named(e, path))?;
    for _ in 0..50 {
        let found = read::bytes(journal, kind, "the journal")?;
        let again = read::sidecar(real, kind).map_err(|e| named(e, path))?;
        if again == sidecar {
            return Ok(Seen { digest: read::digest(&sidecar), sidecar, journal: found });
        }
        sidecar = again;
    }
    let busy =
        std::io::Error::other("another program changes it all the time; try again when that program is done");
    Err(RecordError::io(path, "read it")(busy))
}

/// The same error under the name that the user gave.
fn named(error: RecordError, name: &Path) -> RecordError {
    let path = name.to_owned();
    match error {
        RecordError::Io { doing, source, .. } => RecordError::Io { path, doing, source },
        RecordError::NotAFile { kind, .. } => RecordError::NotAFile { path, kind },
        RecordError::TooBig { kind, what, allowed, .. } => RecordError::TooBig { path, kind, what, allowed },
        other => other,
    }
}

/// Replays a journal on the document of its sidecar.
pub(super) fn recover<D: Document>(document: D, seen: &Seen) -> Recovered<D> {
    let found = seen.journal.as_deref().map(|bytes| journal::read(bytes, D::VERSION)).unwrap_or_default();
    let mut out = Recovered { document, undo: Vec::new(), fate: Fate::Fresh, torn: false };
    out.torn = found.damage == Some(Damage::Torn);
    if found.newer {
        out.fate = Fate::Newer;
    } else if found.good == 0 {
        if let Some(Damage::Line(line)) = found.damage {
            out.fate = Fate::Damaged { line, kept: Vec::new(), left_out: found.left_out };
        }
    } else if let Some(done) = found.done_in(&seen.digest) {
        replay(&mut out, found, done);
    } else if found.edits.is_empty() {
        out.fate = Fate::Done;
    } else {
        out.fate = Fate::Foreign;
    }
    out
}

fn replay<D: Document>(out: &mut Recovered<D>, found: Found<D::Edit>, done: usize) {
    for (i, edit) in found.edits.iter().enumerate().skip(done) {
        let Ok((_, inverse)) = out.document.put(edit.clone()) else {
            let line = found.lines.get(i).copied().unwrap_or_default();
            let left_out = found.edits.len() - i + found.left_out;
            out.fate = Fate::Damaged { line, kept: found.edits[done..i].to_vec(), left_out };
            return;
        };
        out.undo.push(inverse);
    }
    out.fate = match found.damage {
        Some(Damage::Line(line)) => {
            Fate::Damaged { line, kept: found.edits[done..].to_vec(), left_out: found.left_out }
        }
        _ if done == found.edits.len() => Fate::Done,
        _ => Fate::Resume(found),
    };
}
