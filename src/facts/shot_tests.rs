//! Tests of the facts of shots: each table worked out on paper, in the trade's words.

use std::sync::Arc;
use std::time::Duration;

use super::tests::{ball, only, rally};
use super::*;
use crate::record::{Finish, Hand, Logged, Place, Player, Record, Shot};
use crate::tennis::court::Spot;
use crate::tennis::rules::Rules;
use crate::tennis::stroke::{Depth, ServeTo};
use crate::tennis::{End, Side};
use crate::time::MatchTime;

fn shots(balls: &str) -> Vec<ShotFacts> {
    Arc::unwrap_or_clone(only(&rally('?', None, balls)).shots)
}

fn at(x: f64, y: f64) -> Place {
    Spot::new(x, y).into()
}

/// A record with A and B placed at each strike.
fn placed(balls: &[(&str, [Place; 2])]) -> Record {
    let text: Vec<_> = balls.iter().map(|b| b.0).collect();
    let mut r = rally('?', None, &text.join("/"));
    for (shot, (_, players)) in r.points[0].shots.iter_mut().zip(balls) {
        shot.players = Some(*players);
    }
    r
}

#[test]
fn whose_ball_it_is_and_from_which_end() {
    let s = shots("wide / left deep / right deep");
    assert_eq!(s.iter().map(|s| s.by).collect::<Vec<_>>(), [Some(Side::A), Some(Side::B), Some(Side::A)]);
    assert_eq!(
        s.iter().map(|s| s.end).collect::<Vec<_>>(),
        [Some(End::Near), Some(End::Far), Some(End::Near)]
    );
    let mut r = rally('?', None, "wide / left deep");
    r.about.a_starts = End::Far;
    r.about.first_server = Side::B;
    let s = only(&r).shots;
    assert_eq!((s[0].by, s[0].end, s[1].by), (Some(Side::B), Some(End::Near), Some(Side::A)));
}

/// Both ends, both courts, both hands: the camera's left third of the box.
#[test]
fn serve_direction_and_the_wing_that_it_goes_to() {
    use {Hand::Left as L, Hand::Right as R, ServeTo as S, Target as T};
    for (far, ad, hand, to, target) in [
        (false, false, R, S::Wide, T::Forehand),
        (false, false, L, S::Wide, T::Backhand),
        (false, true, R, S::T, T::Forehand),
        (false, true, L, S::T, T::Backhand),
        (true, false, R, S::T, T::Backhand),
        (true, false, L, S::T, T::Forehand),
        (true, true, R, S::Wide, T::Backhand),
        (true, true, L, S::Wide, T::Forehand),
    ] {
        let mut r = rally('A', None, "left");
        r.about.a_starts = if far { End::Far } else { End::Near };
        r.about.b.hand = Some(hand);
        if ad {
            let again = r.points[0].clone();
            r.points.push(again);
        }
        let s = facts(&r).last().unwrap().shots[0];
        assert_eq!((s.serve_to, s.target), (Some(to), Some(Fact::seen(target))), "{far} {ad} {hand:?}");
    }
    let s = shots("body");
    assert_eq!(s[0].target, Some(Fact::seen(Target::Body)));
    let mut r = rally('A', None, "wide");
    r.about.b.hand = None;
    assert_eq!(only(&r).shots[0].target, None, "whose hand?");
    assert_eq!(only(&r).shots[0].serve_to, Some(ServeTo::Wide));
}

#[test]
fn serves_out_are_serves_too() {
    let mut r = rally('?', None, "T fast");
    r.points[0].faults = Some(1);
    r.points[0].serves_out = vec![ball(0, "wide slice")];
    let [first, second] = only(&r).serves.map(Option::unwrap);
    assert_eq!((first.to, first.fault, first.target), (Some(ServeTo::Wide), true, Some(Target::Forehand)));
    assert_eq!((second.to, second.fault), (Some(ServeTo::T), false));
    r.points[0].faults = Some(2);
    r.points[0].finish = Some(Finish::DoubleFault);
    r.points[0].shots.clear();
    let f = only(&r);
    assert_eq!(f.serves[0].unwrap().to, None, "one of two was seen: which?");
    assert_eq!((f.length, f.shots.len()), (Some(0), 0));
    r.points[0].faults = None;
    assert_eq!(only(&r).serves, [None; 2]);
}

