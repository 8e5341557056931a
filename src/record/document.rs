//! What the record and the lesson have in common: each is a document of its own, read with care and kept safely.

use std::fmt::Debug;

use serde::Serialize;
use serde::de::DeserializeOwned;
use thiserror::Error;

use super::consent;
use super::edit::{Change, Edit, EditError};
use super::limits::{self, TooMuch};
use super::model::{self, Record};
use crate::tennis::rules::RulesError;

/// The kinds of document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DocumentKind {
    /// A match: `NAME.points.json`.
    Record,
    /// Clips in their order: `NAME.lesson.json`.
    Lesson,
}

impl DocumentKind {
    /// What it is called.
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Record => "record",
            Self::Lesson => "lesson",
        }
    }

    /// What it is about, as a whole.
    pub(super) const fn whole(self) -> &'static str {
        match self {
            Self::Record => "match",
            Self::Lesson => "lesson",
        }
    }

    /// The same with its article.
    pub(super) const fn the(self) -> &'static str {
        match self {
            Self::Record => "the record",
            Self::Lesson => "the lesson",
        }
    }

    /// What the first field of every document of this kind holds.
    pub(super) const fn format(self) -> &'static str {
        match self {
            Self::Record => model::FORMAT,
            Self::Lesson => "changeover-lesson",
        }
    }

    /// What a user who named something else should name.
    pub(super) const fn to_name(self) -> &'static str {
        match self {
            Self::Record => "a record (NAME.points.json) or a footage file",
            Self::Lesson => "a lesson (NAME.lesson.json)",
        }
    }

    /// A field, with the number of its point or part as people count.
    pub(super) fn counted(self, field: &str) -> String {
        let (list, noun) = match self {
            Self::Record => ("points[", "point"),
            Self::Lesson => ("parts[", "part"),
        };
        let number = field.strip_prefix(list).and_then(|r| r.split(']').next()?.parse::<usize>().ok());
        match number {
            Some(n) => format!("{field} ({noun} {})", n.saturating_add(1)),
            None => field.into(),
        }
    }
}

/// A document of ours. Each change of it is a value with an inverse.
pub trait Document: Clone + Debug + Serialize + DeserializeOwned {
    /// One change of it.
    type Edit: Clone + Debug + Serialize + DeserializeOwned;
    /// What an edit changed, for whoever shows it.
    type Change;
    /// Which kind it is.
    const KIND: DocumentKind;
    /// The version that this program writes.
    const VERSION: u32;

    /// What its first two fields hold: format and version.
    fn head(&self) -> (&str, u32);

    /// Makes it one of this version.
    fn upgrade(&mut self);

    /// Holds it to the limits, and to the order of its times.
    ///
    /// # Errors
    /// [`Unsound`] names the first thing that is wrong.
    fn sound(&self) -> Result<(), Unsound>;

    /// Applies one edit. Says what changed, and the edit that takes it back.
    ///
    /// # Errors
    /// [`EditError`]; the document is then unchanged.
    fn apply(&mut self, edit: Self::Edit) -> Result<(Self::Change, Self::Edit), EditError>;

    /// Applies an edit that was applied before, or takes one back.
    ///
    /// # Errors
    /// [`EditError`]; the document is then unchanged.
    fn put(&mut self, edit: Self::Edit) -> Result<(Self::Change, Self::Edit), EditError>;

    /// What the user should be told when it is opened.
    fn notices(&self) -> Vec<String> {
        Vec::new()
    }
}

/// What is wrong with a document that could be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Unsound {
    /// More of something than any document has.
    #[error(transparent)]
    TooMuch(#[from] TooMuch),
    /// Rules that make no match.
    #[error(transparent)]
    Rules(#[from] RulesError),
    /// A value that does not fit the others.
    #[error(transparent)]
    Unfit(#[from] Unfit),
}

/// A value that does not fit the others.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{place}: found {found}; allowed: {allowed}")]
pub struct Unfit {
    /// Where, as `parts[3].clip.to`.
    pub place: String,
    /// What is there.
    pub found: String,
    /// What may be there.
    pub allowed: String,
}

impl Document for Record {
    type Edit = Edit;
    type Change = Change;

    const KIND: DocumentKind = DocumentKind::Record;
    const VERSION: u32 = model::VERSION;

    fn head(&self) -> (&str, u32) {
        (&self.format, self.version)
    }

    fn upgrade(&mut self) {
        self.format = model::FORMAT.into();
        self.version = model::VERSION;
    }

    fn sound(&self) -> Result<(), Unsound> {
        self.about.rules.check()?;
        Ok(limits::record(self)?)
    }

    fn apply(&mut self, edit: Edit) -> Result<(Change, Edit), EditError> {
        Self::apply(self, edit)
    }

    fn put(&mut self, edit: Edit) -> Result<(Change, Edit), EditError> {
        Self::put(self, edit)
    }

    fn notices(&self) -> Vec<String> {
        consent::overdue(self, consent::today())
    }
}
