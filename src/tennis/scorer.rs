//! The score, counted point by point.
//!
//! [`Scorer`] holds the score before the next point and takes one point at a time. ITF Rules of Tennis: 5 (game,
//! tie-break), 6 (set), 10 (ends: after the first, third and every later odd game of a set; at a set's end only when
//! its games add up to an odd number, else after the next set's first game; in a tie-break after every six points), 14
//! and 15 (order of service and of receiving), 27 (errors; from memory of its text) and appendix V.
//!
//! Rule 27, applied to what was seen of single points. Each error counts as discovered at its own point:
//! - points that were played always count;
//! - wrong server in a game: the right server serves the next point; if the game ended with the wrong server, the altered
//!   order stays;
//! - wrong server in a tie-break: corrected at once after an even number of points; after an odd number the altered order
//!   stays;
//! - wrong court or wrong ends: right again at the next point;
//! - wrong receiver in doubles: the altered order of receiving stays to the end of that game.

use super::mark::{Conflict, Mark};
use super::pair::{Partner, Server};
use super::rules::{Deuce, Play, Rules, SetForm, SetRules, Sides};
use super::score::{Called, PointState, SetScore};
use super::setup::{Counting, Played, Setup};
use super::{CourtSide, End, Side};

/// The score before the next point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scorer {
    // What differs most is compared first.
    points: [u16; 2],
    games: [u16; 2],
    sets: Vec<SetScore>,
    /// Whose turn it is to serve the present game, or the first point of the tie-break.
    serves_game: Side,
    /// Who of each pair serves its next service game, the present one included.
    due: [Option<Partner>; 2],
    /// Whether the sides have changed turns in this tie-break (rule 27).
    turns_changed: bool,
    /// Who served the last point of this game out of turn.
    out_of_turn: Option<Server>,
    /// Whether the receivers have changed courts in this game (rule 27).
    receivers_changed: bool,
    a_end: Option<End>,
    winner: Option<Side>,
    setup: Setup,
}

/// Who serves a point, and from where.
struct Serving {
    server: Side,
    partner: Option<Partner>,
    court: Option<CourtSide>,
    /// The end where A stands.
    a_end: Option<End>,
}

impl Scorer {
    /// A match about to start.
    pub fn new(setup: Setup) -> Self {
        let mut new = Self {
            setup,
            sets: Vec::new(),
            games: [0; 2],
            points: [0; 2],
            serves_game: setup.first_server,
            due: [None; 2],
            turns_changed: false,
            out_of_turn: None,
            receivers_changed: false,
            a_end: match setup.counting {
                Counting::FromTheStart => Some(setup.a_starts),
                Counting::FromAMark | Counting::PointByPoint => None,
            },
            winner: None,
        };
        new.take_order();
        new
    }

