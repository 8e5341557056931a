//! The logging state machine: an action at a moment becomes one edit.
//!
//! Its only state is which point is current; whether a point is open follows from the record (it has a start and no
//! end), so that a record opened again goes on exactly where it was left.

use thiserror::Error;

use super::Action;
use crate::record::{Edit, Finish, Point, Record};
use crate::tennis::Side;
use crate::time::MatchTime;

/// The presentation times of the footage's frames, for moving a stamp by one frame.
pub trait FrameClock {
    /// The first frame after `t`.
    fn after(&self, t: MatchTime) -> Option<MatchTime>;
    /// The last frame before `t`.
    fn before(&self, t: MatchTime) -> Option<MatchTime>;
}

/// Why an action did nothing, in words for the coach.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LogError {
    /// A point is being played already.
    #[error(
        "point {number} started at {at} and has no end yet: end it, name its winner, or move its start here"
    )]
    StillOpen {
        /// Number of the open point, from 1.
        number: usize,
        /// Its start.
        at: MatchTime,
    },
    /// There is no point to act on.
    #[error("there is no current point: start one, or choose one in the score")]
    NoPoint,
    /// The point is over already.
    #[error("point {number} has ended already: to move its end, use \"{}\"", Action::EndHere.title())]
    Ended {
        /// Number of the point, from 1.
        number: usize,
    },
    /// The moment lies before the start.
    #[error("a point cannot end at {at}, before its start at {start}")]
    BeforeStart {
        /// The moment.
        at: MatchTime,
        /// The start.
        start: MatchTime,
    },
    /// The start would lie after the end.
    #[error("a point cannot start at {at}, after its end at {end}")]
    AfterEnd {
        /// The moment.
        at: MatchTime,
        /// The end.
        end: MatchTime,
    },
    /// Another point covers this moment.
    #[error("point {number} already covers {at}: a new point starts outside it")]
    Covered {
        /// Number of that point, from 1.
        number: usize,
        /// The moment.
        at: MatchTime,
    },
    /// The stamp would cross into a neighbouring point.
    #[error("{at} lies in point {number}: two points cannot overlap")]
    Crosses {
        /// Number of that point, from 1.
        number: usize,
        /// The moment.
        at: MatchTime,
    },
    /// Two faults are there already.
    #[error("point {number} has two faults already")]
    TwoFaults {
        /// Number of the point, from 1.
        number: usize,
    },
    /// No frame further that way.
    #[error("there is no frame further in that direction")]
    NoFrame,
    /// The stamp is missing.
    #[error("point {number} has no such stamp yet")]
    NoStamp {
        /// Number of the point, from 1.
        number: usize,
    },
    /// The action is not one that logs.
    #[error("\"{0}\" writes nothing in the record")]
    NotLogging(&'static str),
}

/// What an action comes to: the edit to apply, and which point is current once it is applied.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// The edit.
    pub edit: Edit,
    /// The current point after it.
    pub current: Option<usize>,
}

/// Turns actions at moments into edits.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Logger {
    current: Option<usize>,
}

impl Logger {
    /// A logger for a record as it was left: an open point is current, else the last.
    pub fn resume(record: &Record) -> Self {
        Self { current: open_point(record).or_else(|| record.points.len().checked_sub(1)) }
    }

    /// The point that tags, winners and corrections go to.
    pub const fn current(&self) -> Option<usize> {
        self.current
    }

    /// Makes a point current, or none.
    pub const fn choose(&mut self, point: Option<usize>) {
        self.current = point;
    }

