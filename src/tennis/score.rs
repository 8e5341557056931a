//! The score, replayed from the winners of the points.
//!
//! [`Scorer`] holds the score before the next point and takes one winner at a time. Order of serve, courts and
//! change of ends: ITF Rules of Tennis, rules 5 (game, tie-break), 6 (set), 10 (ends: after the first, third and
//! every later odd game of a set; at a set's end only when its games add up to an odd number, else after the next
//! set's first game; in a tie-break after every six points) and 14 (order of service).

use super::rules::{Rules, SetRules};
use super::{CourtSide, End, Side};

/// Games and tie-break points of one set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct SetScore {
    /// Games of A and B.
    pub games: [u8; 2],
    /// Points of A and B in the tie-break, once one was played.
    pub tie_break: Option<[u16; 2]>,
}

/// What the umpire would call.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Called {
    /// Points of a game, each 0 to 3: love, 15, 30, 40. Never 3–3, which is [`Called::Deuce`].
    Points([u8; 2]),
    /// Forty all or level after it.
    Deuce,
    /// Advantage to this side.
    Advantage(Side),
    /// Points in a tie-break.
    TieBreak([u16; 2]),
}

impl Called {
    /// As called with the server's score first: `30–15`, `deuce`, `advantage server`, `3–2 in the tie-break`.
    pub fn server_first(self, server: Side) -> String {
        const WORDS: [&str; 4] = ["0", "15", "30", "40"];
        let word = |n: u8| WORDS[usize::from(n.min(3))];
        let (s, r) = (server.index(), server.other().index());
        match self {
            Self::Points(p) => format!("{}–{}", word(p[s]), word(p[r])),
            Self::Deuce => "deuce".into(),
            Self::Advantage(side) if side == server => "advantage server".into(),
            Self::Advantage(_) => "advantage receiver".into(),
            Self::TieBreak(p) => format!("{}–{} in the tie-break", p[s], p[r]),
        }
    }

    /// One side's part of a score board: `40`, `Ad`, `6`, and `40` for both at deuce.
    pub fn of(self, side: Side) -> String {
        match self {
            Self::Points(p) => ["0", "15", "30", "40"][usize::from(p[side.index()].min(3))].into(),
            Self::Deuce => "40".into(),
            Self::Advantage(a) => if a == side { "Ad" } else { "" }.into(),
            Self::TieBreak(p) => p[side.index()].to_string(),
        }
    }
}

/// All that the score says just before a point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PointState {
    /// Sets finished before this point.
    pub sets: Vec<SetScore>,
    /// Games of A and B in the set being played.
    pub games: [u8; 2],
    /// The score in the game, as called.
    pub called: Called,
    /// Who serves.
    pub server: Side,
    /// The court that the point is served from.
    pub side: CourtSide,
    /// The end the server stands at.
    pub server_end: End,
    /// The end A stands at.
    pub a_end: End,
    /// Whom the next point would win the game, if either side can: break point when it is the receiver.
    pub game_point: Option<Side>,
    /// Whom the next point would win the set.
    pub set_point: Option<Side>,
    /// Whom the next point would win the match.
    pub match_point: Option<Side>,
    /// Number of the set, from 0.
    pub set: usize,
    /// Number of the game in its set, from 0; the tie-break counts as one.
    pub game: usize,
    /// Number of the point in its game, from 0.
    pub point: u16,
}

impl PointState {
    /// Whether the receiver can win the game with this point; never in a tie-break.
    pub fn break_point(&self) -> bool {
        !matches!(self.called, Called::TieBreak(_)) && self.game_point == Some(self.server.other())
    }
}

/// The score before the next point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scorer {
    rules: Rules,
    sets: Vec<SetScore>,
    games: [u8; 2],
    points: [u16; 2],
    /// Who serves the first point of the present game.
    serves_game: Side,
    a_end: End,
    winner: Option<Side>,
}

impl Scorer {
    /// A match about to start: `first_server` serves, A stands at `a_starts`.
    pub const fn new(rules: Rules, first_server: Side, a_starts: End) -> Self {
        Self {
            rules,
            sets: Vec::new(),
            games: [0; 2],
            points: [0; 2],
            serves_game: first_server,
            a_end: a_starts,
            winner: None,
        }
    }

