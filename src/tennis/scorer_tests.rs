//! The counting of points, by the rule book. Numbers in comments are of the ITF Rules of Tennis.

use super::*;
use crate::tennis::pair::Server::{A1, A2, B1, B2};
use crate::tennis::pair::{PairOrder, SetOrder};
use crate::tennis::rules::TieBreakEnds;

fn fresh() -> Scorer {
    Scorer::singles(Rules::best_of_three(), Side::A, End::Near)
}

fn win_game(s: &mut Scorer, side: Side) {
    for _ in 0..4 {
        s.award(side);
    }
}

/// To six games all, each winning their own serve.
fn six_all() -> Scorer {
    let mut s = fresh();
    for _ in 0..12 {
        let server = s.server();
        win_game(&mut s, server);
    }
    s
}

/// ITF Rules of Tennis, rule 5a.
#[test]
fn a_game_is_called_as_the_rules_say() {
    let mut s = fresh();
    let mut calls = vec![s.state().called.server_first(Side::A)];
    for w in [Side::A, Side::B, Side::A, Side::B, Side::B, Side::A, Side::A, Side::B, Side::A] {
        s.award(w);
        calls.push(s.state().called.server_first(Side::A));
    }
    let want = [
        "0–0",
        "15–0",
        "15–15",
        "30–15",
        "30–30",
        "30–40",
        "deuce",
        "advantage server",
        "deuce",
        "advantage server",
    ];
    assert_eq!(calls, want);
    s.award(Side::A);
    assert_eq!(s.state().games, [1, 0]);
    assert_eq!(s.server(), Side::B);
}

/// Order, courts and ends of a tie-break: ITF Rules of Tennis, rules 5b, 10, 14
/// (ABBAABBA…, right then left, ends changed after every six points).
#[test]
fn a_tie_break_follows_the_rules() {
    let mut s = six_all();
    let end = s.state().a_end;
    let (mut servers, mut sides, mut ends) = (String::new(), String::new(), String::new());
    for i in 0..24 {
        let st = s.state();
        servers.push(if st.server == Side::A { 'A' } else { 'B' });
        sides.push(if st.side == Some(CourtSide::Deuce) { 'R' } else { 'L' });
        ends.push(if st.a_end == end { '0' } else { '1' });
        s.award(if i % 2 == 0 { Side::A } else { Side::B });
    }
    assert_eq!(servers, "ABBAABBAABBAABBAABBAABBA");
    assert_eq!(sides, "RLRLRLRLRLRLRLRLRLRLRLRL");
    assert_eq!(ends, "000000111111000000111111");
}

/// Ends of A game by game over two sets; values worked out from ITF Rules of Tennis, rule 10.
#[test]
fn ends_change_after_odd_games_and_between_sets() {
    let play = |set_one: &[Side], more: usize| {
        let mut s = fresh();
        let mut ends = Vec::new();
        for w in set_one {
            ends.push(u8::from(s.state().a_end == Some(End::Far)));
            win_game(&mut s, *w);
        }
        assert_eq!(s.sets().len(), 1, "the first set is over");
        let mut second = Vec::new();
        for _ in 0..more {
            second.push(u8::from(s.state().a_end == Some(End::Far)));
            win_game(&mut s, Side::B);
        }
        (ends, second)
    };
    let (a, b) = (Side::A, Side::B);
    // Ten games, 6–4: no change at the end of the set, then after its next first game.
    assert_eq!(play(&[a, b, a, b, a, b, a, b, a, a], 3), (vec![0, 1, 1, 0, 0, 1, 1, 0, 0, 1], vec![1, 0, 0]));
    // Nine games, 6–3: a change at the end of the set.
    assert_eq!(play(&[a, b, a, b, a, b, a, a, a], 3), (vec![0, 1, 1, 0, 0, 1, 1, 0, 0], vec![1, 0, 0]));
    // Twelve games, 7–5.
    let twelve = [a, b, a, b, a, b, a, b, a, b, a, a];
    assert_eq!(play(&twelve, 3), (vec![0, 1, 1, 0, 0, 1, 1, 0, 0, 1, 1, 0], vec![0, 1, 1]));
}

