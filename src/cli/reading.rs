//! The text files that verbs read besides records.

use std::path::Path;

use super::answer::CliError;
use crate::record::printable;
use crate::textfile::{Limit, TextError, text};

/// A path as messages show it.
pub(super) fn shown(path: &Path) -> String {
    printable(&path.to_string_lossy(), 400)
}

/// Why a file is not read, with its name.
pub(super) fn unread(path: &Path, why: &TextError) -> CliError {
    CliError::Failed(format!("{}: {why}", shown(path)))
}

/// The text of a key card, a file of patterns or questions, or rules.
///
/// # Errors
/// [`CliError`] when it cannot be read, with its name.
pub(super) fn settings(path: &Path) -> Result<String, CliError> {
    text(path, Limit::SETTINGS).map_err(|e| unread(path, &e))
}
