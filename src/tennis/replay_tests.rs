//! Marks, unknown winners, and the laws of the replay over every format.

use super::*;
use crate::tennis::pair::Server;
use crate::tennis::presets::PRESETS;
use crate::tennis::rules::{Deuce, Play, Rules};
use crate::tennis::score::{Called, SetScore};
use crate::tennis::{End, Side};
use proptest::prelude::*;

fn side(letter: char) -> Option<Side> {
    match letter {
        'A' => Some(Side::A),
        'B' => Some(Side::B),
        _ => None,
    }
}

fn played(winners: &str) -> Vec<Played<'static>> {
    winners.chars().map(|c| Played { winner: side(c), ..Played::default() }).collect()
}

fn best_of_three() -> Setup {
    Setup::new(Rules::best_of_three(), Side::A, End::Near)
}

/// Points with a mark before one of them.
fn marked(winners: &str, at: usize, mark: &Mark) -> Replay {
    let mut points = played(winners);
    points[at].score_before = Some(mark);
    replay(best_of_three(), points, None)
}

fn at(games: [u16; 2], points: [u16; 2]) -> Mark {
    Mark { games, points, ..Mark::default() }
}

fn over(a: u16, b: u16) -> SetScore {
    SetScore { games: [a, b], tie_break: None }
}

#[test]
fn the_score_is_counted_from_a_mark() {
    let mark = Mark { sets: vec![over(6, 4)], ..at([3, 2], [2, 1]) };
    let found = marked("AABBA", 2, &mark);
    assert_eq!(found.contradictions, []);
    let state = &found.states[2];
    assert_eq!(
        (state.sets.as_slice(), state.games, state.called),
        (&[over(6, 4)][..], [3, 2], Called::Points([2, 1]))
    );
    // Fifteen games: B's turn, and the ends of the sixth game of the second set (ITF Rules of Tennis, rules 10, 14).
    assert_eq!((state.server, state.a_end), (Side::B, Some(End::Near)));
    assert_eq!(found.end.points(), [3, 3]);
}

#[test]
fn a_late_beginning_is_told_by_a_mark() {
    let mark = Mark { server: Some(Server::B), a_end: Some(End::Far), ..at([2, 0], [0, 0]) };
    let found = marked("AB", 0, &mark);
    assert_eq!(found.contradictions, []);
    assert_eq!((found.states[0].server, found.states[0].a_end), (Side::B, Some(End::Far)));
    assert_eq!(found.end.games(), [2, 0]);
}

#[test]
fn a_tie_break_of_unknown_length_leaves_the_ends_unknown() {
    let mark = Mark { sets: vec![over(7, 6)], ..Mark::default() };
    let found = marked("AB", 0, &mark);
    assert_eq!((found.states[0].a_end, found.states[0].server), (None, Side::B));
    let known = SetScore { tie_break: Some([7, 5]), ..over(7, 6) };
    let found = marked("AB", 0, &Mark { sets: vec![known], ..Mark::default() });
    assert_eq!(found.states[0].a_end, Some(End::Near));
}

#[test]
fn contradictions_are_shown_and_the_mark_is_followed() {
    let said = |winners: &str, n, mark: &Mark| {
        let found = marked(winners, n, mark);
        let texts: Vec<_> = found.contradictions.iter().map(|c| format!("{}: {}", c.at, c.what)).collect();
        (texts.join("\n"), found.end.games(), found.end.points())
    };
    let (text, games, points) = said("AAAABBB", 6, &at([0, 0], [3, 0]));
    assert_eq!(
        text,
        "6: the score is given as 0–0, 40–0, but the points before give 1–0, 0–30, and 0–0, 40–0 cannot \
         follow from that; the count goes on from 0–0, 40–0"
    );
    assert_eq!((games, points), ([0, 0], [3, 1]));
    let (text, games, _) = said("AAAAB", 4, &at([9, 2], [0, 0]));
    assert_eq!(
        text,
        "4: the score cannot be 9–2 under these rules: the set is over at these games, or cannot reach them; \
         it is ignored"
    );
    assert_eq!(games, [1, 0]);
    let serves = Mark { server: Some(Server::A), ..at([1, 0], [0, 0]) };
    let (text, ..) = said("AAAAB", 4, &serves);
    assert_eq!(
        text,
        "4: A is given as the server at 1–0, but by the points before it is B; the order goes on from A"
    );
    let ends = Mark { a_end: Some(End::Near), ..at([1, 0], [0, 0]) };
    assert!(said("AAAAB", 4, &ends).0.starts_with("4: player A is given at the near end at 1–0"));
    let done = Mark { sets: vec![over(6, 0), over(6, 0)], ..Mark::default() };
    assert!(said("AAAAB", 4, &done).0.contains("the match is over then, and a point follows"));
}

