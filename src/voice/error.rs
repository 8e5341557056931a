//! Why a voice is not written or read.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::system::{reading, shown, writing};

/// Why a voice is not written or read.
#[derive(Debug, Error)]
pub enum VoiceError {
    /// The voice cannot be written.
    #[error("the talk cannot be written to {}: {}", shown(path), writing(error))]
    Write {
        /// The file or folder.
        path: PathBuf,
        /// What the system says.
        error: io::Error,
    },
    /// A voice file cannot be read.
    #[error("the voice {} cannot be read: {}", shown(path), reading(error))]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system says.
        error: io::Error,
    },
    /// A file that is no voice of ours.
    #[error(
        "{}: this is no voice of a talk: {found}; a voice is WAV with 48000 samples a second, 16 bits, one channel",
        shown(path)
    )]
    NoVoice {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        found: &'static str,
    },
    /// Nothing was said, or nothing was on the screen.
    #[error("nothing was recorded")]
    Nothing,
}

impl VoiceError {
    pub(super) fn write(path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |error| Self::Write { path, error }
    }

    pub(super) fn read(path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |error| Self::Read { path, error }
    }
}