#[test]
fn lanes_by_where_the_ball_before_landed() {
    use Lane::{CrossCourt, DownTheLine, InsideIn, InsideOut, Middle};
    // Shot 3 by a right-hander at the near end, whose backhand is on the camera's left.
    for (before, stroke, want) in [
        ("right deep", "left deep fh", Some(CrossCourt)),
        ("right deep", "right deep fh", Some(DownTheLine)),
        ("right deep", "right deep", Some(DownTheLine)),
        ("right deep", "middle deep", Some(Middle)),
        ("left deep", "right deep bh", Some(CrossCourt)),
        ("left deep", "left deep bh", Some(DownTheLine)),
        ("left deep", "right deep fh", Some(InsideOut)),
        ("left deep", "left deep fh", Some(InsideIn)),
        ("left deep", "left deep", None),
        ("left deep", "left deep overhead", Some(DownTheLine)),
        ("middle deep", "left deep fh", None),
        ("?", "left deep fh", None),
        ("?", "middle deep fh", Some(Middle)),
    ] {
        let s = shots(&format!("T / {before} / {stroke}"));
        assert_eq!(s[2].lane.map(|l| l.value), want, "{before}, {stroke}");
        assert_eq!(s[2].lane.is_some_and(|l| l.estimated), want.is_some_and(|w| w != Middle));
    }
    assert_eq!(shots("wide")[0].lane, None);
}

#[test]
fn open_court_behind_middle_by_where_the_opponent_struck() {
    for (serve, plus_one, want) in [
        ("wide", "right deep", Some(Goes::OpenCourt)),
        ("wide", "left deep", Some(Goes::Behind)),
        ("body", "left deep", Some(Goes::Behind)),
        ("wide", "middle deep", Some(Goes::Middle)),
        ("T", "right deep", None),
        ("T", "middle deep", Some(Goes::Middle)),
        ("?", "left deep", None),
        ("wide", "?", None),
    ] {
        let s = shots(&format!("{serve} / middle deep / {plus_one}"));
        assert_eq!(s[2].goes.map(|g| g.value), want, "{serve}, {plus_one}");
        assert_eq!(s[2].goes.is_some_and(|g| g.estimated), want.is_some_and(|w| w != Goes::Middle));
    }
}

#[test]
fn measured_positions_come_first() {
    let far = at(0.0, -12.0);
    let r = placed(&[
        ("wide", [far, at(-4.0, 12.5)]),
        ("right deep", [far, at(-4.0, 12.5)]),
        ("right deep fh", [at(-2.0, -12.5), at(1.0, 12.5)]),
        ("left short bh", [far, at(3.0, 15.2)]),
    ]);
    let s = only(&r).shots;
    assert_eq!(s[2].goes, Some(Fact::seen(Goes::Behind)), "the opponent was over the middle already");
    assert_eq!(s[2].lane, Some(Fact::seen(Lane::InsideOut)), "struck on the left");
    assert_eq!(s[2].push, Some(Fact::seen(Push::Back)), "12.5 to 15.2 m");
    assert_eq!(s[2].inside, Some(Fact::seen(false)));
    assert_eq!(s[2].opponent_deep, Some(Fact::seen(false)));
    assert_eq!(s[0].inside, Some(Fact::seen(false)));
    let mut r = placed(&[("T", [far, at(0.0, 15.0)]), ("middle deep", [far, at(0.4, 15.0)])]);
    r.points[0].shots.push(Shot { players: Some([far, at(0.4, 15.0)]), ..ball(2, "right short drop") });
    let s = only(&r).shots;
    assert_eq!(
        (s[2].goes, s[2].opponent_deep),
        (None, Some(Fact::seen(true))),
        "within half a metre of the middle"
    );
}