#[test]
fn deuce_comes_again_and_again() {
    assert_eq!(marked("AAABBBAB", 7, &at([0, 0], [3, 3])).contradictions, []);
    assert_eq!(marked("AAABBBAB", 7, &at([0, 0], [3, 4])).contradictions, []);
    assert_eq!(marked("AAABBBAB", 5, &at([0, 0], [3, 1])).contradictions.len(), 1);
}

#[test]
fn a_mark_makes_the_score_known_again() {
    let found = marked("?AA", 1, &at([0, 0], [0, 1]));
    assert_eq!(found.contradictions, [], "the unknown point went to B");
    assert_eq!(found.end.points(), [2, 1]);
    assert_eq!(
        marked("?AA", 1, &at([0, 0], [2, 0])).contradictions,
        [],
        "points between may not be recorded"
    );
    assert_eq!(marked("A?BA", 2, &at([0, 0], [0, 2])).contradictions.len(), 1, "A had one");
}

#[test]
fn the_closing_score_ends_the_match() {
    let closing = Mark { sets: vec![over(6, 3), over(7, 5)], ..Mark::default() };
    let found = replay(best_of_three(), played("AAAB"), Some(&closing));
    assert_eq!((found.end.winner(), found.contradictions.len()), (Some(Side::A), 0));
    let wrong = Mark { sets: vec![over(6, 3), over(6, 5)], ..Mark::default() };
    let found = replay(best_of_three(), played("AAAB"), Some(&wrong));
    assert_eq!(found.contradictions.iter().map(|c| c.at).collect::<Vec<_>>(), [4]);
    assert_eq!(found.end.winner(), None);
}

/// Any preset, with or without no-ad.
fn any_rules() -> impl Strategy<Value = Rules> {
    (0..PRESETS.len(), any::<bool>()).prop_map(|(n, no_ad)| {
        let rules = PRESETS[n].rules;
        let deuce = if no_ad && rules.play == Play::Match { Deuce::NoAd } else { Deuce::Advantage };
        Rules { deuce, ..rules }
    })
}

/// Winners as they fall when one side is a little better: matches that end, and some that run long.
fn any_winners() -> impl Strategy<Value = Vec<Side>> {
    (20u32..80, 0usize..420).prop_flat_map(|(percent, n)| {
        let one = (0u32..100).prop_map(move |x| if x < percent { Side::A } else { Side::B });
        proptest::collection::vec(one, n)
    })
}

fn mirrored(state: &PointState) -> PointState {
    let swap = |p: [bool; 2]| [p[1], p[0]];
    PointState {
        sets: state
            .sets
            .iter()
            .map(|s| SetScore {
                games: [s.games[1], s.games[0]],
                tie_break: s.tie_break.map(|[a, b]| [b, a]),
            })
            .collect(),
        games: [state.games[1], state.games[0]],
        called: match state.called {
            Called::Points([a, b]) => Called::Points([b, a]),
            Called::TieBreak([a, b]) => Called::TieBreak([b, a]),
            Called::Advantage(side) => Called::Advantage(side.other()),
            same => same,
        },
        server: state.server.other(),
        a_end: state.a_end.map(End::other),
        game_point: swap(state.game_point),
        set_point: swap(state.set_point),
        match_point: swap(state.match_point),
        ..state.clone()
    }
}

