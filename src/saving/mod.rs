//! Files that are written where the user says: whole or not at all, and never over what is theirs.
//!
//! Every verb with `--out` and `--force` writes through here, and so do the save dialogs. Leave to replace a file holds
//! for what a program wrote before: a list of clips, a table. It never holds for a record, for footage, for a file of
//! settings, or for what is being read at that moment: see [`Theirs`].

mod error;
mod kind;
mod place;
mod theirs;

use std::io::{self, Write};
use std::path::Path;

use crate::record::unnamed;

pub use error::SaveError;
pub use kind::footage_kind;
pub use place::folder;
pub use theirs::{Theirs, theirs};

/// What may be replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Replace {
    /// Nothing: the file must be new.
    Nothing,
    /// A file that is not the user's own work, as the user has said.
    WhatWasWritten,
}

/// Whether a file may be written at `path`. `reads` are the files that are being read for it.
///
/// # Errors
/// [`SaveError::Theirs`] when something of the user's is there; [`SaveError::Exists`] when something else is, and
/// nothing may be replaced.
pub fn allowed(path: &Path, replace: Replace, reads: &[&Path]) -> Result<(), SaveError> {
    if let Some(what) = theirs(path, reads) {
        return Err(SaveError::Theirs { path: path.to_owned(), what });
    }
    if replace == Replace::Nothing && path.symlink_metadata().is_ok() {
        return Err(SaveError::Exists { path: path.to_owned() });
    }
    Ok(())
}

/// Writes a file whole or not at all, where [`allowed`] allows it.
///
/// # Errors
/// As [`allowed`], and [`SaveError::Write`].
pub fn save(path: &Path, text: &str, replace: Replace, reads: &[&Path]) -> Result<(), SaveError> {
    allowed(path, replace, reads)?;
    write(path, text, replace)
}

/// Writes a file whole or not at all, without asking what is there: for a caller that has asked more than [`allowed`].
///
/// # Errors
/// [`SaveError::Exists`] and [`SaveError::Write`].
pub fn write(path: &Path, text: &str, replace: Replace) -> Result<(), SaveError> {
    let failed = |why: io::Error| match why.kind() {
        io::ErrorKind::AlreadyExists => SaveError::Exists { path: path.to_owned() },
        _ => SaveError::Write { path: path.to_owned(), why },
    };
    let mut temp = temporary(path).map_err(failed)?;
    temp.write_all(text.as_bytes()).and_then(|()| temp.as_file().sync_all()).map_err(failed)?;
    let kept = match replace {
        Replace::Nothing => temp.persist_noclobber(path),
        Replace::WhatWasWritten => temp.persist(path),
    };
    kept.map(drop).map_err(|e| failed(e.error))
}

fn temporary(path: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".changeover-").suffix(".tmp");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any other new file: the user's mask takes from it what it takes.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder(path)).map_err(unnamed)
}

#[cfg(test)]
mod tests;
