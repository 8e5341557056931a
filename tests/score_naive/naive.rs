//! The second scorer. It knows nothing of the program's.

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

pub struct Format {
    sets: usize,
    usual: Vec<usize>,
    last: Vec<usize>,
    no_ad: bool,
    pub ends: Ends,
}

/// When ends are changed in a tie-break.
#[derive(Clone, Copy, PartialEq)]
pub enum Ends {
    Six,
    OneThenFour,
    Once,
}

pub fn format(name: &str) -> Format {
    let bare = name.trim_start_matches("no-ad-");
    let line = FORMATS.lines().find(|l| l.split_whitespace().next() == Some(bare)).unwrap();
    let numbers: Vec<usize> =
        line.split_whitespace().skip(1).map(|n| if n == "-" { NONE } else { n.parse().unwrap() }).collect();
    Format {
        sets: numbers[0],
        usual: numbers[1..5].to_vec(),
        last: numbers[5..9].to_vec(),
        no_ad: bare != name,
        ends: if bare == "short-sets-tie-break-to-5" { Ends::Once } else { Ends::Six },
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
pub struct Naive {
    pub format: Format,
    pub sets: Vec<Set>,
    /// Who served first, and the end at which A began.
    pub first: char,
    pub end: char,
    pub over: Option<char>,
    pub pairs: Option<Pairs>,
}

/// Who plays on each side in doubles: players 1 and 2 of A, 1 and 2 of B.
#[derive(Default)]
pub struct Pairs {
    /// For each set from which on it stands: who of A and of B serves first, and who of them receives in the deuce court.
    pub orders: Vec<Option<[[u8; 2]; 2]>>,
    /// In mixed doubles, which of A's and of B's players is the woman.
    pub women: Option<[u8; 2]>,
}

impl Pairs {
    /// What was agreed for a set, or else for the last one before it for which something was.
    fn order(&self, set: usize) -> Option<[[u8; 2]; 2]> {
        self.orders.iter().take(set + 1).filter_map(|o| *o).next_back()
    }
}

impl Naive {
    pub fn add(&mut self, who: char) {
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
    pub fn line(&self) -> String {
        let n = self.sets.len() - 1;
        let set = &self.sets[n];
        let (games, game) = (&set[..set.len() - 1], set.last().unwrap().as_str());
        let tie_break = self.format.is_tie_break(n, games);
        let done: Vec<String> =
            self.sets[..n].iter().enumerate().map(|(i, s)| self.set_words(i, s)).collect();
        let won = won(games);
        let all_games: usize = self.sets.iter().map(Vec::len).sum::<usize>() - 1;
        let server = self.server(all_games, game.len(), tie_break);
        let deciding = self.format.no_ad && !tie_break && game.len() == 6;
        let court = match game.len() % 2 {
            _ if deciding => "?",
            0 => "deuce",
            _ => "ad",
        };
        let (partner, receiver, court) = self.players(server, court, game.len(), tie_break);
        let end = self.end(game.len(), tie_break);
        format!(
            "[{}] {}-{} {} {server}{partner}>{receiver} {court} {end} {}",
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

    /// Who of each pair serves and receives, and in which court. Rule 14: the players of a set serve its games in an order
    /// of four, the pairs in turn; in a tie-break it goes on, one having a point and then each two. Rule 15: who receives
    /// in a court of a set does so to its end. Appendix V, no-ad in mixed doubles: like receives from like, without
    /// changing places.
    fn players(
        &self,
        server: char,
        court: &'static str,
        points: usize,
        tie_break: bool,
    ) -> (String, String, &'static str) {
        let set = self.sets.len() - 1;
        let agreed = self.pairs.as_ref().and_then(|p| Some((p.order(set)?, p.women)));
        let Some(([first, deuce], women)) = agreed else { return ("-".into(), "-".into(), court) };
        let before = self.sets[set].len() - 1;
        let turns = before + if tie_break { points.div_ceil(2) } else { 0 };
        // Of those two turns of a pair, this is its first, third … or its second, fourth …
        let round = turns / 2;
        let at = |who: char| usize::from(who == 'B');
        let swap = |player: u8| 3 - player;
        let serves = if round.is_multiple_of(2) { first[at(server)] } else { swap(first[at(server)]) };
        let there = other(server);
        let receives = match (court, women) {
            ("deuce", _) => deuce[at(there)],
            ("ad", _) => swap(deuce[at(there)]),
            (_, None) => return (serves.to_string(), "-".into(), court),
            (_, Some(women)) if serves == women[at(server)] => women[at(there)],
            (_, Some(women)) => swap(women[at(there)]),
        };
        let court = if receives == deuce[at(there)] { "deuce" } else { "ad" };
        (serves.to_string(), receives.to_string(), court)
    }

    /// Rule 10, walked through game by game from the start: after the first, third, fifth … game of each set; at a set's
    /// end only if its games are odd in number; in a tie-break after every six points (or once, after four; or after the
    /// first and then every four: appendix V).
    fn end(&self, points: usize, tie_break: bool) -> char {
        let mut end = self.end;
        let turn = |end: char| if end == 'N' { 'F' } else { 'N' };
        let within = |points: usize| match self.format.ends {
            Ends::Six => points / 6,
            Ends::Once => usize::from(points >= 4),
            Ends::OneThenFour => (1..=points).filter(|n| n % 4 == 1).count(),
        };
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
