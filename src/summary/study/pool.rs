//! The matches that are studied.

use std::borrow::Cow;
use std::cmp::Ordering;
use std::sync::Arc;

use crate::facts::{PointFacts, facts};
use crate::pattern::same_tag;
use crate::record::check::{Finding, contradictions};
use crate::record::{Kind, Record, Shared};
use crate::tennis::Side;

/// The matches that are studied, and what each of their points means.
#[derive(Debug, Clone, Default)]
pub struct Pool {
    pub(super) matches: Vec<Arc<Match>>,
}

/// One match of a pool: a record, or the points of one pair of players in a record of points of many matches.
#[derive(Debug, Clone)]
pub struct Match {
    /// The record; for points of many matches, with the players of these points.
    pub record: Record,
    /// The facts of its points, in its order.
    pub facts: Shared<PointFacts>,
    /// The place of the record among the records of the pool, from 0.
    pub file: usize,
    /// The places of these points in the record, if they are not all of its points.
    places: Option<Vec<usize>>,
    /// The points, by their places in the record and in its order, that `check` finds a contradiction in.
    doubtful: Vec<usize>,
    /// The few facts that every comparison needs, close together in memory.
    pub(super) briefs: Vec<Brief>,
}

/// What a comparison is checked by.
#[derive(Debug, Clone, Copy, Default)]
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

/// Counts games: a new one begins when the server changes, or a tie-break begins or ends.
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
    /// A record with its facts. Points of many matches are taken as one match: see [`Self::all`].
    pub fn new(record: Record) -> Self {
        let facts = facts(&record);
        let doubtful = doubtful(&record);
        Self::of(record, facts, 0, (None, doubtful))
    }

    /// The matches of a record: one or, for points of many matches, one for each pair of players.
    pub fn all(record: Record, file: usize) -> Vec<Self> {
        if record.about.kind() != Kind::Points {
            return vec![Self { file, ..Self::new(record) }];
        }
        let one = |(part, places): (Cow<'_, Record>, Vec<usize>)| {
            let mut facts = facts(&part);
            let doubtful = doubtful(&part).into_iter().filter_map(|n| places.get(n).copied()).collect();
            for (f, place) in facts.iter_mut().zip(&places) {
                f.number = *place;
            }
            let record = Record {
                about: part.about.clone(),
                people: part.people.clone(),
                footage: part.footage.clone(),
                points: record.points.clone(),
                ..Record::default()
            };
            Self::of(record, facts, file, (Some(places), doubtful))
        };
        record.by_players().into_iter().map(one).collect()
    }

    fn of(
        record: Record,
        facts: Shared<PointFacts>,
        file: usize,
        (places, doubtful): (Option<Vec<usize>>, Vec<usize>),
    ) -> Self {
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
        Self { record, facts, file, places, doubtful, briefs }
    }

    /// The place in the match of the point at this place of the record.
    fn index(&self, point: usize) -> Option<usize> {
        match &self.places {
            None => Some(point),
            Some(places) => places.binary_search(&point).ok(),
        }
    }

    /// The facts of the point at this place of the record, if it is of this match.
    pub fn fact(&self, point: usize) -> Option<&PointFacts> {
        self.facts.get(self.index(point)?)
    }

    /// Whether what was logged of the point at this place of the record contradicts itself or the score.
    pub(super) fn is_doubtful(&self, point: usize) -> bool {
        self.doubtful.binary_search(&point).is_ok()
    }

    /// As [`Self::fact`], what comparisons need of it.
    pub(super) fn brief(&self, point: usize) -> Option<&Brief> {
        self.briefs.get(self.index(point)?)
    }
}

/// The points in which there is a contradiction, in their order.
fn doubtful(record: &Record) -> Vec<usize> {
    let mut points: Vec<usize> =
        contradictions(record, &record.replay()).iter().filter_map(Finding::point).collect();
    points.dedup();
    points
}

impl Pool {
    /// The matches of these records, in their order: a [`crate::facts::PointRef`] counts the matches from 0, and their points by
    /// their places in the record.
    pub fn new(records: Vec<Record>) -> Self {
        let matches = records.into_iter().enumerate().flat_map(|(file, r)| Match::all(r, file));
        Self { matches: matches.map(Arc::new).collect() }
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

    /// Replaces a record that was edited. If there is no record at this place, it is added at the end.
    pub fn put(&mut self, place: usize, record: Record) {
        let new = Arc::new(Match::new(record));
        match self.matches.get_mut(place) {
            Some(old) => *old = new,
            None => self.matches.push(new),
        }
    }

    /// The players that can be asked about by name, each once, in the order of their first match.
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
