//! The court pad's keys: first where the shot landed, then what kind of shot it was. Each key becomes one edit of the
//! current point.
//!
//! A pad key appends a shot or, if a shot is chosen, says where that shot landed. With Shift it is a backhand, or a serve that
//! was a fault. All other keys describe the chosen shot, else the last one. A finish ends the point. An ace or a winner is the
//! last shot; an error is the next shot, which is appended unless the key says that the missed shot was logged already. The
//! winner follows because the players alternate.

use super::action::Action;
use super::error::LogError;
use super::log::{Logger, Plain, Step};
use super::log::{Stamp, is_open, stamp};
use super::said::Said;
pub(super) use super::said::other;
use super::scored::Scored;
use crate::record::{Finish, Logged, Point, Record, Shot};
use crate::tennis::Side;
use crate::tennis::stroke::{Cell, Column, Depth, Pace, Row, Spin, Stance, Stroke, Wing};
use crate::time::MatchTime;

/// A key of the pad: the cell, and whether it says that the shot was a backhand or a slice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PadKey {
    /// The third across, as the camera sees it.
    pub column: Column,
    /// The third along.
    pub row: Row,
    /// Struck with the backhand.
    pub backhand: bool,
    /// Struck as a slice.
    pub slice: bool,
}

/// The nine pad keys, from the far row to the near one and from left to right; the same for the backhand, for a slice, and for a
/// backhand slice.
pub const PAD: [[Action; 9]; 4] = [
    [
        Action::PadUpLeft,
        Action::PadUp,
        Action::PadUpRight,
        Action::PadLeft,
        Action::PadMiddle,
        Action::PadRight,
        Action::PadDownLeft,
        Action::PadDown,
        Action::PadDownRight,
    ],
    [
        Action::BackUpLeft,
        Action::BackUp,
        Action::BackUpRight,
        Action::BackLeft,
        Action::BackMiddle,
        Action::BackRight,
        Action::BackDownLeft,
        Action::BackDown,
        Action::BackDownRight,
    ],
    [
        Action::SliceUpLeft,
        Action::SliceUp,
        Action::SliceUpRight,
        Action::SliceLeft,
        Action::SliceMiddle,
        Action::SliceRight,
        Action::SliceDownLeft,
        Action::SliceDown,
        Action::SliceDownRight,
    ],
    [
        Action::BackSliceUpLeft,
        Action::BackSliceUp,
        Action::BackSliceUpRight,
        Action::BackSliceLeft,
        Action::BackSliceMiddle,
        Action::BackSliceRight,
        Action::BackSliceDownLeft,
        Action::BackSliceDown,
        Action::BackSliceDownRight,
    ],
];

impl PadKey {
    /// What a pad key says; `None` for other actions.
    pub fn of(action: Action) -> Option<Self> {
        let hand = PAD.iter().position(|keys| keys.contains(&action))?;
        let place = PAD[hand].iter().position(|a| *a == action)?;
        let (column, row) = (Column::ALL[place % 3], Row::ALL[place / 3]);
        Some(Self { column, row, backhand: hand % 2 == 1, slice: hand >= 2 })
    }

    /// The cell of shot `n`, from 0: a serve has a third of its box only.
    pub const fn cell(self, n: usize) -> Cell {
        Cell { column: self.column, row: if n == 0 { None } else { Some(self.row) } }
    }
}

impl Plain {
    /// What a plain key also says about a shot; a stroke that was logged stays.
    pub(super) fn say_of(self, shot: &mut Shot) {
        shot.wing = if self.forehand { Some(Wing::Forehand) } else { shot.wing };
        shot.stroke = shot.stroke.or(self.groundstroke.then_some(Stroke::Groundstroke));
    }
}

