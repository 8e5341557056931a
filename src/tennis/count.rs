//! The score of a match, counted once, point by point. The report of [`super::replay`] and the facts of each point come from
//! the same count.

use std::borrow::Cow;

use super::mark::{Conflict, Mark};
use super::possible::Possible;
use super::rules::Rules;
use super::score::PointState;
use super::scorer::Scorer;
use super::setup::{Counting, Played, Setup};

/// The score before a point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Before {
    /// As counted from the winners that are known.
    pub counted: PointState,
    /// Every score that is possible, where that is not the counted one alone: an earlier winner is unknown, or the match is
    /// over by the points before.
    pub possible: Option<Vec<PointState>>,
    /// What contradicts the point's score mark.
    pub conflict: Option<Conflict>,
    /// Whether, by the points before, the match is over.
    pub over: bool,
}

impl Before {
    /// Every score that is possible; none when there are too many, or the match is over.
    pub fn states(&self) -> &[PointState] {
        self.possible.as_deref().unwrap_or(std::slice::from_ref(&self.counted))
    }
}

/// The score after some of a match's points.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Count {
    counted: Scorer,
    /// Every score that is possible, once a winner was not known.
    possible: Option<Possible>,
}

impl Count {
    /// A match about to start; or play whose score is not known before a mark says it, or never.
    pub fn new(setup: Setup) -> Self {
        if setup.counting == Counting::FromTheStart {
            return Self { counted: Scorer::new(setup), possible: None };
        }
        // Until then nothing is called, as in a drill.
        let rules = Rules { sides: setup.rules.sides, ..Rules::drill() };
        Self { counted: Scorer::new(Setup { rules, ..setup }), possible: Some(Possible::unknown(setup)) }
    }

    /// The score as counted from the winners that are known.
    pub const fn counted(&self) -> &Scorer {
        &self.counted
    }

    /// Takes the mark before the next point, which is at place `at` from 0, and gives the score before that point. Then
    /// [`Self::take`] the point.
    pub fn before(&mut self, at: usize, point: &Played) -> Before {
        #[cfg(test)]
        steps::add();
        let mark = point.score_before.map(|mark| self.served(mark, point));
        let conflict = mark.and_then(|mark| self.mark(at, &mark, true));
        let over = self.counted.finished();
        let possible = match &mut self.possible {
            Some(possible) => Some(possible.states(point)),
            None => over.then(Vec::new),
        };
        Before { counted: self.counted.state_of(point), possible, conflict, over }
    }

    /// A mark that does not say who serves, before a point of which that was seen: after play that was not recorded, it tells.
    fn served<'m>(&self, mark: &'m Mark, point: &Played) -> Cow<'m, Mark> {
        let follows = self.known() || self.counted.setup().counting != Counting::FromAMark;
        if follows || mark.server.is_some() || point.served_by.is_none() {
            return Cow::Borrowed(mark);
        }
        Cow::Owned(Mark { server: point.served_by, ..mark.clone() })
    }

    /// Takes a mark before the point at `at`; `goes_on` is false for the one after the last point. Gives back what speaks
    /// against it: where several scores are possible, only what speaks against all of them.
    pub fn mark(&mut self, at: usize, mark: &Mark, goes_on: bool) -> Option<Conflict> {
        if self.counted.setup().counting == Counting::PointByPoint {
            return Some(Conflict::Apart { stated: mark.figures(Rules::default()) });
        }
        let rules = self.possible.as_ref().map_or_else(|| self.counted.rules(), Possible::rules);
        if goes_on && mark.check(rules).is_ok() && mark.winner(rules).is_some() {
            let why = "the match is over then, and a point follows";
            return Some(Conflict::Impossible { stated: mark.figures(rules), why });
        }
        let by_counting = self.counted.mark(mark, at > 0);
        let Some(possible) = &mut self.possible else { return by_counting };
        let conflict = possible.mark(mark, at > 0);
        if let Some(only) = possible.only() {
            self.counted = only.clone();
            self.possible = None;
        }
        conflict
    }

    /// Takes the point, without its mark.
    pub fn take(&mut self, point: &Played) {
        if point.winner.is_none() && !point.replayed && self.possible.is_none() && !self.counted.finished() {
            self.possible = Some(Possible::from(self.counted.clone()));
        }
        if let Some(possible) = &mut self.possible {
            possible.take(point);
        }
        self.counted.play(point);
    }

    /// Whether only one score is possible.
    pub const fn known(&self) -> bool {
        self.possible.is_none()
    }
}

/// How many points were counted on this thread: tests look that no point is counted twice.
#[cfg(test)]
pub(crate) mod steps {
    use std::cell::Cell;

    thread_local!(static STEPS: Cell<usize> = const { Cell::new(0) });

    pub(super) fn add() {
        STEPS.set(STEPS.get() + 1);
    }

    /// How many points `work` counts.
    pub(crate) fn of(work: impl FnOnce()) -> usize {
        let before = STEPS.get();
        work();
        STEPS.get() - before
    }
}
