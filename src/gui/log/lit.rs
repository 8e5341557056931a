//! Which of the pad's buttons are there, which are lit, and what those say whose word changes.

use crate::logging::Action;
use crate::logging::pad::{Lands, PadView, Phase};
use crate::record::{Finish, Point, Shot};
use crate::tennis::stroke::Wing;
use crate::tennis::stroke::{Depth, FaultKind, Miss, Pace, Spin, Stance, Stroke, VolleyKind};
use crate::tennis::{CourtSide, End, Side};

/// Whether an action means something where the point stands: `point` is the current one, if any.
pub fn allowed(action: Action, view: &PadView, point: Option<&Point>) -> bool {
    let shots = point.map_or(0, |p| p.shots.len());
    let serves = shots + point.map_or(0, |p| p.serves_out.len());
    let open = matches!(view.phase, Phase::Serve | Phase::Rally);
    let shot = view.goes_to.and_then(|n| point?.shots.get(n));
    match action {
        Action::UnknownBall | Action::Plan => true,
        Action::Fault => shots < 2 || !open,
        Action::Let | Action::FinishAce => point.is_some() && shots < 2,
        Action::RestNotLogged => open && shots > 0,
        Action::PaceSlow
        | Action::PaceMedium
        | Action::PaceFast
        | Action::Slice
        | Action::Topspin
        | Action::Flat
        | Action::BallOut => serves > 0,
        // Of a point without shots, once it is over, these are tags.
        Action::DropShot | Action::Volley | Action::Overhead | Action::Lob | Action::Approach => {
            shots > 0 || !open && point.is_some()
        }
        Action::Groundstroke
        | Action::Backhand
        | Action::Forehand
        | Action::BallIn
        | Action::AtNet
        | Action::NetCord => shots > 0,
        Action::HalfVolley | Action::SwingingVolley => shot.is_some_and(|s| s.stroke == Some(Stroke::Volley)),
        // The cell of a shot says its depth.
        Action::DepthShort | Action::DepthMid | Action::DepthDeep => shot.is_some_and(|s| s.cell.is_none()),
        Action::Unreturned => shots == 1,
        Action::FootFault => serves > 0 && shots < 2,
        Action::MissLongWide => point.is_some_and(|p| matches!(p.miss, Some(Miss::Long | Miss::Wide))),
        _ => point.is_some_and(|p| partly(action, view, p)),
    }
}

/// The same of what was not seen, or does not follow from the score.
fn partly(action: Action, view: &PadView, point: &Point) -> bool {
    let open = matches!(view.phase, Phase::Serve | Phase::Rally);
    let (end, court) = match view.lands {
        Lands::Box { from, court, .. } => (from.is_some(), court.is_some()),
        Lands::Half(end) => (end.is_some(), true),
    };
    match action {
        Action::JoinedLate => {
            point.joined_late || open && point.shots.len() < 2 && point.serves_out.is_empty()
        }
        Action::FirstBy => point.joined_late,
        Action::LeftEarly => point.left_early || open && !point.shots.is_empty(),
        Action::ServedBy => open && (view.server.is_none() || point.served_by.is_some()),
        Action::ServedEnd => open && (!end || point.server_end.is_some()),
        Action::ServedCourt => open && (!court || point.side.is_some()),
        _ => true,
    }
}

/// What the button of such an action says, by what was said of the point.
pub const fn word_of(action: Action, point: &Point) -> Option<&'static str> {
    Some(match action {
        Action::ServedBy => match point.served_by {
            None => "who serves?",
            Some(server) => match server.side() {
                Side::A => "● serves",
                Side::B => "□ serves",
            },
        },
        Action::FirstBy => match point.first_by {
            None => "first shot?",
            Some(Side::A) => "● first",
            Some(Side::B) => "□ first",
        },
        Action::ServedEnd => match point.server_end {
            None => "end?",
            Some(End::Near) => "near end",
            Some(End::Far) => "far end",
        },
        Action::ServedCourt => match point.side {
            None => "court?",
            Some(CourtSide::Deuce) => "deuce",
            Some(CourtSide::Ad) => "ad",
        },
        _ => return None,
    })
}

/// Whether what an action says is so: of a point, and of the ball at the cursor.
pub fn lit(action: Action, point: &Point, ball: Option<usize>) -> bool {
    let shot = ball.and_then(|i| point.shots.get(i));
    shot.and_then(|shot| lit_of_shot(action, shot)).unwrap_or_else(|| lit_of_point(action, point))
}

/// Whether it is so of a shot; `None` where it says nothing of one.
fn lit_of_shot(action: Action, shot: &Shot) -> Option<bool> {
    Some(match action {
        Action::DropShot => shot.stroke == Some(Stroke::DropShot),
        Action::Volley => shot.stroke == Some(Stroke::Volley),
        Action::Overhead => shot.stroke == Some(Stroke::Overhead),
        Action::Lob => shot.stroke == Some(Stroke::Lob),
        Action::Groundstroke => shot.stroke == Some(Stroke::Groundstroke),
        Action::Slice => shot.spin == Some(Spin::Slice),
        Action::Topspin => shot.spin == Some(Spin::Topspin),
        Action::Flat => shot.spin == Some(Spin::Flat),
        Action::Backhand => shot.wing == Some(Wing::Backhand),
        Action::Forehand => shot.wing == Some(Wing::Forehand),
        Action::Approach => shot.approach,
        Action::AtNet => shot.at_net,
        Action::NetCord => shot.net_cord,
        Action::HalfVolley => shot.volley == Some(VolleyKind::Half),
        Action::SwingingVolley => shot.volley == Some(VolleyKind::Swinging),
        Action::DepthShort => shot.depth == Some(Depth::Short),
        Action::DepthMid => shot.depth == Some(Depth::Mid),
        Action::DepthDeep => shot.depth == Some(Depth::Deep),
        Action::PaceSlow => shot.pace == Some(Pace::Slow),
        Action::PaceMedium => shot.pace == Some(Pace::Medium),
        Action::PaceFast => shot.pace == Some(Pace::Fast),
        _ => return None,
    })
}

