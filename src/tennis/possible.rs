//! All scores that are possible in a match, given the known winners.

use super::Side;
use super::mark::{Conflict, Mark};
use super::pair::Server;
use super::rules::{Play, Rules};
use super::score::PointState;
use super::scorer::Scorer;
use super::setup::{Counting, Played, Setup};

/// With more possible scores than this nothing useful is known, and all is called unknown.
const MOST: usize = 64;

/// Every score that fits what is known so far; empty when there are too many, or the match is over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Possible {
    setup: Setup,
    scores: Vec<Scorer>,
    /// One of the scores at which the match was over, where by all of them it was and a point was played all the same.
    over: Option<Scorer>,
}

impl From<Scorer> for Possible {
    fn from(scorer: Scorer) -> Self {
        Self { setup: scorer.setup(), scores: vec![scorer], over: None }
    }
}

impl Possible {
    /// A match about to start.
    pub fn new(setup: Setup) -> Self {
        Scorer::new(setup).into()
    }

    /// A match of whose score nothing is known.
    pub const fn unknown(setup: Setup) -> Self {
        Self { setup, scores: Vec::new(), over: None }
    }

    /// The rules of the match.
    pub const fn rules(&self) -> Rules {
        self.setup.rules
    }

    /// The state before the next point, in every way it can stand, each once, with what was seen of it. That the point is played
    /// at all shows that the match was not over. Its mark comes first: see [`Self::mark`].
    pub fn states(&mut self, point: &Played) -> Vec<PointState> {
        if self.scores.iter().all(Scorer::finished) {
            self.over = self.scores.drain(..).next().or(self.over.take());
        }
        self.scores.retain(|s| !s.finished());
        let mut states: Vec<PointState> = Vec::with_capacity(1);
        for scorer in &self.scores {
            let state = scorer.state_of(point);
            if !states.contains(&state) {
                states.push(state);
            }
        }
        states
    }

    fn drill(&self) -> bool {
        self.setup.rules.play == Play::Drill
    }

    /// Takes the next point: its winner, or both when that is not known. A point that was replayed counts nothing.
    pub fn take(&mut self, point: &Played) {
        if point.replayed || point.winner.is_some() {
            self.scores.iter_mut().for_each(|s| s.play(point));
        } else {
            // In a drill it is the same who won: nothing else follows from it.
            let winners = if self.drill() { &[Side::A][..] } else { &[Side::A, Side::B] };
            let each = |s: Scorer| winners.iter().map(move |w| after(s.clone(), *w, point));
            self.scores = std::mem::take(&mut self.scores).into_iter().flat_map(each).collect();
        }
        // Mostly there is one.
        if self.scores.len() > 1 {
            let mut different: Vec<Scorer> = Vec::new();
            for scorer in std::mem::take(&mut self.scores) {
                if !different.contains(&scorer) {
                    different.push(scorer);
                }
            }
            self.scores = different;
        }
        if self.scores.len() > MOST {
            self.scores.clear();
        }
    }

    /// The only score that is possible.
    pub fn only(&self) -> Option<&Scorer> {
        if let [only] = &self.scores[..] { Some(only) } else { None }
    }

    /// What a mark says by itself. Who serves follows from it only where play before it is counted from the start.
    fn anew(&self, mark: &Mark) -> Vec<Scorer> {
        let by = |server: Option<Server>| {
            let mut scorer = Scorer::new(self.setup);
            let _ = scorer.mark(&Mark { server, ..mark.clone() }, false);
            scorer
        };
        if mark.server.is_none() && self.setup.counting == Counting::FromAMark {
            return [Server::A, Server::B].map(|s| by(Some(s))).into();
        }
        vec![by(mark.server)]
    }

    /// Applies a mark: the score is known again. Returns a conflict if every possible score contradicts the mark.
    pub fn mark(&mut self, mark: &Mark, judged: bool) -> Option<Conflict> {
        if let Err(impossible) = mark.check(self.setup.rules) {
            return Some(impossible);
        }
        if self.scores.is_empty() {
            self.scores = self.anew(mark);
            return self.over.take().and_then(|mut over| over.mark(mark, judged));
        }
        let mut against = None;
        let (mut agreeing, mut others): (Vec<Scorer>, Vec<Scorer>) = (Vec::new(), Vec::new());
        for mut scorer in std::mem::take(&mut self.scores) {
            let conflict = scorer.mark(mark, judged);
            let to = if conflict.is_none() { &mut agreeing } else { &mut others };
            if !to.contains(&scorer) {
                to.push(scorer);
            }
            against = against.or(conflict);
        }
        let agreed = !agreeing.is_empty();
        self.scores = if agreed { agreeing } else { others };
        against.filter(|_| !agreed)
    }
}

fn after(mut scorer: Scorer, winner: Side, point: &Played) -> Scorer {
    scorer.play(&Played { winner: Some(winner), ..*point });
    scorer
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::tennis::End;
    use crate::tennis::pair::{Partner, Server};
    use crate::tennis::rules::{Play, Rules, Sides};

    /// Every score with every winner that fits, each computed separately.
    fn take_one_by_one(scores: &[Scorer], point: &Played) -> Vec<Scorer> {
        let mut next: Vec<Scorer> = Vec::new();
        let sides = if point.replayed { &[Side::A][..] } else { &[Side::A, Side::B] };
        for scorer in scores {
            for side in sides.iter().filter(|s| point.replayed || point.winner.is_none_or(|w| w == **s)) {
                let after = after(scorer.clone(), *side, point);
                if !next.contains(&after) {
                    next.push(after);
                }
            }
        }
        if next.len() > MOST { Vec::new() } else { next }
    }

    proptest! {
        #[test]
        fn all_at_once_is_one_by_one(
            points in prop::collection::vec((0..12_u8, 0..20_u8, 0..9_u8), 1..120),
            doubles in any::<bool>(),
        ) {
            let sides = if doubles { Sides::Doubles } else { Sides::Singles };
            let mut possible = Possible::new(Setup::new(Rules { sides, ..Rules::default() }, Side::A, End::Near));
            for (winner, served, received) in points {
                let point = Played {
                    winner: [None, Some(Side::A), Some(Side::B)][if winner == 0 { 0 } else { 1 + usize::from(winner % 2) }],
                    served_by: [Server::A, Server::B, Server::A1, Server::B2].get(usize::from(served)).copied(),
                    received_by: [Partner::First, Partner::Second].get(usize::from(received)).copied(),
                    replayed: served == 10,
                    ..Played::default()
                };
                let _ = possible.states(&point);
                let wanted = take_one_by_one(&possible.scores, &point);
                possible.take(&point);
                prop_assert_eq!(&possible.scores, &wanted);
            }
        }
    }

    /// In a drill nothing follows from who won a rally, so that the server who was seen stays known however many winners are not.
    #[test]
    fn in_a_drill_a_winner_that_is_not_known_leaves_all_else_known() {
        let rules = Rules { play: Play::Drill, ..Rules::default() };
        let mut possible = Possible::new(Setup::new(rules, Side::A, End::Near));
        possible.take(&Played {
            served_by: Some(Server::B),
            server_end: Some(End::Far),
            ..Played::default()
        });
        for n in 1..200_u16 {
            let states = possible.states(&Played::default());
            assert_eq!(states.len(), 1);
            assert_eq!(
                (states[0].server, states[0].server_end, states[0].point),
                (Side::B, Some(End::Far), n)
            );
            let winner = n.is_multiple_of(3).then_some(Side::B);
            possible.take(&Played { winner, ..Played::default() });
        }
    }
}
