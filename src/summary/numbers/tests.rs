//! What makes a right count mislead: lets, unknown winners, lines that are known more often than others. That the counts
//! are right is told by `tests/external_numbers.rs`, which has them counted again in another language.

use proptest::prelude::*;

use super::*;
use crate::facts::Lane;
use crate::facts::tests::{rally, record};
use crate::record::{Finish, Record};
use crate::summary::Whose;
use crate::summary::study::Pool;
use crate::summary::study::test_matches::{any_record, charted};
use crate::tennis::Side;
use crate::tennis::stroke::Wing;

fn whole(records: Vec<Record>) -> Part {
    numbers(&Pool::new(records), &Whose::Both).parts.remove(0)
}

fn value(part: &Part, number: Number, column: usize) -> Value {
    part.rows.iter().find(|r| r.number == number).unwrap().values[column].clone()
}

/// Counted, of how many, unknown.
fn share(part: &Part, number: Number, column: usize) -> (usize, usize, usize) {
    match value(part, number, column) {
        Value::Share(s) => (s.count, s.of, s.unknown.len()),
        Value::Most(_) => panic!("{number} is no share"),
    }
}

fn most(part: &Part, number: Number, column: usize) -> (usize, Vec<usize>) {
    match value(part, number, column) {
        Value::Most(m) => (m.value, m.points.iter().map(|i| i.at.point).collect()),
        Value::Share(_) => panic!("{number} is a share"),
    }
}

/// A holds to love; B is broken after three break points, one of them saved.
#[test]
fn games_are_held_and_broken() {
    let part = whole(vec![record("AAAA AAAB A".replace(' ', "").as_str())]);
    assert_eq!(share(&part, Number::GamesHeld, 0), (1, 1, 0));
    assert_eq!(share(&part, Number::GamesHeld, 1), (0, 1, 0));
    assert_eq!(share(&part, Number::GamesBroken, 0), (1, 1, 0));
    assert_eq!(share(&part, Number::BreakPointsSaved, 1), (1, 2, 0));
    assert_eq!(share(&part, Number::BreakPointsConverted, 0), (1, 2, 0));
    assert_eq!(share(&part, Number::BreakPointsConverted, 1), (0, 0, 0));
    assert_eq!(most(&part, Number::MostInARow, 0), (7, vec![0, 1, 2, 3, 4, 5, 6]));
}

/// Whoever wins an unknown point, no row of points and no game goes across it.
#[test]
fn an_unknown_winner_is_in_no_rate_and_ends_a_row() {
    let part = whole(vec![record("AA?AAA")]);
    assert_eq!(share(&part, Number::PointsWon, 0), (5, 5, 1));
    assert_eq!(most(&part, Number::MostInARow, 0), (3, vec![3, 4, 5]));
}

#[test]
fn a_point_played_again_counts_nowhere_and_breaks_no_row() {
    let mut r = record("AABA");
    r.points[2].replayed = true;
    let found = numbers(&Pool::new(vec![r]), &Whose::Both);
    assert_eq!(found.replayed.len(), 1);
    assert_eq!(share(&found.parts[0], Number::PointsWon, 0), (3, 3, 0));
    assert_eq!(most(&found.parts[0], Number::MostInARow, 0).0, 3);
}

#[test]
fn a_row_of_points_ends_with_the_match() {
    let pool = Pool::new(vec![record("BAA"), record("AAB")]);
    let found = numbers(&pool, &Whose::Named("holt".into()));
    assert_eq!(found.players, ["Holt", "Okafor"]);
    assert_eq!(most(&found.parts[0], Number::MostInARow, 0).0, 2);
}

/// A shot from the middle to a side has no line, and one from the middle to the middle has: among the shots with a line
/// the middle would seem to be played more than it is.
#[test]
fn shots_to_the_middle_are_counted_among_all_that_landed() {
    let balls = "T/fh middle deep/fh left deep/fh left deep/fh middle deep";
    let part = whole(vec![rally('A', Some(Finish::Winner), balls)]);
    let forehand = |lane, column| share(&part, Number::Lines(Wing::Forehand, lane), column);
    assert_eq!(forehand(Lane::Middle, 0), (1, 2, 0), "one to the left, one to the middle");
    assert_eq!(forehand(Lane::CrossCourt, 0), (0, 0, 1), "struck from the middle");
}