/// Who receives first in the tie-break serves first in the next set; ends after 7, 12, 14 points
/// (ITF Rules of Tennis, rules 10 and 14).
#[test]
fn after_a_tie_break_the_next_set_starts_right() {
    for (winners, a_end_next) in [
        (vec![Side::A; 7], [End::Near, End::Far]),
        ([[Side::A, Side::B].repeat(5), vec![Side::A, Side::A]].concat(), [End::Near, End::Far]),
        ([[Side::A, Side::B].repeat(6), vec![Side::A, Side::A]].concat(), [End::Far, End::Near]),
    ] {
        let mut s = six_all();
        let first = s.server();
        assert_eq!(s.state().a_end, Some(End::Near));
        for w in winners {
            s.award(w);
        }
        assert_eq!(s.sets().len(), 1);
        assert_eq!(s.server(), first.other());
        let mut ends = vec![s.state().a_end];
        win_game(&mut s, Side::B);
        ends.push(s.state().a_end);
        assert_eq!(ends, a_end_next.map(Some));
    }
}

#[test]
fn break_set_and_match_points_are_seen() {
    let mut s = fresh();
    for _ in 0..3 {
        s.award(Side::B);
    }
    assert!(s.state().break_point());
    assert_eq!(s.state().set_point, [false; 2]);
    let mut s = fresh();
    for _ in 0..11 {
        win_game(&mut s, Side::A);
    }
    for _ in 0..3 {
        s.award(Side::A);
    }
    assert_eq!(s.state().match_point, [true, false]);
    s.award(Side::A);
    assert_eq!(s.winner(), Some(Side::A));
    let over = s.clone();
    s.award(Side::B);
    assert_eq!(s, over, "nothing is scored after the match");
}

fn of(name: &str) -> Scorer {
    Scorer::singles(Rules::named(name).unwrap(), Side::A, End::Near)
}

fn points(s: &mut Scorer, winners: &str) {
    for w in winners.chars() {
        s.award(if w == 'A' { Side::A } else { Side::B });
    }
}

/// Games won love, one letter a game.
fn games(s: &mut Scorer, winners: &str) {
    for w in winners.chars() {
        win_game(s, if w == 'A' { Side::A } else { Side::B });
    }
}

/// The last game of a format's set, and that it was the last: how each preset's sets end. Rule 6, appendix V; which
/// games a format is to is in its name.
#[test]
fn sets_end_where_each_format_says() {
    let level = |n: usize| "AB".repeat(n);
    for (name, before, last, over) in [
        ("best-of-3", level(5) + "A", "A", true),
        ("best-of-3", level(6), "A", false),
        ("best-of-3-advantage", level(20) + "A", "A", true),
        ("best-of-3-advantage", level(20), "A", false),
        ("pro-set-8", level(7) + "A", "A", true),
        ("pro-set-8", level(7), "A", false),
        ("pro-set-8-tie-break-at-7", level(6) + "A", "A", true),
        ("short-sets", level(3) + "A", "A", true),
        ("short-sets", level(3), "A", false),
        ("short-sets-tie-break-at-3", level(2) + "A", "A", true),
    ] {
        let mut s = of(name);
        games(&mut s, &before);
        assert!(s.sets().is_empty(), "{name} after {before}");
        games(&mut s, last);
        assert_eq!(s.sets().len(), usize::from(over), "{name} after {before}{last}");
    }
}

/// Where each format plays a tie-break, and to what. Rule 5b, appendix V.
#[test]
fn tie_breaks_come_where_each_format_says() {
    for (name, sets, at, to, lead) in [
        ("best-of-5", 0, 6, 7, 2),
        ("best-of-5-final-tie-break-at-12", 4, 12, 7, 2),
        ("best-of-5-final-tie-break-to-10", 4, 6, 10, 2),
        ("best-of-3-final-tie-break-to-10", 1, 6, 7, 2),
        ("pro-set-8", 0, 8, 7, 2),
        ("pro-set-8-tie-break-at-7", 0, 7, 7, 2),
        ("short-sets", 0, 4, 7, 2),
        ("short-sets-tie-break-at-3", 0, 3, 7, 2),
        ("short-sets-tie-break-to-5", 0, 3, 5, 1),
        ("best-of-3-match-tie-break-10", 2, 0, 10, 2),
        ("best-of-3-match-tie-break-7", 2, 0, 7, 2),
        ("match-tie-break-10", 0, 0, 10, 2),
    ] {
        let mut s = of(name);
        for n in 0..sets {
            games(&mut s, &if n % 2 == 0 { "A" } else { "B" }.repeat(6));
        }
        assert_eq!(s.sets().len(), sets, "{name}");
        for _ in 0..at {
            assert!(!s.state().in_tie_break(), "{name}");
            games(&mut s, "AB");
        }
        assert!(s.state().in_tie_break(), "{name}");
        points(&mut s, &"AB".repeat(to - 1));
        points(&mut s, "A");
        assert_eq!(s.sets().len(), sets + usize::from(lead == 1), "{name}: a lead of {lead} at the last");
        if lead == 2 {
            points(&mut s, "A");
        }
        let tie_break = Some([to as u16 + lead - 1, to as u16 - 1]);
        assert_eq!(s.sets()[sets], SetScore { games: [at + 1, at], tie_break }, "{name}");
    }
}

