//! A second scorer, written from the rule text alone and in another style, against the program's on 10,000 random
//! matches under every preset, in singles, doubles and mixed doubles. It keeps the whole match as words in lists and works
//! everything out anew from them.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

mod naive;

use changeover::tennis::pair::{PairOrder, Partner, Server, SetOrder};
use changeover::tennis::presets::PRESETS;
use changeover::tennis::rules::{Rules, TieBreakEnds};
use changeover::tennis::score::PointState;
use changeover::tennis::scorer::Scorer;
use changeover::tennis::setup::{Played, Setup};
use changeover::tennis::{CourtSide, End, Side};

use naive::{Ends, Naive, Pairs, format};

/// The program's state as the same line.
fn line(state: &PointState) -> String {
    use changeover::tennis::score::Called;
    let sets: Vec<_> = state
        .sets
        .iter()
        .map(|s| {
            let tie_break = s.tie_break.map_or(String::new(), |[a, b]| format!("({a}-{b})"));
            format!("{}-{}{tie_break}", s.games[0], s.games[1])
        })
        .collect();
    let words = ["0", "15", "30", "40"];
    let letter = |side: Side| if side == Side::A { 'A' } else { 'B' };
    let called = match state.called {
        Called::Points([a, b]) => format!("{}-{}", words[usize::from(a)], words[usize::from(b)]),
        Called::Deuce => "deuce".into(),
        Called::Deciding => "deciding".into(),
        Called::Advantage(side) => format!("ad{}", letter(side)),
        Called::TieBreak([a, b]) => format!("tb{a}-{b}"),
        Called::NoScore => "none".into(),
    };
    let court = match state.side {
        Some(CourtSide::Deuce) => "deuce",
        Some(CourtSide::Ad) => "ad",
        None => "?",
    };
    let end = if state.a_end.unwrap() == End::Near { 'N' } else { 'F' };
    let mut chances = String::new();
    for side in [Side::A, Side::B] {
        chances.push(letter(side));
        for (what, can) in [('g', state.game_point), ('s', state.set_point), ('m', state.match_point)] {
            if can[side.index()] {
                chances.push(what);
            }
        }
    }
    let [a, b] = state.games;
    let player = |p: Option<Partner>| match p {
        Some(Partner::First) => '1',
        Some(Partner::Second) => '2',
        None => '-',
    };
    let (serves, receives) = (player(state.server_partner), player(state.receiver_partner));
    let server = letter(state.server);
    format!("[{}] {a}-{b} {called} {server}{serves}>{receives} {court} {end} {chances}", sets.join(" "))
}

/// A number from 0 to 99, by a linear congruence (Knuth, *The Art of Computer Programming* 2, MMIX's constants).
fn dice(seed: &mut u64) -> u64 {
    *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*seed >> 33) % 100
}

/// Plays a match in both, looks at some of its points, and says how many there were.
fn alike(mut ours: Scorer, mut naive: Naive, seed: &mut u64, what: &str) -> u64 {
    let (holds, better) = (45 + dice(seed) % 20, dice(seed) % 15);
    let mut points = 0;
    while naive.over.is_none() {
        // Some points of each match: all of them take a minute.
        if dice(seed) < 7 {
            assert_eq!(line(&ours.state()), naive.line(), "{what}: {:?}", naive.sets);
        }
        assert!(!ours.finished(), "{what}");
        let server = ours.server();
        let won = dice(seed) < holds + if server == Side::A { better } else { 0 };
        let winner = if won { server } else { server.other() };
        ours.award(winner);
        naive.add(if winner == Side::A { 'A' } else { 'B' });
        points += 1;
    }
    let letter = ours.winner().map(|w| if w == Side::A { 'A' } else { 'B' });
    assert_eq!(letter, naive.over, "{what}");
    points
}

fn naive(name: &str, b_first: bool) -> Naive {
    let first = if b_first { 'B' } else { 'A' };
    Naive { format: format(name), sets: vec![vec![String::new()]], first, end: 'N', over: None, pairs: None }
}

/// Every format with a score, with advantage and without.
fn names() -> Vec<String> {
    let named = PRESETS.iter().filter(|p| p.name != "drill");
    named.flat_map(|p| [p.name.to_owned(), format!("no-ad-{}", p.name)]).collect()
}

