//! The logging state machine: an action at a moment becomes one edit.
//!
//! Whether a point is open, which shot comes next and whose it is follow from the record, so that a record opened again
//! goes on exactly where it was left. The [`Logger`] holds only which point and which shot corrections go to, the plan
//! of a point that has not begun, and what the coach has set.

use std::time::Duration;

use super::action::Action;
use super::error::LogError;
use super::react::Pair;
use super::scored::Scored;
use crate::record::{Edit, Logged, Point, Record};
use crate::tennis::Side;
use crate::time::MatchTime;

/// The presentation times of the footage's frames, for moving a stamp by one frame.
pub trait FrameClock {
    /// The first frame after `t`.
    fn after(&self, t: MatchTime) -> Option<MatchTime>;
    /// The last frame before `t`.
    fn before(&self, t: MatchTime) -> Option<MatchTime>;
}

/// When a key was pressed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// The frame shown, or the match clock.
    pub shown: MatchTime,
    /// How fast the footage was playing, 1 as it was filmed; none while it stood still.
    pub speed: Option<f64>,
}

impl From<MatchTime> for Moment {
    /// A frame that stands still.
    fn from(shown: MatchTime) -> Self {
        Self { shown, speed: None }
    }
}

/// The result of an action. Nothing is changed yet: apply the edit, if there is one; if that succeeds, continue with `after`.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The edit; `None` if only the logger changes.
    pub edit: Option<Edit>,
    /// The logger once it is applied.
    pub after: Logger,
}

/// What plain keys mean: a pad key for its shot, and an error key for the shot that it is about.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Plain {
    /// The wing is the forehand.
    pub forehand: bool,
    /// The stroke is a groundstroke.
    pub groundstroke: bool,
    /// Missed shots are logged like all others: an error key is about the last shot, whose cell is its aim, and the row of a
    /// fault says whether it went into the net or long.
    pub misses: bool,
}

/// The tag put on last, and whether the keys of the winners say whose it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct LastTag {
    pub(super) tag: String,
    pub(super) asks: bool,
}

/// Turns actions at moments into edits.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Logger {
    pub(super) current: Option<usize>,
    /// The shot of the current point that is chosen for correction, from 0. If none is chosen, keys go to the last shot.
    pub(super) ball: Option<usize>,
    /// The plan of the point that comes next.
    pub(super) plan: String,
    /// The tag of the current point that was put on last.
    pub(super) tag: Option<LastTag>,
    pub(super) plain: Plain,
    pub(super) reaction: Duration,
    /// The start stamped last while the footage played, as long as its point is current.
    pub(super) stamped: Option<Pair>,
    /// Such starts, and where the coach put them.
    pub(super) pairs: Vec<Pair>,
}

impl Logger {
    /// A logger for a record: an open point is current, else the last point.
    pub fn resume(record: &Record) -> Self {
        let current = open_point(record).or_else(|| record.points.len().checked_sub(1));
        Self { current, ..Self::default() }
    }

    /// The point that tags, winners and corrections go to.
    pub const fn current(&self) -> Option<usize> {
        self.current
    }

    /// Makes a point current, or none. No shot of it is chosen.
    pub fn choose(&mut self, point: Option<usize>) {
        if self.current != point {
            self.stamped = None;
        }
        self.current = point;
        self.ball = None;
        self.tag = None;
    }

    /// Starts that were stamped while the footage played, and where the coach moved them later: the reaction time is learned
    /// from them.
    pub fn pairs(&self) -> &[Pair] {
        &self.pairs
    }

    /// The shot that is chosen for correction, from 0; `None` while keys go to the last shot.
    pub const fn chosen_ball(&self) -> Option<usize> {
        self.ball
    }

    /// The plan of the point that comes next; empty when there is none.
    pub fn next_plan(&self) -> &str {
        &self.plan
    }

    /// What a plain pad key means, in addition to where the shot landed.
    pub const fn plain(&self) -> Plain {
        self.plain
    }

