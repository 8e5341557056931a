//! What can go wrong with a record on disk.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::document_kind::DocumentKind;
use super::edit::EditError;
use super::holder::HeldBy;
use super::limits::TooMuch;
use super::unsound::Unfit;
use crate::counted::{Counted, Noun};
use crate::system::printable;
use crate::system::{reading, writing};
use crate::tennis::rules::RulesError;
use crate::textfile::TextError;

/// Why a record cannot be read, changed or written.
#[derive(Debug, Error)]
pub enum RecordError {
    /// The operating system refused.
    #[error("{}: cannot {doing}: {}", show(path), answer(doing, source))]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// What was tried.
        doing: &'static str,
        /// The system's answer.
        source: io::Error,
    },
    /// A folder, a device or a pipe where a file belongs.
    #[error("{}: this is not a file; name {}", show(path), kind.to_name())]
    NotAFile {
        /// The path.
        path: PathBuf,
        /// What it should be.
        kind: DocumentKind,
    },
    /// Larger than any match.
    #[error(
        "{}: {what} is larger than {allowed}; no {} is that large, so the file is left as it is",
        show(path), kind.whole()
    )]
    TooBig {
        /// The file.
        path: PathBuf,
        /// What it should be.
        kind: DocumentKind,
        /// What is too big.
        what: &'static str,
        /// The limit, with its unit.
        allowed: String,
    },
    /// More of something than any match has.
    #[error("{}: {source}; no {} has as many, so the file is left as it is", show(path), kind.whole())]
    TooMuch {
        /// The file.
        path: PathBuf,
        /// What it is.
        kind: DocumentKind,
        /// Of what.
        source: TooMuch,
    },
    /// No text that can be read.
    #[error("{}: {source}; the file is left as it is", show(path))]
    Text {
        /// The file.
        path: PathBuf,
        /// Why not.
        source: TextError,
    },
    /// A line of the journal is not as it was written.
    #[error(
        "{}: line {line} of its journal is damaged, so {} left out, but kept in {}; open the record in the window to go on from the edits before that line",
        show(path), were(*left_out), show(journal)
    )]
    Journal {
        /// The record.
        path: PathBuf,
        /// The journal.
        journal: PathBuf,
        /// The line, from 1.
        line: usize,
        /// Edits from there on.
        left_out: usize,
    },
    /// The text is not a record.
    #[error(
        "{}, line {line}, column {column}{}: {found}; the file is left as it is",
        show(path),
        place(*kind, field)
    )]
    Broken {
        /// The file.
        path: PathBuf,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// The field, as `points[3].winner`; empty when the text is not JSON.
        field: String,
        /// What it should be.
        kind: DocumentKind,
        /// What was found and what is allowed.
        found: String,
    },
    /// JSON, but of something else.
    #[error("{}: {}", show(path), kind.taken_for(found))]
    Format {
        /// The file.
        path: PathBuf,
        /// What it should be.
        kind: DocumentKind,
        /// What it says.
        found: String,
    },
    /// A version that never was.
    #[error("{}: its \"version\" is {found}; this program reads versions 1 and later", show(path))]
    Version {
        /// The file.
        path: PathBuf,
        /// What it says.
        found: String,
    },
    /// Rules that make no match.
    #[error("{}: match.rules: {source}; the file is left as it is", show(path))]
    Rules {
        /// The file.
        path: PathBuf,
        /// What is wrong with them.
        source: RulesError,
    },
    /// A value that does not fit the others.
    #[error(
        "{}: {}: found {}; allowed: {}; the file is left as it is",
        show(path), kind.counted(&source.place), source.found, source.allowed
    )]
    Unfit {
        /// The file.
        path: PathBuf,
        /// What it is.
        kind: DocumentKind,
        /// Which, and why.
        source: Unfit,
    },
    /// One is already there.
    #[error("{}: a {} is already there; open it, or choose another name", show(path), kind.noun())]
    Exists {
        /// The file.
        path: PathBuf,
        /// What is there.
        kind: DocumentKind,
    },
    /// The document is open for reading only.
    #[error("{}: this {} is open for reading only: {why}", show(path), kind.noun())]
    ReadOnly {
        /// The file.
        path: PathBuf,
        /// What it is.
        kind: DocumentKind,
        /// Why, in words.
        why: String,
    },
    /// Another program has it open.
    #[error("{}: it is open in {who}; close it there first", show(path))]
    InUse {
        /// The file.
        path: PathBuf,
        /// Who has it.
        who: HeldBy,
    },
    /// A player asked for who is not in the record.
    #[error("no player here is called \"{found}\"; allowed: {allowed}")]
    NoPlayer {
        /// The name asked for.
        found: String,
        /// Who there is.
        allowed: String,
    },
    /// Somebody asked for whom nothing in a lesson names.
    #[error("nothing in this lesson names \"{found}\"; write the name as the lesson has it")]
    NotNamed {
        /// The name asked for.
        found: String,
    },
    /// The edit does not fit the record.
    #[error(transparent)]
    Edit(#[from] EditError),
    /// A footage name that leads out of the record's folder.
    #[error(
        "footage \"{file}\" is outside the record's folder, so it is not opened; move it into the folder"
    )]
    Outside {
        /// The name as found.
        file: String,
    },
}

impl RecordError {
    /// Wraps the system's answer with what was tried, and where.
    pub(super) fn io(path: &Path, doing: &'static str) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::Io { path, doing, source }
    }
}

/// The system's answer to what was tried.
fn answer(doing: &str, error: &io::Error) -> String {
    match doing {
        "open it" | "read it" => reading(error).to_string(),
        _ => writing(error).to_string(),
    }
}

/// `3 edits are`.
fn were(edits: usize) -> String {
    let edits = Counted(edits, Noun::Edit);
    format!("{edits} {}", edits.is())
}

/// A path for a message: control characters shown, never obeyed by a terminal.
fn show(path: &Path) -> String {
    printable(&path.to_string_lossy(), 400)
}

/// `, points[3].winner (point 4)`, or nothing.
fn place(kind: DocumentKind, field: &str) -> String {
    if field.is_empty() || field == "." {
        return String::new();
    }
    format!(", {}", kind.counted(field))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_counts_points_as_people_do() {
        assert_eq!(place(DocumentKind::Record, "points[3].winner"), ", points[3].winner (point 4)");
        assert_eq!(place(DocumentKind::Record, "match.a"), ", match.a");
        assert_eq!(place(DocumentKind::Record, "."), "");
        assert_eq!(place(DocumentKind::Lesson, "parts[0].clip.to"), ", parts[0].clip.to (part 1)");
    }
}
