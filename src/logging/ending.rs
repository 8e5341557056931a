//! The keys that end a point: let, finish, where a miss went, and "stop logging shots". Faults are in `fault`.

use super::action::Action;
use super::ball::{close, fits, follow, is_error, missed, other, settle};
use super::error::LogError;
use super::log::is_open;
use super::log::{Logger, Plain, Step};
use super::scored::Scored;
use super::seen::with_its_end;
use crate::record::{Edit, Finish, Logged, Point, Record, Shot};
use crate::tennis::Side;
use crate::tennis::stroke::{FaultKind, Miss};
use crate::time::MatchTime;

/// Where a missed shot went.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Went {
    miss: Miss,
    /// It went long and wide at once.
    also_wide: bool,
}

impl From<Miss> for Went {
    fn from(miss: Miss) -> Self {
        Self { miss, also_wide: false }
    }
}

impl Went {
    fn of(point: &Point) -> Option<Self> {
        Some(Self { miss: point.miss?, also_wide: point.also_wide })
    }

    fn say(went: Option<Self>, point: &mut Point) {
        (point.miss, point.also_wide) = went.map_or((None, false), |w| (Some(w.miss), w.also_wide));
    }
}

/// What a key says about the missed shot.
#[derive(Clone, Copy)]
struct Missed {
    kind: Option<Finish>,
    went: Option<Went>,
    /// It is the shot keyed last, not the next one.
    keyed: bool,
}

/// What a key says about how the point ended.
enum Ending {
    /// Nobody touched the last shot.
    In(Finish),
    Missed(Missed),
}

impl Ending {
    fn of(action: Action) -> Option<Self> {
        let miss = |kind, went: Option<Miss>, keyed| {
            Self::Missed(Missed { kind, went: went.map(Into::into), keyed })
        };
        let (unforced, forced) = (Some(Finish::UnforcedError), Some(Finish::ForcedError));
        Some(match action {
            Action::FinishAce => Self::In(Finish::Ace),
            Action::FinishWinner => Self::In(Finish::Winner),
            Action::FinishForced => miss(forced, None, false),
            Action::FinishUnforced => miss(unforced, None, false),
            Action::ForcedKeyed => miss(forced, None, true),
            Action::UnforcedKeyed => miss(unforced, None, true),
            Action::MissNet => miss(None, Some(Miss::Net), false),
            Action::MissLong => miss(None, Some(Miss::Long), false),
            Action::MissWide => miss(None, Some(Miss::Wide), false),
            Action::UnforcedNet => miss(unforced, Some(Miss::Net), false),
            Action::UnforcedLong => miss(unforced, Some(Miss::Long), false),
            Action::UnforcedWide => miss(unforced, Some(Miss::Wide), false),
            Action::ForcedNet => miss(forced, Some(Miss::Net), false),
            Action::ForcedLong => miss(forced, Some(Miss::Long), false),
            Action::ForcedWide => miss(forced, Some(Miss::Wide), false),
            Action::NetKeyed => miss(None, Some(Miss::Net), true),
            Action::LongKeyed => miss(None, Some(Miss::Long), true),
            Action::WideKeyed => miss(None, Some(Miss::Wide), true),
            Action::MissLongWide => {
                let went = Some(Went { miss: Miss::Long, also_wide: true });
                Self::Missed(Missed { kind: None, went, keyed: false })
            }
            _ => return None,
        })
    }
}

