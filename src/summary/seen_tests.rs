//! Tags that say whose they are, and points of many matches, as they are counted.

use super::*;
use crate::pattern::PatternFile;
use crate::record::{Kind, Player, Point, Record, Source, Whose as Tagger};
use crate::summary::numbers::{Number, Value, numbers};
use crate::summary::study::Pool;
use crate::tennis::pair::Server;

/// A tag says whose it is, or does not: "drop shot by Holt" in a point without shots.
#[test]
fn a_tag_counts_for_whose_it_is() {
    let tagged = |by: Option<Tagger>, winner| Point {
        tags: ["drop shot".to_owned()].into(),
        tags_by: by.map(|by| ("drop shot".to_owned(), by)).into_iter().collect(),
        winner: Some(winner),
        ..Point::default()
    };
    let record = Record {
        points: vec![
            tagged(Some(Tagger::A), Side::A),
            tagged(Some(Tagger::B), Side::A),
            tagged(None, Side::A),
            tagged(Some(Tagger::Both), Side::B),
        ]
        .into(),
        ..Record::default()
    };
    let starter = PatternFile::starter().unwrap();
    let drop = starter.named("Drop shot").unwrap();
    let row = |whose| summarise(&[&record], std::slice::from_ref(drop), &whose).rows.remove(0);
    let both = row(Whose::Both);
    assert_eq!((both.happened.points.len(), both.happened.won.len(), both.happened.lost.len()), (4, 1, 1));
    assert_eq!(both.happened.unknown.len(), 2, "whose drop shot it was is not known");
    let places = |all: &[PointRef]| all.iter().map(|at| at.point).collect::<Vec<_>>();
    let of_a = row(Whose::Side(Side::A));
    assert_eq!(
        (places(&of_a.happened.points), places(&of_a.cannot_tell)),
        (vec![0, 3], vec![1, 2]),
        "one of A's may have gone unnoticed"
    );
    assert_eq!((places(&of_a.happened.won), places(&of_a.happened.lost)), (vec![0], vec![3]));
    let of_b = row(Whose::Side(Side::B));
    assert_eq!((places(&of_b.happened.points), places(&of_b.cannot_tell)), (vec![1, 3], vec![0, 2]));
}

/// Holt is A in one match and B in another, and plays in neither of the last point.
fn of_many() -> Record {
    let mut record = Record::default();
    record.about.shows = Kind::Points;
    record.people = ["Holt", "Okafor", "Reyes"].map(Player::named).into();
    let point = |a: &str, b: &str, server, winner| Point {
        source: Some(Box::new(Source { a: a.into(), b: b.into(), ..Source::default() })),
        served_by: Some(server),
        winner: Some(winner),
        tags: ["net".to_owned()].into(),
        ..Point::default()
    };
    record.points = vec![
        point("Holt", "Okafor", Server::A, Side::A),
        point("Reyes", "Holt", Server::B, Side::A),
        point("Holt", "Okafor", Server::B, Side::B),
        point("Reyes", "Holt", Server::A, Side::B),
        point("Okafor", "Reyes", Server::A, Side::A),
    ]
    .into();
    record
}

#[test]
fn a_player_of_many_matches_is_counted_on_whichever_side() {
    let record = of_many();
    let pattern = Pattern { won_by: Who::Server, ..Pattern::tagged("net") };
    let row = |whose| summarise(&[&record], std::slice::from_ref(&pattern), &whose);
    let holt = row(Whose::Named("Holt".into()));
    let places = |all: &[PointRef]| all.iter().map(|at| (at.record, at.point)).collect::<Vec<_>>();
    assert_eq!(holt.points, 4);
    assert_eq!(places(&holt.rows[0].happened.points), [(0, 0), (0, 1)], "of those that Holt served");
    assert_eq!(places(&holt.rows[0].happened.won), [(0, 0)]);
    assert_eq!(row(Whose::Both).points, 5);
}

#[test]
fn each_pair_is_a_match_of_the_pool_and_points_keep_their_places() {
    let pool = Pool::new(vec![Record::default(), of_many()]);
    assert_eq!(pool.matches().iter().map(|m| m.file).collect::<Vec<_>>(), [0, 1, 1, 1]);
    assert_eq!(pool.points(), 5);
    let found = numbers(&pool, &Whose::Named("Holt".into()));
    assert_eq!(found.players, ["Holt", "2 opponents"]);
    let won = found.parts[0].rows.iter().find(|r| r.number == Number::PointsWon).unwrap();
    let Value::Share(share) = &won.values[0] else { panic!("a share") };
    let counted: Vec<_> = share.counted.iter().map(|i| (i.at.record, i.at.point)).collect();
    assert_eq!(counted, [(1, 0), (2, 3)]);
    let m = &pool.matches()[2];
    assert_eq!((m.fact(3).map(|f| f.number), m.fact(2).map(|f| f.number)), (Some(3), None));
    assert_eq!(m.record.about.a.name, "Reyes");
}