    /// Singles about to start: `first_server` serves, A stands at `a_starts`.
    pub fn singles(rules: Rules, first_server: Side, a_starts: End) -> Self {
        Self::new(Setup::new(rules, first_server, a_starts))
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

    /// Games of A and B in the set being played.
    pub const fn games(&self) -> [u16; 2] {
        self.games
    }

    /// Points won by A and B in the game being played.
    pub const fn points(&self) -> [u16; 2] {
        self.points
    }

    /// What the match began with.
    pub const fn setup(&self) -> Setup {
        self.setup
    }

    /// The rules that it counts by.
    pub const fn rules(&self) -> Rules {
        self.setup.rules
    }

    const fn drill(&self) -> bool {
        matches!(self.setup.rules.play, Play::Drill)
    }

    const fn played(&self) -> u16 {
        self.points[0] + self.points[1]
    }

    /// Points and lead that win the present game, if it is a tie-break.
    fn tie_break(&self) -> Option<(u8, u8)> {
        if self.drill() {
            return None;
        }
        match self.setup.rules.form(self.sets.len()) {
            SetForm::MatchTieBreak { points } => Some((points, 2)),
            SetForm::Set(set) => {
                set.tie_break.filter(|t| self.games == [u16::from(t.at); 2]).map(|t| (t.points, t.lead))
            }
        }
    }

    /// Which turn of a tie-break comes next: the first server has one point, then each has two (rule 5b).
    const fn turn(&self) -> u16 {
        self.played().div_ceil(2)
    }

    /// Whose turn it is to serve the next point.
    pub fn server(&self) -> Side {
        let other = self.tie_break().is_some() && (self.turn() % 2 == 1) != self.turns_changed;
        if other { self.serves_game.other() } else { self.serves_game }
    }

    /// Who of a pair serves if it is the pair's turn now. In a tie-break a pair's players take turns (rule 14).
    fn partner(&self, side: Side) -> Option<Partner> {
        self.due[side.index()].map(|p| p.swapped(self.second_round()))
    }

    fn second_round(&self) -> bool {
        self.tie_break().is_some() && self.turn() / 2 % 2 == 1
    }

    /// Whose turn it is, with the partner where known.
    fn in_turn(&self) -> Server {
        let side = self.server();
        Server::new(side, self.partner(side))
    }

    /// Whose turn it is to serve, if that cannot be the one who was seen to. In a drill nobody has a turn.
    pub fn due_instead(&self, seen: Server) -> Option<Server> {
        let due = self.in_turn();
        (!self.drill() && !agrees(seen, due)).then_some(due)
    }

    /// All that the score says just before the next point, by the rules alone.
    pub fn state(&self) -> PointState {
        self.state_of(&Played::default())
    }

    /// Who serves a point from where: by the rules, and by what was seen of it.
    fn serving(&self, seen: &Played) -> Serving {
        let server = seen.served_by.map_or_else(|| self.server(), Server::side);
        let partner = seen.served_by.and_then(Server::partner).or_else(|| self.partner(server));
        let court = seen.side.or_else(|| self.court(server, partner));
        let a_end = match seen.server_end {
            Some(end) if server == Side::A => Some(end),
            Some(end) => Some(end.other()),
            None => self.a_end,
        };
        Serving { server, partner, court, a_end }
    }

    /// All that is known just before a point: by the rules, and by what was seen of it.
    pub fn state_of(&self, seen: &Played) -> PointState {
        let Serving { server, partner, court: side, a_end } = self.serving(seen);
        let going = !self.finished() && !self.drill();
        let chance = |what: fn(&Self, Side) -> bool| [Side::A, Side::B].map(|s| going && what(self, s));
        PointState {
            sets: self.sets.clone(),
            games: self.games,
            called: self.called(),
            server,
            server_partner: partner,
            receiver_partner: seen.received_by.or_else(|| self.receiver(server.other(), side?)),
            side,
            server_end: a_end.map(|e| if server == Side::A { e } else { e.other() }),
            a_end,
            game_point: chance(Self::wins_game),
            set_point: chance(|s, w| s.wins_game(w) && s.game_wins_set(w)),
            match_point: chance(|s, w| s.wins_game(w) && s.game_wins_set(w) && s.set_wins_match(w)),
            set: self.sets.len(),
            game: usize::from(self.games[0]) + usize::from(self.games[1]),
            point: self.played(),
        }
    }

    fn deciding(&self) -> bool {
        self.setup.rules.deuce == Deuce::NoAd && self.points == [3, 3] && self.tie_break().is_none()
    }

    /// The court that the next point is served from, by the rules.
    fn court(&self, server: Side, partner: Option<Partner>) -> Option<CourtSide> {
        if self.drill() {
            None
        } else if self.deciding() {
            self.court_of_deciding_point(server, partner)
        } else if self.played().is_multiple_of(2) {
            Some(CourtSide::Deuce)
        } else {
            Some(CourtSide::Ad)
        }
    }

    /// In mixed doubles the receiver of the server's gender receives, where that player always does; else the
    /// receivers choose (appendix V, no-ad).
    fn court_of_deciding_point(&self, server: Side, partner: Option<Partner>) -> Option<CourtSide> {
        if self.setup.rules.sides != Sides::MixedDoubles {
            return None;
        }
        let [her, theirs] = [server, server.other()].map(|s| self.setup.women[s.index()]);
        let receiver = theirs?.swapped(her? != partner?);
        let deuce = self.receiver(server.other(), CourtSide::Deuce)?;
        Some(if receiver == deuce { CourtSide::Deuce } else { CourtSide::Ad })
    }

    /// Who of a pair receives in a court.
    fn receiver(&self, pair: Side, court: CourtSide) -> Option<Partner> {
        let deuce = self.setup.order_in(self.sets.len()).of(pair).receives_deuce?;
        Some(deuce.swapped((court == CourtSide::Ad) != self.receivers_changed))
    }

    fn called(&self) -> Called {
        if self.drill() {
            return Called::NoScore;
        }
        if self.tie_break().is_some() {
            return Called::TieBreak(self.points);
        }
        match self.points {
            [3, 3] if self.setup.rules.deuce == Deuce::NoAd => Called::Deciding,
            [a, b] if a >= 3 && a == b => Called::Deuce,
            [a, b] if a > 3 || b > 3 => Called::Advantage(if a > b { Side::A } else { Side::B }),
            [a, b] => Called::Points([a as u8, b as u8]),
        }
    }

    fn wins_game(&self, side: Side) -> bool {
        let (to, lead) = match self.tie_break() {
            Some((points, lead)) => (u16::from(points), u16::from(lead)),
            None => (4, if self.setup.rules.deuce == Deuce::NoAd { 1 } else { 2 }),
        };
        let (mine, theirs) = (self.points[side.index()] + 1, self.points[side.other().index()]);
        mine >= to && mine >= theirs + lead
    }

    fn game_wins_set(&self, side: Side) -> bool {
        let SetForm::Set(SetRules { games, .. }) = self.setup.rules.form(self.sets.len()) else {
            return true;
        };
        let (mine, theirs) = (self.games[side.index()], self.games[side.other().index()]);
        self.tie_break().is_some() || (mine.saturating_add(1) >= u16::from(games) && mine > theirs)
    }

    fn set_wins_match(&self, side: Side) -> bool {
        self.won(side) + 1 >= usize::from(self.setup.rules.sets_to_win())
    }

    fn won(&self, side: Side) -> usize {
        self.sets.iter().filter(|s| s.winner() == side).count()
    }

    /// Takes the winner of the next point, played as the rules say.
    pub fn award(&mut self, side: Side) {
        self.play(&Played::won(side));
    }

    /// Takes the next point, without its mark. A point that was replayed, or whose winner is not known, leaves the
    /// score as it is, so that the points after it are counted from what is known. After the match is over nothing
    /// changes: a record may hold more points than its rules allow, which `check` reports.
    pub fn play(&mut self, point: &Played) {
        self.learn(point);
        let Some(side) = point.winner.filter(|_| !point.replayed && !self.finished()) else { return };
        self.out_of_turn = point.served_by.filter(|s| !agrees(*s, self.in_turn()));
        let tie_break = self.tie_break().is_some();
        if let (true, true, Some(who)) = (tie_break, self.played().is_multiple_of(2), self.out_of_turn) {
            self.alter_turns(who);
        }
        if !self.drill() && self.wins_game(side) {
            self.points[side.index()] += 1;
            self.end_game(side);
            return;
        }
        self.points[side.index()] += 1;
        let changes = |played| self.setup.rules.tie_break_ends.changes(played);
        if tie_break && changes(self.played()) != changes(self.played() - 1) {
            self.a_end = self.a_end.map(End::other);
        }
    }

    /// Learns from a point the order of serve, if it was not known, and in a drill the server and the ends.
    fn learn(&mut self, point: &Played) {
        if let Some(who) = point.served_by {
            if self.drill() {
                (self.serves_game, self.due[who.side().index()]) = (who.side(), who.partner());
            } else if who.side() == self.server() && self.due[who.side().index()].is_none() {
                self.due[who.side().index()] = who.partner().map(|p| p.swapped(self.second_round()));
            }
        }
        if !self.drill() && point.received_by.is_none() {
            return;
        }
        let Serving { server, court, a_end, .. } = self.serving(point);
        if self.drill() {
            self.a_end = a_end;
        }
        let usual = court.and_then(|court| self.receiver(server.other(), court));
        if usual.zip(point.received_by).is_some_and(|(usual, seen)| usual != seen) {
            self.receivers_changed = !self.receivers_changed;
        }
    }

    /// The error is found after an odd number of points of the tie-break: the order stays as altered.
    fn alter_turns(&mut self, who: Server) {
        let side = who.side();
        if side != self.server() {
            if self.played() == 0 {
                self.serves_game = side;
            } else {
                self.turns_changed = !self.turns_changed;
            }
        }
        if let Some(partner) = who.partner() {
            self.due[side.index()] = Some(partner.swapped(self.second_round()));
        }
        self.out_of_turn = None;
    }

    fn end_game(&mut self, side: Side) {
        let set = self.game_wins_set(side);
        let tie_break = self.tie_break().map(|_| self.points);
        if let (None, Some(who)) = (tie_break, self.out_of_turn) {
            self.serves_game = who.side();
            let due = &mut self.due[who.side().index()];
            *due = who.partner().or(*due);
        }
        self.games[side.index()] = self.games[side.index()].saturating_add(1);
        self.next_game();
        if set {
            self.end_set(SetScore { games: self.games, tie_break });
        }
    }

    /// The order and the ends after a game, whose winner is counted already.
    fn next_game(&mut self) {
        let due = &mut self.due[self.serves_game.index()];
        *due = due.map(Partner::other);
        self.points = [0; 2];
        self.serves_game = self.serves_game.other();
        let games = u32::from(self.games[0]) + u32::from(self.games[1]);
        if !games.is_multiple_of(2) {
            self.a_end = self.a_end.map(End::other);
        }
        (self.turns_changed, self.out_of_turn, self.receivers_changed) = (false, None, false);
    }

    fn end_set(&mut self, set: SetScore) {
        self.sets.push(set);
        self.games = [0; 2];
        self.take_order();
        self.winner = [Side::A, Side::B]
            .into_iter()
            .find(|s| self.won(*s) >= usize::from(self.setup.rules.sets_to_win()));
    }

    /// The order of a new set, as it was noted.
    fn take_order(&mut self) {
        let order = self.setup.order_in(self.sets.len());
        self.due = [order.a.serves_first, order.b.serves_first];
    }
}

/// Play that was not recorded.
impl Scorer {
    /// Continues from a stated score. `judged` is false if no play before it could contradict who serves and from which end.
    /// Returns what contradicts the mark; a mark that is possible under the rules is applied anyway.
    pub fn mark(&mut self, mark: &Mark, judged: bool) -> Option<Conflict> {
        if let Err(impossible) = mark.check(self.setup.rules) {
            return Some(impossible);
        }
        let counted = self.stands();
        let back = !mark.follows(&counted, self.setup.rules);
        if back {
            *self = Self::new(self.setup);
        }
        self.advance(mark);
        let seen = self.see(mark).filter(|_| judged);
        if back {
            let (rules, at) = (self.setup.rules, mark.figures(self.setup.rules));
            return Some(Conflict::Back { stated: at, counted: counted.figures(rules) });
        }
        seen
    }

