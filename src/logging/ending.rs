//! How a point ends, by keys: fault, let, finish, where a miss went, and that the rest is not logged.

use super::action::Action;
use super::ball::{close, fits, follow, other};
use super::error::LogError;
use super::log::{Logger, Plain, Step};
use super::log::{is_open, server_of};
use crate::record::{Finish, Logged, Point, Record, Shot};
use crate::tennis::Side;
use crate::tennis::stroke::Miss;
use crate::time::MatchTime;

/// The finish and whether the missed ball was keyed; the miss likewise.
enum Ending {
    Finish(Finish, bool),
    Miss(Miss, bool),
    /// Of which kind, and where to: of the next ball.
    Error(Finish, Miss),
}

impl Ending {
    const fn of(action: Action) -> Option<Self> {
        Some(match action {
            Action::FinishAce => Self::Finish(Finish::Ace, true),
            Action::FinishWinner => Self::Finish(Finish::Winner, true),
            Action::FinishForced => Self::Finish(Finish::ForcedError, false),
            Action::FinishUnforced => Self::Finish(Finish::UnforcedError, false),
            Action::ForcedKeyed => Self::Finish(Finish::ForcedError, true),
            Action::UnforcedKeyed => Self::Finish(Finish::UnforcedError, true),
            Action::MissNet => Self::Miss(Miss::Net, false),
            Action::MissLong => Self::Miss(Miss::Long, false),
            Action::MissWide => Self::Miss(Miss::Wide, false),
            Action::UnforcedNet => Self::Error(Finish::UnforcedError, Miss::Net),
            Action::UnforcedLong => Self::Error(Finish::UnforcedError, Miss::Long),
            Action::UnforcedWide => Self::Error(Finish::UnforcedError, Miss::Wide),
            Action::ForcedNet => Self::Error(Finish::ForcedError, Miss::Net),
            Action::ForcedLong => Self::Error(Finish::ForcedError, Miss::Long),
            Action::ForcedWide => Self::Error(Finish::ForcedError, Miss::Wide),
            Action::NetKeyed => Self::Miss(Miss::Net, true),
            Action::LongKeyed => Self::Miss(Miss::Long, true),
            Action::WideKeyed => Self::Miss(Miss::Wide, true),
            _ => return None,
        })
    }
}

impl Logger {
    pub(super) fn ending_key(
        &self,
        action: Action,
        at: MatchTime,
        record: &Record,
    ) -> Result<Step, LogError> {
        match (action, Ending::of(action)) {
            (_, Some(Ending::Finish(finish, keyed))) => self.finish(finish, keyed, at, record),
            (_, Some(Ending::Miss(miss, keyed))) => self.miss(miss, keyed, at, record),
            (_, Some(Ending::Error(kind, miss))) => self.error(kind, miss, at, record),
            (Action::Fault, _) => self.fault(at, record),
            (Action::Let, _) => self.let_(at, record),
            (Action::RestNotLogged, _) => self.with_current(record, |point, i| {
                if point.shots.is_empty() {
                    return Err(LogError::NoBall { number: i + 1 });
                }
                point.logged = other(point.logged, Logged::Opening);
                Ok(())
            }),
            (other, _) => Err(LogError::NotLogging(other.title())),
        }
    }

    /// The serve just keyed was a fault, or one that was not keyed; two end the point.
    fn fault(&self, at: MatchTime, record: &Record) -> Result<Step, LogError> {
        let server = self.current.and_then(|i| server_of(record, i));
        self.with_current(record, |point, i| {
            let before = point.faults.unwrap_or(0);
            let balls = point.shots.len();
            if before >= 2 {
                return Err(LogError::TwoFaults { number: i + 1 });
            }
            let rally = if is_open(point) { balls > 1 } else { balls > 0 && before == 1 };
            if rally {
                return Err(LogError::RallyOn { number: i + 1, balls });
            }
            let keyed = if is_open(point) { point.shots.pop() } else { None };
            count_fault(point, keyed);
            if before == 1 {
                double_fault(point, server);
                close(point, i, at, record)?;
            }
            Ok(())
        })
    }

    /// A serve that was a fault, keyed at once: the first key of a point, or the first of its second serve.
    pub(super) fn serve_out(&self, serve: Shot, over: MatchTime, record: &Record) -> Result<Step, LogError> {
        let current = self.current.filter(|i| record.points.get(*i).is_some_and(is_open));
        let Some(i) = current else {
            let at = serve.at.unwrap_or(over);
            return self.start(
                at,
                record,
                Point { serves_out: vec![serve], faults: Some(1), ..Point::default() },
            );
        };
        let server = server_of(record, i);
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

    /// Before the return: the serve counts nothing. Later: the point counts nothing and is played again.
    fn let_(&self, at: MatchTime, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, i| {
            if is_open(point) && point.shots.len() < 2 {
                point.logged = None;
                return point.shots.pop().map(|_| ()).ok_or(LogError::NoServe { number: i + 1 });
            }
            point.replayed = !point.replayed;
            if point.replayed {
                (point.winner, point.finish, point.miss) = (None, None, None);
            }
            close(point, i, at, record)
        })
    }

