//! The points of a question by where a shot landed.

use super::by::{Value, landed, last, shot, tried};
use super::findings::{CourtCell, CourtMap, Place};
use crate::facts::{PointFacts, PointRef, ShotFacts};
use crate::pattern::Answer;
use crate::summary::Tally;
use crate::tennis::CourtSide;
use crate::tennis::stroke::{Column, Depth, ServeTo};

/// A court picture: which shot's landing it shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MapOf {
    /// The serve in play, in the boxes.
    Serve,
    /// Every first serve, in or out, in the boxes.
    FirstServe,
    /// The return.
    Return,
    /// The serve plus one.
    PlusOne,
    /// The last shot.
    LastBall,
}

const COURTS: [CourtSide; 2] = [CourtSide::Deuce, CourtSide::Ad];

impl MapOf {
    /// Each with its words, as in a question file and over the picture.
    pub(super) const WORDS: [(&'static str, Self); 5] = [
        ("serve in play", Self::Serve),
        ("first serve, in or out", Self::FirstServe),
        ("return", Self::Return),
        ("serve plus one", Self::PlusOne),
        ("last shot", Self::LastBall),
    ];

    /// Words of older question files.
    pub(super) const OLD: [(&'static str, Self); 1] = [("last ball", Self::LastBall)];

    /// What the points in no cell did not have.
    const fn outside_words(self) -> &'static str {
        match self {
            Self::Serve | Self::FirstServe => "no serve in play",
            Self::Return => "no return in play",
            Self::PlusOne => "no shot 3 in play",
            Self::LastBall => "last shot missed, or only a serve",
        }
    }

    /// Missed shots did not land: what the picture leaves out.
    const fn note(self) -> &'static str {
        match self {
            Self::Serve | Self::FirstServe => "",
            Self::Return => "only returns that landed are shown; those that missed are not",
            Self::PlusOne => "only shots that landed are shown; those that missed are not",
            Self::LastBall => "only shots that landed are shown: winners are here, errors are not",
        }
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }

    /// Its cells, empty.
    pub(super) fn empty(self) -> CourtMap {
        let cell = |at: Place, name| CourtCell { at, name, tally: Tally::default() };
        let cells = match self {
            Self::Serve | Self::FirstServe => COURTS
                .iter()
                .flat_map(|court| ServeTo::WORDS.map(|(_, to)| (*court, to)))
                .map(|(court, to)| {
                    cell(Place::Box { court, to }, format!("{}, {}", court.words(), to.words()))
                })
                .collect(),
            Self::Return | Self::PlusOne | Self::LastBall => Depth::WORDS
                .iter()
                .flat_map(|(_, depth)| Column::ALL.map(|column| (*depth, column)))
                .map(|(depth, column)| {
                    let name = format!("{}, {}", depth.words(), column_word(column));
                    cell(Place::Half { column, depth }, name)
                })
                .collect(),
        };
        CourtMap {
            ball: self.words().into(),
            cells,
            cannot_tell: Vec::new(),
            outside: Vec::new(),
            outside_means: self.outside_words().into(),
            note: self.note().into(),
        }
    }

    /// Puts a point where it belongs.
    pub(super) fn take(self, map: &mut CourtMap, at: PointRef, f: &PointFacts, won: Answer) {
        match self.cell(f) {
            Value::Is(n) => {
                if let Some(cell) = map.cells.get_mut(n) {
                    cell.tally.add(at, won);
                }
            }
            Value::Outside => map.outside.push(at),
            Value::Unknown => map.cannot_tell.push(at),
        }
    }

    fn cell(self, f: &PointFacts) -> Value {
        match self {
            Self::Serve => match f.court {
                Some(court) => shot(f, 0, |s| s.serve_to.map(|to| court as usize * 3 + to as usize)),
                None => Value::Unknown,
            },
            Self::FirstServe => match f.court {
                Some(court) => match tried(f, 1, court) {
                    Value::Is(to) => Value::Is(court as usize * 3 + to),
                    other => other,
                },
                None => Value::Unknown,
            },
            Self::Return => landed(f, 1, ninth),
            Self::PlusOne => landed(f, 2, ninth),
            Self::LastBall => last(f).map_or_else(|v| v, |n| landed(f, n, ninth)),
        }
    }
}

fn ninth(s: &ShotFacts) -> Option<usize> {
    Some(s.depth? as usize * 3 + s.column? as usize)
}

/// A third of the width, as the striker sees it.
const fn column_word(column: Column) -> &'static str {
    match column {
        Column::Left => "left",
        Column::Middle => "middle",
        Column::Right => "right",
    }
}
