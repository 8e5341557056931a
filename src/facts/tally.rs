//! Everything that follows from a record, in one count of its score: the facts of each point, and the replay with what
//! contradicts the score. After an edit, only the points whose score can change are counted again.

use std::ops::Range;
use std::sync::Arc;

use super::point::{PointFacts, agreed, one};
use crate::record::{Change, Point, Record, Shared};
use crate::tennis::End;
use crate::tennis::count::Count;
use crate::tennis::odds::Odds;
use crate::tennis::replay::Replay;

/// The state of the count is kept before every this many points, so that counting can continue from there.
const STEP: usize = 64;

/// What follows from a record.
#[derive(Debug, Clone)]
pub struct Tally {
    facts: Shared<PointFacts>,
    replay: Replay,
    /// The count before every [`STEP`]th point, from the first on.
    counts: Vec<Count>,
    odds: Option<Arc<Odds>>,
    /// The count after the last point.
    after: Count,
}

/// The facts of every point of a record, in its order.
pub fn facts(record: &Record) -> Shared<PointFacts> {
    Tally::of(record).facts
}

impl Tally {
    /// Counts a whole record.
    pub fn of(record: &Record) -> Self {
        let setup = record.about.setup();
        let mut tally = Self {
            facts: Shared::default(),
            replay: Replay::new(setup),
            counts: vec![Count::new(setup)],
            odds: Odds::usual(record.about.counted_by()),
            after: Count::new(setup),
        };
        tally.count(record, 0, None);
        tally
    }

    /// The facts of every point, in order.
    pub const fn facts(&self) -> &Shared<PointFacts> {
        &self.facts
    }

    /// The score before each point and after the last, and what contradicts it.
    pub const fn replay(&self) -> &Replay {
        &self.replay
    }

    /// The end from which the next point is served, where every score that is possible says the same.
    pub fn next_server_end(&self) -> Option<End> {
        let next = self.after.clone().before(self.facts.len(), &Point::default().played());
        agreed(next.states(), |s| s.server_end).flatten()
    }

    /// Follows an edit: `record` is the record after it, `change` is what [`Record::apply`] returned.
    pub fn follow(&mut self, record: &Record, change: Change) {
        match change {
            Change::Footage | Change::Drawings => {}
            Change::Point(at) => self.count(record, at, Some(at)),
            Change::Inserted(at) | Change::Removed(at) => self.count(record, at, None),
            Change::ClosingScore => self.count(record, record.points.len(), None),
            Change::Match | Change::Calibrations | Change::Clock | Change::Several => {
                *self = Self::of(record);
            }
        }
    }

    /// Counts from the last kept state before point `from`. If only the point `only` changed, counting stops as soon as the score
    /// is the same as before.
    fn count(&mut self, record: &Record, from: usize, only: Option<usize>) {
        let first = (from / STEP).min(self.counts.len() - 1);
        let mut count = self.counts[first].clone();
        let start = first * STEP;
        if only.is_none() {
            self.counts.truncate(first + 1);
            self.facts.truncate(start);
            self.replay.states.truncate(start);
        }
        let mut noted = Replay::new(record.about.setup());
        for (at, point) in record.points.iter().enumerate().skip(start) {
            if at % STEP == 0 {
                let same = only.is_some_and(|only| only < at) && self.counts.get(at / STEP) == Some(&count);
                if same && self.knows_beyond(start..at, &noted) {
                    self.replay.replace(start..at, noted);
                    return self.mark_important();
                }
                set(&mut self.counts, at / STEP, count.clone());
            }
            let played = point.played();
            let before = count.before(at, &played);
            noted.note(at, &played, &count, &before);
            self.put(at, one(&record.about_of(point), at, point, &before, self.odds.as_deref()));
            set(&mut self.replay.states, at, before.counted);
            count.take(&played);
        }
        self.after = count.clone();
        noted.close(record.points.len(), count, record.closing_score.as_ref());
        self.replay.end = noted.end.clone();
        self.replay.replace(start..usize::MAX, noted);
        self.mark_important();
    }

    /// Whether the first point after the end of the match is known, although counting ends after `range`.
    fn knows_beyond(&self, range: Range<usize>, noted: &Replay) -> bool {
        noted.beyond.is_some() || self.replay.beyond.is_none_or(|at| !range.contains(&at))
    }

    fn put(&mut self, at: usize, new: PointFacts) {
        match self.facts.get(at) {
            None => self.facts.push(new),
            Some(old) => {
                let new = PointFacts { important: old.important, ..new };
                if *old != new {
                    self.facts[at] = new;
                }
            }
        }
    }

    /// Finds the big points.
    fn mark_important(&mut self) {
        let mut known: Vec<f64> = self.facts.iter().filter_map(|f| f.importance).collect();
        let quarter = known.len().div_ceil(4).checked_sub(1);
        let least = quarter.map(|last| *known.select_nth_unstable_by(last, |a, b| b.total_cmp(a)).1);
        for at in 0..self.facts.len() {
            let f = &self.facts[at];
            // Equal scores are worked out alike up to rounding.
            let important = f.importance.zip(least).map(|(x, least)| x > least - 1e-12);
            if f.important != important {
                self.facts[at].important = important;
            }
        }
    }
}

/// Sets the value at a place, or adds it at the end.
fn set<T>(all: &mut Vec<T>, at: usize, new: T) {
    match all.get_mut(at) {
        Some(old) => *old = new,
        None => all.push(new),
    }
}
