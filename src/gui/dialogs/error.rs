//! What is wrong with the fields of a dialog, in words for the user.

use thiserror::Error;

use crate::logging::react::ReactError;
use crate::session::error::OwnFileError;
use crate::session::people::PeopleError;
use crate::session::score_now::ScoreNowError;
use crate::tennis::rules::RulesError;
use crate::tennis::typed::TypedMarkError;
use crate::video::VideoError;

/// Why what a dialog's fields say is not saved.
#[derive(Debug, Error)]
pub enum FieldsError {
    /// A player without a name.
    #[error("Enter a name or a pseudonym for every player.")]
    NoName,
    /// A date that is none.
    #[error("\"{found}\" is not a date. Write year-month-day, for example 2026-05-09.")]
    NotADate {
        /// What was typed.
        found: String,
    },
    /// The people of points of many matches, or who plays in a run of them.
    #[error(transparent)]
    People(#[from] PeopleError),
    /// Rules that make no match.
    #[error(transparent)]
    Rules(#[from] RulesError),
    /// A score of a point.
    #[error(transparent)]
    Score(#[from] TypedMarkError),
    /// The score before the first point.
    #[error(transparent)]
    ScoreNow(#[from] ScoreNowError),
    /// The score at the end of the match.
    #[error("at the end of the match: {0}")]
    FinalScore(TypedMarkError),
    /// A key card from a file, and no file.
    #[error("choose the file of the key card first")]
    NoCard,
    /// Patterns, and no file for them.
    #[error("there is no file")]
    NoFile,
    /// One of the user's own files.
    #[error(transparent)]
    OwnFile(#[from] OwnFileError),
}

/// Why no reaction time is learned from the sound.
#[derive(Debug, Error)]
pub enum HearError {
    /// The sound cannot be listened to.
    #[error(transparent)]
    Video(#[from] VideoError),
    /// The stamps and the strikes tell nothing.
    #[error(transparent)]
    React(#[from] ReactError),
}
