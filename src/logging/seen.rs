//! The keys for what was not seen, and for what does not follow from the score: a point joined in mid-rally or left before its
//! end, who serves, from which end and court, and which match a point is of.

use super::action::Action;
use super::ball::{close, follow};
use super::error::LogError;
use super::log::{Logger, Step, open_point};
use super::scored::Scored;
use crate::record::{Finish, Kind, Logged, Point, Record, Source};
use crate::tennis::pair::Server;
use crate::tennis::{CourtSide, End, Side};
use crate::time::MatchTime;

impl Logger {
    /// The action of such a key.
    pub(super) fn seen_key(
        &self,
        action: Action,
        at: MatchTime,
        over: MatchTime,
        record: &Scored<'_>,
    ) -> Result<Step, LogError> {
        match action {
            Action::JoinedLate => self.joined_late(at, record),
            Action::FirstBy => self.first_by(record),
            Action::LeftEarly => self.left_early(over, record),
            Action::ServedBy => self.served_by(record),
            Action::ServedEnd => self.served_end(record),
            Action::ServedCourt => self.served_court(record),
            Action::SameSource => self.same_source(record),
            Action::TagOfA => self.tag_of(Side::A, record),
            Action::TagOfB => self.tag_of(Side::B, record),
            other => Err(LogError::NotLogging(other.title())),
        }
    }

    /// The point was joined in mid-rally, or was not after all. Where none is open and this moment is after the current one, a
    /// point starts here.
    fn joined_late(&self, at: MatchTime, record: &Scored<'_>) -> Result<Step, LogError> {
        let current = self.current.and_then(|i| record.points.get(i));
        let after = current.is_none_or(|p| p.end.is_some_and(|end| end < at));
        if open_point(record).is_none() && after {
            return self.start(at, record, Point { joined_late: true, ..Point::default() });
        }
        let server = self.current.and_then(|i| record.server(i));
        self.with_current(record, |point, i| {
            if point.joined_late {
                (point.joined_late, point.first_by) = (false, None);
                // A serve has a third of its box and no row.
                if let Some(cell) = point.shots.first_mut().and_then(|s| s.cell.as_mut()) {
                    cell.row = None;
                }
                point.faults = point.faults.or(Some(0));
            } else {
                let serve = matches!(point.finish, Some(Finish::Ace | Finish::DoubleFault));
                if serve || point.unreturned || point.faults > Some(0) || point.lets > Some(0) {
                    return Err(LogError::HasServe { number: i + 1 });
                }
                (point.joined_late, point.faults) = (true, None);
            }
            follow(point, server);
            Ok(())
        })
    }

    /// A, then B, then not known.
    fn first_by(&self, record: &Scored<'_>) -> Result<Step, LogError> {
        self.with_current(record, |point, i| {
            if !point.joined_late {
                return Err(LogError::NotJoined { number: i + 1 });
            }
            point.first_by = match point.first_by {
                None => Some(Side::A),
                Some(Side::A) => Some(Side::B),
                Some(Side::B) => None,
            };
            follow(point, None);
            Ok(())
        })
    }

    /// The footage leaves the point before its end, which ends it here; or it does not after all.
    fn left_early(&self, over: MatchTime, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, i| {
            if point.left_early {
                point.left_early = false;
                if point.logged == Some(Logged::Every) && point.finish.is_none() && point.miss.is_none() {
                    point.logged = None;
                }
                return Ok(());
            }
            if point.finish.is_some() || point.miss.is_some() || point.unreturned {
                return Err(LogError::HasEnding { number: i + 1 });
            }
            point.left_early = true;
            if !point.shots.is_empty() && point.logged.is_none() {
                point.logged = Some(Logged::Every);
            }
            close(point, i, over, record)
        })
    }

    /// Refuses to say what the score says, unless it was said already.
    fn not_by_score(
        record: &Scored<'_>,
        i: usize,
        (said, known): (bool, bool),
        what: &'static str,
    ) -> Result<(), LogError> {
        let counted = matches!(record.about.kind(), Kind::Match | Kind::Part);
        if counted && known && !said {
            return Err(LogError::ByScore { number: i + 1, what });
        }
        Ok(())
    }

    fn served_by(&self, record: &Scored<'_>) -> Result<Step, LogError> {
        let known = self.current.and_then(|i| record.server(i));
        self.with_current(record, |point, i| {
            Self::not_by_score(record, i, (point.served_by.is_some(), known.is_some()), "who serves")?;
            let now = match point.served_by.map(Server::side) {
                None => Some(Side::A),
                Some(Side::A) => Some(Side::B),
                Some(Side::B) => None,
            };
            point.served_by = now.map(|side| Server::new(side, None));
            if !point.joined_late && now.is_some() {
                follow(point, now);
            }
            Ok(())
        })
    }

    fn served_end(&self, record: &Scored<'_>) -> Result<Step, LogError> {
        let known = self.current.and_then(|i| record.server_end(i));
        self.with_current(record, |point, i| {
            Self::not_by_score(record, i, (point.server_end.is_some(), known.is_some()), "the end")?;
            point.server_end = match point.server_end {
                None => Some(End::Near),
                Some(End::Near) => Some(End::Far),
                Some(End::Far) => None,
            };
            Ok(())
        })
    }

    fn served_court(&self, record: &Scored<'_>) -> Result<Step, LogError> {
        let known = self.current.and_then(|i| record.court(i));
        self.with_current(record, |point, i| {
            Self::not_by_score(record, i, (point.side.is_some(), known.is_some()), "the court")?;
            point.side = match point.side {
                None => Some(CourtSide::Deuce),
                Some(CourtSide::Deuce) => Some(CourtSide::Ad),
                Some(CourtSide::Ad) => None,
            };
            Ok(())
        })
    }

    /// The players, event and source line of the nearest point before that names them. The score is each point's own.
    fn same_source(&self, record: &Scored<'_>) -> Result<Step, LogError> {
        if record.about.kind() != Kind::Points {
            return Err(LogError::OneMatch);
        }
        self.with_current(record, |point, i| {
            let before = record.points.iter().take(i).rev().find_map(|p| p.source.as_deref());
            let before = before.ok_or(LogError::NoSource { number: i + 1 })?;
            let score = point.source.take().map(|s| s.score).unwrap_or_default();
            point.source = Some(Box::new(Source { score, ..before.clone() }));
            Ok(())
        })
    }
}

/// An ending that was logged was seen: the point was not left before it.
pub(super) const fn with_its_end(point: &mut Point) {
    if point.finish.is_some() || point.miss.is_some() || point.unreturned {
        point.left_early = false;
    }
}

#[cfg(test)]
#[path = "seen_tests.rs"]
mod tests;
