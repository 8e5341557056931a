//! A lesson is a document: it is kept as a record is.

use super::edit::{Change, Edit};
use super::model::{FORMAT, Lesson, VERSION};
use super::sound;
use crate::record::{Document, DocumentKind, EditError, Unsound};

impl Document for Lesson {
    type Edit = Edit;
    type Change = Change;

    const KIND: DocumentKind = DocumentKind::Lesson;
    const VERSION: u32 = VERSION;

    fn head(&self) -> (&str, u32) {
        (&self.format, self.version)
    }

    fn upgrade(&mut self) {
        self.format = FORMAT.into();
        self.version = VERSION;
    }

    fn sound(&self) -> Result<(), Unsound> {
        sound::lesson(self)
    }

    fn apply(&mut self, edit: Edit) -> Result<(Change, Edit), EditError> {
        Self::apply(self, edit)
    }

    fn put(&mut self, edit: Edit) -> Result<(Change, Edit), EditError> {
        Self::apply(self, edit)
    }
}
