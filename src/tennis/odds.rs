//! The odds of game, set and match from the odds of a point, and the importance of a point.
//!
//! Points are taken as independent, each side winning a point on its own serve with the same chance all through: nearly
//! so in play (Klaassen & Magnus 2001, *JASA* 96). Then a game is a sum over its scores with a geometric series from
//! deuce, a tie-break and a set likewise, and a match a sum over its sets (O'Malley 2008, *J. Quant. Anal. Sports* 4(2);
//! Newton & Keller 2005, *Stud. Appl. Math.* 114). Importance of a point is how much more likely the match (or the game)
//! is won after winning it than after losing it (Morris 1977, "The most important points in tennis").
//!
//! All is in terms of side A and between 0 and 1. An error in the order of serve is taken to be the order from there on.

use std::sync::{Arc, Mutex, PoisonError};

use super::Side;
use super::rules::{Deuce, Play, Rules, SetForm};
use super::score::{Called, PointState};

/// The chance that is taken for either side to win a point on its own serve where importance is asked for and nothing
/// else is said. One fixed number, the same for both: so importance follows from the score alone, is the same for the
/// same score in every record, and cannot be coloured by who won the points that are asked about.
pub const USUAL: f64 = 0.6;

/// Rules whose odds are kept.
const MOST_KEPT: usize = 16;

/// The odds under some rules, for two chances of winning a point on serve.
#[derive(Debug, Clone)]
pub struct Odds {
    whole: Table,
}

impl Odds {
    /// The odds where A wins `serve[0]` of the points on A's serve, and B `serve[1]` of those on B's. `None` unless both
    /// lie strictly between 0 and 1 and the rules make a match with a score.
    pub fn new(rules: Rules, serve: [f64; 2]) -> Option<Self> {
        let sound = serve.iter().all(|p| *p > 0.0 && *p < 1.0);
        if !sound || rules.check().is_err() || rules.play == Play::Drill {
            return None;
        }
        Some(Self { whole: Table::new(rules, serve) })
    }

    /// The odds with [`USUAL`] for both; `None` for a drill. Those of the rules asked for last are kept: the matches of a
    /// season are mostly played by the same.
    pub fn usual(rules: Rules) -> Option<Arc<Self>> {
        static KEPT: Mutex<Vec<(Rules, Option<Arc<Odds>>)>> = Mutex::new(Vec::new());
        // Nothing that is half done is ever in it.
        let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, odds)) = kept.iter().find(|(of, _)| *of == rules) {
            return odds.clone();
        }
        let odds = Self::new(rules, [USUAL; 2]).map(Arc::new);
        kept.insert(0, (rules, odds.clone()));
        kept.truncate(MOST_KEPT);
        odds
    }

    /// Chance that A wins the match from here; `None` once it is over.
    #[cfg(test)]
    fn wins_match(&self, state: &PointState) -> Option<f64> {
        let at = self.place(state)?;
        Some(self.whole.mean(at, self.whole.game(at)))
    }

    /// Chance that A wins the game or tie-break being played; `None` once the match is over.
    #[cfg(test)]
    fn wins_game(&self, state: &PointState) -> Option<f64> {
        Some(self.whole.game(self.place(state)?))
    }

    /// What the next point means to the match: the chance of winning it after the point is won less that after it is
    /// lost, the same for both sides; `None` once the match is over.
    pub fn importance(&self, state: &PointState) -> Option<f64> {
        let at = self.place(state)?;
        let [won, lost] = [Side::A, Side::B].map(|side| self.whole.after_game(at, side));
        Some((won - lost) * self.game_importance(state)?)
    }

    /// What the next point means to the game, likewise.
    pub fn game_importance(&self, state: &PointState) -> Option<f64> {
        let at = self.place(state)?;
        let [won, lost] = [Side::A, Side::B].map(|side| self.whole.game_after_point(at, side));
        Some(won - lost)
    }

    fn place(&self, state: &PointState) -> Option<Place> {
        let won =
            [Side::A, Side::B].map(|side| state.sets.iter().filter(|s| s.winner() == side).count() as u8);
        if won.iter().any(|n| *n >= self.whole.rules.sets_to_win()) {
            return None;
        }
        let points = match state.called {
            Called::Points([a, b]) => [a.into(), b.into()],
            Called::Deuce | Called::Deciding => [3, 3],
            Called::Advantage(Side::A) => [4, 3],
            Called::Advantage(Side::B) => [3, 4],
            Called::TieBreak(points) => points,
            Called::NoScore => return None,
        };
        let later = state.in_tie_break() && (points[0] + points[1]).div_ceil(2) % 2 == 1;
        let server = if later { state.server.other() } else { state.server };
        Some(Place { won, games: state.games, points, server })
    }
}

