//! A second scorer, written from the rule text alone and in another style, against the program's on 10,000 random
//! matches under every preset. It keeps the whole match as words in lists and works everything out anew from them.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use changeover::tennis::presets::PRESETS;
use changeover::tennis::rules::Rules;
use changeover::tennis::score::PointState;
use changeover::tennis::scorer::Scorer;
use changeover::tennis::{CourtSide, End, Side};

/// One format, spelled out once more by hand, so that a wrong number in a preset is found too: sets at most; games,
/// tie-break at, to and lead of a set; the same of the last set. A `-` is none; a last set of 0 games is a match
/// tie-break.
const FORMATS: &str = "
best-of-3                       3  6 6 7 2    6 6 7 2
best-of-5                       5  6 6 7 2    6 6 7 2
one-set                         1  6 6 7 2    6 6 7 2
best-of-3-advantage             3  6 - - -    6 - - -
best-of-5-advantage             5  6 - - -    6 - - -
one-set-advantage               1  6 - - -    6 - - -
best-of-3-final-advantage       3  6 6 7 2    6 - - -
best-of-5-final-advantage       5  6 6 7 2    6 - - -
best-of-3-final-tie-break-at-12 3  6 6 7 2    6 12 7 2
best-of-5-final-tie-break-at-12 5  6 6 7 2    6 12 7 2
best-of-3-final-tie-break-to-10 3  6 6 7 2    6 6 10 2
best-of-5-final-tie-break-to-10 5  6 6 7 2    6 6 10 2
best-of-3-match-tie-break-10    3  6 6 7 2    0 0 10 2
best-of-3-match-tie-break-7     3  6 6 7 2    0 0 7 2
match-tie-break-10              1  6 6 7 2    0 0 10 2
match-tie-break-7               1  6 6 7 2    0 0 7 2
pro-set-8                       1  8 8 7 2    8 8 7 2
pro-set-8-tie-break-at-7        1  8 7 7 2    8 7 7 2
short-sets                      3  4 4 7 2    4 4 7 2
short-sets-tie-break-at-3       3  4 3 7 2    4 3 7 2
short-sets-match-tie-break-10   3  4 4 7 2    0 0 10 2
short-sets-tie-break-to-5       3  4 3 5 1    4 3 5 1
one-short-set                   1  4 4 7 2    4 4 7 2
";

/// No tie-break: it would come at more games all than any match has.
const NONE: usize = usize::MAX;

struct Format {
    sets: usize,
    usual: Vec<usize>,
    last: Vec<usize>,
    no_ad: bool,
    once: bool,
}

fn format(name: &str) -> Format {
    let bare = name.trim_start_matches("no-ad-");
    let line = FORMATS.lines().find(|l| l.split_whitespace().next() == Some(bare)).unwrap();
    let numbers: Vec<usize> =
        line.split_whitespace().skip(1).map(|n| if n == "-" { NONE } else { n.parse().unwrap() }).collect();
    Format {
        sets: numbers[0],
        usual: numbers[1..5].to_vec(),
        last: numbers[5..9].to_vec(),
        no_ad: bare != name,
        once: bare == "short-sets-tie-break-to-5",
    }
}

/// The match as a tree of words: sets of games of points, each point the letter of who won it.
type Game = String;
type Set = Vec<Game>;

fn count(text: &str, who: char) -> usize {
    text.matches(who).count()
}

/// Who won each of these games, all over: whoever won its last point.
fn won(games: &[Game]) -> String {
    games.iter().filter_map(|game| game.chars().last()).collect()
}

fn other(who: char) -> char {
    if who == 'A' { 'B' } else { 'A' }
}

impl Format {
    fn form(&self, set: usize) -> &[usize] {
        if set + 1 == self.sets { &self.last } else { &self.usual }
    }

    /// Who won a game: the last point's winner, if the game is over. "A standard game is won by four points with two
    /// ahead, or no-ad by four; a tie-break by so many with so many ahead."
    fn game_winner(&self, set: usize, games: &[Game], game: &str) -> Option<char> {
        let who = game.chars().last()?;
        let (mine, theirs) = (count(game, who), count(game, other(who)));
        let over = if self.is_tie_break(set, games) {
            let form = self.form(set);
            mine >= form[2] && mine >= theirs + form[3]
        } else if self.no_ad {
            mine == 4
        } else {
            mine >= 4 && mine >= theirs + 2
        };
        over.then_some(who)
    }

