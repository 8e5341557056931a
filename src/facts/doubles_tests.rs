//! Facts of doubles from the positions of four players: worked out on paper.

use super::tests::{only, rally};
use super::*;
use crate::measure::Spread;
use crate::record::{Dot, FoundBy, Measured, Position, Record, Touch};
use crate::tennis::court::Spot;
use crate::tennis::pair::{Partner, Server};
use crate::tennis::rules::Rules;
use crate::time::MatchTime;

/// Places of A1, A2, B1 and B2.
type Four = [(f64, f64); 4];

fn seen(of: Touch, (x, y): (f64, f64), error: f64) -> Position {
    let spread = Spread::new(error * error, 0.0, error * error).unwrap();
    let measured = Some(Measured::from(crate::measure::Place { spot: Spot::new(x, y), spread }));
    Position { of, frame: MatchTime::ZERO, at: Dot::default(), by: FoundBy::Hand, measured }
}

/// A1 serves to B2; after the return nobody has said who strikes.
fn doubles(shots: &str, placed: &[Four], error: f64) -> Record {
    let mut r = rally('?', None, shots);
    r.about.rules = Rules::named("doubles-best-of-3").unwrap();
    let point = &mut r.points[0];
    (point.served_by, point.received_by) = (Some(Server::A1), Some(Partner::Second));
    for (shot, four) in point.shots.iter_mut().zip(placed) {
        let all = [Touch::A1, Touch::A2, Touch::B1, Touch::B2].into_iter().zip(*four);
        shot.positions = all.map(|(of, at)| seen(of, at, error)).collect();
    }
    r
}

/// The server behind the near baseline with the partner at the net; the receiver behind the far one, the partner at the service line.
const START: Four = [(1.0, -12.5), (-2.5, -3.0), (2.5, 6.0), (-3.5, 13.0)];
/// The server has come in; both of B are back.
const LATER: Four = [(1.0, -5.0), (-2.5, -3.0), (2.5, 12.5), (-2.0, 12.6)];
const DEEP: Four = [(1.0, -5.0), (-2.5, -3.0), (2.5, 15.5), (-2.0, 15.2)];

fn metres(r: &Record, shot: usize, length: Length) -> Option<f32> {
    only(r).lengths_of.get(shot)?.of(length).map(|m| (m.metres * 100.0).round() / 100.0)
}

#[test]
fn the_score_tells_whose_places_the_serve_and_the_return_are_about() {
    let r = doubles("wide / left deep / right deep", &[START, LATER, DEEP], 0.02);
    assert_eq!(metres(&r, 0, Length::Behind), Some(0.61), "A1, who serves");
    assert_eq!(metres(&r, 0, Length::OpponentBehind), Some(1.11), "B2, who receives");
    assert_eq!(metres(&r, 0, Length::OpponentFromMiddle), Some(3.5));
    assert_eq!(metres(&r, 0, Length::Displaces), Some(1.5), "from −3.5 to −2.0");
    assert_eq!(metres(&r, 1, Length::Behind), Some(0.71), "B2 returns");
    let f = only(&r);
    assert_eq!(f.shots[1].inside, Some(Fact::seen(false)));
    assert_eq!(f.pairs, Some(Pairs { server: Some(Partner::First), receiver: Some(Partner::Second) }));
}

#[test]
fn of_a_later_shot_only_what_is_so_of_both_is_known() {
    let r = doubles("wide / left deep / right deep", &[START, LATER, DEEP], 0.02);
    let f = only(&r);
    // Both of A are inside the baseline and at the net, both of B are far behind theirs; nobody says which of them it is.
    assert_eq!((f.shots[2].inside, f.shots[2].at_net), (Some(Fact::seen(true)), Some(true)));
    assert_eq!(f.shots[2].opponent_deep, Some(Fact::seen(true)));
    for length in [Length::Behind, Length::OpponentBehind, Length::FromNet, Length::OpponentFromMiddle] {
        assert_eq!(metres(&r, 2, length), None, "{length:?}");
    }
    // One at the net and one at the baseline.
    let split = [START, LATER, [(1.0, -12.5), (-2.5, -3.0), (2.5, 15.5), (-2.0, 12.6)]];
    let f = only(&doubles("wide / left deep / right deep", &split, 0.02));
    assert_eq!((f.shots[2].inside, f.shots[2].at_net, f.shots[2].opponent_deep), (None, None, None));
    // Of one of the pair nothing was measured.
    let mut r = doubles("wide / left deep / right deep", &[START, LATER, DEEP], 0.02);
    r.points[0].shots[2].positions.retain(|p| p.of != Touch::B1);
    assert_eq!(only(&r).shots[2].opponent_deep, None);
    assert_eq!(only(&r).shots[2].inside, Some(Fact::seen(true)));
}

/// In singles the opponent is taken to be where their last shot was struck from; of a pair that would be one of two.
#[test]
fn nothing_is_estimated_of_opponents_of_whom_there_are_two() {
    let text = "wide / left short / right deep / left deep / right short";
    let singles = only(&rally('?', None, text));
    let pairs = only(&doubles(text, &[], 0.02));
    let estimated = |s: &ShotFacts| (s.goes.is_some(), s.push.is_some(), s.opponent_deep.is_some());
    assert_eq!(estimated(&singles.shots[3]), (true, true, true), "{:?}", singles.shots[3]);
    for (n, shot) in pairs.shots.iter().enumerate().skip(1) {
        assert_eq!(estimated(shot), (false, false, false), "{n}: {shot:?}");
    }
    // The striker is where the ball landed, whoever of the pair that is.
    assert_eq!(pairs.shots[2].inside, Some(Fact::estimated(true)));
}

#[test]
fn both_opponents_on_one_side_leave_an_open_court_and_their_errors_count() {
    let both_right = [START, LATER, [(1.0, -5.0), (-2.5, -3.0), (2.5, 12.5), (1.5, 12.6)]];
    let goes = |error| only(&doubles("wide / left deep / left deep", &both_right, error)).shots[2].goes;
    assert_eq!(goes(0.02), Some(Fact::seen(Goes::OpenCourt)));
    assert_eq!(goes(0.9), None, "within their error they may stand in the middle");
    let apart = only(&doubles("wide / left deep / left deep", &[START, LATER, LATER], 0.02));
    assert_eq!(apart.shots[2].goes, None, "one on either side");
}
