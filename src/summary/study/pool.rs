//! The matches that are studied.

use std::cmp::Ordering;
use std::sync::Arc;

use crate::facts::{PointFacts, facts};
use crate::pattern::same_tag;
use crate::record::{Record, Shared};
use crate::tennis::Side;

/// The matches that are studied, and what each of their points means.
#[derive(Debug, Clone, Default)]
pub struct Pool {
    pub(super) matches: Vec<Arc<Match>>,
}

/// One match of a pool.
#[derive(Debug, Clone)]
pub struct Match {
    /// The record.
    pub record: Record,
    /// The facts of its points, in its order.
    pub facts: Shared<PointFacts>,
    /// The few facts by which every comparison is checked, close together.
    pub(super) briefs: Vec<Brief>,
}

/// What a comparison is checked by.
#[derive(Debug, Clone, Copy)]
pub(super) struct Brief {
    /// The game, counted from 0; a tie-break is one.
    pub(super) game: usize,
    pub(super) serve: Option<u8>,
    pub(super) server: Option<Side>,
    pub(super) standing: Option<Ordering>,
    pub(super) winner: Option<Side>,
    /// Who struck the last shot of the rally.
    pub(super) last_by: Option<Side>,
}

/// Counts games: another one begins where the server changes, or a tie-break begins or ends.
#[derive(Default)]
struct Games {
    count: usize,
    last: Option<(Option<Side>, Option<bool>)>,
}

impl Games {
    fn next(&mut self, f: &PointFacts) -> usize {
        let tie = f.tie_break == Some(true);
        let now = (f.server.filter(|_| !tie), f.tie_break);
        if self.last.replace(now).is_some_and(|last| last != now) {
            self.count += 1;
        }
        self.count
    }
}

impl Match {
    /// A record, with its facts worked out.
    pub fn new(record: Record) -> Self {
        let facts = facts(&record);
        let mut games = Games::default();
        let brief = |f: &PointFacts| Brief {
            game: games.next(f),
            serve: f.serve,
            server: f.server,
            standing: f.standing,
            winner: f.winner,
            last_by: f.length.and_then(|n| f.shots.get(n.checked_sub(1)?)?.by),
        };
        let briefs = facts.iter().map(brief).collect();
        Self { record, facts, briefs }
    }
}

impl Pool {
    /// These records, in their order: a [`crate::facts::PointRef`] counts them from 0.
    pub fn new(records: Vec<Record>) -> Self {
        Self { matches: records.into_iter().map(|r| Arc::new(Match::new(r))).collect() }
    }

    /// These matches, read before, in their order.
    pub const fn of(matches: Vec<Arc<Match>>) -> Self {
        Self { matches }
    }

    /// The matches, in their order.
    pub fn matches(&self) -> &[Arc<Match>] {
        &self.matches
    }

    /// The records alone.
    pub fn records(&self) -> Vec<&Record> {
        self.matches.iter().map(|m| &m.record).collect()
    }

    /// Puts a record that was edited in the place of what it was; at a place that is not there, at the end.
    pub fn put(&mut self, place: usize, record: Record) {
        let new = Arc::new(Match::new(record));
        match self.matches.get_mut(place) {
            Some(old) => *old = new,
            None => self.matches.push(new),
        }
    }

    /// The players who can be asked about by name, each once, in the order in which they are met.
    pub fn players(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        for m in &self.matches {
            for name in [Side::A, Side::B].map(|side| &m.record.about.player(side).name) {
                if !name.trim().is_empty() && !names.iter().any(|n| same_tag(n, name)) {
                    names.push(name.clone());
                }
            }
        }
        names
    }

    /// How many points they have.
    pub fn points(&self) -> usize {
        self.matches.iter().map(|m| m.facts.len()).sum()
    }
}
