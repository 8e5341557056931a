//! A tally that follows edits is the tally of the record that they leave.

use proptest::prelude::*;

use super::by_score::ByScore;
use super::point::{PointFacts, one};
use super::{Tally, facts};
use crate::record::{Cameras, Edit, Finish, Hand, Point, Record, Shot};
use crate::tennis::count::{Count, steps};
use crate::tennis::mark::Mark;
use crate::tennis::odds::Odds;
use crate::tennis::pair::Server;
use crate::tennis::rules::Play;
use crate::tennis::stroke::{Cell, Column, Row, Wing};
use crate::tennis::{End, Side};

fn points(n: usize) -> Record {
    let point =
        |i: usize| Point { winner: Some(if i * 7 % 11 < 6 { Side::A } else { Side::B }), ..Point::default() };
    let mut record = Record { points: (0..n).map(point).collect(), ..Record::default() };
    record.about.rules.best_of = 5;
    record
}

#[test]
fn a_tag_far_from_the_end_counts_few_points_and_shares_the_other_facts() {
    let mut record = points(1000);
    let mut tally = Tally::of(&record);
    let before = tally.facts().clone();
    let mut point = record.points[100].clone();
    point.tags.insert("net".into());
    let (change, _) = record.apply(Edit::SetPoint { at: 100, point }).unwrap();
    assert!(steps::of(|| tally.follow(&record, change)) <= 64);
    let shared = (0..1000).filter(|i| tally.facts().shares(&before, *i)).count();
    assert_eq!(shared, 999);
    assert_eq!(*tally.facts(), facts(&record));
}

/// The facts of each point by itself, by the score that was replayed anew.
fn one_by_one(record: &Record) -> Vec<PointFacts> {
    let odds = Odds::usual(record.about.counted_by());
    let cameras = Cameras::of(record);
    let mut count = Count::new(record.about.setup());
    let mut all = Vec::new();
    for (at, point) in record.points.iter().enumerate() {
        let before = count.before(at, &point.played());
        let by = ByScore::of(&record.about_of(point), point, &before, odds.as_deref());
        all.push(one(at, (point, &cameras), by));
        count.take(&point.played());
    }
    all
}

/// Points that can be told apart: no other has the same tag.
fn any_point() -> impl Strategy<Value = Point> {
    let shot = (0..3_usize, 0..3_usize, any::<bool>()).prop_map(|(column, row, wing)| Shot {
        cell: Some(Cell { column: Column::ALL[column], row: Some(Row::ALL[row]) }),
        wing: wing.then_some(Wing::Backhand),
        ..Shot::default()
    });
    (bare_point(), prop::collection::vec(shot, 0..4), any::<u32>(), 0..3_u8).prop_map(
        |(point, shots, tag, by)| Point {
            shots,
            tags: [tag.to_string()].into(),
            finish: [None, Some(Finish::UnforcedError), Some(Finish::Winner)][usize::from(by)],
            ..point
        },
    )
}

fn bare_point() -> impl Strategy<Value = Point> {
    let mark = prop::option::weighted(0.05, (0..4_u8, 0..4_u8, 0..3_u16, prop::option::of(any::<bool>())));
    (0..12_u8, mark, prop::option::weighted(0.1, any::<bool>()), prop::bool::weighted(0.05)).prop_map(
        |(winner, mark, served, replayed)| Point {
            winner: [None, Some(Side::A), Some(Side::B)]
                [if winner == 0 { 0 } else { 1 + usize::from(winner % 2) }],
            score_before: mark.map(|(a, b, points, a_end)| Mark {
                games: [a.into(), b.into()],
                points: [points, 0],
                a_end: a_end.map(|near| if near { End::Near } else { End::Far }),
                ..Mark::default()
            }),
            served_by: served.map(|a| if a { Server::A } else { Server::B }),
            replayed,
            ..Point::default()
        },
    )
}

#[derive(Debug, Clone)]
enum Do {
    Insert(usize, Point),
    Remove(usize),
    Set(usize, Point),
    Closing(bool),
}

fn any_edit() -> impl Strategy<Value = Do> {
    prop_oneof![
        (any::<prop::sample::Index>(), any_point()).prop_map(|(i, p)| Do::Insert(i.index(1000), p)),
        any::<prop::sample::Index>().prop_map(|i| Do::Remove(i.index(1000))),
        (any::<prop::sample::Index>(), any_point()).prop_map(|(i, p)| Do::Set(i.index(1000), p)),
        any::<bool>().prop_map(Do::Closing),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn following_edits_is_counting_anew(
        all in prop::collection::vec(any_point(), 0..300),
        edits in prop::collection::vec(any_edit(), 1..12),
        drill in prop::bool::weighted(0.3),
        hands in (any::<bool>(), any::<bool>()),
    ) {
        let mut record = Record { points: all.into(), ..Record::default() };
        if drill {
            record.about.rules.play = Play::Drill;
        }
        let hand = |left| Some(if left { Hand::Left } else { Hand::Right });
        (record.about.a.hand, record.about.b.hand) = (hand(hands.0), hand(hands.1));
        let mut tally = Tally::of(&record);
        for edit in edits {
            let len = record.points.len();
            let edit = match edit {
                Do::Insert(i, point) => Edit::InsertPoint { at: i % (len + 1), point },
                Do::Remove(_) | Do::Set(..) if len == 0 => continue,
                Do::Remove(i) => Edit::RemovePoint { at: i % len },
                Do::Set(i, point) => Edit::SetPoint { at: i % len, point },
                Do::Closing(some) => Edit::SetClosingScore(some.then(Mark::default)),
            };
            let (change, _) = record.apply(edit).unwrap();
            tally.follow(&record, change);
            let unmarked = tally.facts().iter().map(|f| PointFacts { important: None, ..f.clone() });
            prop_assert_eq!(unmarked.collect::<Vec<_>>(), one_by_one(&record));
            let anew = Tally::of(&record);
            prop_assert_eq!(tally.facts(), anew.facts());
            prop_assert_eq!(tally.replay(), anew.replay());
            prop_assert_eq!(tally.replay(), &record.replay());
        }
    }
}
