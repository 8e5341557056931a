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
    /// Ending it with an error, forced or not; a double fault is not one.
    #[serde(rename = "error")]
    Error,
}

impl Counts {
    /// Each with its word.
    pub(super) const WORDS: [(&'static str, Self); 4] = [
        ("won", Self::Won),
        ("winner", Self::Winner),
        ("unforced error", Self::UnforcedError),
        ("error", Self::Error),
    ];

    /// Words of older question files.
    pub(super) const OLD: [(&'static str, Self); 1] = [("own error", Self::UnforcedError)];

    /// As the head of a column.
    pub const fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }

    /// Whether it counts for this side.
    pub(super) fn answer(self, f: &PointFacts, side: Option<Side>) -> Answer {
        match self {
            Self::Won => f.winner.zip(side).map(|(a, b)| a == b).into(),
            Self::Winner => ended(&[Finish::Winner], f, side),
            Self::UnforcedError => ended(&[Finish::UnforcedError], f, side),
            Self::Error => ended(&[Finish::ForcedError, Finish::UnforcedError], f, side),
        }
    }
}

/// Whether the side ended it so. Where nobody noted how it ended, the shots may still rule out a way; those points are not counted
/// as others, since none of them can count: the rate of a way would then be lower, the fewer ends were noted. Likewise where it is not
/// known who made the last shot, or whose point it is.
fn ended(ways: &[Finish], f: &PointFacts, side: Option<Side>) -> Answer {
    let noted = f.finish.is_some() || f.unreturned_noted || f.penalty.is_some();
    let by = match f.finish {
        Some(Finish::Ace | Finish::DoubleFault) => return side.map(|_| false).into(),
        Some(_) => f.finish_by,
        None => f.finish_by.or(f.server.map(Side::other).filter(|_| f.unreturned_noted)),
    };
    match (side, by) {
        (Some(side), Some(by)) if noted => {
            Answer::any(ways.iter().map(|way| Answer::from(f.ended(*way)))).and((by == side).into())
        }
        (Some(_), None) if f.penalty.is_some() => Answer::No,
        _ => Answer::Unknown,
    }
}