    fn finish(&self, finish: Finish, keyed: bool, at: MatchTime, record: &Record) -> Result<Step, LogError> {
        let (server, plain) = (self.current.and_then(|i| server_of(record, i)), self.plain);
        self.with_current(record, |point, i| {
            let balls = point.shots.len();
            if balls == 0 || point.logged == Some(Logged::Opening) {
                point.finish = other(point.finish, finish);
                return Ok(());
            }
            let both_errors = missed(point) && is_error(finish);
            if both_errors && point.finish != Some(finish) {
                point.finish = Some(finish);
                return Ok(());
            }
            let was = point.finish;
            let struck = balls - usize::from(open_again(point));
            let finish = if finish == Finish::Winner && struck == 1 { Finish::Ace } else { finish };
            if was == Some(finish) {
                return Ok(());
            }
            if finish == Finish::Ace && struck > 1 {
                return Err(LogError::NoAce { balls: struck });
            }
            if is_error(finish) && !keyed {
                append_missed(point, at, plain);
            }
            point.finish = Some(finish);
            point.logged = Some(Logged::Every);
            close(point, i, at, record)?;
            follow(point, server);
            Ok(())
        })
    }

    /// Where the last ball was missed to. In an open rally this ends the point: an error of which the kind is not said.
    fn miss(&self, miss: Miss, keyed: bool, at: MatchTime, record: &Record) -> Result<Step, LogError> {
        let (server, plain) = (self.current.and_then(|i| server_of(record, i)), self.plain);
        self.with_current(record, |point, i| {
            if let Some(Finish::Ace | Finish::Winner) = point.finish {
                return Err(LogError::NoMiss { number: i + 1, ace: point.finish == Some(Finish::Ace) });
            }
            if point.shots.is_empty() || point.logged == Some(Logged::Opening) {
                point.miss = other(point.miss, miss);
                return Ok(());
            }
            if missed(point) {
                if point.miss == Some(miss) && point.finish.is_none() {
                    open_again(point);
                } else {
                    point.miss = other(point.miss, miss);
                }
                return Ok(());
            }
            if !keyed {
                append_missed(point, at, plain);
            }
            (point.miss, point.logged) = (Some(miss), Some(Logged::Every));
            close(point, i, at, record)?;
            follow(point, server);
            Ok(())
        })
    }

    /// The next ball was an error of this kind, and where it went; the same key again takes both off.
    fn error(&self, kind: Finish, miss: Miss, at: MatchTime, record: &Record) -> Result<Step, LogError> {
        let (server, plain) = (self.current.and_then(|i| server_of(record, i)), self.plain);
        self.with_current(record, |point, i| {
            let (now, same) =
                ((Some(kind), Some(miss)), (point.finish, point.miss) == (Some(kind), Some(miss)));
            if point.shots.is_empty() || point.logged == Some(Logged::Opening) {
                (point.finish, point.miss) = if same { (None, None) } else { now };
                return Ok(());
            }
            if missed(point) {
                (point.finish, point.miss) = now;
                if same {
                    open_again(point);
                }
                return Ok(());
            }
            open_again(point);
            append_missed(point, at, plain);
            (point.finish, point.miss) = now;
            point.logged = Some(Logged::Every);
            close(point, i, at, record)?;
            follow(point, server);
            Ok(())
        })
    }
}

/// One fault more: of a serve that was seen, or not. Each stands in its place as soon as one was seen.
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

const fn is_error(finish: Finish) -> bool {
    matches!(finish, Finish::ForcedError | Finish::UnforcedError)
}

/// Whether it ended with a missed ball, and every ball is there.
fn missed(point: &Point) -> bool {
    let error = point.finish.map_or(point.miss.is_some(), is_error);
    point.logged == Some(Logged::Every) && error
}

/// The ball that the next striker missed; struck at the end at the latest.
fn append_missed(point: &mut Point, at: MatchTime, plain: Plain) {
    let at = Some(at).filter(|t| fits(point, *t) && point.end.is_none_or(|end| *t <= end));
    let mut shot = Shot { at, ..Shot::default() };
    plain.say_of(&mut shot);
    point.shots.push(shot);
}

/// Takes the finish off, with the missed ball that it brought; the end stays. Says whether a ball went.
fn open_again(point: &mut Point) -> bool {
    let brought =
        missed(point) && point.shots.len() > 1 && point.shots.last().is_some_and(|s| s.cell.is_none());
    if brought {
        point.shots.pop();
    }
    if point.finish.is_some() || missed(point) {
        (point.finish, point.miss, point.winner, point.logged) = (None, None, None, None);
    }
    brought
}
