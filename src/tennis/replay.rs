//! The score of a whole match, replayed from what was seen of its points.

use std::fmt;

use super::mark::{Conflict, Mark, name};
use super::pair::Server;
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

/// A point served out of turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OutOfTurn {
    /// Place of the point, from 0.
    pub at: usize,
    /// Who was seen to serve it.
    pub seen: Server,
    /// Whose turn it was.
    pub due: Server,
}

impl fmt::Display for OutOfTurn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (seen, due) = (name(self.seen), name(self.due));
        write!(
            f,
            "{seen} was seen to serve, but by the points before it is the turn of {due}; is a game missing?"
        )
    }
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
    /// Points that were seen to be served by somebody whose turn it was not (rule 27), where the score is known.
    pub out_of_turn: Vec<OutOfTurn>,
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
    let (mut states, mut out_of_turn, mut beyond) = (Vec::new(), Vec::new(), None);
    for (at, point) in points.into_iter().enumerate() {
        if let Some(mark) = point.score_before {
            counting.mark(at, mark, true);
        }
        if counting.counted.finished() {
            beyond.get_or_insert(at);
        }
        states.push(counting.counted.state_of(&point));
        out_of_turn.extend(counting.out_of_turn(at, &point));
        counting.take(&point);
    }
    if let Some(mark) = closing {
        counting.mark(states.len(), mark, false);
    }
    Replay { states, end: counting.counted, contradictions: counting.contradictions, out_of_turn, beyond }
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

    fn out_of_turn(&self, at: usize, point: &Played) -> Option<OutOfTurn> {
        let seen = point.served_by.filter(|_| self.possible.is_none() && !self.counted.finished())?;
        self.counted.due_instead(seen).map(|due| OutOfTurn { at, seen, due })
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