    /// Whether the game after these is a tie-break: "at so many games all".
    fn is_tie_break(&self, set: usize, games: &[Game]) -> bool {
        let (at, won) = (self.form(set)[1], won(games));
        count(&won, 'A') == at && count(&won, 'B') == at
    }

    /// Who won a set: "who first wins so many games with two ahead, or the tie-break".
    fn set_winner(&self, set: usize, games: &[Game]) -> Option<char> {
        let (last, before) = games.split_last()?;
        let who = self.game_winner(set, before, last)?;
        let won = won(games);
        let (mine, theirs) = (count(&won, who), count(&won, other(who)));
        let to = self.form(set)[0];
        let by_tie_break = self.is_tie_break(set, before);
        (by_tie_break || (mine >= to && mine >= theirs + 2)).then_some(who)
    }

    fn match_winner(&self, sets: &[Set]) -> Option<char> {
        let won: String = sets.iter().enumerate().filter_map(|(n, s)| self.set_winner(n, s)).collect();
        ['A', 'B'].into_iter().find(|w| count(&won, *w) * 2 > self.sets)
    }
}

/// The match so far, as a list of sets, each a list of games; the last of each may not be over.
struct Naive {
    format: Format,
    sets: Vec<Set>,
    /// Who served first, and the end at which A began.
    first: char,
    end: char,
    over: Option<char>,
}

impl Naive {
    fn add(&mut self, who: char) {
        let n = self.sets.len() - 1;
        let set = self.sets.last_mut().unwrap();
        set.last_mut().unwrap().push(who);
        let (game, before) = set.split_last().unwrap();
        if self.format.game_winner(n, before, game).is_none() {
            return;
        }
        if self.format.set_winner(n, set).is_some() {
            self.over = self.format.match_winner(&self.sets);
            self.sets.push(vec![String::new()]);
        } else {
            set.push(String::new());
        }
    }

    /// One line for the state before the next point: sets, games, call, server, court, A's end, who could win what.
    fn line(&self) -> String {
        let n = self.sets.len() - 1;
        let set = &self.sets[n];
        let (games, game) = (&set[..set.len() - 1], set.last().unwrap().as_str());
        let tie_break = self.format.is_tie_break(n, games);
        let done: Vec<String> =
            self.sets[..n].iter().enumerate().map(|(i, s)| self.set_words(i, s)).collect();
        let won = won(games);
        let all_games: usize = self.sets.iter().map(Vec::len).sum::<usize>() - 1;
        let server = self.server(all_games, game.len(), tie_break);
        let court = if self.format.no_ad && !tie_break && game.len() == 6 {
            "?"
        } else if game.len() % 2 == 0 {
            "deuce"
        } else {
            "ad"
        };
        let end = self.end(game.len(), tie_break);
        format!(
            "[{}] {}-{} {} {server} {court} {end} {}",
            done.join(" "),
            count(&won, 'A'),
            count(&won, 'B'),
            self.call(game, tie_break),
            self.chances()
        )
    }

    fn set_words(&self, n: usize, set: &Set) -> String {
        let won = won(set);
        let last = set.last().unwrap();
        let tie_break = if self.format.is_tie_break(n, &set[..set.len() - 1]) {
            format!("({}-{})", count(last, 'A'), count(last, 'B'))
        } else {
            String::new()
        };
        format!("{}-{}{tie_break}", count(&won, 'A'), count(&won, 'B'))
    }

    /// Rule 14: the players serve games in turn, a tie-break being one game; in it one point, then two each.
    fn server(&self, games_before: usize, points: usize, tie_break: bool) -> char {
        let order = [self.first, other(self.first)];
        let begins = order[games_before % 2];
        if !tie_break {
            return begins;
        }
        let turns: Vec<char> = "ABBAABBAABBA".repeat(20).chars().collect();
        if turns[points] == 'A' { begins } else { other(begins) }
    }