/// Final set without a tie-break: rule 6a.
#[test]
fn a_final_advantage_set_goes_on() {
    let mut s = of("best-of-3-final-advantage");
    games(&mut s, &("A".repeat(6) + &"B".repeat(6) + &"AB".repeat(30)));
    assert_eq!((s.games(), s.state().in_tie_break(), s.finished()), ([30, 30], false, false));
    games(&mut s, "BB");
    assert_eq!(s.winner(), Some(Side::B));
}

/// Nobody has played it, but a drill that is logged as a match can come to it: a count that is wrong would be worse.
#[test]
fn more_than_255_games_in_a_set_are_counted_right() {
    let mut s = of("best-of-3-final-advantage");
    games(&mut s, &("A".repeat(6) + &"B".repeat(6) + &"AB".repeat(300)));
    assert_eq!((s.games(), s.finished()), ([300, 300], false));
    games(&mut s, "AA");
    assert_eq!((s.winner(), s.sets()[2].games), (Some(Side::A), [302, 300]));
}

/// No-ad, appendix V: at deuce one deciding point, for both the point of the game; the receivers choose the court.
#[test]
fn no_ad_is_decided_by_one_point() {
    let mut s = of("no-ad-best-of-3");
    points(&mut s, "AAABBB");
    let state = s.state();
    assert_eq!(state.called, Called::Deciding);
    assert_eq!((state.game_point, state.break_point(), state.side), ([true, true], true, None));
    let seen = Played { side: Some(CourtSide::Ad), ..Played::won(Side::B) };
    assert_eq!(s.state_of(&seen).side, Some(CourtSide::Ad));
    s.play(&seen);
    assert_eq!((s.games(), s.state().side), ([0, 1], Some(CourtSide::Deuce)));
}

fn doubles(name: &str, order: &[Option<SetOrder>]) -> Setup {
    let mut setup = Setup::new(Rules::named(name).unwrap(), Side::A, End::Near);
    setup.order[..order.len()].copy_from_slice(order);
    setup
}

const fn pair(serves: Partner, deuce: Partner) -> PairOrder {
    PairOrder { serves_first: Some(serves), receives_deuce: Some(deuce) }
}

const FIRSTS: SetOrder =
    SetOrder { a: pair(Partner::First, Partner::First), b: pair(Partner::First, Partner::Second) };

fn servers(s: &mut Scorer, n: usize, step: impl Fn(&mut Scorer, usize)) -> Vec<Server> {
    (0..n)
        .map(|i| {
            let st = s.state();
            let who = Server::new(st.server, st.server_partner);
            step(s, i);
            who
        })
        .collect()
}

/// Doubles serving order over 13 games and in the tie-break: rules 14 and 15, appendix V
/// (A1 B1 A2 B2 …, then A1 B1 B1 A2 A2 B2 B2 A1 …).
#[test]
fn doubles_serve_in_turn() {
    let mut s = Scorer::new(doubles("doubles-best-of-3", &[Some(FIRSTS)]));
    let by_game = servers(&mut s, 12, |s, i| win_game(s, if i % 2 == 0 { Side::A } else { Side::B }));
    assert_eq!(by_game, [A1, B1, A2, B2, A1, B1, A2, B2, A1, B1, A2, B2]);
    assert!(s.state().in_tie_break());
    let by_point = servers(&mut s, 16, |s, i| s.award(if i % 2 == 0 { Side::A } else { Side::B }));
    assert_eq!(by_point, [A1, B1, B1, A2, A2, B2, B2, A1, A1, B1, B1, A2, A2, B2, B2, A1]);
}

