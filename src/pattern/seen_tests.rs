//! Footage that does not begin with a match, or with a point: what follows from what was seen alone.

use super::{Answer, Condition, ServeTest, ShotTest, Step, Who};
use crate::facts::{Call, PointFacts, facts, words_of};
use crate::record::{Finish, Kind, Logged, Player, Point, Record, Shot, Source};
use crate::tennis::mark::Mark;
use crate::tennis::pair::Server;
use crate::tennis::stroke::{Cell, Column, Miss, Row, ServeTo, Stance, Stroke};
use crate::tennis::{CourtSide, End, Side};

fn won(winner: Side) -> Point {
    Point { winner: Some(winner), ..Point::default() }
}

fn shows(kind: Kind, points: Vec<Point>) -> Record {
    let mut record = Record { points: points.into(), ..Record::default() };
    record.about.shows = kind;
    record
}

fn one(record: &Record, n: usize) -> PointFacts {
    facts(record)[n].clone()
}

/// A rally whose last shots are a drop shot by A and a lob by B, who misses it.
fn rally() -> Point {
    let shot = |stroke| Shot { stroke: Some(stroke), ..Shot::default() };
    Point {
        shots: vec![shot(Stroke::Groundstroke), shot(Stroke::DropShot), shot(Stroke::Lob)],
        logged: Some(Logged::Every),
        finish: Some(Finish::UnforcedError),
        winner: Some(Side::A),
        joined_late: true,
        ..Point::default()
    }
}

fn stroke(stroke: Stroke) -> Vec<ShotTest> {
    vec![ShotTest::Stroke(stroke)]
}

fn then(first: Stroke, second: Stroke) -> Condition {
    let step = |s| Step { within: 1, striker: None, tests: stroke(s) };
    Condition::Sequence(vec![step(first), step(second)])
}

#[test]
fn part_of_a_match_has_no_score_before_a_mark_says_it() {
    let mark = Mark { games: [3, 2], points: [1, 0], server: Some(Server::B), ..Mark::default() };
    let marked = Point { score_before: Some(mark.clone()), ..won(Side::B) };
    let served = Point { served_by: Some(Server::A), ..won(Side::A) };
    let record = shows(Kind::Part, vec![won(Side::A), served, marked, won(Side::B)]);
    let first = one(&record, 0);
    assert_eq!((first.called, first.server, first.set, first.break_point), (None, None, None, None));
    assert_eq!((first.court, first.server_end, first.score_known), (None, None, false));
    assert_eq!(one(&record, 1).server, Some(Side::A), "it was seen");
    let third = one(&record, 2);
    assert_eq!((third.called, third.server), (Some(Call::points(0, 1)), Some(Side::B)));
    assert_eq!((third.court, third.set, third.server_end), (Some(CourtSide::Ad), Some(1), None));
    assert_eq!(one(&record, 3).called, Some(Call::points(1, 1)), "and is counted from there");
    assert_eq!(crate::record::check::check(&record), []);
}

/// Nobody said who serves: that does not follow from who served first in a match whose start was not seen.
#[test]
fn a_mark_without_a_server_tells_none() {
    let mark = Mark { games: [3, 2], ..Mark::default() };
    let marked = |served_by| Point { score_before: Some(mark.clone()), served_by, ..won(Side::B) };
    let record = shows(Kind::Part, vec![marked(None), won(Side::A)]);
    let first = one(&record, 0);
    assert_eq!((first.set, first.server, first.called), (Some(1), None, Some(Call::points(0, 0))));
    assert_eq!(one(&record, 1).called, None, "0–15 or 15–0");
    let record = shows(Kind::Part, vec![marked(Some(Server::B)), won(Side::A)]);
    assert_eq!(one(&record, 1).called, Some(Call::points(1, 0)), "who was seen to serve tells");
}

#[test]
fn points_of_many_matches_stand_alone() {
    let source = |a: &str, b: &str, score: &str| {
        Some(Box::new(Source { a: a.into(), b: b.into(), score: score.into(), ..Source::default() }))
    };
    let first =
        Point { source: source("Holt", "Okafor", "30–40"), served_by: Some(Server::B), ..won(Side::B) };
    let second = Point { source: source("Reyes", "Holt", "second set"), ..won(Side::A) };
    let mark = Some(Mark { games: [1, 0], ..Mark::default() });
    let mut record = shows(Kind::Points, vec![first, second, Point { score_before: mark, ..won(Side::A) }]);
    record.people = ["Holt", "Okafor", "Reyes"].map(Player::named).into();
    let known = one(&record, 0);
    assert_eq!((known.called, known.server), (Some(Call::points(2, 3)), Some(Side::B)));
    assert_eq!((known.break_point, known.game_point), (Some(true), Some(false)));
    assert_eq!(known.standing, Some(std::cmp::Ordering::Less));
    assert_eq!((known.set, known.set_point, known.tie_break, known.important), (None, None, None, None));
    let heard = one(&record, 1);
    assert_eq!((heard.called, heard.server, heard.break_point), (None, None, None));
    let told = words_of(&record, &facts(&record)[0]);
    assert!(told.starts_with("Holt – Okafor, Okafor serves, 30–40"), "{told}");
    assert_eq!(record.winner(), None);
    let told: Vec<String> = crate::record::check::check(&record).iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), 2, "{told:?}");
    assert_eq!(told[0], "warning: point 3: it does not say who plays");
    assert!(told[1].contains("points of many matches have no common score"), "{told:?}");
}