impl Logger {
    /// The action of a pad key, or of another key about shots, at `at`. A key that ends the point ends it at `over`.
    pub(super) fn ball_key(
        &self,
        action: Action,
        at: MatchTime,
        over: MatchTime,
        record: &Scored<'_>,
    ) -> Result<Step, LogError> {
        if let Some(key) = PadKey::of(action) {
            return self.pad(key, at, over, record);
        }
        match action {
            Action::UnknownBall => {
                self.ball_at(record, at, |shot, _| *shot = Shot { at: shot.at, ..Shot::default() }, false)
            }
            Action::DepthShort => self.depth(Depth::Short, at, record),
            Action::DepthMid => self.depth(Depth::Mid, at, record),
            Action::DepthDeep => self.depth(Depth::Deep, at, record),
            Action::BallBack => self.choose_ball(record, false),
            Action::BallForward => self.choose_ball(record, true),
            Action::BallOut => self.ball_out(record),
            Action::BallIn => self.ball_in(record),
            Action::PlainForehand => Ok(self.with_plain(|p| p.forehand = !p.forehand)),
            Action::PlainGroundstroke => Ok(self.with_plain(|p| p.groundstroke = !p.groundstroke)),
            Action::PlainMisses => Ok(self.with_plain(|p| p.misses = !p.misses)),
            Action::PaceSlow => self.pace(Pace::Slow, record),
            Action::PaceMedium => self.pace(Pace::Medium, record),
            Action::PaceFast => self.pace(Pace::Fast, record),
            Action::StanceCentre => self.stance(Stance::Centre, record),
            Action::StanceHalfway => self.stance(Stance::Halfway, record),
            Action::StanceWide => self.stance(Stance::Wide, record),
            other => match Said::of(other) {
                Some(said) => self.say(said, record),
                None => self.ending_key(other, over, record),
            },
        }
    }

    fn with_plain(&self, change: impl FnOnce(&mut Plain)) -> Step {
        let mut after = self.clone();
        change(&mut after.plain);
        Step { edit: None, after }
    }

    /// Where a shot landed. A serve is neither forehand nor backhand: the backhand key means that it was a fault.
    fn pad(
        &self,
        key: PadKey,
        at: MatchTime,
        over: MatchTime,
        record: &Scored<'_>,
    ) -> Result<Step, LogError> {
        let plain = self.plain;
        let spin = key.slice.then_some(Spin::Slice);
        let point = self.current.and_then(|i| record.points.get(i)).filter(|p| is_open(p));
        let serves = |p: &Point| p.shots.is_empty() && !p.joined_late;
        if key.backhand && self.chosen(record).is_none() && point.is_none_or(serves) {
            let fault = if plain.misses { self.fault_kind(key.row, at, record) } else { None };
            return self.serve_out(
                Shot { at: Some(at), cell: Some(key.cell(0)), spin, fault, ..Shot::default() },
                over,
                record,
            );
        }
        let land = |shot: &mut Shot, serve: bool| {
            shot.cell = Some(key.cell(usize::from(!serve)));
            (shot.depth, shot.aim) = (None, None);
            shot.spin = spin.or(shot.spin);
            if !serve {
                plain.say_of(shot);
                shot.wing = if key.backhand { Some(Wing::Backhand) } else { shot.wing };
            }
        };
        self.ball_at(record, at, land, true)
    }

    /// Changes the chosen shot, or appends one to the open point, or starts a point with its serve. `change` is told whether
    /// the shot is the serve.
    fn ball_at(
        &self,
        record: &Record,
        at: MatchTime,
        change: impl FnOnce(&mut Shot, bool),
        stamped: bool,
    ) -> Result<Step, LogError> {
        let stamp = stamped.then_some(at);
        let current = self.current.and_then(|i| record.points.get(i));
        if let (Some(n), Some(_)) = (self.chosen(record), current) {
            let step = self.with_current(record, |point, _| {
                let serve = point.is_serve(n);
                change(&mut point.shots[n], serve);
                settle(point);
                Ok(())
            })?;
            return Ok(Step { after: Self { ball: None, ..step.after }, ..step });
        }
        if !current.is_some_and(is_open) {
            let mut serve = Shot { at: stamp, ..Shot::default() };
            change(&mut serve, true);
            return self.start(at, record, Point { shots: vec![serve], ..Point::default() });
        }
        self.with_current(record, |point, i| {
            if point.logged == Some(Logged::Opening) {
                return Err(LogError::NotLogged { number: i + 1 });
            }
            let mut shot = Shot { at: stamp.filter(|t| fits(point, *t)), ..Shot::default() };
            change(&mut shot, point.is_serve(point.shots.len()));
            point.shots.push(shot);
            Ok(())
        })
    }

    /// How deep a shot landed, if its third of the court was not seen.
    fn depth(&self, depth: Depth, at: MatchTime, record: &Record) -> Result<Step, LogError> {
        let chosen = self.chosen(record);
        let point =
            self.current.and_then(|i| record.points.get(i)).filter(|p| chosen.is_some() || is_open(p));
        if point.is_none_or(|p| p.is_serve(chosen.unwrap_or(p.shots.len()))) {
            return Err(LogError::Serve { what: "depth" });
        }
        let plain = self.plain;
        let land = |shot: &mut Shot, _| {
            (shot.cell, shot.aim, shot.depth) = (None, None, Some(depth));
            plain.say_of(shot);
        };
        self.ball_at(record, at, land, true)
    }