/// The receiver follows from the court: rule 15. B's second player receives in the deuce court here.
#[test]
fn doubles_receive_in_turn() {
    let mut s = Scorer::new(doubles("doubles-best-of-3", &[Some(FIRSTS)]));
    let mut receivers = Vec::new();
    for w in "ABAB".chars() {
        receivers.push(s.state().receiver_partner);
        points(&mut s, &w.to_string());
    }
    let (one, two) = (Some(Partner::First), Some(Partner::Second));
    assert_eq!(receivers, [two, one, two, one]);
}

/// The order may change at each new set, a match tie-break included: rules 14 and 15, appendix V. Without a note it
/// stays.
#[test]
fn doubles_may_change_their_order_at_a_new_set() {
    let swapped = SetOrder { a: pair(Partner::Second, Partner::First), ..FIRSTS };
    let setup = doubles("doubles-no-ad-best-of-3-match-tie-break-10", &[Some(FIRSTS), None, Some(swapped)]);
    let mut s = Scorer::new(setup);
    games(&mut s, "AAAAAA");
    assert_eq!(s.state().server_partner, Some(Partner::First));
    games(&mut s, "BBBBBB");
    let state = s.state();
    assert!(state.in_tie_break());
    assert_eq!((state.server, state.server_partner), (Side::A, Some(Partner::Second)));
    assert_eq!(Scorer::new(doubles("doubles-best-of-3", &[])).state().server_partner, None);
}

/// Mixed doubles, no-ad: the receiver of the server's gender receives the deciding point (appendix V), and the court
/// follows from where that player receives.
#[test]
fn mixed_doubles_decide_between_like_and_like() {
    let mut setup = doubles("mixed-no-ad-best-of-3", &[Some(FIRSTS)]);
    setup.women = [Some(Partner::First), Some(Partner::First)];
    let mut s = Scorer::new(setup);
    points(&mut s, "AAABBB");
    assert_eq!(s.state().side, Some(CourtSide::Ad), "A's woman serves, B's woman receives in the ad court");
    assert_eq!(s.state().receiver_partner, Some(Partner::First));
    setup.women = [Some(Partner::First), None];
    let mut s = Scorer::new(setup);
    points(&mut s, "AAABBB");
    assert_eq!(s.state().side, None, "nobody said who is the woman");
}

fn by(server: Server, winner: Side) -> Played<'static> {
    Played { served_by: Some(server), ..Played::won(winner) }
}

/// Rule 27c (from memory): out of turn in a game, the right player serves as soon as it is found; after a whole game
/// the order stays as altered.
#[test]
fn a_wrong_server_in_a_game() {
    let mut s = fresh();
    s.play(&by(Server::B, Side::B));
    assert_eq!((s.points(), s.server()), ([0, 1], Side::A), "the point stands, A serves on");
    points(&mut s, "BBB");
    assert_eq!(s.server(), Side::B, "A served at the end of the game");
    let mut s = fresh();
    for _ in 0..4 {
        s.play(&by(Server::B, Side::B));
    }
    assert_eq!((s.games(), s.server()), ([0, 1], Side::A), "B served all of it, now it is A's turn");
    games(&mut s, "A");
    assert_eq!(s.server(), Side::B);
}

/// Rule 27c in doubles: the wrong partner served a whole game.
#[test]
fn a_wrong_partner_in_a_game() {
    let mut s = Scorer::new(doubles("doubles-best-of-3", &[Some(FIRSTS)]));
    for _ in 0..4 {
        s.play(&by(Server::A2, Side::A));
    }
    let rest = servers(&mut s, 5, |s, _| games(s, "A"));
    assert_eq!(rest, [B1, A1, B2, A2, B1]);
}

/// Rule 27d (from memory): in a tie-break the order is put right after an even number of points and stays as altered
/// after an odd number.
#[test]
fn a_wrong_server_in_a_tie_break() {
    let order = |s: &mut Scorer, n| -> String {
        servers(s, n, |s, i| s.award(if i % 2 == 0 { Side::A } else { Side::B }))
            .into_iter()
            .map(|w| if w.side() == Side::A { 'A' } else { 'B' })
            .collect()
    };
    let mut s = six_all();
    s.play(&by(Server::B, Side::A));
    assert_eq!(order(&mut s, 6), "AABBAA", "found after one point: B began, as altered");
    points(&mut s, "AAAA");
    assert_eq!((s.sets().len(), s.server()), (1, Side::A), "who did not begin the tie-break begins the set");
    let mut s = six_all();
    s.award(Side::A);
    s.play(&by(Server::A, Side::B));
    assert_eq!(order(&mut s, 6), "BAABBA", "found after two points: put right at once");
    let mut s = six_all();
    points(&mut s, "AB");
    s.play(&by(Server::A, Side::A));
    assert_eq!(order(&mut s, 6), "BBAABB", "found after three points: as altered");
    points(&mut s, "AAA");
    assert_eq!((s.sets().len(), s.server()), (1, Side::B));
}