#[test]
fn of_a_point_joined_late_no_shot_has_a_number() {
    let record = shows(Kind::Match, vec![rally()]);
    let f = one(&record, 0);
    assert_eq!((f.length, f.serve, f.unreturned, f.serves), (None, None, Some(false), [None; 2]));
    for n in [1, 2, 3, 4, 20] {
        let asked = Condition::Shot(n, stroke(Stroke::DropShot));
        assert_eq!(asked.answer(&f), Answer::Unknown, "shot {n}");
    }
    assert_eq!(Condition::Rally(1..=4).answer(&f), Answer::Unknown);
    assert_eq!(Condition::Rally(1..=3).answer(&f), Answer::No, "there were four at least");
    assert_eq!(Condition::Rally(4..=usize::MAX).answer(&f), Answer::Yes);
}

#[test]
fn what_counts_from_the_other_end_is_answered() {
    let record = shows(Kind::Match, vec![rally()]);
    let f = one(&record, 0);
    assert_eq!(Condition::LastShot(stroke(Stroke::Lob)).answer(&f), Answer::Yes);
    assert_eq!(Condition::LastShot(stroke(Stroke::DropShot)).answer(&f), Answer::No);
    assert_eq!(then(Stroke::DropShot, Stroke::Lob).answer(&f), Answer::Yes);
    assert_eq!(then(Stroke::Lob, Stroke::Volley).answer(&f), Answer::Unknown, "it may have come before");
    let by: Vec<_> = f.shots.iter().map(|s| s.by).collect();
    assert_eq!(by, [Some(Side::B), Some(Side::A), Some(Side::B)], "by who made the error");
    assert_eq!(f.shots.iter().map(|s| s.missed).collect::<Vec<_>>(), [Some(false), Some(false), Some(true)]);
    assert_eq!(f.shots[0].serve_to, None);
}

#[test]
fn a_point_left_early_says_nothing_of_its_end() {
    let point = Point { joined_late: false, left_early: true, winner: None, finish: None, ..rally() };
    let record = shows(Kind::Match, vec![point]);
    let f = one(&record, 0);
    assert_eq!((f.length, f.winner, f.shots[2].missed), (None, None, None));
    assert_eq!(Condition::LastShot(stroke(Stroke::Lob)).answer(&f), Answer::Unknown);
    assert_eq!(then(Stroke::DropShot, Stroke::Lob).answer(&f), Answer::Yes);
    assert_eq!(Condition::Shot(2, stroke(Stroke::DropShot)).answer(&f), Answer::Yes);
    assert_eq!(Condition::Shot(9, stroke(Stroke::DropShot)).answer(&f), Answer::Unknown);
}

/// The shot after the serve in play would have been struck to the other half: the end is that of whoever struck.
#[test]
fn the_end_of_a_shot_is_that_of_whoever_struck_it() {
    let cell = Cell { column: Column::Left, row: Some(Row::Up) };
    let shot = Shot { cell: Some(cell), stroke: Some(Stroke::Groundstroke), ..Shot::default() };
    let point = Point {
        shots: vec![shot.clone(), shot],
        logged: Some(Logged::Every),
        joined_late: true,
        first_by: Some(Side::B),
        served_by: Some(Server::A),
        server_end: Some(End::Near),
        ..won(Side::A)
    };
    let f = one(&shows(Kind::Match, vec![point]), 0);
    let ends: Vec<_> = f.shots.iter().map(|s| (s.by, s.end)).collect();
    assert_eq!(ends, [(Some(Side::B), Some(End::Far)), (Some(Side::A), Some(End::Near))]);
}

/// For a point penalty nothing was served and no shot ended it, also where the record says nothing else. A fault before it was served.
#[test]
fn a_point_penalty_is_unknown_to_no_filter() {
    let penalty = |faults| Point { penalty: Some(Side::B), faults, ..won(Side::A) };
    let answers = |faults| {
        let f = one(&shows(Kind::Match, vec![penalty(faults)]), 0);
        let all = [
            Condition::Serve(1),
            Condition::Serve(2),
            Condition::Stance(Stance::Wide),
            Condition::Miss(Miss::Net),
            Condition::FinishBy(Who::Server),
            Condition::Finish(Finish::UnforcedError),
            Condition::Unreturned(true),
            Condition::Rally(1..=4),
            Condition::SomeShot(stroke(Stroke::Volley)),
            Condition::LastShot(stroke(Stroke::Volley)),
            Condition::Tried(2, vec![ServeTest::To(ServeTo::T)]),
            Condition::Tried(1, vec![ServeTest::Fault(true)]),
        ];
        all.map(|c| c.answer(&f))
    };
    assert_eq!(answers(None), [Answer::No; 12]);
    let (fault, rest) = answers(Some(1)).split_last().map(|(last, rest)| (*last, rest.to_vec())).unwrap();
    assert_eq!(fault, Answer::Yes, "the fault was served");
    assert_eq!(rest, [Answer::No; 11]);
}