#[test]
fn ten_thousand_matches_are_scored_alike() {
    let names = names();
    let (mut seed, mut points) = (20_260_509u64, 0u64);
    for n in 0..10_000usize {
        let name = &names[n % names.len()];
        let b_first = dice(&mut seed) < 50;
        let ours = Scorer::singles(Rules::named(name).unwrap(), side(b_first), End::Near);
        points += alike(ours, naive(name, b_first), &mut seed, &format!("match {n}, {name}"));
    }
    assert!(points > 900_000, "{points} points");
}

fn side(b: bool) -> Side {
    if b { Side::B } else { Side::A }
}

/// Both pairs agree on an order before some sets; before the first in most matches.
#[test]
fn who_of_a_pair_serves_and_receives_is_told_alike() {
    let names = names();
    let (mut seed, mut points) = (20_260_510u64, 0u64);
    for n in 0..2_000usize {
        let (name, mixed) = (&names[n % names.len()], (n / names.len()).is_multiple_of(2));
        let b_first = dice(&mut seed) < 50;
        let rules = Rules::named(&format!("{}-{name}", if mixed { "mixed" } else { "doubles" })).unwrap();
        let mut setup = Setup::new(rules, side(b_first), End::Near);
        let mut player = || 1 + u8::from(dice(&mut seed) < 50);
        let mut pairs = Pairs::default();
        for (set, order) in setup.order.iter_mut().enumerate() {
            let agreed = [[player(), player()], [player(), player()]];
            let noted = if set == 0 { player() + player() > 2 } else { player() == 1 };
            pairs.orders.push(noted.then_some(agreed));
            let who = |n: u8| Some(if n == 1 { Partner::First } else { Partner::Second });
            let [serves, deuce] = agreed.map(|pair| pair.map(who));
            let of = |i: usize| PairOrder { serves_first: serves[i], receives_deuce: deuce[i] };
            *order = noted.then(|| SetOrder { a: of(0), b: of(1) });
        }
        if mixed {
            let women = [player(), player()];
            setup.women = women.map(|n| Some(if n == 1 { Partner::First } else { Partner::Second }));
            pairs.women = Some(women);
        }
        let second = Naive { pairs: Some(pairs), ..naive(name, b_first) };
        points += alike(Scorer::new(setup), second, &mut seed, &format!("match {n}, {name}"));
    }
    assert!(points > 150_000, "{points} points");
}

#[test]
fn ends_are_changed_alike_after_the_first_point_and_every_four() {
    let (mut seed, mut points) = (20_260_511u64, 0u64);
    let names = ["match-tie-break-10", "one-short-set", "no-ad-best-of-3-final-tie-break-to-10", "pro-set-8"];
    for n in 0..2_000usize {
        let (name, b_first) = (names[n % names.len()], dice(&mut seed) < 50);
        let rules = Rules { tie_break_ends: TieBreakEnds::FirstThenEveryFour, ..Rules::named(name).unwrap() };
        let mut second = naive(name, b_first);
        second.format.ends = Ends::OneThenFour;
        let ours = Scorer::singles(rules, side(b_first), End::Near);
        points += alike(ours, second, &mut seed, &format!("match {n}, {name}"));
    }
    assert!(points > 100_000, "{points} points");
}

/// A drill counts nothing and is never over. Who serves, and from which end, is what was seen last.
#[test]
fn a_drill_has_no_score_in_either() {
    let mut seed = 20_260_512u64;
    for _ in 0..200 {
        let mut ours = Scorer::singles(Rules::named("drill").unwrap(), Side::A, End::Near);
        let (mut server, mut a_end) = ('A', 'N');
        for _ in 0..60 {
            let seen = dice(&mut seed);
            let served_by = [Server::A, Server::B].get(seen as usize % 5).copied();
            let server_end = [End::Near, End::Far].get(seen as usize / 5 % 4).copied();
            server = served_by.map_or(server, |s| if s == Server::A { 'A' } else { 'B' });
            if let Some(end) = server_end {
                a_end = if (end == End::Near) == (server == 'A') { 'N' } else { 'F' };
            }
            let winner = [None, Some(Side::A), Some(Side::B)][dice(&mut seed) as usize % 3];
            let point = Played { winner, served_by, server_end, ..Played::default() };
            assert_eq!(line(&ours.state_of(&point)), format!("[] 0-0 none {server}->- ? {a_end} AB"));
            ours.play(&point);
            assert!(!ours.finished());
        }
    }
}