/// Half of the shots miss: their lines are not known, and they are not counted as if they had landed.
#[test]
fn a_missed_shot_has_no_line() {
    let part = whole(vec![rally('A', Some(Finish::UnforcedError), "wide/bh middle deep/fh left deep/bh")]);
    let rows: usize = (part.rows.iter())
        .filter(|r| matches!(r.number, Number::Lines(Wing::Backhand, _)))
        .map(|r| match &r.values[1] {
            Value::Share(s) => s.counted.len(),
            Value::Most(_) => 0,
        })
        .sum();
    assert_eq!(rows, 1, "the return");
}

#[test]
fn an_ace_is_no_net_point_and_a_volley_is() {
    let ace = rally('A', Some(Finish::Ace), "wide");
    assert_eq!(share(&whole(vec![ace]), Number::NetPoints, 0), (0, 0, 0));
    let volley = rally('A', Some(Finish::Winner), "wide/fh middle mid/fh volley left short");
    assert_eq!(share(&whole(vec![volley]), Number::NetPoints, 0), (1, 1, 0));
}

#[test]
fn every_number_has_a_name_of_its_own_within_its_topic() {
    let mut names: Vec<(Topic, String)> =
        Number::all().into_iter().map(|n| (n.topic(), n.to_string())).collect();
    let n = names.len();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), n);
}

#[test]
fn sets_add_up_to_the_match() {
    let found = numbers(&Pool::new((0..4).map(charted).collect()), &Whose::Side(Side::B));
    let (whole, sets) = found.parts.split_first().unwrap();
    assert!(sets.len() > 1 && found.no_set.is_empty());
    for (n, row) in whole.rows.iter().enumerate() {
        for column in 0..2 {
            let Value::Share(all) = &row.values[column] else { continue };
            let of = |part: &Part| match &part.rows[n].values[column] {
                Value::Share(s) => (s.count, s.of, s.unknown.len()),
                Value::Most(_) => (0, 0, 0),
            };
            let sum = sets.iter().map(of).fold((0, 0, 0), |a, b| (a.0 + b.0, a.1 + b.1, a.2 + b.2));
            assert_eq!(sum, (all.count, all.of, all.unknown.len()), "{}", row.name);
        }
    }
}

proptest! {
    #[test]
    fn every_count_is_the_length_of_its_list(r in any_record()) {
        for part in numbers(&Pool::new(vec![r]), &Whose::Both).parts {
            for (row, value) in part.rows.iter().flat_map(|r| r.values.iter().map(move |v| (r, v))) {
                match value {
                    Value::Share(s) => {
                        prop_assert_eq!((s.count, s.of), (s.counted.len(), s.counted.len() + s.others.len()));
                        let mut all = [&s.counted[..], &s.others, &s.unknown].concat();
                        let n = all.len();
                        all.sort_unstable();
                        all.dedup();
                        prop_assert_eq!(all.len(), n, "{}: in two lists", row.name);
                    }
                    Value::Most(m) => prop_assert_eq!(m.value == 0, m.points.is_empty()),
                }
            }
        }
    }
}

/// "At the net" is asked as a number and as a pattern: the answers are the same.
#[test]
fn net_points_are_those_of_the_pattern() {
    use crate::pattern::PatternFile;
    use crate::summary::summarise;
    let file = PatternFile::starter().unwrap();
    let net = file.named("At the net").unwrap().clone();
    let mut compared = 0;
    for record in (1..8).map(charted) {
        for (column, side) in [Side::A, Side::B].into_iter().enumerate() {
            let row = summarise(&[&record], std::slice::from_ref(&net), &Whose::Side(side)).rows.remove(0);
            let Value::Share(share) = value(&whole(vec![record.clone()]), Number::NetPoints, column) else {
                panic!("a share")
            };
            assert_eq!(
                (share.count, share.of),
                (row.happened.won.len(), row.happened.won.len() + row.happened.lost.len())
            );
            compared += share.of;
        }
    }
    println!("{compared} net points");
}