    /// What an action at the frame shown comes to. Nothing changes here: apply [`Step::edit`], then
    /// [`Logger::choose`] its current point.
    ///
    /// # Errors
    /// [`LogError`] in words for the coach; the record stays as it is.
    pub fn act(
        &self,
        action: Action,
        shown: MatchTime,
        frames: &dyn FrameClock,
        record: &Record,
    ) -> Result<Step, LogError> {
        match action {
            Action::PointStart => start(shown, record),
            Action::PointEnd => self.end(shown, record),
            Action::Fault => self.fault(shown, record),
            Action::WinnerA => self.winner(Side::A, shown, record),
            Action::WinnerB => self.winner(Side::B, shown, record),
            Action::FinishAce => self.finish(Finish::Ace, record),
            Action::FinishWinner => self.finish(Finish::Winner, record),
            Action::FinishForced => self.finish(Finish::ForcedError, record),
            Action::FinishUnforced => self.finish(Finish::UnforcedError, record),
            Action::StartHere => self.restamp(Stamp::Start, record, |_| Some(shown)),
            Action::EndHere => self.restamp(Stamp::End, record, |_| Some(shown)),
            Action::StartFrameEarlier => self.nudge(Stamp::Start, record, |t| frames.before(t)),
            Action::StartFrameLater => self.nudge(Stamp::Start, record, |t| frames.after(t)),
            Action::EndFrameEarlier => self.nudge(Stamp::End, record, |t| frames.before(t)),
            Action::EndFrameLater => self.nudge(Stamp::End, record, |t| frames.after(t)),
            Action::DeletePoint => self.delete(record),
            other => Err(LogError::NotLogging(other.title())),
        }
    }

    /// Puts a tag on the current point, or takes it off.
    ///
    /// # Errors
    /// [`LogError::NoPoint`].
    pub fn tag(&self, tag: &str, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, _| {
            if !point.tags.remove(tag) {
                point.tags.insert(tag.to_owned());
            }
            Ok(())
        })
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

    fn with_current(
        &self,
        record: &Record,
        change: impl FnOnce(&mut Point, usize) -> Result<(), LogError>,
    ) -> Result<Step, LogError> {
        let at = self.current.filter(|i| *i < record.points.len()).ok_or(LogError::NoPoint)?;
        let mut point = record.points[at].clone();
        change(&mut point, at)?;
        Ok(Step { edit: Edit::SetPoint { at, point }, current: Some(at) })
    }

