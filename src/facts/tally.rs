//! Everything that follows from a record, in one count of its score: the facts of each point, and the replay with what
//! contradicts the score. After an edit, only the points whose score can change are counted again.

use std::ops::Range;
use std::sync::Arc;
use std::{panic, thread};

use super::by_score::{ByScore, agreed};
use super::point::{PointFacts, one};
use crate::record::{Cameras, Change, Point, Record, Shared};
use crate::tennis::End;
use crate::tennis::count::{Before, Count};
use crate::tennis::odds::Odds;
use crate::tennis::replay::Replay;

/// The state of the count is kept before every this many points, so that counting can continue from there.
const STEP: usize = 64;

/// The facts of this many points or more are worked out by several threads. Tests have shorter records.
const MANY: usize = if cfg!(test) { 96 } else { 1024 };
/// More threads than this gain nothing.
const MOST_THREADS: usize = 4;

/// What follows from a record.
#[derive(Debug, Clone)]
pub struct Tally {
    facts: Shared<PointFacts>,
    replay: Replay,
    /// The count before every [`STEP`]th point, from the first on.
    counts: Vec<Count>,
    odds: Option<Arc<Odds>>,
    /// Where the court was marked: positions become places by them.
    cameras: Arc<Cameras>,
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
            cameras: Arc::new(Cameras::of(record)),
            after: Count::new(setup),
        };
        tally.count(record, 0, Known::default());
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
            Change::Drawings => {}
            Change::Footage if record.calibrations.is_empty() => {}
            Change::Point(at) => self.count(record, at, Known { new: Some(at), rest_moved: false }),
            Change::Inserted(at) => {
                // Something in its place, until its own facts are worked out.
                if let Some(other) = self.facts.held().get(at).or(self.facts.held().last()) {
                    let other = Arc::clone(other);
                    self.facts.insert(at, other);
                }
                self.count(record, at, Known { new: Some(at), rest_moved: true });
            }
            Change::Removed(at) => {
                self.facts.remove(at);
                self.count(record, at, Known { new: None, rest_moved: true });
            }
            Change::ClosingScore => self.count(record, record.points.len(), Known::default()),
            Change::Footage | Change::Match | Change::Calibrations | Change::Clock | Change::Several => {
                *self = Self::of(record);
            }
        }
    }

    /// Counts from the last kept state before point `from`. If all other points are in the places that they had, counting stops as
    /// soon as the score is the same as before.
    fn count(&mut self, record: &Record, from: usize, known: Known) {
        let first = (from / STEP).min(self.counts.len() - 1);
        let mut count = self.counts[first].clone();
        let start = first * STEP;
        let only = known.new.filter(|_| !known.rest_moved);
        if only.is_none() {
            self.counts.truncate(first + 1);
            self.replay.states.truncate(start);
        }
        let mut noted = Replay::new(record.about.setup());
        let mut scores = Vec::new();
        for (at, point) in record.points.iter().enumerate().skip(start) {
            if at % STEP == 0 {
                let same = only.is_some_and(|only| only < at) && self.counts.get(at / STEP) == Some(&count);
                if same && self.knows_beyond(start..at, &noted) {
                    self.replay.replace(start..at, noted);
                    self.take_up(record, start, known.new, scores);
                    return self.mark_important();
                }
                set(&mut self.counts, at / STEP, count.clone());
            }
            let played = point.played();
            let before = count.before(at, &played);
            noted.note(at, &played, &count, &before);
            scores.push(before);
            count.take(&played);
        }
        self.take_up(record, start, known.new, scores);
        self.after = count.clone();
        noted.close(record.points.len(), count, record.closing_score.as_ref());
        self.replay.end = noted.end.clone();
        self.replay.replace(start..usize::MAX, noted);
        self.mark_important();
    }

    /// Takes the facts of the points from `start` on, of which the one at `new` is not the point that it was, and the scores before
    /// them that they follow from.
    fn take_up(&mut self, record: &Record, start: usize, new: Option<usize>, scores: Vec<Before>) {
        for (at, facts) in (start..).zip(self.changed(record, start, new, &scores)) {
            if let Some(facts) = facts {
                self.facts.put(at, facts);
            }
        }
        for (at, score) in (start..).zip(scores) {
            set(&mut self.replay.states, at, score.counted);
        }
    }

    /// The facts of the points from `start` on, by the scores before them; `None` where they are what they were. They do not depend
    /// on each other, so that threads share the work.
    fn changed(
        &self,
        record: &Record,
        start: usize,
        new: Option<usize>,
        scores: &[Before],
    ) -> Vec<Option<Arc<PointFacts>>> {
        let of_part = |from: usize, scores: &[Before]| -> Vec<_> {
            (from..)
                .zip(scores)
                .map(|(at, score)| self.facts_of(record, at, new == Some(at), score))
                .collect()
        };
        let threads = thread::available_parallelism().map_or(1, usize::from).min(MOST_THREADS);
        if threads == 1 || scores.len() < MANY {
            return of_part(start, scores);
        }
        let part = scores.len().div_ceil(threads);
        thread::scope(|scope| {
            let begin = |(n, scores)| scope.spawn(move || of_part(start + n * part, scores));
            let parts: Vec<_> = scores.chunks(part).enumerate().map(begin).collect();
            parts.into_iter().flat_map(|p| p.join().unwrap_or_else(|p| panic::resume_unwind(p))).collect()
        })
    }

    /// The facts of one point by the score before it; `None` where they are what they were. If it is not `new`, the facts kept in its
    /// place are its own.
    fn facts_of(&self, record: &Record, at: usize, new: bool, score: &Before) -> Option<Arc<PointFacts>> {
        let point = record.points.get(at)?;
        let by = ByScore::of(&record.about_of(point), point, score, self.odds.as_deref());
        let seen = (point, &*self.cameras);
        let Some(old) = self.facts.get(at) else { return Some(Arc::new(one(at, seen, by))) };
        let facts = if new {
            let facts = PointFacts { important: old.important, ..one(at, seen, by) };
            (*old != facts).then_some(facts)
        } else {
            old.again(at, seen, by)
        };
        facts.map(Arc::new)
    }

    /// Whether the first point after the end of the match is known, although counting ends after `range`.
    fn knows_beyond(&self, range: Range<usize>, noted: &Replay) -> bool {
        noted.beyond.is_some() || self.replay.beyond.is_none_or(|at| !range.contains(&at))
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

/// What is known of the points after an edit.
#[derive(Debug, Clone, Copy, Default)]
struct Known {
    /// The place of the one point that is not what it was.
    new: Option<usize>,
    /// Whether the points after it have other places than before.
    rest_moved: bool,
}

/// Sets the value at a place, or adds it at the end.
fn set<T>(all: &mut Vec<T>, at: usize, new: T) {
    match all.get_mut(at) {
        Some(old) => *old = new,
        None => all.push(new),
    }
}
