//! Edits: every change of a record is a value with an inverse.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::court_marks::CourtMarks;
use super::limits::{self, MOST_POINTS, TooMuch};
use super::model::{Footage, MatchInfo, Player, Point, Record};
use super::unsound::{Unfit, Unsound};
use crate::drawing::Drawing;
use crate::tennis::mark::Mark;
use crate::tennis::rules::RulesError;
use crate::time::MatchTime;

/// One change of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Edit {
    /// Puts a point in before the point now at `at` (or last).
    InsertPoint {
        /// Its place, from 0.
        at: usize,
        /// The point.
        point: Point,
    },
    /// Takes a point out.
    RemovePoint {
        /// Its place, from 0.
        at: usize,
    },
    /// Puts a point in another's stead: a new stamp, winner, tag or note.
    SetPoint {
        /// Its place, from 0.
        at: usize,
        /// The point as it shall be.
        point: Point,
    },
    /// Who played, when, under which rules.
    SetMatch(Box<MatchInfo>),
    /// The media files.
    SetFootage(Vec<Footage>),
    /// Who plays in points of many matches.
    SetPeople(Vec<Player>),
    /// The marks of the court in all pictures.
    SetCalibrations(Vec<CourtMarks>),
    /// All that was drawn.
    SetDrawings(Vec<Drawing>),
    /// The score after the last point, or none.
    SetClosingScore(Option<Mark>),
    /// The media files, and all that was logged moved on the match clock: see [`super::align`].
    AlignFootage {
        /// The files as they shall be.
        footage: Vec<Footage>,
        /// How much later everything is.
        later: MatchTime,
        /// How much earlier.
        earlier: MatchTime,
    },
    /// Several edits, one after another, that are taken back together. They must not be none.
    Together(Vec<Edit>),
}

/// What an edit changed, for whoever shows the record.
#[must_use = "the window must show what changed"]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// The point at this place is new, and the later ones moved up by one.
    Inserted(usize),
    /// The point that was at this place is gone.
    Removed(usize),
    /// The point at this place changed; the score after it may have.
    Point(usize),
    /// Names, rules or who served first: everything derived may have changed.
    Match,
    /// The footage.
    Footage,
    /// The marks of the court: every place that was measured by them may have changed.
    Calibrations,
    /// The drawings.
    Drawings,
    /// The score after the last point.
    ClosingScore,
    /// The footage and, on the match clock, the time of every point.
    Clock,
    /// Several things.
    Several,
}