/// A score: sets, games and points won, and who serves the game or begins the tie-break.
#[derive(Debug, Clone, Copy)]
struct Place {
    won: [u8; 2],
    games: [u16; 2],
    points: [u16; 2],
    server: Side,
}

/// Chances of winning from the start of each game of a match.
#[derive(Debug, Clone)]
struct Table {
    rules: Rules,
    serve: [f64; 2],
    /// Games of a side run from 0 to one less than this.
    wide: usize,
    /// By sets, games and server; `NAN` where not worked out.
    known: Vec<f64>,
    /// Chance that A, that B wins a game on its own serve, by its points and the other's: up to five each, which is one
    /// point after an advantage.
    held: [[[f64; 6]; 6]; 2],
}

impl Table {
    fn new(rules: Rules, serve: [f64; 2]) -> Self {
        let most = |form| match form {
            SetForm::MatchTieBreak { .. } => 0,
            SetForm::Set(set) => set.games.max(set.tie_break.map_or(0, |t| t.at)),
        };
        let last = usize::from(rules.best_of) - 1;
        let wide = usize::from(most(rules.form(0)).max(most(rules.form(last)))) + 1;
        let held = serve.map(|p| {
            std::array::from_fn(|s| std::array::from_fn(|r| held(rules.deuce, p, [s as u16, r as u16])))
        });
        let mut table = Self { rules, serve, wide, known: vec![f64::NAN; 9 * wide * wide * 2], held };
        for server in [Side::A, Side::B] {
            table.fill(Place { won: [0; 2], games: [0; 2], points: [0; 2], server });
        }
        table
    }

    /// Works out all that can follow a start of a game, the last first.
    fn fill(&mut self, at: Place) {
        let at = self.reduced(at);
        if !self.known[self.index(at)].is_nan() {
            return;
        }
        for next in self.followers(at) {
            self.fill(next);
        }
        let index = self.index(at);
        self.known[index] = self.work_out(at);
        if self.endless(at) {
            let next = [Side::A, Side::B].map(|side| self.next(at, side).ok());
            next.into_iter().flatten().for_each(|place| self.fill(place));
        }
    }

    fn index(&self, at: Place) -> usize {
        let (sets, games) = (at.won.map(usize::from), at.games.map(usize::from));
        (((sets[0] * 3 + sets[1]) * self.wide + games[0]) * self.wide + games[1]) * 2 + at.server.index()
    }

    /// Without a tie-break every level score late in a set is like the first such.
    fn reduced(&self, at: Place) -> Place {
        let SetForm::Set(set) = self.form(at) else { return at };
        let over = at.games[0].min(at.games[1]).saturating_sub(u16::from(set.games) - 1);
        if set.tie_break.is_some() { at } else { Place { games: at.games.map(|g| g - over), ..at } }
    }

    fn form(&self, at: Place) -> SetForm {
        self.rules.form(usize::from(at.won[0] + at.won[1]))
    }

    /// Points and lead that win the present game, if it is a tie-break.
    fn tie_break(&self, at: Place) -> Option<(u16, u16)> {
        match self.form(at) {
            SetForm::MatchTieBreak { points } => Some((points.into(), 2)),
            SetForm::Set(set) => (set.tie_break)
                .filter(|t| at.games == [u16::from(t.at); 2])
                .map(|t| (t.points.into(), t.lead.into())),
        }
    }

    /// Where a set without a tie-break is level and can go on for ever.
    fn endless(&self, at: Place) -> bool {
        matches!(self.form(at), SetForm::Set(set) if set.tie_break.is_none() && at.games == [u16::from(set.games) - 1; 2])
    }

    /// The starts of the games that a place's worth is made of.
    fn followers(&self, at: Place) -> impl Iterator<Item = Place> + use<> {
        let next = |side: Side| {
            if self.endless(at) { self.after_set(at, side, at.server) } else { self.next(at, side) }
        };
        [next(Side::A), next(Side::B)].into_iter().filter_map(Result::ok)
    }

    /// The start of the next set, or who has won the match: A 1, B 0.
    fn after_set(&self, at: Place, side: Side, server: Side) -> Result<Place, f64> {
        let mut won = at.won;
        won[side.index()] += 1;
        if won[side.index()] >= self.rules.sets_to_win() {
            return Err(if side == Side::A { 1.0 } else { 0.0 });
        }
        Ok(Place { won, games: [0; 2], points: [0; 2], server })
    }

    /// The start of the next game, or who has won the match: A 1, B 0.
    fn next(&self, at: Place, side: Side) -> Result<Place, f64> {
        let mut games = at.games;
        games[side.index()] += 1;
        let (mine, theirs) = (games[side.index()], games[side.other().index()]);
        let to = if let SetForm::Set(set) = self.form(at) { u16::from(set.games) } else { 0 };
        if self.tie_break(at).is_some() || (mine >= to && mine >= theirs + 2) {
            return self.after_set(at, side, at.server.other());
        }
        Ok(Place { games, points: [0; 2], server: at.server.other(), ..at })
    }