    /// The score as a mark would say it.
    pub fn stands(&self) -> Mark {
        Mark { sets: self.sets.clone(), games: self.games, points: self.points, ..Mark::default() }
    }

    fn advance(&mut self, mark: &Mark) {
        for (mine, seen) in self.sets.iter_mut().zip(&mark.sets) {
            mine.tie_break = mine.tie_break.or(seen.tie_break);
        }
        for set in mark.sets.iter().skip(self.sets.len()) {
            self.pass_set(*set);
        }
        self.pass_games(mark.games, 0);
        if self.tie_break().is_some() {
            self.pass_ends(self.played(), mark.points[0] + mark.points[1]);
        }
        self.points = mark.points;
    }

    /// Lets the games go by that lead to `games`, all but the last `but`.
    fn pass_games(&mut self, games: [u16; 2], but: u32) {
        let sum = |g: [u16; 2]| u32::from(g[0]) + u32::from(g[1]);
        while sum(self.games) + but < sum(games) {
            let side = usize::from(self.games[0] >= games[0]);
            self.games[side] += 1;
            self.next_game();
        }
    }

    fn pass_set(&mut self, set: SetScore) {
        self.pass_games(set.games, 1);
        let by_tie_break = match self.setup.rules.form(self.sets.len()) {
            SetForm::MatchTieBreak { .. } => true,
            SetForm::Set(rules) => rules.tie_break.is_some_and(|t| {
                set.games.iter().map(|g| u32::from(*g)).sum::<u32>() == 2 * u32::from(t.at) + 1
            }),
        };
        match set.tie_break {
            Some([a, b]) if by_tie_break => self.pass_ends(self.played(), a + b - 1),
            None if by_tie_break => self.a_end = None,
            _ => {}
        }
        self.games = set.games;
        self.next_game();
        self.end_set(set);
    }