/// Why an edit cannot be applied.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum EditError {
    /// There is no such point.
    #[error("there is no point {} in this record: it has {len}", at.saturating_add(1))]
    NoPoint {
        /// The place asked for, from 0.
        at: usize,
        /// How many points there are.
        len: usize,
    },
    /// A point that ends before it starts.
    #[error("a point cannot end at {end}, before its start at {start}")]
    Backwards {
        /// Its start.
        start: crate::time::MatchTime,
        /// Its end.
        end: crate::time::MatchTime,
    },
    /// More faults than a point has serves.
    #[error("a point has at most 2 faults, not {found}")]
    Faults {
        /// The number found.
        found: u8,
    },
    /// Rules that make no match.
    #[error(transparent)]
    Rules(#[from] RulesError),
    /// An order of serve for a set that cannot be played.
    #[error("an order of serve for {found} sets does not fit a match of at most {most} sets")]
    Orders {
        /// Entries found.
        found: usize,
        /// Sets that can be played.
        most: usize,
    },
    /// A time that would leave the match clock.
    #[error("a time would be before 0 or after the end of the match clock; nothing is moved")]
    OffTheClock,
    /// More points than any match has.
    #[error("this record already has {MOST_POINTS} points, the most that a record can hold")]
    TooMany,
    /// More of something than any match has.
    #[error(transparent)]
    TooMuch(#[from] TooMuch),
    /// There is no such part.
    #[error("there is no part {} in this lesson: it has {len}", at.saturating_add(1))]
    NoPart {
        /// The place asked for, from 0.
        at: usize,
        /// How many parts there are.
        len: usize,
    },
    /// A value that does not fit the others.
    #[error(transparent)]
    Unfit(#[from] Unfit),
    /// More text than any point needs.
    #[error("one edit may hold at most 1 MiB of text, not {found} bytes")]
    TooLong {
        /// Its length in bytes.
        found: usize,
    },
}

impl From<Unsound> for EditError {
    fn from(why: Unsound) -> Self {
        match why {
            Unsound::TooMuch(e) => Self::TooMuch(e),
            Unsound::Rules(e) => Self::Rules(e),
            Unsound::Unfit(e) => Self::Unfit(e),
        }
    }
}

/// What an edit changed, and the edit that takes it back.
type Put = Result<(Change, Edit), EditError>;

impl Record {
    /// Applies one edit. Says what changed, and the edit that takes it back.
    ///
    /// # Errors
    /// [`EditError`]; the record is then unchanged.
    pub fn apply(&mut self, edit: Edit) -> Result<(Change, Edit), EditError> {
        match &edit {
            Edit::InsertPoint { point, .. } | Edit::SetPoint { point, .. } => check_point(point)?,
            Edit::SetMatch(about) => check_match(about)?,
            Edit::AlignFootage { later, earlier, .. } if !self.can_move(*later, *earlier) => {
                return Err(EditError::OffTheClock);
            }
            Edit::Together(_)
            | Edit::RemovePoint { .. }
            | Edit::SetFootage(_)
            | Edit::SetPeople(_)
            | Edit::SetCalibrations(_)
            | Edit::SetDrawings(_)
            | Edit::AlignFootage { .. }
            | Edit::SetClosingScore(_) => {}
        }
        match edit {
            Edit::Together(all) => self.put_all(all, Self::apply),
            edit => self.put(edit),
        }
    }

    /// Applies an edit that was applied before, or takes one back: only its place is checked. A record may have
    /// been read with a point that nobody could enter now (`check` reports it), and undo must bring back even that. How much
    /// it brings in is checked: a journal may hold more than can be read again.
    pub(super) fn put(&mut self, edit: Edit) -> Result<(Change, Edit), EditError> {
        check_size(&edit)?;
        let len = self.points.len();
        match edit {
            Edit::InsertPoint { at, .. } if at > len => Err(EditError::NoPoint { at, len }),
            Edit::InsertPoint { .. } if len >= MOST_POINTS => Err(EditError::TooMany),
            Edit::InsertPoint { at, point } => {
                self.points.insert(at, point);
                Ok((Change::Inserted(at), Edit::RemovePoint { at }))
            }
            Edit::RemovePoint { at } if at >= len => Err(EditError::NoPoint { at, len }),
            Edit::RemovePoint { at } => {
                let point = self.points.remove(at);
                Ok((Change::Removed(at), Edit::InsertPoint { at, point }))
            }
            Edit::SetPoint { at, point } => {
                let old = self.points.replace(at, point).ok_or(EditError::NoPoint { at, len })?;
                Ok((Change::Point(at), Edit::SetPoint { at, point: old }))
            }
            Edit::SetMatch(about) => {
                let old = std::mem::replace(&mut self.about, *about);
                Ok((Change::Match, Edit::SetMatch(Box::new(old))))
            }
            Edit::SetFootage(footage) => {
                let old = std::mem::replace(&mut self.footage, footage);
                Ok((Change::Footage, Edit::SetFootage(old)))
            }
            Edit::SetPeople(people) => Ok(self.put_people(people)),
            Edit::SetCalibrations(all) => Ok(self.put_calibrations(all)),
            Edit::SetDrawings(all) => Ok(self.put_drawings(all)),
            Edit::SetClosingScore(mark) => {
                let old = std::mem::replace(&mut self.closing_score, mark);
                Ok((Change::ClosingScore, Edit::SetClosingScore(old)))
            }
            Edit::AlignFootage { footage, later, earlier } => {
                let footage = std::mem::replace(&mut self.footage, footage);
                self.move_clock(later, earlier);
                Ok((Change::Clock, Edit::AlignFootage { footage, later: earlier, earlier: later }))
            }
            Edit::Together(all) => self.put_all(all, Self::put),
        }
    }

    fn put_people(&mut self, people: Vec<Player>) -> (Change, Edit) {
        (Change::Match, Edit::SetPeople(std::mem::replace(&mut self.people, people)))
    }

    fn put_calibrations(&mut self, all: Vec<CourtMarks>) -> (Change, Edit) {
        (Change::Calibrations, Edit::SetCalibrations(std::mem::replace(&mut self.calibrations, all)))
    }

    fn put_drawings(&mut self, all: Vec<Drawing>) -> (Change, Edit) {
        (Change::Drawings, Edit::SetDrawings(std::mem::replace(&mut self.drawings, all)))
    }

    /// All of them, each by `put`, or none. The copy shares all points that no edit changes.
    fn put_all(&mut self, all: Vec<Edit>, put: fn(&mut Self, Edit) -> Put) -> Put {
        let mut after = self.clone();
        let back = all.into_iter().map(|edit| Ok(put(&mut after, edit)?.1));
        let mut back = back.collect::<Result<Vec<_>, EditError>>()?;
        back.reverse();
        *self = after;
        Ok((Change::Several, Edit::Together(back)))
    }
}

/// Holds what an edit brings in to the limits.
fn check_size(edit: &Edit) -> Result<(), TooMuch> {
    match edit {
        Edit::InsertPoint { at, point } | Edit::SetPoint { at, point } => {
            limits::point(&format!("points[{at}]"), point)
        }
        Edit::SetMatch(about) => limits::about(about),
        Edit::SetPeople(people) => limits::people(people),
        Edit::SetCalibrations(all) => limits::calibrations(all),
        Edit::SetDrawings(all) => limits::drawings(all),
        Edit::SetFootage(footage) | Edit::AlignFootage { footage, .. } => limits::footage(footage),
        Edit::Together(all) => all.iter().try_for_each(check_size),
        Edit::RemovePoint { .. } | Edit::SetClosingScore(_) => Ok(()),
    }
}

fn check_match(about: &MatchInfo) -> Result<(), EditError> {
    about.rules.check()?;
    let (found, most) = (about.order.len(), usize::from(about.rules.best_of));
    if found > most { Err(EditError::Orders { found, most }) } else { Ok(()) }
}

fn check_point(point: &Point) -> Result<(), EditError> {
    if let (Some(start), Some(end)) = (point.start, point.end)
        && end <= start
    {
        return Err(EditError::Backwards { start, end });
    }
    match point.faults {
        Some(found) if found > 2 => Err(EditError::Faults { found }),
        _ => Ok(()),
    }
}