    /// Who has won the match, once it is over.
    pub const fn winner(&self) -> Option<Side> {
        self.winner
    }

    /// Whether the match is over.
    pub const fn finished(&self) -> bool {
        self.winner.is_some()
    }

    /// Sets finished so far.
    pub fn sets(&self) -> &[SetScore] {
        &self.sets
    }

    /// Whether the present game is a tie-break.
    fn in_tie_break(&self) -> bool {
        self.rules.set.tie_break.is_some_and(|t| self.games == [t.at; 2])
    }

    /// Who serves the next point. In a tie-break the first server serves one point, then each two (rule 5b).
    pub fn server(&self) -> Side {
        if self.in_tie_break() && (self.points[0] + self.points[1]).div_ceil(2) % 2 == 1 {
            self.serves_game.other()
        } else {
            self.serves_game
        }
    }

    /// All that the score says just before the next point.
    pub fn state(&self) -> PointState {
        let played = self.points[0] + self.points[1];
        let server = self.server();
        let winner_of =
            |what: fn(&Self, Side) -> bool| [Side::A, Side::B].into_iter().find(|s| what(self, *s));
        let over = self.finished();
        PointState {
            sets: self.sets.clone(),
            games: self.games,
            called: self.called(),
            server,
            side: if played.is_multiple_of(2) { CourtSide::Deuce } else { CourtSide::Ad },
            server_end: if server == Side::A { self.a_end } else { self.a_end.other() },
            a_end: self.a_end,
            game_point: winner_of(Self::wins_game).filter(|_| !over),
            set_point: winner_of(|s, w| s.wins_game(w) && s.game_wins_set(w)).filter(|_| !over),
            match_point: winner_of(|s, w| s.wins_game(w) && s.game_wins_set(w) && s.set_wins_match(w))
                .filter(|_| !over),
            set: self.sets.len(),
            game: usize::from(self.games[0]) + usize::from(self.games[1]),
            point: played,
        }
    }

    fn called(&self) -> Called {
        if self.in_tie_break() {
            return Called::TieBreak(self.points);
        }
        match self.points {
            [a, b] if a >= 3 && a == b => Called::Deuce,
            [a, b] if a > 3 || b > 3 => Called::Advantage(if a > b { Side::A } else { Side::B }),
            [a, b] => Called::Points([a as u8, b as u8]),
        }
    }

    fn wins_game(&self, side: Side) -> bool {
        let to = match self.rules.set.tie_break {
            Some(t) if self.in_tie_break() => u16::from(t.points),
            _ => 4,
        };
        let (mine, theirs) = (self.points[side.index()] + 1, self.points[side.other().index()]);
        mine >= to && mine >= theirs + 2
    }

    fn game_wins_set(&self, side: Side) -> bool {
        let SetRules { games, .. } = self.rules.set;
        let (mine, theirs) = (self.games[side.index()] + 1, self.games[side.other().index()]);
        self.in_tie_break() || (mine >= games && mine >= theirs + 2)
    }

    fn set_wins_match(&self, side: Side) -> bool {
        let won = self.sets.iter().filter(|s| s.games[side.index()] > s.games[side.other().index()]).count();
        won + 1 >= usize::from(self.rules.sets_to_win())
    }

    /// Takes the winner of the next point. After the match is over nothing changes: a record may hold more points
    /// than its rules allow, which `check` reports.
    pub fn award(&mut self, side: Side) {
        if self.finished() {
            return;
        }
        let (game, set) = (self.wins_game(side), self.game_wins_set(side));
        self.points[side.index()] += 1;
        if game {
            self.end_game(side, set);
        } else if self.in_tie_break() && (self.points[0] + self.points[1]).is_multiple_of(6) {
            self.a_end = self.a_end.other();
        }
    }

    fn end_game(&mut self, side: Side, set: bool) {
        let match_won = set && self.set_wins_match(side);
        let tie_break = self.in_tie_break().then_some(self.points);
        self.games[side.index()] += 1;
        self.points = [0; 2];
        self.serves_game = self.serves_game.other();
        let games = u16::from(self.games[0]) + u16::from(self.games[1]);
        if !games.is_multiple_of(2) {
            self.a_end = self.a_end.other();
        }
        if set {
            self.sets.push(SetScore { games: self.games, tie_break });
            self.games = [0; 2];
        }
        if match_won {
            self.winner = Some(side);
        }
    }
}

