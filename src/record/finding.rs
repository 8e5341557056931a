//! One thing that looks wrong with a record, and what it is about.

use std::fmt;

use serde::{Serialize, Serializer};

use super::severity::Severity;

/// What a finding is about, in the order in which findings are reported. In JSON it is written as it is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// The match as a whole.
    Match,
    /// A file of footage, from 0.
    Footage(usize),
    /// A point, from 0.
    Point(usize),
    /// A lesson as a whole.
    Lesson,
    /// A take of a lesson's talk, from 0.
    Take(usize),
}

impl fmt::Display for Place {
    /// `match`, `footage 1`, `point 12`, `lesson`, `take 1`: counted from 1.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Match => f.write_str("match"),
            Self::Footage(n) => write!(f, "footage {}", n + 1),
            Self::Point(n) => write!(f, "point {}", n + 1),
            Self::Lesson => f.write_str("lesson"),
            Self::Take(n) => write!(f, "take {}", n + 1),
        }
    }
}

impl Serialize for Place {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

/// One thing that looks wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// What it is about.
    pub place: Place,
    /// What was found, and what to do.
    pub message: String,
    /// How bad it is.
    pub severity: Severity,
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}: {}", self.severity, self.place, self.message)
    }
}

impl Finding {
    /// The place of the point it is about, from 0; `None` when it is about the match or its footage.
    pub const fn point(&self) -> Option<usize> {
        if let Place::Point(n) = self.place { Some(n) } else { None }
    }
}