#[test]
fn away_from_the_drop_shot() {
    let drop = |from: Place, to: Place| {
        let near = at(0.0, -11.0);
        let r =
            placed(&[("T", [near, from]), ("middle mid", [near, from]), ("right short drop", [near, to])]);
        only(&r).shots[2].opponent_leaving
    };
    assert_eq!(
        drop(at(2.0, 12.5), at(0.0, 12.5)),
        Some(Fact::estimated(true)),
        "to the left, the ball right"
    );
    assert_eq!(drop(at(-2.0, 12.5), at(0.0, 12.5)), Some(Fact::estimated(false)));
    assert_eq!(drop(at(0.0, 12.5), at(0.0, 13.5)), Some(Fact::estimated(true)), "going back");
    assert_eq!(drop(at(0.2, 12.5), at(0.0, 12.5)), Some(Fact::estimated(false)), "hardly moving");
    assert_eq!(shots("T / middle mid / right short drop")[2].opponent_leaving, None, "no positions");
}

#[test]
fn depth_tells_where_players_must_be() {
    let s = shots("T / middle short / right deep / left mid / right short drop / left short");
    assert_eq!(s[1].depth, Some(Depth::Short));
    let inside: Vec<_> = s.iter().map(|s| s.inside).collect();
    let (yes, no) = (Some(Fact::estimated(true)), Some(Fact::estimated(false)));
    assert_eq!(
        inside,
        [Some(Fact::seen(false)), None, yes, no, None, yes],
        "a serve has no depth, a mid ball may be either"
    );
    let push: Vec<_> = s.iter().map(|s| s.push.map(|p| p.value)).collect();
    let (held, back, within) = (Some(Push::Held), Some(Push::Back), Some(Push::In));
    assert_eq!(push, [None, within, held, back, within, within]);
    assert!(s[1..].iter().all(|s| s.push.is_some_and(|p| p.estimated)));
    let deep: Vec<_> = s.iter().map(|s| s.opponent_deep).collect();
    assert_eq!(deep, [None, None, None, no, None, None], "only a short ball tells");
}

/// Definition used in published return-position analyses; rows of cells are thirds of 13 ft.
#[test]
fn a_measured_landing_comes_before_its_cell() {
    let mut r = rally('?', None, "T / middle mid");
    r.points[0].shots[1].landing = Some(at(0.0, -6.0));
    let s = only(&r).shots[1];
    assert_eq!((s.depth, s.cell), (Some(Depth::Short), r.points[0].shots[1].cell));
    r.points[0].shots[1].landing = Some(at(2.0, -12.4));
    r.points[0].shots[1].cell = None;
    let s = only(&r).shots[1];
    assert_eq!(
        (s.depth, s.column),
        (None, Some(crate::tennis::stroke::Column::Left)),
        "as the striker sees it"
    );
}

#[test]
fn wings_that_balls_go_to() {
    let s = shots("T / middle deep / left deep / right deep bh / left deep");
    assert_eq!(s[2].target, Some(Fact::seen(Target::Backhand)), "the answer was one");
    assert_eq!(s[3].target, Some(Fact::estimated(Target::Forehand)), "a right-hander at the near end");
    assert_eq!(s[1].target, None, "to the middle, and the answer's wing was not noted");
    assert_eq!(s[4].target, Some(Fact::estimated(Target::Forehand)));
}

#[test]
fn how_long_and_who_was_last() {
    let f = only(&rally('?', Some(Finish::UnforcedError), "T / middle deep / left deep / ?"));
    assert_eq!((f.length, f.finish_by), (Some(4), Some(Side::B)));
    assert_eq!((f.shots[2].missed, f.shots[3].missed), (Some(false), Some(true)));
    let f = only(&rally('?', Some(Finish::Ace), "T"));
    assert_eq!((f.length, f.shots[0].missed), (Some(1), Some(false)));
    let mut r = rally('?', Some(Finish::Ace), "T");
    r.points[0].shots.clear();
    r.points[0].logged = None;
    let f = only(&r);
    assert_eq!((f.length, f.shots.len(), f.shots[0].by), (Some(1), 1, Some(Side::A)));
    let mut r = rally('A', Some(Finish::Winner), "T / middle deep / left deep");
    r.points[0].logged = Some(Logged::Opening);
    let f = only(&r);
    assert_eq!((f.length, f.shots[2].missed), (None, Some(false)), "it landed; there may have been more");
    r.points[0].shots[2].cell = None;
    assert_eq!(only(&r).shots[2].missed, None, "nobody saw whether it was in");
    assert_eq!(
        [0, 1, 4, 5, 8, 9, 40].map(Band::of).map(|b| b.map(Band::words)),
        [
            None,
            Some("1–4 shots"),
            Some("1–4 shots"),
            Some("5–8 shots"),
            Some("5–8 shots"),
            Some("9 shots or more"),
            Some("9 shots or more"),
        ]
    );
}

