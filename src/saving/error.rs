//! Why a file is not written.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::theirs::Theirs;
use crate::record::printable;
use crate::system::writing;

/// Why a file is not written. The file that was there is unchanged.
#[derive(Debug, Error)]
pub enum SaveError {
    /// A file that is there is not written over.
    #[error("{} is there already; give another name, or --force to replace it", shown(path))]
    Exists {
        /// Its path.
        path: PathBuf,
    },
    /// Something of the user's is there.
    #[error("{} {what}; choose another name", shown(path))]
    Theirs {
        /// Its path.
        path: PathBuf,
        /// What it is.
        what: Theirs,
    },
    /// Another program wrote it since it was read.
    #[error(
        "{} was changed by another program meanwhile; copy what you want to keep, then open this again",
        shown(path)
    )]
    Changed {
        /// Its path.
        path: PathBuf,
    },
    /// The system does not take it.
    #[error("cannot write {}: {}", shown(path), writing(why))]
    Write {
        /// Its path.
        path: PathBuf,
        /// What the system says.
        why: io::Error,
    },
}

fn shown(path: &Path) -> String {
    printable(&path.to_string_lossy(), 400)
}
