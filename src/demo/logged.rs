//! The simulated match as a careful coach would log it: every ball, from the truth.

use super::many::{PointsTruth, SeenPoint};
use super::truth::{Ending, Fate, Player as Named, Point as Played, Strike, Stroke as Struck, Truth};
use crate::facts::cell_of;
use crate::record::{Finish, Hand, Kind, Logged, Player, Point, Record, Shot, Source};
use crate::tennis::court::{BALL_RADIUS, HALF_SINGLES, SERVICE_LINE};
use crate::tennis::pair::Server;
use crate::tennis::stroke::{Cell, FaultKind, Miss, Spin, Stroke};
use crate::tennis::{CourtSide, End};

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

/// The record of points of many matches, without footage: what was not seen is absent.
pub fn logged_points(truth: &PointsTruth) -> Record {
    let mut record = Record::default();
    record.about.shows = Kind::Points;
    record.people = truth.people.iter().map(player).collect();
    record.points = truth.points.iter().map(seen_point).collect();
    record
}

fn seen_point(seen: &SeenPoint) -> Point {
    let fault = |s: &&Strike| !seen.joined_late && s.shot.is_none();
    let rally = |s: &&Strike| !fault(s);
    let serves_out: Vec<Shot> = seen.strikes.iter().filter(fault).map(|s| seen_shot(seen, s)).collect();
    let double_fault = seen.ending == Some(Ending::DoubleFault);
    let [a, b] = seen.players.clone();
    let score = seen.called.clone().unwrap_or_default();
    Point {
        start: Some(seen.span.start()),
        end: Some(seen.span.end()),
        source: Some(Box::new(Source { a, b, score, event: seen.event.clone(), line: String::new() })),
        served_by: seen.server.map(|side| Server::new(side, None)),
        side: seen.court_side,
        server_end: seen.server_end,
        joined_late: seen.joined_late,
        first_by: seen.strikes.first().filter(|_| seen.joined_late).map(|s| s.by),
        left_early: seen.left_early,
        faults: u8::try_from(serves_out.len()).ok().filter(|_| !seen.joined_late),
        winner: seen.winner,
        finish: seen.ending.map(finish),
        miss: seen.strikes.last().filter(|_| !double_fault).and_then(miss),
        shots: seen.strikes.iter().filter(rally).map(|s| seen_shot(seen, s)).collect(),
        serves_out,
        logged: Some(Logged::Every).filter(|_| !double_fault),
        ..Point::default()
    }
}

fn seen_shot(seen: &SeenPoint, strike: &Strike) -> Shot {
    let box_of = seen.server_end.zip(seen.court_side);
    shot(box_of, strike, strike.shot.is_none() && !seen.joined_late, false)
}

const fn finish(ending: Ending) -> Finish {
    match ending {
        Ending::Ace => Finish::Ace,
        Ending::Winner => Finish::Winner,
        Ending::ForcedError => Finish::ForcedError,
        Ending::UnforcedError => Finish::UnforcedError,
        Ending::DoubleFault => Finish::DoubleFault,
    }
}

fn player(played: &Named) -> Player {
    let hand = if played.hand == "left" { Hand::Left } else { Hand::Right };
    Player { hand: Some(hand), ..Player::named(&played.name) }
}

fn point(played: &Played, positions: bool) -> Point {
    let of = |rally: bool| {
        let strikes = played.strikes.iter().filter(|s| s.shot.is_some() == rally);
        let box_of = Some((played.server_end, played.court_side));
        strikes.map(|s| shot(box_of, s, s.shot.is_none(), positions)).collect::<Vec<_>>()
    };
    let serves_out = of(false);
    let double_fault = played.ending == Ending::DoubleFault;
    Point {
        start: Some(played.span.start()),
        end: Some(played.span.end()),
        faults: u8::try_from(serves_out.len()).ok(),
        winner: Some(played.winner),
        finish: Some(finish(played.ending)),
        miss: played.strikes.last().filter(|_| !double_fault).and_then(miss),
        shots: of(true),
        serves_out,
        logged: Some(Logged::Every).filter(|_| !double_fault),
        ..Point::default()
    }
}

/// What is logged of a strike: the cell, and with a calibrated picture the places too. `box_of` is where the server stands.
fn shot(box_of: Option<(End, CourtSide)>, strike: &Strike, out: bool, positions: bool) -> Shot {
    let third = strike.serve.zip(box_of).map(|(to, (end, side))| to.third(end, side));
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
        fault: out.then(|| fault(strike)).flatten(),
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
