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
    let text = text(path, Limit::SETTINGS).map_err(|e| unread(path, &e))?;
    // Empty rules would be the usual ones, and empty questions none: nobody means that.
    if text.trim().is_empty() { Err(unread(path, &TextError::Empty)) } else { Ok(text) }
}