    fn end(&self, shown: MatchTime, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, at| {
            if point.end.is_some() {
                return Err(LogError::Ended { number: at + 1 });
            }
            stamp(point, at, Stamp::End, shown, record)
        })
    }

    fn fault(&self, shown: MatchTime, record: &Record) -> Result<Step, LogError> {
        let server = self.current.and_then(|at| server_of(record, at));
        self.with_current(record, |point, at| {
            let faults = point.faults.unwrap_or(0) + 1;
            if faults > 2 {
                return Err(LogError::TwoFaults { number: at + 1 });
            }
            point.faults = Some(faults);
            if faults == 2 {
                point.finish = Some(Finish::DoubleFault);
                point.winner = server.map(Side::other);
                if point.start.is_some() && point.end.is_none() {
                    stamp(point, at, Stamp::End, shown, record)?;
                }
            }
            Ok(())
        })
    }

    /// Names the winner; ends the point here if it is still open.
    fn winner(&self, side: Side, shown: MatchTime, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, at| {
            if point.start.is_some() && point.end.is_none() {
                stamp(point, at, Stamp::End, shown, record)?;
            }
            point.winner = if point.winner == Some(side) && point.end == record.points[at].end {
                None
            } else {
                Some(side)
            };
            Ok(())
        })
    }

    fn finish(&self, finish: Finish, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, _| {
            point.finish = if point.finish == Some(finish) { None } else { Some(finish) };
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

    fn delete(&self, record: &Record) -> Result<Step, LogError> {
        let at = self.current.filter(|i| *i < record.points.len()).ok_or(LogError::NoPoint)?;
        let left = record.points.len() - 1;
        Ok(Step { edit: Edit::RemovePoint { at }, current: left.checked_sub(1).map(|last| at.min(last)) })
    }
}

#[derive(Clone, Copy)]
enum Stamp {
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

/// The point that has a start and no end, if the last stamped one is such.
pub fn open_point(record: &Record) -> Option<usize> {
    record.points.iter().rposition(|p| p.start.is_some() && p.end.is_none())
}

fn server_of(record: &Record, at: usize) -> Option<Side> {
    record.replay().states.get(at).map(|s| s.server)
}

fn start(shown: MatchTime, record: &Record) -> Result<Step, LogError> {
    if let Some(open) = open_point(record) {
        let at = record.points[open].start.unwrap_or_default();
        return Err(LogError::StillOpen { number: open + 1, at });
    }
    if let Some(inside) = covering(record, shown, None) {
        return Err(LogError::Covered { number: inside + 1, at: shown });
    }
    let at = record.points.iter().rposition(|p| p.start.is_none_or(|s| s < shown)).map_or(0, |i| i + 1);
    let point = Point { start: Some(shown), faults: Some(0), ..Point::default() };
    Ok(Step { edit: Edit::InsertPoint { at, point }, current: Some(at) })
}

/// The point other than `but` whose span holds the moment.
fn covering(record: &Record, t: MatchTime, but: Option<usize>) -> Option<usize> {
    record.points.iter().enumerate().position(|(i, p)| {
        Some(i) != but && p.start.zip(p.end).is_some_and(|(start, end)| start <= t && t < end)
    })
}

fn stamp(point: &mut Point, at: usize, which: Stamp, t: MatchTime, record: &Record) -> Result<(), LogError> {
    match which {
        Stamp::Start => point.start = Some(t),
        Stamp::End => point.end = Some(t),
    }
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
mod tests {
    use super::*;
    use crate::logging::{Key, KeyCard, Meaning};
    use proptest::prelude::*;

    /// Frames every 40 ms for ten minutes.
    struct Every40;
    impl FrameClock for Every40 {
        fn after(&self, t: MatchTime) -> Option<MatchTime> {
            Some(MatchTime::from_millis((t.nanos() / 40_000_000 + 1) * 40))
                .filter(|t| t.as_secs_f64() < 600.0)
        }
        fn before(&self, t: MatchTime) -> Option<MatchTime> {
            (t.nanos().div_ceil(40_000_000)).checked_sub(1).map(|n| MatchTime::from_millis(n * 40))
        }
    }

    /// Types a script of keys and milliseconds, as `s@1000 w@1200 a@5000`; gives the record and what was refused.
    fn log(script: &str) -> (Record, Vec<String>) {
        let card = KeyCard::parse(crate::logging::card::BUILT_IN).unwrap();
        let (mut record, mut logger, mut said) = (Record::default(), Logger::default(), Vec::new());
        for word in script.split_whitespace() {
            let (key, at) = word.split_once('@').unwrap();
            let shown = MatchTime::from_millis(at.parse().unwrap());
            let step = match card.meaning(&key.parse::<Key>().unwrap()).unwrap() {
                Meaning::Tag(t) => logger.tag(t, &record),
                Meaning::Do(a) => logger.act(*a, shown, &Every40, &record),
            };
            match step {
                Ok(step) => {
                    let _ = record.apply(step.edit).unwrap();
                    logger.choose(step.current);
                }
                Err(e) => said.push(e.to_string()),
            }
        }
        (record, said)
    }

    #[test]
    fn a_point_in_four_keys() {
        let (r, said) = log("s@1000 w@1400 f@2000 a@5000");
        assert_eq!(said, Vec::<String>::new());
        let p = &r.points[0];
        assert_eq!((p.start, p.end), (Some(MatchTime::from_secs(1)), Some(MatchTime::from_secs(5))));
        assert_eq!((p.winner, p.faults), (Some(Side::A), Some(1)));
        assert!(p.tags.contains("wide serve"));
    }

    #[test]
    fn two_faults_are_a_double_fault_for_the_receiver() {
        let (r, said) = log("s@1000 f@1500 f@9000 f@9500");
        let p = &r.points[0];
        assert_eq!((p.finish, p.winner), (Some(Finish::DoubleFault), Some(Side::B)));
        assert_eq!(p.end, Some(MatchTime::from_secs(9)));
        assert_eq!(said, ["point 1 has two faults already"]);
    }

    #[test]
    fn stamps_move_to_the_frame_shown_and_by_one_frame() {
        let (r, said) = log("s@1000 e@5000 alt+,@0 alt+>@0 shift+s@2000 alt+.@0");
        assert_eq!(said, Vec::<String>::new());
        assert_eq!(r.points[0].start, Some(MatchTime::from_millis(2040)));
        assert_eq!(r.points[0].end, Some(MatchTime::from_millis(5040)));
    }

    #[test]
    fn a_missed_point_goes_where_it_belongs() {
        let (r, said) = log("s@10000 a@15000 s@30000 b@35000 s@20000 a@25000");
        assert_eq!(said, Vec::<String>::new());
        let starts: Vec<_> = r.points.iter().map(|p| p.start.unwrap().as_secs_f64()).collect();
        assert_eq!(starts, [10.0, 20.0, 30.0]);
    }

    #[test]
    fn refusals_say_what_to_do() {
        let (r, said) =
            log("a@0 s@1000 s@2000 e@500 e@3000 e@4000 s@2000 ctrl+o@0 s@5000 a@6000 shift+e@900");
        assert_eq!(r.points.len(), 2);
        assert_eq!(
            said,
            [
                "there is no current point: start one, or choose one in the score",
                "point 1 started at 00:00:01.000 and has no end yet: end it, name its winner, or move its start here",
                "a point cannot end at 00:00:00.500, before its start at 00:00:01.000",
                "point 1 has ended already: to move its end, use \"Move the end to this frame\"",
                "point 1 already covers 00:00:02.000: a new point starts outside it",
                "\"Open footage or a record\" writes nothing in the record",
                "a point cannot end at 00:00:00.900, before its start at 00:00:05.000",
            ]
        );
    }

    #[test]
    fn a_point_cannot_swallow_its_neighbour() {
        let (_, said) = log("s@1000 a@2000 s@3000 a@4000 shift+s@1500");
        assert_eq!(said, ["00:00:01.500 lies in point 1: two points cannot overlap"]);
    }

    #[test]
    fn an_open_point_cannot_start_where_the_next_one_does() {
        let (r, said) = log("s@12640 e@12680 s@0 shift+s@12640");
        assert_eq!(said, ["00:00:12.640 lies in point 2: two points cannot overlap"]);
        assert_eq!(r.points[0].start, Some(MatchTime::ZERO));
    }

    #[test]
    fn the_same_key_again_takes_it_off() {
        let (r, _) = log("s@1000 a@2000 d@0 d@0 2@0 2@0 a@2500");
        let p = &r.points[0];
        assert!(p.tags.is_empty() && p.finish.is_none() && p.winner.is_none());
        assert_eq!(p.end, Some(MatchTime::from_secs(2)));
    }

    #[test]
    fn an_open_point_is_taken_up_again() {
        let (r, _) = log("s@1000 a@2000 s@3000");
        assert_eq!(Logger::resume(&r).current(), Some(1));
        assert_eq!(open_point(&r), Some(1));
        assert_eq!(Logger::resume(&Record::default()).current(), None);
    }

    proptest! {
        /// Whatever is typed at whatever moment, points stay in order, never overlap, and undo gives all back.
        #[test]
        fn any_typing_keeps_the_record_sound(keys in proptest::collection::vec((0usize..18, 0u64..60_000), 0..80)) {
            const KEYS: [&str; 18] = ["s", "e", "a", "b", "f", "w", "d", "1", "2", "3", "4", "shift+s", "shift+e", "alt+,", "alt+.", "alt+<", "alt+>", "Delete"];
            let card = KeyCard::parse(crate::logging::card::BUILT_IN).unwrap();
            let (mut record, mut logger, mut inverses) = (Record::default(), Logger::default(), Vec::new());
            for (k, ms) in keys {
                let shown = MatchTime::from_millis(ms / 40 * 40);
                let step = match card.meaning(&KEYS[k].parse::<Key>().unwrap()).unwrap() {
                    Meaning::Tag(t) => logger.tag(t, &record),
                    Meaning::Do(a) => logger.act(*a, shown, &Every40, &record),
                };
                if let Ok(step) = step {
                    let (_, inverse) = record.apply(step.edit).unwrap();
                    inverses.push(inverse);
                    logger.choose(step.current);
                }
                prop_assert!(logger.current().is_none_or(|c| c < record.points.len()));
                let spans: Vec<_> = record.points.iter().map(|p| (p.start.unwrap(), p.end)).collect();
                for w in spans.windows(2) {
                    prop_assert!(w[0].0 < w[1].0, "{spans:?}");
                    prop_assert!(w[0].1.is_none_or(|e| e <= w[1].0), "{spans:?}");
                }
                prop_assert!(spans.iter().filter(|s| s.1.is_none()).count() <= 1);
            }
            for inverse in inverses.into_iter().rev() {
                let _ = record.apply(inverse).unwrap();
            }
            prop_assert_eq!(record, Record::default());
        }
    }
}
