//! The keys for faults: of a serve that was logged or not, and the kind of fault.

use super::ball::{close, fits, other};
use super::error::LogError;
use super::log::{Logger, Step};
use super::log::{is_open, place_of};
use super::scored::Scored;
use crate::record::{Finish, Point, Record, Shot};
use crate::tennis::Side;
use crate::tennis::stroke::{Depth, FaultKind, Row};
use crate::time::MatchTime;

impl Logger {
    /// The last logged serve was a fault, or a serve that was not logged. Two faults end the point.
    pub(super) fn fault(
        &self,
        kind: Option<FaultKind>,
        at: MatchTime,
        record: &Scored<'_>,
    ) -> Result<Step, LogError> {
        let server = self.current.and_then(|i| record.server(i));
        self.with_current(record, |point, i| {
            let before = point.faults.unwrap_or(0);
            let balls = point.shots.len();
            if point.joined_late {
                return Err(LogError::Joined { number: i + 1 });
            }
            if before >= 2 {
                return Err(LogError::TwoFaults { number: i + 1 });
            }
            let rally = if is_open(point) { balls > 1 } else { balls > 0 && before == 1 };
            if rally {
                return Err(LogError::RallyOn { number: i + 1, balls });
            }
            let keyed = if is_open(point) { point.shots.pop() } else { None };
            let seen = match (keyed, kind) {
                (None, None) => None,
                (keyed, kind) => Some(Shot { fault: kind, ..keyed.unwrap_or_default() }),
            };
            count_fault(point, seen);
            if before == 1 {
                double_fault(point, server);
                close(point, i, at, record)?;
            }
            Ok(())
        })
    }

    /// A serve that was a fault, with its place, in one key: the first key of a point, or the first of its second serve.
    pub(super) fn serve_out(
        &self,
        serve: Shot,
        over: MatchTime,
        record: &Scored<'_>,
    ) -> Result<Step, LogError> {
        let current = self.current.filter(|i| record.points.get(*i).is_some_and(is_open));
        let Some(i) = current else {
            let at = serve.at.unwrap_or(over);
            return self.start(
                at,
                record,
                Point { serves_out: vec![serve], faults: Some(1), ..Point::default() },
            );
        };
        let server = record.server(i);
        self.with_current(record, |point, i| {
            if point.faults >= Some(2) {
                return Err(LogError::TwoFaults { number: i + 1 });
            }
            let serve = Shot { at: serve.at.filter(|t| fits(point, *t)), ..serve };
            count_fault(point, Some(serve));
            if point.faults == Some(2) {
                double_fault(point, server);
                close(point, i, over, record)?;
            }
            Ok(())
        })
    }

    /// The kind of the last fault; the same key again removes it.
    pub(super) fn fault_went(&self, kind: FaultKind, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, i| {
            let last = usize::from(point.faults.unwrap_or(2)).checked_sub(1);
            let last = last.ok_or(LogError::NoBall { number: i + 1 })?;
            if point.serves_out.len() <= last {
                point.serves_out.resize(last + 1, Shot::default());
            }
            let serve = &mut point.serves_out[last];
            serve.fault = other(serve.fault, kind);
            Ok(())
        })
    }

    /// The kind of fault that the row of a pad key means: the row by the net is net, the deep row is long, the middle row is
    /// wide. Unknown if it is not known at which end the server stands.
    pub(super) fn fault_kind(&self, row: Row, at: MatchTime, record: &Scored<'_>) -> Option<FaultKind> {
        let open = self.current.filter(|i| record.points.get(*i).is_some_and(is_open));
        let from = record.server_end(open.unwrap_or_else(|| place_of(record, at)))?;
        Some(match Depth::of(row, from.other()) {
            Depth::Short => FaultKind::Net,
            Depth::Mid => FaultKind::Wide,
            Depth::Deep => FaultKind::Long,
        })
    }
}

/// Adds a fault, with its serve if that was seen. As soon as one serve was seen, each fault has its place in the list.
fn count_fault(point: &mut Point, serve: Option<Shot>) {
    let before = point.faults.unwrap_or(0);
    if serve.is_some() || !point.serves_out.is_empty() {
        point.serves_out.resize(usize::from(before), Shot::default());
        point.serves_out.push(serve.unwrap_or_default());
    }
    if point.shots.is_empty() {
        point.logged = None;
    }
    point.faults = Some(before + 1);
}

fn double_fault(point: &mut Point, server: Option<Side>) {
    point.finish = Some(Finish::DoubleFault);
    point.winner = server.map(Side::other);
}
