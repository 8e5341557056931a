//! The scores that a match can stand at, given the winners that are known.

use crate::record::MatchInfo;
use crate::tennis::Side;
use crate::tennis::score::{PointState, Scorer};

/// With more possible scores than this nothing useful is known, and all is called unknown.
const MOST: usize = 64;

/// Every score that fits the winners noted so far; empty when there are too many, or the match is over.
pub(super) struct Possible(Vec<Scorer>);

impl Possible {
    pub(super) fn new(about: &MatchInfo) -> Self {
        Self(vec![Scorer::new(about.rules, about.first_server, about.a_starts)])
    }

    /// The score before the next point, in every way it can stand. That the point is played at all shows that the
    /// match was not over.
    pub(super) fn states(&mut self) -> Vec<PointState> {
        self.0.retain(|s| !s.finished());
        self.0.iter().map(Scorer::state).collect()
    }

    /// Takes the winner of the point, or both when it is not known.
    pub(super) fn take(&mut self, winner: Option<Side>) {
        let mut next: Vec<Scorer> = Vec::new();
        for scorer in &self.0 {
            for side in [Side::A, Side::B].into_iter().filter(|s| winner.is_none_or(|w| w == *s)) {
                let mut after = scorer.clone();
                after.award(side);
                if !next.contains(&after) {
                    next.push(after);
                }
            }
        }
        if next.len() > MOST {
            next.clear();
        }
        self.0 = next;
    }
}
