//! What one point says to a number, and what is written of it: each case is one that a wrong comparison, side or index would count
//! otherwise.

use super::tests::{most, share, value, whole};
use super::*;
use crate::evidence::Percent;
use crate::facts::Lane;
use crate::facts::tests::{ball, rally, record};
use crate::record::{Finish, Record};
use crate::summary::Whose;
use crate::summary::study::Pool;
use crate::tennis::CourtSide;
use crate::tennis::mark::Mark;
use crate::tennis::stroke::{ServeTo, Wing};

/// A first serve down the T, a fault, and a second one wide.
fn second_serve() -> Record {
    let mut r = rally('A', Some(Finish::Winner), "wide/fh left deep/fh right deep");
    (r.points[0].faults, r.points[0].serves_out) = (Some(1), vec![ball(0, "T")]);
    r
}

#[test]
fn a_second_serve_is_one_only_if_the_first_was_a_fault() {
    let of = |r: &Record, n, to| {
        share(&whole(vec![r.clone()]), Number::ServeDirection(n, CourtSide::Deuce, to), 0)
    };
    let mut r = second_serve();
    assert_eq!([of(&r, 1, ServeTo::T), of(&r, 1, ServeTo::Wide)], [(1, 1, 0), (0, 1, 0)]);
    assert_eq!([of(&r, 2, ServeTo::T), of(&r, 2, ServeTo::Wide)], [(0, 1, 0), (1, 1, 0)]);
    assert_eq!(
        share(&whole(vec![r.clone()]), Number::ServeDirection(2, CourtSide::Ad, ServeTo::Wide), 0).1,
        0
    );
    (r.points[0].faults, r.points[0].serves_out) = (Some(0), Vec::new());
    assert_eq!([of(&r, 1, ServeTo::Wide), of(&r, 2, ServeTo::Wide)], [(1, 1, 0), (0, 0, 0)]);
    r.points[0].faults = None;
    assert_eq!(of(&r, 2, ServeTo::Wide), (0, 0, 1), "it is not known whether there was one");
    assert_eq!(share(&whole(vec![r.clone()]), Number::WonOnServe(2), 0), (0, 0, 1));
    let r = second_serve();
    let part = whole(vec![r]);
    assert_eq!(
        [Number::WonOnServe(1), Number::WonOnServe(2), Number::ServiceWon].map(|n| share(&part, n, 0)),
        [(0, 0, 0), (1, 1, 0), (1, 1, 0)]
    );
    assert_eq!([1, 2].map(|n| share(&part, Number::ReturnWonOn(n), 1)), [(0, 0, 0), (0, 1, 0)]);
}

/// After a serve that did not come back the server struck nothing else, and the receiver at most the return.
#[test]
fn a_serve_that_did_not_come_back_leaves_at_most_the_return() {
    let unreturned = |balls| {
        let mut r = rally('A', None, balls);
        (r.points[0].unreturned, r.points[0].logged) = (true, None);
        let part = whole(vec![r]);
        [0, 1].map(|column| share(&part, Number::Lines(Wing::Forehand, Lane::Middle), column).2)
    };
    assert_eq!(unreturned("wide"), [0, 1], "the return may have been tried");
    assert_eq!(unreturned("wide/bh"), [0, 0], "it was, and is known");
}

#[test]
fn a_net_point_is_one_with_an_approach_a_volley_an_overhead_or_a_shot_at_the_net() {
    let net = |balls: &str, at_net| {
        let mut r = rally('A', Some(Finish::Winner), balls);
        r.points[0].shots[2].at_net = at_net;
        let part = whole(vec![r]);
        [0, 1].map(|column| share(&part, Number::NetPoints, column).1)
    };
    let rest = "wide/fh left deep/fh";
    assert_eq!(net(&format!("{rest} right deep"), false), [0, 0]);
    assert_eq!(net(&format!("{rest} right deep"), true), [1, 0]);
    assert_eq!(net(&format!("{rest} volley right deep"), false), [1, 0]);
    assert_eq!(net(&format!("{rest} overhead right deep"), false), [1, 0]);
    assert_eq!(net("wide/fh volley left deep/fh right deep", false), [0, 1]);
}

