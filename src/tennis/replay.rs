//! The score of a whole match, replayed from what was seen of its points.

use super::mark::{Conflict, Mark};
use super::possible::Possible;
use super::score::PointState;
use super::scorer::Scorer;
use super::setup::{Played, Setup};

/// A mark that cannot follow from the points before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contradiction {
    /// Place of the point that the mark precedes, from 0; the number of points for the closing mark.
    pub at: usize,
    /// What speaks against it.
    pub what: Conflict,
}

/// A match replayed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replay {
    /// The state before each point, with what was seen of it.
    pub states: Vec<PointState>,
    /// The score after the last point and the closing mark.
    pub end: Scorer,
    /// Marks that contradict the points before them, in order.
    pub contradictions: Vec<Contradiction>,
    /// Place of the first point that was played when, by the points before it, the match was over.
    pub beyond: Option<usize>,
}

impl Replay {
    /// Whether the mark before this point, if there is one, was passed over as impossible.
    pub fn passed_over(&self, at: usize) -> bool {
        self.contradictions.iter().any(|c| c.at == at && matches!(c.what, Conflict::Impossible { .. }))
    }
}

/// Replays a match. A point whose winner is not known leaves the score as it was; a mark is taken for contradicted
/// only when none of the scores that are possible by then can lead to it.
pub fn replay<'a>(
    setup: Setup,
    points: impl IntoIterator<Item = Played<'a>>,
    closing: Option<&Mark>,
) -> Replay {
    let mut counting = Counting { counted: Scorer::new(setup), possible: None, contradictions: Vec::new() };
    let (mut states, mut beyond) = (Vec::new(), None);
    for (at, point) in points.into_iter().enumerate() {
        if let Some(mark) = point.score_before {
            counting.mark(at, mark, true);
        }
        if counting.counted.finished() {
            beyond.get_or_insert(at);
        }
        states.push(counting.counted.state_of(&point));
        counting.take(&point);
    }
    if let Some(mark) = closing {
        counting.mark(states.len(), mark, false);
    }
    Replay { states, end: counting.counted, contradictions: counting.contradictions, beyond }
}

struct Counting {
    counted: Scorer,
    /// Every score that is possible, once a winner was not known.
    possible: Option<Possible>,
    contradictions: Vec<Contradiction>,
}

impl Counting {
    fn mark(&mut self, at: usize, mark: &Mark, goes_on: bool) {
        let rules = self.counted.rules();
        if goes_on && mark.check(rules).is_ok() && mark.winner(rules).is_some() {
            let why = "the match is over then, and a point follows";
            let what = Conflict::Impossible { stated: mark.figures(rules), why };
            self.contradictions.push(Contradiction { at, what });
            return;
        }
        let by_counting = self.counted.mark(mark, at > 0);
        let conflict = match &mut self.possible {
            Some(possible) => possible.mark(mark, at > 0),
            None => by_counting,
        };
        if !matches!(conflict, Some(Conflict::Impossible { .. })) {
            self.possible = None;
        }
        self.contradictions.extend(conflict.map(|what| Contradiction { at, what }));
    }

    fn take(&mut self, point: &Played) {
        if point.winner.is_none() && !point.replayed && self.possible.is_none() {
            self.possible = Some(Possible::from(self.counted.clone()));
        }
        if let Some(possible) = &mut self.possible {
            possible.take(point);
        }
        self.counted.play(point);
    }
}

#[cfg(test)]
#[path = "replay_tests.rs"]
mod tests;
