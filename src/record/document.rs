//! What the record and the lesson have in common: each is a document of its own, read with care and kept safely.

use std::fmt::Debug;

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::consent;
use super::document_kind::DocumentKind;
use super::edit::{Change, Edit, EditError};
use super::limits;
use super::model::{self, Record};
use super::unsound::Unsound;

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
