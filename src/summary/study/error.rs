//! What can be wrong with a question file.

use thiserror::Error;

use crate::near::Hint;
use crate::pattern::{At, PatternError};

/// What is wrong with a question file, or with the name of a question.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum StudyError {
    /// Not TOML, or not the form of a question file.
    #[error("{at}: {found}")]
    Form {
        /// Where.
        at: At,
        /// What was found, and what is allowed.
        found: Box<str>,
    },
    /// A word that is not one of those allowed there.
    #[error("{at}: \"{key}\" cannot be \"{found}\"; allowed: {allowed}{hint}")]
    Word {
        /// Where.
        at: At,
        /// The key.
        key: &'static str,
        /// The word as found.
        found: Box<str>,
        /// The words allowed.
        allowed: Box<str>,
        /// The nearest of them.
        hint: Hint,
    },
    /// A pattern that the pattern file does not have.
    #[error("{at}: {error}")]
    Pattern {
        /// Where.
        at: At,
        /// What the pattern file says.
        error: PatternError,
    },
    /// A question that asks nothing, or one of a name that is taken.
    #[error("{at}: question \"{name}\" {what}")]
    Question {
        /// Where.
        at: At,
        /// Its name.
        name: Box<str>,
        /// What is wrong with it.
        what: &'static str,
    },
    /// No question of this name.
    #[error("there is no question \"{found}\"; allowed: {allowed}{hint}")]
    NoQuestion {
        /// The name asked for.
        found: Box<str>,
        /// The names that there are.
        allowed: Box<str>,
        /// The nearest of them.
        hint: Hint,
    },
}