/// Whether a point without shots has this tag.
fn tagged(point: &Point, tag: &str) -> bool {
    point.shots.is_empty() && point.tags.contains(tag)
}

/// Whether it is so of a point.
fn lit_of_point(action: Action, point: &Point) -> bool {
    let went = |miss: Miss| {
        // Before a serve is in play it is said of the fault.
        let fault = point.serves_out.last().filter(|_| point.shots.is_empty());
        point.miss == Some(miss) || fault.is_some_and(|x| x.fault == Some(miss.into()))
    };
    match action {
        Action::FootFault => point.serves_out.last().is_some_and(|x| x.fault == Some(FaultKind::Foot)),
        Action::Unreturned => point.unreturned,
        Action::PenaltyA => point.penalty == Some(Side::A),
        Action::PenaltyB => point.penalty == Some(Side::B),
        Action::TimeA => point.time_violation == Some(Side::A),
        Action::TimeB => point.time_violation == Some(Side::B),
        Action::MissLongWide => point.also_wide,
        Action::StanceCentre => point.stance == Some(Stance::Centre),
        Action::StanceHalfway => point.stance == Some(Stance::Halfway),
        Action::StanceWide => point.stance == Some(Stance::Wide),
        Action::Let => point.replayed,
        Action::FinishAce => point.finish == Some(Finish::Ace),
        Action::FinishWinner => point.finish == Some(Finish::Winner),
        Action::FinishForced => point.finish == Some(Finish::ForcedError),
        Action::FinishUnforced => point.finish == Some(Finish::UnforcedError),
        Action::MissNet => went(Miss::Net),
        Action::MissLong => went(Miss::Long),
        Action::MissWide => went(Miss::Wide),
        Action::WinnerA => point.winner == Some(Side::A),
        Action::WinnerB => point.winner == Some(Side::B),
        Action::RestNotLogged => point.logged == Some(crate::record::Logged::Opening),
        Action::Plan => !point.plan.is_empty(),
        Action::JoinedLate => point.joined_late,
        Action::LeftEarly => point.left_early,
        Action::FirstBy => point.first_by.is_some(),
        Action::ServedBy => point.served_by.is_some(),
        Action::ServedEnd => point.server_end.is_some(),
        Action::ServedCourt => point.side.is_some(),
        Action::DropShot => tagged(point, Stroke::DropShot.words()),
        Action::Volley => tagged(point, Stroke::Volley.words()),
        Action::Overhead => tagged(point, Stroke::Overhead.words()),
        Action::Lob => tagged(point, Stroke::Lob.words()),
        Action::Approach => tagged(point, "approach"),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gui::log::chips::{OF_A_BALL, OF_THE_END};
    use crate::logging::typing::Typist;
    use crate::time::MatchTime;

    #[test]
    fn what_was_said_of_the_ball_at_the_cursor_is_lit() {
        let slice = Shot { spin: Some(Spin::Slice), wing: Some(Wing::Backhand), ..Shot::default() };
        let point =
            Point { shots: vec![Shot::default(), slice], finish: Some(Finish::Winner), ..Point::default() };
        let on = |ball| {
            let all = OF_A_BALL.iter().chain(&OF_THE_END).map(|(a, _)| *a);
            all.filter(|a| lit(*a, &point, ball)).collect::<Vec<_>>()
        };
        assert_eq!(on(Some(1)), [Action::Slice, Action::Backhand, Action::FinishWinner]);
        assert_eq!(on(Some(0)), [Action::FinishWinner]);
        assert_eq!(on(None), [Action::FinishWinner]);
    }

    #[test]
    fn only_what_the_phase_allows_is_shown() {
        let some = |keys: &str, all: &[Action]| {
            let mut typist = Typist::default();
            for (n, key) in (1..).zip(keys.split_whitespace()) {
                typist.press(key, MatchTime::from_secs(n));
            }
            let (view, point) = (typist.pad(), typist.logger.current().map(|i| &typist.record.points[i]));
            all.iter().map(|a| allowed(*a, &view, point)).collect::<Vec<_>>()
        };
        let all =
            [Action::Fault, Action::FinishAce, Action::FinishWinner, Action::DropShot, Action::RestNotLogged];
        assert_eq!(some("", &all), [true, false, false, false, false], "before the first point");
        assert_eq!(some("s", &all), [true, true, true, false, false], "the serve comes");
        assert_eq!(some("u", &all), [true, true, true, true, true], "the serve is in play");
        assert_eq!(some("u k", &all), [false, false, true, true, true], "a rally");
        assert_eq!(some("u k 2", &all), [true, false, true, true, false], "it is over");
    }
}