    /// Sets it.
    pub const fn set_plain(&mut self, plain: Plain) {
        self.plain = plain;
    }

    /// The time that is subtracted from stamps made while the footage plays.
    pub const fn reaction(&self) -> Duration {
        self.reaction
    }

    /// Sets it.
    pub const fn set_reaction(&mut self, reaction: Duration) {
        self.reaction = reaction;
    }

    /// The frame that a key is about: the frame shown or, while the footage plays, the frame shown one reaction time before.
    pub fn struck(&self, moment: Moment, frames: &dyn FrameClock) -> MatchTime {
        let speed = moment.speed.filter(|s| s.is_finite() && *s > 0.0).unwrap_or(0.0).min(16.0);
        let back = self.reaction.mul_f64(speed);
        if back.is_zero() {
            return moment.shown;
        }
        let just_after = moment.shown.earlier(back).later(Duration::from_nanos(1));
        frames
            .before(just_after)
            .or_else(|| frames.after(MatchTime::ZERO))
            .unwrap_or(moment.shown)
            .min(moment.shown)
    }

    /// The result of an action. Nothing changes here: see [`Step`].
    ///
    /// # Errors
    /// [`LogError`] in words for the coach; the record stays as it is.
    pub fn act(
        &self,
        action: Action,
        moment: impl Into<Moment>,
        frames: &dyn FrameClock,
        record: &Scored<'_>,
    ) -> Result<Step, LogError> {
        let moment = moment.into();
        if let (Action::WinnerA | Action::WinnerB, Some(_)) = (action, self.asks_whose()) {
            let side = if action == Action::WinnerA { Side::A } else { Side::B };
            return self.calm().tag_of(side, record);
        }
        let mut step = self.calm().act_at(action, self.struck(moment, frames), frames, record)?;
        step.after.compare(action, moment, step.edit.as_ref());
        Ok(step)
    }

    /// Remembers a start that was stamped while the footage played, with the place to which it was moved.
    fn compare(&mut self, action: Action, moment: Moment, edit: Option<&Edit>) {
        match (action, moment.speed, edit) {
            (Action::PointStart, Some(speed), Some(_)) => {
                self.stamped = Some(Pair { stamp: moment.shown, strike: moment.shown, speed });
            }
            (
                Action::StartHere | Action::StartFrameEarlier | Action::StartFrameLater,
                None,
                Some(Edit::SetPoint { point, .. }),
            ) => {
                let Some((pair, strike)) = self.stamped.zip(point.start) else { return };
                self.pairs.retain(|p| p.stamp != pair.stamp);
                self.pairs.push(Pair { strike, ..pair });
            }
            _ => {}
        }
    }

    fn act_at(
        &self,
        action: Action,
        at: MatchTime,
        frames: &dyn FrameClock,
        record: &Scored<'_>,
    ) -> Result<Step, LogError> {
        // A point that is logged on one frame lasts until the next.
        let begun =
            self.current.and_then(|i| record.points.get(i)).filter(|p| is_open(p) && p.start == Some(at));
        let over = begun.and_then(|_| frames.after(at)).unwrap_or(at);
        match action {
            Action::PointStart => self.start(at, record, Point::default()),
            Action::PointEnd => self.end(over, record),
            Action::WinnerA => self.winner(Side::A, over, record),
            Action::WinnerB => self.winner(Side::B, over, record),
            Action::StartHere => self.restamp(Stamp::Start, record, |_| Some(at)),
            Action::EndHere => self.restamp(Stamp::End, record, |_| Some(at)),
            Action::StartFrameEarlier => self.nudge(Stamp::Start, record, |t| frames.before(t)),
            Action::StartFrameLater => self.nudge(Stamp::Start, record, |t| frames.after(t)),
            Action::EndFrameEarlier => self.nudge(Stamp::End, record, |t| frames.before(t)),
            Action::EndFrameLater => self.nudge(Stamp::End, record, |t| frames.after(t)),
            Action::DeletePoint => self.delete(record),
            Action::PenaltyA => self.penalty(Side::A, at, frames.after(at), record),
            Action::PenaltyB => self.penalty(Side::B, at, frames.after(at), record),
            Action::JoinedLate
            | Action::FirstBy
            | Action::LeftEarly
            | Action::ServedBy
            | Action::ServedEnd
            | Action::ServedCourt
            | Action::SameSource
            | Action::TagOfA
            | Action::TagOfB => self.seen_key(action, at, over, record),
            ball => self.ball_key(ball, at, over, record),
        }
    }

