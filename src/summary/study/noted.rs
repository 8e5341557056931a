//! A caution beside an answer, with the row that it was found at.

use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;

use crate::evidence::Caution;
use crate::record::printable;

/// What to keep in mind beside an answer.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Noted {
    /// What it is.
    #[serde(flatten)]
    pub caution: Caution,
    /// The row whose numbers it has: the one of the first line, else the one where it weighs most. May be empty.
    pub row: String,
}

impl fmt::Display for Noted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let of_row = matches!(
            self.caution,
            Caution::SmallSample { .. }
                | Caution::LandedOnly { .. }
                | Caution::ScoreEffect { apart: Some(_) }
        );
        match self.row.as_str() {
            row if of_row && !row.is_empty() => write!(f, "{} (row: {})", self.caution, printable(row, 60)),
            _ => self.caution.fmt(f),
        }
    }
}
