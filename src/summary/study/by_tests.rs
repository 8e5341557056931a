//! Which row a point belongs to, what counts in it, and small numbers in words: each case is one that a wrong comparison, side or
//! index would put elsewhere.

use std::cmp::Ordering;

use super::by::{By, Value};
use super::counts::Counts;
use super::phrase::share;
use crate::evidence::{FEW, Percent};
use crate::facts::PointFacts;
use crate::facts::tests::{only, rally};
use crate::pattern::Answer;
use crate::record::Finish;
use crate::summary::Rate;
use crate::tennis::stroke::ServeTo;
use crate::tennis::{CourtSide, Side};

/// A point that A serves to the deuce court, with changes.
fn fact(change: impl Fn(&mut PointFacts)) -> PointFacts {
    let mut f = only(&rally('A', Some(Finish::Winner), "wide/fh left deep/bh right deep"));
    change(&mut f);
    f
}

#[test]
fn each_set_has_a_row() {
    let row = |set| By::Set.of(&fact(|f| f.set = set), None);
    for n in 1..=5 {
        assert_eq!(row(Some(n)), Value::Is(n - 1));
        assert!(By::Set.rows()[n - 1].ends_with(&n.to_string()));
    }
    assert_eq!(row(None), Value::Unknown);
}

/// Break points to save, other points served, break points to convert, other points returned.
#[test]
fn break_points_are_told_apart_by_who_serves() {
    let row = |side, is| By::BreakPoint.of(&fact(|f| f.break_point = is), side);
    assert_eq!([true, false].map(|is| row(Some(Side::A), Some(is))), [Value::Is(0), Value::Is(1)]);
    assert_eq!([true, false].map(|is| row(Some(Side::B), Some(is))), [Value::Is(2), Value::Is(3)]);
    assert_eq!([true, false].map(|is| row(None, Some(is))), [Value::Is(0), Value::Is(1)], "the server's");
    assert_eq!(row(Some(Side::B), None), Value::Unknown);
    for (a, b) in (0..4).flat_map(|a| (0..4).map(move |b| (a, b))) {
        assert_eq!(By::BreakPoint.is_compared(a, b), (a < 2) == (b < 2), "{a} {b}");
        assert!(By::Rally.is_compared(a, b));
    }
}

#[test]
fn the_score_is_that_of_the_player_asked_about() {
    let row = |side| By::Standing.of(&fact(|f| f.standing = Some(Ordering::Less)), side);
    assert_eq!(
        [row(None), row(Some(Side::A)), row(Some(Side::B))],
        [Value::Is(0), Value::Is(0), Value::Is(2)]
    );
    let big = |is| By::Important.of(&fact(|f| f.important = is), None);
    assert_eq!([big(Some(true)), big(Some(false)), big(None)], [Value::Is(0), Value::Is(1), Value::Unknown]);
}

/// At a point penalty nothing is struck, but the score is what it is.
#[test]
fn a_point_penalty_is_in_no_row_of_shots_and_in_those_of_the_score() {
    let f = fact(|f| {
        (f.penalty, f.finish, f.finish_by) = (Some(Side::B), None, None);
        f.standing = Some(Ordering::Greater);
    });
    for by in [By::ServeNumber, By::ServeDirection, By::ReturnWing, By::Rally, By::LastWing] {
        assert_eq!(by.of(&f, None), Value::Outside, "{by:?}");
    }
    assert_eq!(By::Standing.of(&f, None), Value::Is(2));
    for counts in [Counts::Winner, Counts::UnforcedError, Counts::Error] {
        assert_eq!(counts.answer(&f, Some(Side::A)), Answer::No, "{counts:?}");
    }
    assert_eq!(Counts::Won.answer(&f, Some(Side::A)), Answer::Yes);
}

#[test]
fn rallies_part_after_four_and_after_eight_shots() {
    let row = |length| By::Rally.of(&fact(|f| f.length = Some(length)), None);
    assert_eq!([1, 4, 5, 8, 9, 30].map(row), [0, 0, 1, 1, 2, 2].map(Value::Is));
    assert_eq!(row(0), Value::Outside);
    let wing = |length| By::LastWing.of(&fact(|f| f.length = length), None);
    assert_eq!([Some(1), None].map(wing), [Value::Outside, Value::Unknown]);
    assert_eq!([Some(2), Some(3)].map(wing), [Value::Is(0), Value::Is(1)]);
}

#[test]
fn a_second_serve_is_tried_only_after_a_fault_and_only_to_its_court() {
    let tried = |n, court, serve| By::Tried(n, court).of(&fact(|f| f.serve = serve), None);
    let wide = Value::Is(ServeTo::Wide as usize);
    assert_eq!(tried(1, CourtSide::Deuce, Some(1)), wide);
    assert_eq!(tried(1, CourtSide::Ad, Some(1)), Value::Outside);
    assert_eq!(tried(2, CourtSide::Deuce, Some(1)), Value::Outside);
    assert_eq!(tried(2, CourtSide::Deuce, Some(2)), Value::Unknown);
    assert_eq!(By::Tried(1, CourtSide::Ad).of(&fact(|f| f.court = None), None), Value::Unknown);
}

/// An error is the own one; the opponent's does not count, and a double fault is none.
#[test]
fn an_ending_counts_for_who_made_it() {
    let ended = |finish, by| {
        let f = fact(|f| (f.finish, f.finish_by) = (Some(finish), Some(by)));
        [Counts::Winner, Counts::UnforcedError, Counts::Error].map(|c| c.answer(&f, Some(Side::A)))
    };
    let (no, yes) = (Answer::No, Answer::Yes);
    assert_eq!(ended(Finish::Winner, Side::A), [yes, no, no]);
    assert_eq!(ended(Finish::Winner, Side::B), [no, no, no]);
    assert_eq!(ended(Finish::UnforcedError, Side::A), [no, yes, yes]);
    assert_eq!(ended(Finish::ForcedError, Side::A), [no, no, yes]);
    assert_eq!(ended(Finish::ForcedError, Side::B), [no, no, no]);
    assert_eq!(ended(Finish::DoubleFault, Side::A), [no, no, no]);
    assert_eq!(ended(Finish::Ace, Side::A), [no, no, no]);
}

#[test]
fn a_sentence_has_a_percentage_from_ten_points_on() {
    let said = |won, of| share(Rate::of(won, of).unwrap());
    assert_eq!([said(5, FEW), said(5, FEW - 1)], [format!(" ({})", Percent::of(0.5)), String::new()]);
}
