//! One phrase of a search, and what it means.

use std::cmp::Ordering;
use std::fmt;
use std::ops::Range;

use super::dates::Dates;
use crate::near::Hint;
use crate::pattern::{Condition, Pattern, ShotTest};
use crate::record::{Finish, Hand, printable};
use crate::tennis::stroke::Miss;

/// Who strikes, wins, serves or stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Subject {
    /// Any player with one of these names.
    Players(Vec<String>),
    /// Whoever serves the point.
    Server,
    /// Whoever receives it.
    Receiver,
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Players(names) => {
                let names: Vec<String> = names.iter().map(|n| printable(n, 60)).collect();
                f.write_str(&names.join(" or "))
            }
            Self::Server => f.write_str("the server"),
            Self::Receiver => f.write_str("the receiver"),
        }
    }
}

/// What a phrase means by itself. Who it is about follows from the chips before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meaning {
    /// Somebody.
    Subject(Subject),
    /// The next name is the opponent's.
    Against,
    /// Something of a shot.
    Shot(Vec<ShotTest>),
    /// The next shot comes at most so many shots after the one before: 1 is the next.
    Then(usize),
    /// The shot is the last of the point.
    Last,
    /// Something of the point, whoever is asked about.
    Point(Condition),
    /// How the point ended: any of these.
    Finish(Vec<Finish>),
    /// Where the last shot missed.
    Miss(Miss),
    /// The point was won, or lost.
    Won(bool),
    /// The score of the game: behind, level, ahead.
    Standing(Ordering),
    /// Serves, or receives.
    Serves(bool),
    /// The hand.
    Hand(Hand),
    /// The point has one of the tags.
    Tag(Vec<String>),
    /// The point shows the pattern.
    Pattern(Box<Pattern>),
    /// The match was played on one of these surfaces.
    Surface(Vec<String>),
    /// The match was played at one of these venues.
    Venue(Vec<String>),
    /// The match was played then.
    Dates(Dates),
    /// A text of the point's note.
    Note(String),
    /// The next chip must not hold.
    Not,
    /// Either the chip before it or the one after it.
    Or,
    /// The next name is of whoever did what stands before it.
    By,
    /// The end of a part.
    Comma,
    /// A word that changes nothing.
    Filler,
    /// Nothing that is known; the nearest phrase.
    Unknown(Hint),
}

/// A phrase of what was typed, and how it was understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chip {
    /// Where it stands in what was typed, in bytes.
    pub place: Range<usize>,
    /// The phrase as the screens write it; of an unknown one as it was typed.
    pub words: String,
    /// What it means.
    pub meaning: Meaning,
}

impl Chip {
    /// Whether it was understood.
    pub const fn is_known(&self) -> bool {
        !matches!(self.meaning, Meaning::Unknown(_))
    }

    /// Whether it asks for something, so that it is shown.
    pub const fn is_shown(&self) -> bool {
        !matches!(self.meaning, Meaning::Filler | Meaning::Comma)
    }
}

impl Meaning {
    /// Either of two of one kind; nothing where they are not of one kind.
    pub(super) fn or(self, other: Self) -> Option<Self> {
        Some(match (self, other) {
            (Self::Shot(a), Self::Shot(b)) => {
                Self::Shot(vec![ShotTest::Any(vec![ShotTest::All(a), ShotTest::All(b)])])
            }
            (Self::Point(a), Self::Point(b)) => Self::Point(Condition::Any(vec![a, b])),
            (Self::Subject(Subject::Players(a)), Self::Subject(Subject::Players(b))) => {
                Self::Subject(Subject::Players([a, b].concat()))
            }
            (Self::Finish(a), Self::Finish(b)) => Self::Finish([a, b].concat()),
            (Self::Tag(a), Self::Tag(b)) => Self::Tag([a, b].concat()),
            (Self::Surface(a), Self::Surface(b)) => Self::Surface([a, b].concat()),
            (Self::Venue(a), Self::Venue(b)) => Self::Venue([a, b].concat()),
            _ => return None,
        })
    }
}