    /// Sets the plan of the open point or, if none is open, of the next point. An empty text removes it.
    ///
    /// # Errors
    /// None that is known; the same as of [`Logger::act`].
    pub fn plan(&self, plan: &str, record: &Record) -> Result<Step, LogError> {
        match open_point(record) {
            Some(open) => Self { current: Some(open), ..self.clone() }.with_current(record, |point, _| {
                plan.trim().clone_into(&mut point.plan);
                Ok(())
            }),
            None => Ok(Step { edit: None, after: Self { plan: plan.trim().to_owned(), ..self.clone() } }),
        }
    }

    /// Writes the note of the current point.
    ///
    /// # Errors
    /// [`LogError::NoPoint`].
    pub fn note(&self, note: &str, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, _| {
            note.trim().clone_into(&mut point.note);
            Ok(())
        })
    }

    pub(super) fn with_current(
        &self,
        record: &Record,
        change: impl FnOnce(&mut Point, usize) -> Result<(), LogError>,
    ) -> Result<Step, LogError> {
        let at = self.current.filter(|i| *i < record.points.len()).ok_or(LogError::NoPoint)?;
        let mut point = record.points[at].clone();
        change(&mut point, at)?;
        let edit = (point != record.points[at]).then_some(Edit::SetPoint { at, point });
        Ok(Step { edit, after: self.clone() })
    }

    fn end(&self, shown: MatchTime, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, at| {
            if point.end.is_some() {
                return Err(LogError::Ended { number: at + 1 });
            }
            stamp(point, at, Stamp::End, shown, record)
        })
    }

    /// Names the winner; ends the point here if it is still open. If the shots have no finish, or if they would make the other
    /// side win, they are taken as only the first shots of the point.
    fn winner(&self, side: Side, at: MatchTime, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, i| {
            let ends = is_open(point);
            if ends {
                stamp(point, i, Stamp::End, at, record)?;
            }
            let same = point.winner == Some(side);
            if same && !ends && point.logged != Some(Logged::Every) {
                point.winner = None;
                return Ok(());
            }
            let rally = !point.shots.is_empty();
            // Shots of which nobody could tell who won contradict no winner.
            let against = point.logged == Some(Logged::Every) && point.winner.is_some() && !same;
            if rally && (point.logged.is_none() || against) {
                point.logged = Some(Logged::Opening);
            }
            point.winner = Some(side);
            Ok(())
        })
    }

    fn restamp(
        &self,
        which: Stamp,
        record: &Record,
        to: impl FnOnce(MatchTime) -> Option<MatchTime>,
    ) -> Result<Step, LogError> {
        self.with_current(record, |point, at| {
            let old = which.of(point).unwrap_or_default();
            stamp(point, at, which, to(old).ok_or(LogError::NoFrame)?, record)
        })
    }

    fn nudge(
        &self,
        which: Stamp,
        record: &Record,
        to: impl FnOnce(MatchTime) -> Option<MatchTime>,
    ) -> Result<Step, LogError> {
        let at = self.current.filter(|i| *i < record.points.len()).ok_or(LogError::NoPoint)?;
        which.of(&record.points[at]).ok_or(LogError::NoStamp { number: at + 1 })?;
        self.restamp(which, record, to)
    }

    pub(super) fn delete(&self, record: &Record) -> Result<Step, LogError> {
        let at = self.current.filter(|i| *i < record.points.len()).ok_or(LogError::NoPoint)?;
        let left = record.points.len() - 1;
        let mut after = self.clone();
        after.choose(left.checked_sub(1).map(|last| at.min(last)));
        Ok(Step { edit: Some(Edit::RemovePoint { at }), after })
    }

    /// Starts a point with what was already seen of it.
    pub(super) fn start(&self, shown: MatchTime, record: &Record, seen: Point) -> Result<Step, LogError> {
        if let Some(open) = open_point(record) {
            let at = record.points[open].start.unwrap_or_default();
            return Err(LogError::StillOpen { number: open + 1, at });
        }
        if let Some(inside) = covering(record, shown, None) {
            return Err(LogError::Covered { number: inside + 1, at: shown });
        }
        let at = place_of(record, shown);
        let faults = if seen.joined_late { None } else { seen.faults.or(Some(0)) };
        let point = Point { start: Some(shown), faults, plan: self.plan.clone(), ..seen };
        let mut after = Self { plan: String::new(), ..self.clone() };
        after.choose(Some(at));
        Ok(Step { edit: Some(Edit::InsertPoint { at, point }), after })
    }
}

