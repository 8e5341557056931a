//! What is wrong with a document that could be read.

use thiserror::Error;

use super::limits::TooMuch;
use crate::tennis::rules::RulesError;

/// What is wrong with a document that could be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Unsound {
    /// More of something than any document has.
    #[error(transparent)]
    TooMuch(#[from] TooMuch),
    /// Rules that make no match.
    #[error(transparent)]
    Rules(#[from] RulesError),
    /// A value that does not fit the others.
    #[error(transparent)]
    Unfit(#[from] Unfit),
}

/// A value that does not fit the others.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{place}: found {found}; allowed: {allowed}")]
pub struct Unfit {
    /// Where, as `parts[3].clip.to`.
    pub place: String,
    /// What is there.
    pub found: String,
    /// What may be there.
    pub allowed: String,
}
