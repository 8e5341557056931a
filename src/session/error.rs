//! What can go wrong with a session: the user's own files, what is to be opened, what the keeper is asked.

use std::error::Error as StdError;
use std::io;
use std::path::PathBuf;
use std::sync::Arc;

use thiserror::Error;

use crate::logging::LogError;
use crate::logging::card::CardError;
use crate::pattern::PatternError;
use crate::record::RecordError;
use crate::saving::SaveError;
use crate::system::shown;
use crate::textfile::TextError;

/// What is wrong with a file of the user's own: settings, key card, patterns.
#[derive(Debug, Error)]
pub enum OwnFileError {
    /// It cannot be read as text.
    #[error("{}: {why}", shown(path))]
    Text {
        /// The file.
        path: PathBuf,
        /// Why not.
        why: TextError,
    },
    /// The settings are not understood.
    #[error("{}: {found}", shown(path))]
    Settings {
        /// The file.
        path: PathBuf,
        /// What was found, and where.
        found: String,
    },
    /// The settings are not understood. The file has another name now, and settings start anew.
    #[error("{}: {found}. The file is kept as {}; the settings start anew", shown(path), shown(kept))]
    Aside {
        /// The file.
        path: PathBuf,
        /// Its name now.
        kept: PathBuf,
        /// What was found, and where.
        found: String,
    },
    /// A key card is not understood.
    #[error("{}: {why}", shown(path))]
    Card {
        /// The file.
        path: PathBuf,
        /// What was found, and where.
        why: Box<CardError>,
    },
    /// A key card of the program itself is not understood.
    #[error("a built-in key card: {0}")]
    BuiltIn(Box<CardError>),
    /// The patterns are not understood.
    #[error(transparent)]
    Pattern(Box<PatternError>),
    /// The settings are not written over a file that is not understood.
    #[error("{0}; correct or delete the file, then set it again")]
    Kept(Box<Self>),
    /// The settings cannot be put into words.
    #[error("the settings cannot be written: {0}")]
    Make(#[from] toml::ser::Error),
    /// No name is left for a new key card.
    #[error("{}: there are too many key cards", shown(folder))]
    TooManyCards {
        /// Where they are.
        folder: PathBuf,
    },
    /// It is not written, or not over what is there.
    #[error(transparent)]
    Save(#[from] SaveError),
}

impl From<PatternError> for OwnFileError {
    fn from(why: PatternError) -> Self {
        Self::Pattern(Box::new(why))
    }
}

/// Why a file of footage is not read: the video room's own error, which this room does not know.
pub type ProbeError = Box<dyn StdError + Send + Sync>;

/// Why files are not opened, or not attached.
#[derive(Debug, Error)]
pub enum LookError {
    /// Nothing was chosen.
    #[error("there is no file to open")]
    NoFile,
    /// A record among other files.
    #[error("open a record by itself, without other files. It opens its footage too")]
    RecordAmongOthers,
    /// Footage in several folders.
    #[error("{}: the files of one match must be in one folder, beside its record", shown(path))]
    Folders {
        /// The first file in another folder.
        path: PathBuf,
    },
    /// Footage outside the record's folder.
    #[error("{} is not in the record's folder; move it there first", shown(path))]
    Outside {
        /// The file.
        path: PathBuf,
    },
    /// The system does not find the file.
    #[error("{}: {why}", shown(path))]
    Find {
        /// The file.
        path: PathBuf,
        /// The system's answer.
        why: io::Error,
    },
    /// The footage is not read.
    #[error(transparent)]
    Footage(#[from] ProbeError),
    /// The record is not read or not written.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// Something else has the new record's name.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// Why the keeper did nothing. Shared, because every widget that waits for the answer gets it.
#[derive(Debug, Clone, Error)]
pub enum AskError {
    /// The action means nothing here.
    #[error(transparent)]
    Log(#[from] LogError),
    /// The record is not changed or not written.
    #[error("{0}")]
    Record(Arc<RecordError>),
    /// The record's new place is taken.
    #[error("{0}")]
    Place(Arc<SaveError>),
}

impl PartialEq for AskError {
    /// Of what the system or another room refused, only the very same refusal is equal.
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Log(a), Self::Log(b)) => a == b,
            (Self::Record(a), Self::Record(b)) => Arc::ptr_eq(a, b),
            (Self::Place(a), Self::Place(b)) => Arc::ptr_eq(a, b),
            _ => false,
        }
    }
}

impl From<RecordError> for AskError {
    fn from(why: RecordError) -> Self {
        Self::Record(Arc::new(why))
    }
}

impl From<SaveError> for AskError {
    fn from(why: SaveError) -> Self {
        Self::Place(Arc::new(why))
    }
}
