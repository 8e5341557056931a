//! Where something new may be made.

use std::path::{Path, PathBuf};

use super::error::MakingError;

/// Whether nothing is at `path` yet.
///
/// # Errors
/// [`MakingError::Exists`].
pub(super) fn vacant(path: &Path) -> Result<(), MakingError> {
    match path.symlink_metadata() {
        Ok(_) => Err(MakingError::Exists(path.to_owned())),
        Err(_) => Ok(()),
    }
}

/// A name in `folder` that nothing has: `drops-page`, or `drops-page-2` and so on.
pub fn unused(folder: &Path, name: &str) -> PathBuf {
    let first = folder.join(name);
    let further = (2..10_000).map(|n| folder.join(format!("{name}-{n}")));
    std::iter::once(first.clone()).chain(further).find(|path| vacant(path).is_ok()).unwrap_or(first)
}
