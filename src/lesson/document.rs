//! A lesson is a document: it is kept as a record is.

use super::edit::{Change, Edit};
use super::sound::{MOST_PARTS, MOST_TITLE, count, letters, part};
use super::talk;
use super::whole::{FORMAT, Lesson, VERSION};
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
        count("parts", self.parts.len(), "parts", MOST_PARTS)?;
        letters("title", &self.title, MOST_TITLE)?;
        letters("player", &self.player, MOST_TITLE)?;
        self.parts.iter().enumerate().try_for_each(|(n, p)| part(&format!("parts[{n}]"), p))?;
        self.talk.as_deref().map_or(Ok(()), talk::sound::talk)
    }

    fn apply(&mut self, edit: Edit) -> Result<(Change, Edit), EditError> {
        Self::apply(self, edit)
    }

    fn put(&mut self, edit: Edit) -> Result<(Change, Edit), EditError> {
        Self::apply(self, edit)
    }
}