    /// Worth of a start of a game, from its followers.
    fn work_out(&self, at: Place) -> f64 {
        if !self.endless(at) {
            return self.mean(at, self.game(at));
        }
        // Two games, one on each serve, decide or bring the same score again.
        let [here, there] = [at, Place { server: at.server.other(), ..at }].map(|p| self.game(p));
        let (both, none) = (here * there, (1.0 - here) * (1.0 - there));
        let [won, lost] = [Side::A, Side::B].map(|side| self.worth(self.after_set(at, side, at.server)));
        (both * won + none * lost) / (both + none)
    }

    fn worth(&self, at: Result<Place, f64>) -> f64 {
        at.map_or_else(|decided| decided, |at| self.known[self.index(self.reduced(at))])
    }

    fn after_game(&self, at: Place, side: Side) -> f64 {
        self.worth(self.next(self.reduced(at), side))
    }

    /// Worth of a place, where A wins the game with chance `game`.
    fn mean(&self, at: Place, game: f64) -> f64 {
        game * self.after_game(at, Side::A) + (1.0 - game) * self.after_game(at, Side::B)
    }

    /// Chance that A wins the game or tie-break.
    fn game(&self, at: Place) -> f64 {
        if let Some(to) = self.tie_break(at) {
            return self.tie_break_from(at, to);
        }
        let (s, r) = (at.server.index(), at.server.other().index());
        let [mine, theirs] = [s, r].map(|i| at.points[i]);
        let kept = self.held[s].get(usize::from(mine)).and_then(|row| row.get(usize::from(theirs)));
        let held = kept.copied().unwrap_or_else(|| held(self.rules.deuce, self.serve[s], [mine, theirs]));
        if at.server == Side::A { held } else { 1.0 - held }
    }

    fn game_after_point(&self, at: Place, side: Side) -> f64 {
        let mut points = at.points;
        points[side.index()] += 1;
        self.game(Place { points, ..at })
    }

    /// Chance that A wins point `n` of a tie-break, from 0: the first server has one point, then each has two.
    fn point(&self, first: Side, n: u16) -> f64 {
        let server = if n.div_ceil(2) % 2 == 1 { first.other() } else { first };
        if server == Side::A { self.serve[0] } else { 1.0 - self.serve[1] }
    }

    /// Chance that A wins a tie-break to `to` by `lead` from here. Once it goes by two, each two points are one on
    /// either serve.
    fn tie_break_from(&self, at: Place, (to, lead): (u16, u16)) -> f64 {
        let [a, b] = at.points;
        let (won, lost) = (self.serve[0] * (1.0 - self.serve[1]), (1.0 - self.serve[0]) * self.serve[1]);
        let by_two =
            |a: u16, b: u16| from_level(won, lost, self.point(at.server, a + b), i32::from(a) - i32::from(b));
        let late = |a: u16, b: u16| lead == 2 && a + 1 >= to && b + 1 >= to;
        if late(a, b) {
            return by_two(a, b);
        }
        // From the end of the tie-break back to here; row `a` is made from row `a + 1` and from itself.
        let mut below = vec![1.0; usize::from(to) + 1];
        for x in (a..=to).rev() {
            let mut row = vec![0.0; usize::from(to) + 1];
            for y in (b..=to).rev() {
                row[usize::from(y)] = if late(x, y) {
                    by_two(x, y)
                } else if x == to {
                    1.0
                } else if y == to {
                    0.0
                } else {
                    let p = self.point(at.server, x + y);
                    p * below[usize::from(y)] + (1.0 - p) * row[usize::from(y) + 1]
                };
            }
            below = row;
        }
        below[usize::from(b)]
    }
}

/// Chance that the server wins a game from these points, server's first, and each of them with chance `p`.
fn held(deuce: Deuce, p: f64, [s, r]: [u16; 2]) -> f64 {
    let q = 1.0 - p;
    if deuce == Deuce::Advantage && s >= 3 && r >= 3 {
        return from_level(p * p, q * q, p, i32::from(s) - i32::from(r));
    }
    match (s, r) {
        (4.., _) => 1.0,
        (_, 4..) => 0.0,
        _ => p * held(deuce, p, [s + 1, r]) + q * held(deuce, p, [s, r + 1]),
    }
}

/// Chance of being the first to lead by two, where two points from level are both won with chance `won` and both lost
/// with chance `lost`, the next point is won with chance `p`, and the lead is `ahead`.
fn from_level(won: f64, lost: f64, p: f64, ahead: i32) -> f64 {
    let level = won / (won + lost);
    match ahead {
        0 => level,
        1 => p + (1.0 - p) * level,
        -1 => p * level,
        n => f64::from(u8::from(n > 0)),
    }
}

#[cfg(test)]
#[path = "odds_tests.rs"]
mod tests;