/// Rule 27d in doubles: the partner out of turn at the first point keeps the turn.
#[test]
fn a_wrong_partner_in_a_tie_break() {
    let mut s = Scorer::new(doubles("doubles-match-tie-break-10", &[Some(FIRSTS)]));
    s.play(&by(A2, Side::A));
    let rest = servers(&mut s, 8, |s, i| s.award(if i % 2 == 0 { Side::B } else { Side::A }));
    assert_eq!(rest, [B1, B1, A1, A1, B2, B2, A2, A2]);
}

/// Rule 27a, b and e (from memory): the wrong court and the wrong ends are right again at the next point; the wrong
/// receiver stays to the end of the game.
#[test]
fn wrong_court_ends_and_receiver() {
    let mut s = Scorer::new(doubles("doubles-best-of-3", &[Some(FIRSTS)]));
    let wrong = Played { side: Some(CourtSide::Ad), server_end: Some(End::Far), ..Played::won(Side::A) };
    let state = s.state_of(&wrong);
    assert_eq!((state.side, state.server_end, state.a_end), (wrong.side, wrong.server_end, wrong.server_end));
    s.play(&wrong);
    let state = s.state();
    assert_eq!((state.side, state.server_end), (Some(CourtSide::Ad), Some(End::Near)));
    let swapped = Played { received_by: Some(Partner::Second), ..Played::won(Side::A) };
    s.play(&swapped);
    assert_eq!(s.state().receiver_partner, Some(Partner::First), "changed in the deuce court too");
    games(&mut s, "A");
    games(&mut s, "B");
    assert_eq!(s.state().receiver_partner, Some(Partner::Second), "the next game is as it was");
}

#[test]
fn a_replayed_point_counts_nothing() {
    let mut s = fresh();
    s.play(&Played { replayed: true, ..Played::won(Side::A) });
    assert_eq!(s, fresh());
}

/// Both procedures of changing ends in a tie-break: rule 10 and appendix V.
#[test]
fn ends_of_a_tie_break_under_the_alternative() {
    let rules = Rules { tie_break_ends: TieBreakEnds::FirstThenEveryFour, ..Rules::default() };
    let mut s = Scorer::singles(rules, Side::A, End::Near);
    games(&mut s, &"AB".repeat(6));
    let ends: String = (0..24)
        .map(|i| {
            let far = s.state().a_end == Some(End::Far);
            s.award(if i % 2 == 0 { Side::A } else { Side::B });
            if far { '1' } else { '0' }
        })
        .collect();
    assert_eq!(ends, "011110000111100001111000");
}

/// Ends over two sets of eight games and a match tie-break of thirteen points: rule 10, appendix V.
#[test]
fn ends_run_on_into_a_match_tie_break() {
    let mut s = of("best-of-3-match-tie-break-10");
    games(&mut s, "AABAAABAABABBBBB");
    assert!(s.state().in_tie_break(), "{:?}", s.stands());
    let ends: String = (0..13)
        .map(|i| {
            let far = s.state().a_end == Some(End::Far);
            s.award(if i % 2 == 0 { Side::A } else { Side::B });
            if far { '1' } else { '0' }
        })
        .collect();
    assert_eq!(ends, "0000001111110");
}

#[test]
fn a_drill_counts_rallies_and_guesses_nothing() {
    let mut s = of("drill");
    points(&mut s, "ABABABAB");
    let state = s.state();
    assert_eq!((state.called, state.games, state.point), (Called::NoScore, [0, 0], 8));
    assert_eq!((state.server, state.side, state.a_end), (Side::A, None, Some(End::Near)));
    assert_eq!((state.game_point, s.finished()), ([false; 2], false));
    s.play(&Played { server_end: Some(End::Near), ..by(Server::B, Side::A) });
    let state = s.state();
    assert_eq!((state.server, state.server_end, state.a_end), (Side::B, Some(End::Near), Some(End::Far)));
}