/// The place that a point starting at `shown` takes.
pub(super) fn place_of(record: &Record, shown: MatchTime) -> usize {
    record.points.iter().rposition(|p| p.start.is_none_or(|s| s < shown)).map_or(0, |i| i + 1)
}

#[derive(Clone, Copy)]
pub(super) enum Stamp {
    Start,
    End,
}

impl Stamp {
    const fn of(self, point: &Point) -> Option<MatchTime> {
        match self {
            Self::Start => point.start,
            Self::End => point.end,
        }
    }
}

/// The last stamped point, if it has a start and no end.
pub fn open_point(record: &Record) -> Option<usize> {
    record.points.iter().rposition(is_open)
}

/// Whether a point has begun and not ended.
pub(super) const fn is_open(point: &Point) -> bool {
    point.start.is_some() && point.end.is_none()
}

/// Removes the times of shots that are outside the point after a stamp was moved. A serve that was at the start moves with the
/// start.
fn within(point: &mut Point, old_start: Option<MatchTime>) {
    let (start, end) = (point.start, point.end);
    for (n, shot) in point.shots.iter_mut().enumerate() {
        if n == 0 && shot.at == old_start && old_start.is_some() {
            shot.at = start;
        }
        shot.at = shot.at.filter(|t| start.is_none_or(|s| s <= *t) && end.is_none_or(|e| *t <= e));
    }
}

/// The point other than `but` whose span holds the moment.
fn covering(record: &Record, t: MatchTime, but: Option<usize>) -> Option<usize> {
    record.points.iter().enumerate().position(|(i, p)| {
        Some(i) != but && p.start.zip(p.end).is_some_and(|(start, end)| start <= t && t < end)
    })
}

pub(super) fn stamp(
    point: &mut Point,
    at: usize,
    which: Stamp,
    t: MatchTime,
    record: &Record,
) -> Result<(), LogError> {
    let old_start = point.start;
    match which {
        Stamp::Start => point.start = Some(t),
        Stamp::End => point.end = Some(t),
    }
    within(point, old_start);
    if let Some((start, end)) = point.start.zip(point.end)
        && end <= start
    {
        return Err(match which {
            Stamp::Start => LogError::AfterEnd { at: t, end },
            Stamp::End => LogError::BeforeStart { at: t, start },
        });
    }
    let first = point.start.or(point.end).unwrap_or_default();
    let last = point.end.or(point.start).unwrap_or_default();
    let crossed = record.points.iter().enumerate().position(|(i, other)| {
        let Some(start) = other.start.filter(|_| i != at) else { return false };
        let end = other.end.unwrap_or(start);
        if i < at { first < end || first <= start } else { last > start || first >= start }
    });
    match crossed {
        Some(i) => Err(LogError::Crosses { number: i + 1, at: t }),
        None => Ok(()),
    }
}

#[cfg(test)]
#[path = "log_tests.rs"]
mod tests;
