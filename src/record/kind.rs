//! What the footage of a record shows.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the footage of a record shows. It can be changed at any time: nothing that was logged depends on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A match from its first point on.
    #[default]
    Match,
    /// A match from some later point on: the score is not known until a score mark says it.
    Part,
    /// Practice without a score.
    Practice,
    /// Points of many matches: each names its own players, and there is no score across them.
    Points,
}

impl Kind {
    /// Every one, in the order in which they are offered.
    pub const ALL: [Self; 4] = [Self::Match, Self::Part, Self::Practice, Self::Points];

    /// For serde: a whole match is not written.
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands over a reference")]
    pub(super) const fn is_match(&self) -> bool {
        matches!(self, Self::Match)
    }

    /// In words: `a whole match`.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Match => "a whole match",
            Self::Part => "part of a match",
            Self::Practice => "practice, no score",
            Self::Points => "points of many matches",
        }
    }

    /// What it means for whoever logs it: one sentence.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Match => "The first point in the footage is the first point of the match.",
            Self::Part => "The footage begins later. The score counts from where you say it.",
            Self::Practice => "Rallies and points are logged, and no score is counted.",
            Self::Points => "Each point names its own players. No score is counted across them.",
        }
    }
}