impl Logger {
    pub(super) fn ending_key(
        &self,
        action: Action,
        at: MatchTime,
        record: &Scored<'_>,
    ) -> Result<Step, LogError> {
        match (action, Ending::of(action)) {
            (_, Some(Ending::In(finish))) => self.finish(finish, false, at, record).map(ended),
            (_, Some(Ending::Missed(said))) => self.missed_shot(said, at, record).map(ended),
            (Action::Fault, _) => self.fault(None, at, record),
            (Action::FootFault, _) => self.fault(Some(FaultKind::Foot), at, record),
            (Action::Let, _) => self.let_(at, record),
            (Action::Unreturned, _) => self.unreturned(at, record),
            (Action::TimeA, _) => self.time_violation(Side::A, record),
            (Action::TimeB, _) => self.time_violation(Side::B, record),
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

    /// If missed shots are logged with a pad key too, a plain error key is about the last shot. A serve in play is not missed,
    /// unless the key says where the miss went: then the serve was a fault.
    fn missed_shot(&self, said: Missed, at: MatchTime, record: &Scored<'_>) -> Result<Step, LogError> {
        let point = self.current.and_then(|i| record.points.get(i));
        let keyed = said.keyed != self.plain.misses;
        let open = point.is_some_and(is_open);
        let serve = open && point.is_some_and(|p| p.shots.len() == 1 && p.logged.is_none() && !p.joined_late);
        let before = open && point.is_some_and(|p| p.shots.is_empty() && p.faults > Some(0));
        let double = point.is_some_and(|p| p.finish == Some(Finish::DoubleFault));
        match (said.kind, said.went) {
            (None, Some(went)) if before || double => self.fault_went(went.miss.into(), record),
            (None, Some(went)) if serve && keyed => self.fault(Some(went.miss.into()), at, record),
            (None, Some(went)) => self.miss(went, keyed && !serve, at, record),
            (Some(kind), Some(went)) => self.error(kind, went, keyed && !serve, at, record),
            (Some(kind), None) => self.finish(kind, keyed && !serve, at, record),
            (None, None) => Ok(Step { edit: None, after: self.clone() }),
        }
    }

    /// Before the return: the serve is a let and is replayed. Later: the whole point is replayed and does not count.
    fn let_(&self, at: MatchTime, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, i| {
            if is_open(point) && point.shots.len() < 2 && !point.joined_late {
                point.shots.pop().ok_or(LogError::NoServe { number: i + 1 })?;
                point.logged = None;
                point.lets = Some(point.lets.unwrap_or(0).saturating_add(1));
                return Ok(());
            }
            point.replayed = !point.replayed;
            if point.replayed {
                (point.winner, point.finish, point.miss) = (None, None, None);
                (point.also_wide, point.unreturned) = (false, false);
                point.logged = None;
                settle(point);
            }
            close(point, i, at, record)
        })
    }

    /// The serve in play was not returned; it stays open whether it was an ace or an error.
    fn unreturned(&self, at: MatchTime, record: &Scored<'_>) -> Result<Step, LogError> {
        let server = self.current.and_then(|i| record.server(i));
        self.with_current(record, |point, i| {
            let balls = point.shots.len();
            if point.joined_late {
                return Err(LogError::Joined { number: i + 1 });
            }
            if balls > 2 || point.finish == Some(Finish::Winner) {
                return Err(LogError::Returned { number: i + 1 });
            }
            point.unreturned = !point.unreturned;
            if !point.unreturned {
                return Ok(());
            }
            if balls > 0 && point.logged.is_none() {
                point.logged = Some(Logged::Opening);
            }
            point.winner = server.or(point.winner);
            close(point, i, at, record)
        })
    }

    fn time_violation(&self, side: Side, record: &Record) -> Result<Step, LogError> {
        self.with_current(record, |point, _| {
            point.time_violation = other(point.time_violation, side);
            Ok(())
        })
    }

    /// A penalty: a point that was not played and goes to the other side. It lasts one frame, or until `end`.
    pub(super) fn penalty(
        &self,
        against: Side,
        at: MatchTime,
        end: Option<MatchTime>,
        record: &Record,
    ) -> Result<Step, LogError> {
        let current = self.current.and_then(|i| record.points.get(i));
        if current.is_some_and(|p| is_open(p) || p.penalty == Some(against)) {
            return self.with_current(record, |point, i| {
                point.penalty = other(point.penalty, against);
                point.winner = point.penalty.map(Side::other);
                if is_open(point) { close(point, i, end.unwrap_or(at), record) } else { Ok(()) }
            });
        }
        let seen = Point { end, penalty: Some(against), winner: Some(against.other()), ..Point::default() };
        let step = self.start(at, record, seen)?;
        Ok(Step { after: Self { plan: self.plan.clone(), ..step.after }, ..step })
    }

    fn finish(
        &self,
        finish: Finish,
        keyed: bool,
        at: MatchTime,
        record: &Scored<'_>,
    ) -> Result<Step, LogError> {
        let (server, plain) = (self.current.and_then(|i| record.server(i)), self.plain);
        self.with_current(record, |point, i| {
            let balls = point.shots.len();
            if finish == Finish::Ace {
                may_be_ace(point, i)?;
            }
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
            let ace = finish == Finish::Winner && struck == 1 && !point.joined_late;
            let finish = if ace { Finish::Ace } else { finish };
            if was == Some(finish) {
                settle(point);
                return Ok(());
            }
            if finish == Finish::Ace && struck > 1 {
                return Err(LogError::NoAce { balls: struck });
            }
            if is_error(finish) && !is_logged(point, keyed) {
                append_missed(point, at, plain);
            }
            point.finish = Some(finish);
            point.logged = Some(Logged::Every);
            settle(point);
            close(point, i, at, record)?;
            follow(point, server);
            Ok(())
        })
    }

    /// Where the last shot was missed. In an open rally this ends the point with an error of unknown kind.
    fn miss(&self, went: Went, keyed: bool, at: MatchTime, record: &Scored<'_>) -> Result<Step, LogError> {
        let (server, plain) = (self.current.and_then(|i| record.server(i)), self.plain);
        self.with_current(record, |point, i| {
            if let Some(Finish::Ace | Finish::Winner) = point.finish {
                return Err(LogError::NoMiss { number: i + 1, ace: point.finish == Some(Finish::Ace) });
            }
            let same = Went::of(point) == Some(went);
            let open = point.shots.is_empty() || point.logged == Some(Logged::Opening);
            if open || missed(point) {
                if !open && same && point.finish.is_none() {
                    open_again(point);
                    settle(point);
                } else {
                    Went::say(Some(went).filter(|_| !same), point);
                }
                return Ok(());
            }
            if !is_logged(point, keyed) {
                append_missed(point, at, plain);
            }
            Went::say(Some(went), point);
            point.logged = Some(Logged::Every);
            settle(point);
            close(point, i, at, record)?;
            follow(point, server);
            Ok(())
        })
    }

    /// The next shot, or the last one logged, was an error of this kind, and where it went. The same key again removes both.
    fn error(
        &self,
        kind: Finish,
        went: Went,
        keyed: bool,
        at: MatchTime,
        record: &Scored<'_>,
    ) -> Result<Step, LogError> {
        let (server, plain) = (self.current.and_then(|i| record.server(i)), self.plain);
        self.with_current(record, |point, i| {
            let same = (point.finish, Went::of(point)) == (Some(kind), Some(went));
            let now = if same { (None, None) } else { (Some(kind), Some(went)) };
            let say = |point: &mut Point| {
                point.finish = now.0;
                Went::say(now.1, point);
            };
            if point.shots.is_empty() || point.logged == Some(Logged::Opening) {
                say(point);
                return Ok(());
            }
            if missed(point) {
                if same {
                    open_again(point);
                    settle(point);
                } else {
                    say(point);
                }
                return Ok(());
            }
            open_again(point);
            if !is_logged(point, keyed) {
                append_missed(point, at, plain);
            }
            say(point);
            point.logged = Some(Logged::Every);
            settle(point);
            close(point, i, at, record)?;
            follow(point, server);
            Ok(())
        })
    }
}

/// An ace has no return, also where the rest of the shots was not logged, and its serve was seen.
fn may_be_ace(point: &Point, i: usize) -> Result<(), LogError> {
    let balls = point.shots.len();
    if point.joined_late {
        return Err(LogError::Joined { number: i + 1 });
    }
    let opening = point.logged == Some(Logged::Opening);
    if opening && balls > 1 { Err(LogError::NoAce { balls }) } else { Ok(()) }
}

/// Whether the shot that was missed is logged already: the last one, unless that is the serve in play, which nobody misses.
const fn is_logged(point: &Point, keyed: bool) -> bool {
    keyed && (point.joined_late || point.shots.len() > 1)
}

/// A point whose ending was logged was seen to its end.
fn ended(mut step: Step) -> Step {
    if let Some(Edit::SetPoint { point, .. }) = &mut step.edit {
        with_its_end(point);
    }
    step
}

/// The shot that the next striker missed; struck at the end of the point at the latest.
fn append_missed(point: &mut Point, at: MatchTime, plain: Plain) {
    let at = Some(at).filter(|t| fits(point, *t) && point.end.is_none_or(|end| *t <= end));
    let mut shot = Shot { at, ..Shot::default() };
    plain.say_of(&mut shot);
    point.shots.push(shot);
}

/// Removes the finish, and the missed shot that came with it; the end stays. Returns whether a shot was removed.
fn open_again(point: &mut Point) -> bool {
    let keyed = |s: &Shot| {
        s.cell.is_some()
            || s.depth.is_some()
            || s.aim.is_some()
            || s.aim_place.is_some()
            || s.landing.is_some()
    };
    let brought = missed(point) && point.shots.len() > 1 && point.shots.last().is_some_and(|s| !keyed(s));
    if brought {
        point.shots.pop();
    }
    if point.finish.is_some() || missed(point) {
        (point.finish, point.miss, point.winner, point.logged) = (None, None, None, None);
        point.also_wide = false;
    }
    brought
}