    /// The chosen shot, if the current point has it.
    pub(super) fn chosen(&self, record: &Record) -> Option<usize> {
        let point = record.points.get(self.current?)?;
        self.ball.filter(|n| *n < point.shots.len())
    }

    /// The current point's place and the shot that keys go to.
    fn ball_of(&self, record: &Record) -> Result<(usize, usize), LogError> {
        let at = self.current.filter(|i| *i < record.points.len()).ok_or(LogError::NoPoint)?;
        let last = record.points[at].shots.len().checked_sub(1).ok_or(LogError::NoBall { number: at + 1 })?;
        Ok((at, self.chosen(record).unwrap_or(last)))
    }

    /// The first press chooses the last shot, which a pad key then changes; further presses go to the next shots.
    fn choose_ball(&self, record: &Record, forward: bool) -> Result<Step, LogError> {
        let (at, n) = self.ball_of(record)?;
        let ball = match (self.chosen(record), forward) {
            (None, false) => Some(n),
            (None, true) => None,
            (Some(n), false) => Some(n.checked_sub(1).ok_or(LogError::FirstBall)?),
            (Some(n), true) => Some(n + 1).filter(|n| *n < record.points[at].shots.len()),
        };
        Ok(Step { edit: None, after: Self { ball, ..self.clone() } })
    }

    /// Deletes a shot. A serve that was returned must have been struck, so it becomes a serve that was not seen. Before a
    /// serve is in play, the last fault is deleted. If the shot is the only content of the point, the point is deleted too.
    /// If a shot was chosen, the choice stays at its place.
    fn ball_out(&self, record: &Scored<'_>) -> Result<Step, LogError> {
        let at = self.current.filter(|i| *i < record.points.len()).ok_or(LogError::NoPoint)?;
        if began_with(&record.points[at]) {
            let mut step = self.delete(record)?;
            step.after.choose(at.checked_sub(1));
            record.points[at].plan.clone_into(&mut step.after.plan);
            return Ok(step);
        }
        let (n, server) = (self.chosen(record), record.server(at));
        let mut left = (0, false);
        let step = self.with_current(record, |point, i| {
            let last = point.shots.len().checked_sub(1);
            match (n.or(last), point.faults) {
                (Some(0), _) if point.shots.len() > 1 && !point.joined_late => {
                    point.shots[0] = Shot::default();
                }
                (Some(n), _) => drop(point.shots.remove(n)),
                (None, Some(faults @ 1..)) if is_open(point) => {
                    point.faults = Some(faults - 1);
                    point.serves_out.truncate(usize::from(faults - 1));
                }
                (None, _) => return Err(LogError::NoBall { number: i + 1 }),
            }
            settle(point);
            follow(point, server);
            left = (point.shots.len(), is_open(point));
            Ok(())
        })?;
        // In an open point the next key logs the deleted shot again; in a point that has ended, the last remaining shot is chosen.
        let ball = match (n, left) {
            (Some(n), (shots, _)) if n < shots => Some(n),
            (Some(_), (shots, false)) => shots.checked_sub(1),
            _ => None,
        };
        Ok(Step { after: Self { ball, ..step.after }, ..step })
    }

    /// Inserts a shot that was not seen after the chosen one, and chooses it.
    fn ball_in(&self, record: &Scored<'_>) -> Result<Step, LogError> {
        let (at, n) = self.ball_of(record)?;
        let server = record.server(at);
        let step = self.with_current(record, |point, _| {
            point.shots.insert(n + 1, Shot::default());
            settle(point);
            follow(point, server);
            Ok(())
        })?;
        Ok(Step { after: Self { ball: Some(n + 1), ..step.after }, ..step })
    }

    /// Sets a property of the shot that keys go to or, if only a fault was logged, of that serve. The same key again
    /// removes it.
    fn say(&self, said: Said, record: &Record) -> Result<Step, LogError> {
        let plain = self.plain.groundstroke.then_some(Stroke::Groundstroke);
        let chosen = self.chosen(record);
        let current = self.current.and_then(|i| record.points.get(i));
        if let Some(tag) = said.tag().filter(|_| current.is_some_and(|p| p.shots.is_empty())) {
            return self.tagged(tag, true, record);
        }
        self.with_current(record, |point, i| {
            let n = chosen.or_else(|| point.shots.len().checked_sub(1));
            let serve = n.is_none_or(|n| point.is_serve(n));
            if let (Some(what), true) = (said.not_of_a_serve(), serve && n.is_some()) {
                return Err(LogError::Serve { what });
            }
            let spin = matches!(said, Said::Spin(_));
            let shot = match n {
                Some(n) => point.shots.get_mut(n),
                None => point.serves_out.last_mut().filter(|_| spin),
            };
            let shot = shot.ok_or(LogError::NoBall { number: i + 1 })?;
            said.put(shot, plain);
            Ok(())
        })
    }