/// The server ends a game by winning it, the receiver by breaking: neither is counted for the other.
#[test]
fn a_game_is_held_by_its_server_and_broken_by_the_receiver() {
    let all = [Number::GamesHeld, Number::GamesBroken];
    let games = |winners: &str, column| {
        let part = whole(vec![record(winners)]);
        all.map(|n| share(&part, n, column))
    };
    assert_eq!([games("AAAA", 0), games("AAAA", 1)], [[(1, 1, 0), (0, 0, 0)], [(0, 0, 0), (0, 1, 0)]]);
    assert_eq!([games("BBBB", 0), games("BBBB", 1)], [[(0, 1, 0), (0, 0, 0)], [(0, 0, 0), (1, 1, 0)]]);
    // At 30–40 the server's next point ends no game.
    assert_eq!(games("AABBBA", 0), [(0, 0, 0), (0, 0, 0)]);
}

/// Play that was not recorded ends a row of points.
#[test]
fn a_score_mark_ends_a_row_of_points() {
    let mut r = record("AAAAA");
    r.points[3].score_before = Some(Mark { games: [2, 0], ..Mark::default() });
    assert_eq!(most(&whole(vec![r]), Number::MostInARow, 0), (3, vec![0, 1, 2]));
}

/// A percentage from ten points on, in the table and in the first line.
#[test]
fn ten_points_have_a_percentage_and_nine_have_none() {
    let said = |winners: &str| {
        let found = numbers(&Pool::new(vec![record(winners)]), &Whose::Both);
        let Value::Share(s) = value(&found.parts[0], Number::PointsWon, 0) else { panic!("a share") };
        (s.words(), found.headline(&found.parts[0]).remove(0))
    };
    let half = Percent::of(0.5);
    assert_eq!(
        said("ABABABABAB"),
        (format!("5 of 10 ({half})"), format!("Holt won 5 of 10 points ({half}), Okafor 5 ({half})"))
    );
    assert_eq!(said("ABABABABA"), ("5 of 9".into(), "Holt won 5 of 9 points, Okafor 4".into()));
}

/// Of first serves a rate is given as long as no more are unknown than known.
#[test]
fn first_serves_have_a_rate_while_half_of_them_are_known() {
    let rate = |unknown: usize| {
        let mut r = record(&"A".repeat(12 + unknown));
        for (n, p) in r.points.iter_mut().enumerate() {
            p.served_by = Some(crate::tennis::pair::Server::A);
            p.faults = (n < 12).then_some(u8::from(n % 3 == 0));
        }
        let Value::Share(s) = value(&whole(vec![r]), Number::FirstServesIn, 0) else { panic!("a share") };
        (s.count, s.of, s.unknown.len(), s.rate.is_some())
    };
    assert_eq!([rate(0), rate(12), rate(13)], [(8, 12, 0, true), (8, 12, 12, true), (8, 12, 13, false)]);
}

/// A missed shot of unknown wing may have been either: the directions of both wings can be off by it.
#[test]
fn a_missed_shot_of_unknown_wing_counts_for_both() {
    let of = |balls: &str| {
        let mut all: Vec<Record> =
            (0..12).map(|_| rally('A', Some(Finish::Winner), "wide/bh middle deep/fh left deep")).collect();
        all.push(rally('A', Some(Finish::UnforcedError), balls));
        let found = numbers(&Pool::new(all), &Whose::Both);
        found.notes(&found.parts[0]).into_iter().find(|n| n.starts_with("Directions"))
    };
    let known = of("wide/bh middle deep/fh left deep/bh").unwrap();
    assert!(known.ends_with(" Each share is too high by at most 8 percentage points."), "{known}");
    assert_eq!(
        of("wide/bh middle deep/fh left deep/"),
        Some(known),
        "twelve of twelve backhands, or of thirteen"
    );
    let other = of("wide/bh middle deep/fh left deep/fh");
    assert_eq!(other, None, "it was a forehand, of which the others are too few to tell");
}