/// Marks that nobody can have seen, and some that one can.
fn any_mark() -> impl Strategy<Value = Mark> {
    let games = || prop_oneof![Just([6, 4]), Just([7, 6]), Just([1, 0]), any::<[u16; 2]>()];
    let most = || prop_oneof![0u16..12, 195..205u16, 65_530..=65_535u16];
    let points = move || [most(), most()];
    let set = (games(), proptest::option::of(points()))
        .prop_map(|(games, tie_break)| SetScore { games, tie_break });
    let sets = proptest::collection::vec(set, 0..4);
    (sets, prop_oneof![3 => Just([0, 0]), 1 => Just([6, 6]), 1 => games()], points())
        .prop_map(|(sets, games, points)| Mark { sets, games, points, ..Mark::default() })
}

proptest! {
    /// A mark with any numbers is followed to the letter or told to be impossible; no number is too large to be judged.
    #[test]
    fn any_mark_is_followed_or_told(rules in any_rules(), mark in any_mark(), winners in any_winners()) {
        let setup = Setup::new(rules, Side::A, End::Near);
        let found = replay(setup, winners.iter().map(|w| Played::won(*w)), Some(&mark));
        if mark.check(rules).is_ok() {
            let end = found.end.stands();
            prop_assert_eq!((end.games, end.points, end.sets.len()), (mark.games, mark.points, mark.sets.len()));
        } else {
            let last = found.contradictions.last().map(|c| &c.what);
            prop_assert!(matches!(last, Some(Conflict::Impossible { .. })), "{last:?}");
        }
        let after = winners.iter().enumerate().map(|(n, w)| Played {
            score_before: (n == 0).then_some(&mark),
            ..Played::won(*w)
        });
        replay(setup, after, None);
    }

    #[test]
    fn sides_mirror(rules in any_rules(), winners in any_winners()) {
        let there = replay(Setup::new(rules, Side::A, End::Near), winners.iter().map(|w| Played::won(*w)), None);
        let back = replay(Setup::new(rules, Side::B, End::Far), winners.iter().map(|w| Played::won(w.other())), None);
        for (x, y) in there.states.iter().zip(&back.states) {
            prop_assert_eq!(&mirrored(x), y);
        }
        prop_assert_eq!(there.end.winner(), back.end.winner().map(Side::other));
    }

    #[test]
    fn a_prefix_is_the_state_before_the_next_point(rules in any_rules(), winners in any_winners(), cut in 0usize..420) {
        let setup = Setup::new(rules, Side::B, End::Far);
        let cut = cut.min(winners.len());
        let whole = replay(setup, winners.iter().map(|w| Played::won(*w)), None);
        let part = replay(setup, winners[..cut].iter().map(|w| Played::won(*w)), None);
        prop_assert_eq!(&part.states[..], &whole.states[..cut]);
        if cut < winners.len() {
            prop_assert_eq!(&part.end.state(), &whole.states[cut]);
        }
    }

    /// What the replay counts is a possible mark, and a mark of what is counted changes nothing.
    #[test]
    fn a_mark_of_the_score_counted_changes_nothing(rules in any_rules(), winners in any_winners()) {
        let mut scorer = Scorer::singles(rules, Side::A, End::Near);
        for w in winners {
            let stands = scorer.stands();
            let before = scorer.clone();
            prop_assert_eq!(scorer.mark(&stands, true), None);
            prop_assert_eq!(&scorer, &before);
            scorer.award(w);
        }
    }

    /// A mark anywhere, after any gap, gives the very state that counting all the points does: order and ends too.
    #[test]
    fn a_mark_spans_any_gap(rules in any_rules(), winners in any_winners(), from in 0usize..420, gap in 0usize..200) {
        let from = from.min(winners.len());
        let mut scorer = Scorer::singles(rules, Side::A, End::Near);
        let mut whole = scorer.clone();
        for w in &winners[..from] {
            scorer.award(*w);
        }
        for w in winners.iter().take(from + gap) {
            whole.award(*w);
        }
        if from + gap >= from && whole.stands() != scorer.stands() {
            prop_assert_eq!(scorer.mark(&whole.stands(), true), None);
        }
        prop_assert_eq!(scorer.state(), whole.state());
        prop_assert_eq!(scorer.winner(), whole.winner());
    }
}