    /// The pace of the serve in play or, if none is in play yet, of the last fault.
    fn pace(&self, pace: Pace, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, i| {
            if point.joined_late {
                return Err(LogError::Joined { number: i + 1 });
            }
            let serve = point.shots.first_mut().or(point.serves_out.last_mut());
            let serve = serve.ok_or(LogError::NoBall { number: i + 1 })?;
            serve.pace = other(serve.pace, pace);
            Ok(())
        })
    }

    fn stance(&self, stance: Stance, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, i| {
            if point.joined_late {
                return Err(LogError::Joined { number: i + 1 });
            }
            point.stance = other(point.stance, stance);
            Ok(())
        })
    }
}

/// Whether an open point holds nothing but the shot whose key began it.
fn began_with(point: &Point) -> bool {
    let (shots, serves_out) = (point.shots.len(), point.serves_out.len());
    let first = point.shots.first().or(point.serves_out.first());
    let bare = Point {
        start: point.start,
        plan: point.plan.clone(),
        faults: Some(serves_out as u8),
        shots: point.shots.clone(),
        serves_out: point.serves_out.clone(),
        ..Point::default()
    };
    is_open(point) && shots + serves_out == 1 && first.is_some_and(|s| s.at == point.start) && *point == bare
}

/// If the last shot turns out to be missed, its logged place becomes its aim; if it is no longer missed, the aim becomes the
/// place where it landed. If not all shots were logged, it is not known which shot was missed.
pub(super) fn settle(point: &mut Point) {
    let (missed, open) = (missed(point), point.logged == Some(Logged::Opening));
    let Some(last) = point.shots.len().checked_sub(1) else { return };
    for (n, shot) in point.shots.iter_mut().enumerate() {
        if missed && n == last {
            shot.aim = shot.cell.take().or(shot.aim);
            // A place outside the court is not an aim.
            shot.aim_place = shot.landing.take_if(|at| at.in_court()).or(shot.aim_place);
        } else if !open || n < last {
            shot.cell = shot.cell.or(shot.aim.take());
            shot.landing = shot.landing.or(shot.aim_place.take());
            (shot.aim, shot.aim_place) = (None, None);
        }
    }
}

/// Whether a point ended with a missed shot, and every shot is there.
pub(super) fn missed(point: &Point) -> bool {
    let error = point.finish.map_or(point.miss.is_some(), is_error);
    point.logged == Some(Logged::Every) && error
}

pub(super) const fn is_error(finish: Finish) -> bool {
    matches!(finish, Finish::ForcedError | Finish::UnforcedError)
}

/// Whether a shot struck at `t` comes after the point's start and its other shots. If not, because the coach went back to
/// look again, the time of the shot is not known.
pub(super) fn fits(point: &Point, t: MatchTime) -> bool {
    let last = point.shots.iter().filter_map(|s| s.at).max();
    point.start.into_iter().chain(last).all(|before| before <= t)
}

/// If every shot was logged, the winner follows from the finish: the player who struck the last shot, or the other.
pub(super) fn follow(point: &mut Point, server: Option<Side>) {
    if point.shots.is_empty() {
        point.logged = None;
        return;
    }
    if point.logged != Some(Logged::Every) {
        return;
    }
    // Where nobody knows who struck first, the winner is who was named.
    if let Some(first) = point.first_striker(server) {
        point.winner = by_first(point, first);
    } else if !point.joined_late {
        point.winner = None;
    }
}

/// Who wins a point of which every shot is logged, if `server` served it.
pub fn winner_by_shots(point: &Point, server: Side) -> Option<Side> {
    by_first(point, point.first_striker(Some(server))?)
}

/// As [`winner_by_shots`], by who struck the first logged shot.
fn by_first(point: &Point, first: Side) -> Option<Side> {
    let last = point.shots.len().checked_sub(1).filter(|_| point.logged == Some(Logged::Every))?;
    let won = matches!(point.finish, Some(Finish::Ace | Finish::Winner));
    let by = if last.is_multiple_of(2) { first } else { first.other() };
    Some(if won { by } else { by.other() })
}

/// Ends an open point at `at`.
pub(super) fn close(point: &mut Point, i: usize, at: MatchTime, record: &Record) -> Result<(), LogError> {
    if is_open(point) { stamp(point, i, Stamp::End, at, record) } else { Ok(()) }
}

#[cfg(test)]
#[path = "ball_tests.rs"]
mod tests;