/// The state before each point of a match, and the score after the last. A point whose winner is not known leaves
/// the score as it was, so that the points after it are counted from what is known.
pub fn replay(
    rules: Rules,
    first_server: Side,
    a_starts: End,
    winners: impl IntoIterator<Item = Option<Side>>,
) -> (Vec<PointState>, Scorer) {
    let mut scorer = Scorer::new(rules, first_server, a_starts);
    let states = winners
        .into_iter()
        .map(|winner| {
            let state = scorer.state();
            if let Some(side) = winner {
                scorer.award(side);
            }
            state
        })
        .collect();
    (states, scorer)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn fresh() -> Scorer {
        Scorer::new(Rules::best_of_three(), Side::A, End::Near)
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
            sides.push(if st.side == CourtSide::Deuce { 'R' } else { 'L' });
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
                ends.push(u8::from(s.state().a_end == End::Far));
                win_game(&mut s, *w);
            }
            assert_eq!(s.sets().len(), 1, "the first set is over");
            let mut second = Vec::new();
            for _ in 0..more {
                second.push(u8::from(s.state().a_end == End::Far));
                win_game(&mut s, Side::B);
            }
            (ends, second)
        };
        let (a, b) = (Side::A, Side::B);
        // Ten games, 6–4: no change at the end of the set, then after its next first game.
        assert_eq!(
            play(&[a, b, a, b, a, b, a, b, a, a], 3),
            (vec![0, 1, 1, 0, 0, 1, 1, 0, 0, 1], vec![1, 0, 0])
        );
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
            ([[Side::A, Side::B].repeat(6), vec![Side::A, Side::A]].concat(), [End::Far, End::Near]),
        ] {
            let mut s = six_all();
            let first = s.server();
            assert_eq!(s.state().a_end, End::Near);
            for w in winners {
                s.award(w);
            }
            assert_eq!(s.sets().len(), 1);
            assert_eq!(s.server(), first.other());
            let mut ends = vec![s.state().a_end];
            win_game(&mut s, Side::B);
            ends.push(s.state().a_end);
            assert_eq!(ends, a_end_next);
        }
    }

    #[test]
    fn break_set_and_match_points_are_seen() {
        let mut s = fresh();
        for _ in 0..3 {
            s.award(Side::B);
        }
        assert!(s.state().break_point());
        assert_eq!(s.state().set_point, None);
        let mut s = fresh();
        for _ in 0..11 {
            win_game(&mut s, Side::A);
        }
        for _ in 0..3 {
            s.award(Side::A);
        }
        assert_eq!(s.state().match_point, Some(Side::A));
        s.award(Side::A);
        assert_eq!(s.winner(), Some(Side::A));
        let over = s.clone();
        s.award(Side::B);
        assert_eq!(s, over, "nothing is scored after the match");
    }

    proptest! {
        #[test]
        fn sides_mirror(winners in proptest::collection::vec(any::<bool>(), 0..400)) {
            let side = |b: bool| if b { Side::A } else { Side::B };
            let (mut x, mut y) = (fresh(), Scorer::new(Rules::best_of_three(), Side::B, End::Far));
            for w in winners {
                let (sx, sy) = (x.state(), y.state());
                prop_assert_eq!(sx.server, sy.server.other());
                prop_assert_eq!(sx.side, sy.side);
                prop_assert_eq!(sx.server_end, sy.server_end);
                prop_assert_eq!(sx.games, [sy.games[1], sy.games[0]]);
                x.award(side(w));
                y.award(side(!w));
            }
            prop_assert_eq!(x.winner(), y.winner().map(Side::other));
        }

        #[test]
        fn a_prefix_is_the_state_before_the_next_point(winners in proptest::collection::vec(any::<bool>(), 1..300), cut in 0usize..300) {
            let all: Vec<_> = winners.iter().map(|b| Some(if *b { Side::A } else { Side::B })).collect();
            let cut = cut.min(all.len() - 1);
            let (states, _) = replay(Rules::best_of_three(), Side::B, End::Far, all.clone());
            let (_, scorer) = replay(Rules::best_of_three(), Side::B, End::Far, all[..cut].to_vec());
            prop_assert_eq!(&states[cut], &scorer.state());
        }
    }
}
