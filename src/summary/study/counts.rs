//! What is counted in a table.

use schemars::JsonSchema;
use serde::Serialize;

use crate::facts::PointFacts;
use crate::pattern::Answer;
use crate::record::Finish;
use crate::tennis::Side;

/// What of a point counts for whoever is asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Counts {
    /// Winning it.
    Won,
    /// Ending it with a winner; an ace is not one, as in the match in numbers and in patterns.
    Winner,
    /// Ending it with an unforced error; a double fault is not one, as in the match in numbers and in patterns.
    #[serde(rename = "unforced error")]
    UnforcedError,
}

impl Counts {
    /// Each with its word.
    pub(super) const WORDS: [(&'static str, Self); 3] =
        [("won", Self::Won), ("winner", Self::Winner), ("unforced error", Self::UnforcedError)];

    /// Words of older question files.
    pub(super) const OLD: [(&'static str, Self); 1] = [("own error", Self::UnforcedError)];

    /// As the head of a column.
    pub const fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }

    /// Whether it counts for this side.
    pub(super) fn answer(self, f: &PointFacts, side: Option<Side>) -> Answer {
        let by_them = || f.finish_by.zip(side).map(|(a, b)| a == b).into();
        let ended = |way| Answer::from(f.ended(way)).and(by_them());
        match self {
            Self::Won => f.winner.zip(side).map(|(a, b)| a == b).into(),
            Self::Winner => ended(Finish::Winner),
            Self::UnforcedError => ended(Finish::UnforcedError),
        }
    }
}