    /// The changes of ends between two points of a tie-break.
    fn pass_ends(&mut self, from: u16, to: u16) {
        let changes = |played| self.setup.rules.tie_break_ends.changes(played);
        if changes(from) % 2 != changes(to) % 2 {
            self.a_end = self.a_end.map(End::other);
        }
    }

    /// Takes the server and the ends of a mark; says which of them should have been otherwise.
    fn see(&mut self, mark: &Mark) -> Option<Conflict> {
        let (rules, due, ends) = (self.setup.rules, self.in_turn(), self.a_end);
        self.a_end = mark.a_end.or(ends);
        if let Some(seen) = mark.server {
            if seen.side() != due.side() {
                self.serves_game = self.serves_game.other();
            }
            if let Some(partner) = seen.partner() {
                self.due[seen.side().index()] = Some(partner.swapped(self.second_round()));
            }
            if !agrees(seen, due) {
                return Some(Conflict::Serves { at: mark.figures(rules), stated: seen, counted: due });
            }
        }
        let stated = mark.a_end?;
        ends.is_some_and(|counted| counted != stated)
            .then(|| Conflict::Ends { at: mark.figures(rules), stated })
    }
}

/// Whether two sights of a server can be of the same one.
fn agrees(seen: Server, due: Server) -> bool {
    seen.side() == due.side() && seen.partner().zip(due.partner()).is_none_or(|(a, b)| a == b)
}

#[cfg(test)]
#[path = "scorer_tests.rs"]
mod tests;