#[test]
fn time_between_strikes() {
    let mut r = rally('?', None, "T / middle deep / left deep");
    for (shot, ms) in r.points[0].shots.iter_mut().zip([11_000, 11_900, 11_500]) {
        shot.at = Some(MatchTime::from_millis(ms));
    }
    let since: Vec<_> = only(&r).shots.iter().map(|s| s.since).collect();
    assert_eq!(since, [None, Some(Duration::from_millis(900)), None], "the third is before the second");
}

#[test]
fn in_doubles_the_hand_is_that_of_who_receives() {
    let mut r = rally('?', None, "wide");
    r.about.rules = Rules::named("doubles-best-of-3").unwrap_or_default();
    r.about.a_partner = Some(Player::named("Reyes"));
    r.about.b_partner = Some(Player { hand: Some(Hand::Left), ..Player::named("Lindt") });
    assert_eq!(only(&r).shots[0].target, None, "one is right-handed, one left-handed");
    r.about.b_partner.as_mut().unwrap().hand = Some(Hand::Right);
    assert_eq!(only(&r).shots[0].target, Some(Fact::seen(Target::Forehand)));
}

#[test]
fn nothing_seen_is_nothing_known() {
    for s in shots("? / ? / ?") {
        let ShotFacts { by, end, inside: _, missed: _, stroke: None, .. } = s else { panic!("{s:?}") };
        assert!(by.is_some() && end.is_some());
        assert_eq!((s.depth, s.lane, s.goes, s.target, s.push), (None, None, None, None, None));
    }
}

#[test]
fn balls_in_words() {
    let mut r =
        rally('A', Some(Finish::UnforcedError), "wide slice / middle deep bh / right short fh approach / ?");
    assert_eq!(
        rally_of(&r, &only(&r)),
        "Holt serves wide, slice · Okafor returns backhand, deep, middle · Holt forehand, short, right, open court, \
         approach · Okafor missed"
    );
    r.points[0].finish = None;
    assert_eq!(ball_of(&r, &only(&r), 3), "Okafor missed", "not seen to land, and the other side won");
    assert_eq!(ball_of(&r, &only(&r), 9), "");
}

#[test]
fn thresholds_in_metres_are_unknown_within_the_error() {
    let m = |metres: f32, off: f32| Metric { metres, off };
    assert_eq!(m(3.1, 0.05).at_least(3.0), Some(true));
    assert_eq!(m(3.1, 0.2).at_least(3.0), None);
    assert_eq!(m(2.7, 0.2).at_least(3.0), Some(false));
    assert_eq!(m(1.114, 0.119).words(), "1.11 ± 0.12 m");
}

#[test]
fn lengths_follow_from_measured_places() {
    let r = placed(&[
        ("wide", [at(1.0, -12.0), at(3.0, 12.5)]),
        ("left deep", [at(0.4, -12.2), at(-4.0, 13.5)]),
        ("right mid", [at(-2.0, -11.0), at(-1.5, 13.0)]),
    ]);
    let f = only(&r);
    let of = |n: usize, l: Length| f.lengths_of[n].of(l).map(|m| (m.metres * 100.0).round() as i32);
    assert_eq!(of(0, Length::Behind), Some(11));
    assert_eq!(of(0, Length::OpponentBehind), Some(61));
    assert_eq!(of(0, Length::Displaces), Some(700), "the receiver by the serve");
    assert_eq!(of(0, Length::Recovers), Some(40));
    assert_eq!(of(1, Length::PushesBack), Some(-100), "forced forward");
    assert_eq!(of(2, Length::FromNet), Some(1100));
    assert_eq!(of(2, Length::Displaces), None, "nobody struck it after that");
    assert!(only(&rally('?', None, "wide / left deep")).lengths_of.is_empty());
}
