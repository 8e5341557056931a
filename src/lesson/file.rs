//! Reading and writing `NAME.lesson.json`.

use std::path::Path;

use super::whole::Lesson;
use crate::record::{Kept, RecordError, create_document, load_document};

/// A lesson open for editing: each edit is on disk, in the journal, before it is shown as done.
pub type LessonStore = Kept<Lesson>;

/// Reads a lesson for looking at it, with the edits of its journal, without changing anything. The second value is what the user should be told.
///
/// # Errors
/// [`RecordError`] when there is no lesson at `path` or it is broken: line, field, what was found, what is allowed.
pub fn load(path: &Path) -> Result<(Lesson, Vec<String>), RecordError> {
    load_document(path)
}

/// Writes a new lesson, whole or not at all.
///
/// # Errors
/// [`RecordError::Exists`] when there is one already; [`RecordError`] when it holds too much or cannot be written.
pub fn create(path: &Path, lesson: &Lesson) -> Result<(), RecordError> {
    create_document(path, lesson)
}

/// The lesson as a save writes it.
///
/// # Errors
/// [`RecordError`] when it holds too much.
pub fn to_text(path: &Path, lesson: &Lesson) -> Result<Vec<u8>, RecordError> {
    crate::record::to_bytes(path, lesson)
}
