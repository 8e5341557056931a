//! Writes files where the user says: completely or not at all, and never over the user's own files.
//!
//! Every verb with `--out` and `--force` writes through here, and so do the save dialogs. Permission to replace a file covers
//! only files that a program wrote, such as a clip list or a table. It never covers a record, footage, a file of settings, or a
//! file that is being read at that moment: see [`Theirs`].

mod error;
mod kind;
mod new_folder;
mod place;
mod space;
mod theirs;

use std::io::{self, Write};
use std::path::Path;

use crate::record::unnamed;
use crate::textfile::{self, Limit, TextError};

pub use error::SaveError;
pub use kind::footage_kind;
pub use new_folder::NewFolder;
pub use place::folder;
pub use space::free_space;
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
pub fn save(
    path: &Path,
    content: &(impl AsRef<[u8]> + ?Sized),
    replace: Replace,
    reads: &[&Path],
) -> Result<(), SaveError> {
    allowed(path, replace, reads)?;
    write(path, content, replace)
}

/// Writes a file whole or not at all, without asking what is there: for a caller that has asked more than [`allowed`].
///
/// # Errors
/// [`SaveError::Exists`] and [`SaveError::Write`].
pub fn write(path: &Path, content: &(impl AsRef<[u8]> + ?Sized), replace: Replace) -> Result<(), SaveError> {
    let failed = |why: io::Error| match why.kind() {
        io::ErrorKind::AlreadyExists => SaveError::Exists { path: path.to_owned() },
        _ => SaveError::Write { path: path.to_owned(), why },
    };
    let mut temp = temporary(path).map_err(failed)?;
    temp.write_all(content.as_ref()).and_then(|()| temp.as_file().sync_all()).map_err(failed)?;
    let kept = match replace {
        Replace::Nothing => temp.persist_noclobber(path),
        Replace::WhatWasWritten => temp.persist(path),
    };
    kept.map(drop).map_err(|e| failed(e.error))
}

/// Puts a text in the place of the one that was read from a file of settings, whole or not at all, and makes its folder.
/// `was` is empty where there was no file. Where a link leads to the file, the link stays.
///
/// # Errors
/// [`SaveError::Changed`] where the file is not any more as it was read, [`SaveError::Theirs`] where it is no file of
/// settings, and [`SaveError::Write`].
pub fn update(path: &Path, was: &str, text: &str) -> Result<(), SaveError> {
    let real = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let there = match textfile::text(&real, Limit::SETTINGS) {
        Ok(text) => Some(text),
        Err(e) if e.is_missing() => None,
        Err(TextError::Open(why) | TextError::Read(why)) => {
            return Err(SaveError::Write { path: path.to_owned(), why });
        }
        Err(_) => return Err(changed_or_theirs(path)),
    };
    if there.as_deref().unwrap_or_default() != was {
        return Err(changed_or_theirs(path));
    }
    if let Some(what) = no_settings(&real) {
        return Err(SaveError::Theirs { path: path.to_owned(), what });
    }
    std::fs::create_dir_all(folder(&real)).map_err(|why| SaveError::Write { path: path.to_owned(), why })?;
    write(&real, text, if there.is_some() { Replace::WhatWasWritten } else { Replace::Nothing })
}

/// What is at a path, other than settings; a name that ends in `.toml` says nothing of it.
fn no_settings(path: &Path) -> Option<Theirs> {
    let other = |what: &Theirs| *what != Theirs::Settings;
    theirs(path, &[])
        .filter(other)
        .or_else(|| theirs::by_content(path).filter(other).filter(|_| path.is_file()))
}

fn changed_or_theirs(path: &Path) -> SaveError {
    match no_settings(path) {
        Some(what) => SaveError::Theirs { path: path.to_owned(), what },
        None => SaveError::Changed { path: path.to_owned() },
    }
}

fn temporary(path: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".changeover-").suffix(".tmp");
    #[cfg(all(unix, not(feature = "portable")))]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any other new file: the user's mask takes from it what it takes.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder(path)).map_err(unnamed)
}

#[cfg(test)]
mod tests;