    /// Rule 10, walked through game by game from the start: after the first, third, fifth … game of each set; at a set's
    /// end only if its games are odd in number; in a tie-break after every six points (or once, after four).
    fn end(&self, points: usize, tie_break: bool) -> char {
        let mut end = self.end;
        let turn = |end: char| if end == 'N' { 'F' } else { 'N' };
        let within = |points: usize| if self.format.once { usize::from(points >= 4) } else { points / 6 };
        for (n, set) in self.sets.iter().enumerate() {
            for (g, game) in set.iter().enumerate() {
                if n + 1 == self.sets.len() && g + 1 == set.len() {
                    continue;
                }
                if self.format.is_tie_break(n, &set[..g]) {
                    for _ in 0..within(game.len() - 1) {
                        end = turn(end);
                    }
                }
                if g % 2 == 0 {
                    end = turn(end);
                }
            }
        }
        if tie_break {
            for _ in 0..within(points) {
                end = turn(end);
            }
        }
        end
    }

    /// Rule 5, as the umpire would call it, A's points first.
    fn call(&self, game: &str, tie_break: bool) -> String {
        let (a, b) = (count(game, 'A'), count(game, 'B'));
        if tie_break {
            return format!("tb{a}-{b}");
        }
        let words = ["0", "15", "30", "40"];
        match (a, b) {
            (3, 3) if self.format.no_ad => "deciding".into(),
            _ if a < 3 || b < 3 => format!("{}-{}", words[a], words[b]),
            _ if a == b => "deuce".into(),
            _ => format!("ad{}", if a > b { 'A' } else { 'B' }),
        }
    }

    /// What each side could win with the next point, tried out by playing it: g, s, m.
    fn chances(&self) -> String {
        let n = self.sets.len() - 1;
        let mut text = String::new();
        for who in ['A', 'B'] {
            let mut sets = self.sets.clone();
            sets[n].last_mut().unwrap().push(who);
            let set = &sets[n];
            text.push(who);
            if self.format.game_winner(n, &set[..set.len() - 1], set.last().unwrap()).is_some() {
                text.push('g');
            }
            if self.format.set_winner(n, set).is_some() {
                text.push('s');
            }
            if self.format.match_winner(&sets).is_some() {
                text.push('m');
            }
        }
        text
    }
}

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
    format!("[{}] {a}-{b} {called} {} {court} {end} {chances}", sets.join(" "), letter(state.server))
}

/// A number from 0 to 99, by a linear congruence (Knuth, *The Art of Computer Programming* 2, MMIX's constants).
fn dice(seed: &mut u64) -> u64 {
    *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*seed >> 33) % 100
}

#[test]
fn ten_thousand_matches_are_scored_alike() {
    let names: Vec<String> = PRESETS
        .iter()
        .filter(|p| p.name != "drill")
        .flat_map(|p| [p.name.to_owned(), format!("no-ad-{}", p.name)])
        .collect();
    let (mut seed, mut points) = (20_260_509u64, 0u64);
    for n in 0..10_000usize {
        let name = &names[n % names.len()];
        let b_first = dice(&mut seed) < 50;
        let (first, side) = if b_first { ('B', Side::B) } else { ('A', Side::A) };
        let mut ours = Scorer::singles(Rules::named(name).unwrap(), side, End::Near);
        let sets = vec![vec![String::new()]];
        let mut naive = Naive { format: format(name), sets, first, end: 'N', over: None };
        let (holds, better) = (45 + dice(&mut seed) % 20, dice(&mut seed) % 15);
        while naive.over.is_none() {
            // Some points of each match: all of them take a minute.
            if dice(&mut seed) < 7 {
                assert_eq!(line(&ours.state()), naive.line(), "match {n}, {name}: {:?}", naive.sets);
            }
            assert!(!ours.finished(), "match {n}, {name}");
            let server = ours.server();
            let won = dice(&mut seed) < holds + if server == Side::A { better } else { 0 };
            let winner = if won { server } else { server.other() };
            ours.award(winner);
            naive.add(if winner == Side::A { 'A' } else { 'B' });
            points += 1;
        }
        let letter = ours.winner().map(|w| if w == Side::A { 'A' } else { 'B' });
        assert_eq!(letter, naive.over, "match {n}, {name}");
    }
    assert!(points > 900_000, "{points} points");
}
