//! The score of a whole match, replayed from what was seen of its points.

use std::fmt;
use std::ops::Range;

use super::count::{Before, Count};
use super::mark::{Conflict, Mark, name};
use super::pair::Server;
use super::score::PointState;
use super::scorer::Scorer;
use super::setup::{Played, Setup};

/// A mark that cannot follow from the points before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contradiction {
    /// Place of the point that the mark precedes, from 0; the number of points for the closing mark.
    pub at: usize,
    /// What contradicts it.
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
        write!(f, "{seen} served, but by the points before it was the turn of {due}; is a game missing?")
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
    /// A match of which no point was replayed yet.
    pub fn new(setup: Setup) -> Self {
        Self {
            states: Vec::new(),
            end: Scorer::new(setup),
            contradictions: Vec::new(),
            out_of_turn: Vec::new(),
            beyond: None,
        }
    }

    /// Notes what contradicts a point, before the point is counted.
    pub fn note(&mut self, at: usize, point: &Played, count: &Count, before: &Before) {
        if let Some(what) = &before.conflict {
            self.contradictions.push(Contradiction { at, what: what.clone() });
        }
        if before.over {
            self.beyond.get_or_insert(at);
        }
        let seen = point.served_by.filter(|_| count.known() && !before.over);
        let due = seen.and_then(|seen| Some((seen, count.counted().due_instead(seen)?)));
        self.out_of_turn.extend(due.map(|(seen, due)| OutOfTurn { at, seen, due }));
    }

    /// Takes the count after the last of `at` points, and the mark there.
    pub fn close(&mut self, at: usize, mut count: Count, closing: Option<&Mark>) {
        let conflict = closing.and_then(|mark| count.mark(at, mark, false));
        self.contradictions.extend(conflict.map(|what| Contradiction { at, what }));
        self.end = count.counted().clone();
    }

    /// Puts what `new` noted of the points in `range`, which were counted again, in the place of what was noted before.
    pub fn replace(&mut self, range: Range<usize>, new: Self) {
        self.contradictions.retain(|c| !range.contains(&c.at));
        self.contradictions.extend(new.contradictions);
        self.contradictions.sort_by_key(|c| c.at);
        self.out_of_turn.retain(|o| !range.contains(&o.at));
        self.out_of_turn.extend(new.out_of_turn);
        self.out_of_turn.sort_by_key(|o| o.at);
        let kept = self.beyond.filter(|at| !range.contains(at));
        self.beyond = kept.into_iter().chain(new.beyond).min();
    }

    /// Whether the mark before this point, if there is one, was passed over as impossible.
    pub fn passed_over(&self, at: usize) -> bool {
        let first = self.contradictions.partition_point(|c| c.at < at);
        let mut here = self.contradictions[first..].iter().take_while(|c| c.at == at);
        here.any(|c| matches!(c.what, Conflict::Impossible { .. } | Conflict::Apart { .. }))
    }
}

/// Replays a match. A point whose winner is not known leaves the score unchanged. A mark is contradicted only if none of the
/// scores that are possible by then can lead to it.
pub fn replay<'a>(
    setup: Setup,
    points: impl IntoIterator<Item = Played<'a>>,
    closing: Option<&Mark>,
) -> Replay {
    let mut count = Count::new(setup);
    let mut replay = Replay::new(setup);
    for (at, point) in points.into_iter().enumerate() {
        let before = count.before(at, &point);
        replay.note(at, &point, &count, &before);
        replay.states.push(before.counted);
        count.take(&point);
    }
    replay.close(replay.states.len(), count, closing);
    replay
}

#[cfg(test)]
#[path = "replay_tests.rs"]
mod tests;
