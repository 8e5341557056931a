//! The simulated match as a careful coach would log it: every ball, from the truth.

use super::truth::{Ending, Fate, Player as Named, Point as Played, Strike, Stroke as Struck, Truth};
use crate::facts::cell_of;
use crate::record::{Finish, Hand, Logged, Player, Point, Record, Shot};
use crate::tennis::court::{BALL_RADIUS, HALF_SINGLES, SERVICE_LINE};
use crate::tennis::stroke::{Cell, FaultKind, Miss, Spin, Stroke};

/// The record of a match, without footage, with the aims of missed shots and the kinds of faults. With `positions` also what a calibrated picture would measure: where the
/// players stood and where the ball landed.
pub fn logged(truth: &Truth, positions: bool) -> Record {
    let mut record = Record::default();
    let about = &mut record.about;
    about.rules = truth.rules;
    (about.first_server, about.a_starts) = (truth.first_server, truth.a_starts);
    let [a, b] = &truth.players;
    (about.a, about.b) = (player(a), player(b));
    record.points = truth.points.iter().map(|p| point(p, positions)).collect();
    record
}

fn player(played: &Named) -> Player {
    let hand = if played.hand == "left" { Hand::Left } else { Hand::Right };
    Player { hand: Some(hand), ..Player::named(&played.name) }
}

fn point(played: &Played, positions: bool) -> Point {
    let of = |rally: bool| {
        let strikes = played.strikes.iter().filter(|s| s.shot.is_some() == rally);
        strikes.map(|s| shot(played, s, positions)).collect::<Vec<_>>()
    };
    let serves_out = of(false);
    let double_fault = played.ending == Ending::DoubleFault;
    Point {
        start: Some(played.span.start()),
        end: Some(played.span.end()),
        faults: u8::try_from(serves_out.len()).ok(),
        winner: Some(played.winner),
        finish: Some(match played.ending {
            Ending::Ace => Finish::Ace,
            Ending::Winner => Finish::Winner,
            Ending::ForcedError => Finish::ForcedError,
            Ending::UnforcedError => Finish::UnforcedError,
            Ending::DoubleFault => Finish::DoubleFault,
        }),
        miss: played.strikes.last().filter(|_| !double_fault).and_then(miss),
        shots: of(true),
        serves_out,
        logged: Some(Logged::Every).filter(|_| !double_fault),
        ..Point::default()
    }
}

/// What is logged of a strike: the cell, and with a calibrated picture the places too.
fn shot(played: &Played, strike: &Strike, positions: bool) -> Shot {
    let third = strike.serve.map(|to| to.third(played.server_end, played.court_side));
    let seen = matches!(strike.fate, Fate::In | Fate::Met);
    let cell = match third {
        Some(column) => Some(Cell { column, row: None }),
        None => seen.then(|| cell_of(strike.fate_spot)),
    };
    Shot {
        at: Some(strike.time),
        stroke: match strike.stroke {
            Struck::Serve => None,
            Struck::Drive | Struck::Slice => Some(Stroke::Groundstroke),
            Struck::DropShot => Some(Stroke::DropShot),
            Struck::Lob => Some(Stroke::Lob),
            Struck::Volley => Some(Stroke::Volley),
            Struck::Overhead => Some(Stroke::Overhead),
        },
        wing: strike.wing,
        spin: (strike.stroke == Struck::Slice).then_some(Spin::Slice),
        cell,
        aim: strike.aim.map(cell_of),
        aim_place: strike.aim.filter(|_| positions).map(Into::into),
        fault: strike.shot.is_none().then(|| fault(strike)).flatten(),
        landing: (positions && seen).then(|| strike.fate_spot.into()),
        players: positions.then(|| strike.positions.map(Into::into)),
        ..Shot::default()
    }
}

/// Why a serve was a fault.
pub(crate) fn fault(strike: &Strike) -> Option<FaultKind> {
    match strike.fate {
        Fate::Net => Some(FaultKind::Net),
        Fate::Out if strike.fate_spot.y.abs() > SERVICE_LINE + BALL_RADIUS => Some(FaultKind::Long),
        Fate::Out => Some(FaultKind::Wide),
        Fate::In | Fate::Met => None,
    }
}

/// Where a missed ball went: into the net, else beside the sideline, else beyond the baseline.
pub(crate) fn miss(strike: &Strike) -> Option<Miss> {
    match strike.fate {
        Fate::Net => Some(Miss::Net),
        Fate::Out if strike.fate_spot.x.abs() > HALF_SINGLES + BALL_RADIUS => Some(Miss::Wide),
        Fate::Out => Some(Miss::Long),
        Fate::In | Fate::Met => None,
    }
}
