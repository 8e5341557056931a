//! The court, the rules of the match and the score. Pure: no files, no clock, no window.
//!
//! [`rules::Rules`] holds the format of a match as data. [`replay::replay`] goes through the winners of the points and gives one
//! [`score::PointState`] for each point: who serves, to which court, from which end, and the score as called. The score is never
//! stored. It is computed from the winners each time, so one corrected point corrects everything after it.

pub mod count;
pub mod court;
pub mod mark;
pub mod odds;
pub mod pair;
pub mod possible;
pub mod presets;
pub mod replay;
pub mod rules;
pub mod score;
pub mod scorer;
pub mod setup;
pub mod stroke;
pub mod typed;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One side of the match: the first- or the second-named player (or pair).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The first-named.
    A,
    /// The second-named.
    B,
}

impl Side {
    /// The opponent.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::A => Self::B,
            Self::B => Self::A,
        }
    }

    /// 0 for A, 1 for B: for tables of two.
    pub const fn index(self) -> usize {
        self as usize
    }
}

/// An end of the court, as the camera sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum End {
    /// The end nearer the camera.
    Near,
    /// The end across the net from it.
    Far,
}

impl End {
    /// The opposite end.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Near => Self::Far,
            Self::Far => Self::Near,
        }
    }
}

/// The half of the court a point is served from and to, as the receiver names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum CourtSide {
    /// The right-hand court: the first point of each game.
    Deuce,
    /// The left-hand court.
    Ad,
}

impl CourtSide {
    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Deuce => "deuce court",
            Self::Ad => "ad court",
        }
    }

    /// The same at the head of a line, as a choice.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Deuce => "Deuce court",
            Self::Ad => "Ad court",
        }
    }
}
