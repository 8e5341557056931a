//! The scores that a match can stand at, given the winners that are known.

use super::Side;
use super::mark::{Conflict, Mark};
use super::score::PointState;
use super::scorer::Scorer;
use super::setup::{Played, Setup};

/// With more possible scores than this nothing useful is known, and all is called unknown.
const MOST: usize = 64;

/// Every score that fits what is known so far; empty when there are too many, or the match is over.
#[derive(Debug, Clone)]
pub struct Possible {
    setup: Setup,
    scores: Vec<Scorer>,
}

impl From<Scorer> for Possible {
    fn from(scorer: Scorer) -> Self {
        Self { setup: scorer.setup(), scores: vec![scorer] }
    }
}

impl Possible {
    /// A match about to start.
    pub fn new(setup: Setup) -> Self {
        Scorer::new(setup).into()
    }

    /// The state before the next point, in every way it can stand, with what was seen of it. That the point is played
    /// at all shows that the match was not over. Its mark comes first: see [`Self::mark`].
    pub fn states(&mut self, point: &Played) -> Vec<PointState> {
        self.scores.retain(|s| !s.finished());
        self.scores.iter().map(|s| s.state_of(point)).collect()
    }

    /// Takes the next point: its winner, or both when that is not known. A point that was replayed counts nothing.
    pub fn take(&mut self, point: &Played) {
        let mut next: Vec<Scorer> = Vec::new();
        let sides = if point.replayed { &[Side::A][..] } else { &[Side::A, Side::B] };
        for scorer in &self.scores {
            for side in sides.iter().filter(|s| point.replayed || point.winner.is_none_or(|w| w == **s)) {
                let mut after = scorer.clone();
                after.play(&Played { winner: Some(*side), ..*point });
                if !next.contains(&after) {
                    next.push(after);
                }
            }
        }
        if next.len() > MOST {
            next.clear();
        }
        self.scores = next;
    }

    /// Takes a mark: the score is known again. What speaks against it from every possible score is given back.
    pub fn mark(&mut self, mark: &Mark, judged: bool) -> Option<Conflict> {
        if let Err(impossible) = mark.check(self.setup.rules) {
            return Some(impossible);
        }
        if self.scores.is_empty() {
            let mut anew = Scorer::new(self.setup);
            let _ = anew.mark(mark, false);
            self.scores.push(anew);
            return None;
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
