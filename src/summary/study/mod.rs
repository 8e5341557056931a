//! Study: a question asked of many matches at once, answered by rows whose every number is a clip list.
//!
//! A [`Pool`] holds the matches and what each point means, worked out once when they are loaded. A [`Question`] says whose
//! points it is about and how they are told apart: by a fact (the serve's direction, the rally's length), or by patterns.
//! [`Facets`] leave out points: one player, one set, one side, one score. [`ask`] gives [`Findings`]:
//!
//! ```text
//! Pool, Question, Facets ─▶ gather ─▶ lists of points ─▶ judge ─▶ rows, compared with the other points
//!                                          │                └─▶ strata: does it hold serve by serve, match by match?
//!                                          ├─▶ court: the same points by where the ball landed
//!                                          └─▶ mix: how mixed and how predictable one player's serves are
//! ```
//!
//! A point of which a facet, a fact or the winner is not known is in a list of its own, and in no rate. Rows are put in
//! tiers, never in an order that the intervals do not bear out.

mod by;
mod court;
mod facets;
mod file;
mod findings;
mod gather;
mod judge;
mod mix;
mod question;
mod say;

use std::cmp::Ordering;
use std::sync::Arc;

use thiserror::Error;

use crate::facts::{PointFacts, facts};
use crate::pattern::{At, Hint, PatternError, same_tag};
use crate::record::Record;
use crate::tennis::Side;

pub use by::By;
pub use court::MapOf;
pub use facets::Facets;
pub use file::questions;
pub use findings::{Changes, CourtCell, CourtMap, Findings, Group, Mix, Place, Row, Section, Strata};
pub use gather::ask;
pub use question::{Ask, Counts, Part, Question, named, starter};

/// The matches that are studied, and what each of their points means.
#[derive(Debug, Clone, Default)]
pub struct Pool {
    matches: Vec<Arc<Match>>,
}

/// One match of a pool.
#[derive(Debug, Clone)]
pub struct Match {
    /// The record.
    pub record: Record,
    /// The facts of its points, in its order.
    pub facts: Vec<PointFacts>,
    /// The few facts by which every comparison is checked, close together.
    briefs: Vec<Brief>,
}

/// What a comparison is checked by.
#[derive(Debug, Clone, Copy)]
struct Brief {
    serve: Option<u8>,
    server: Option<Side>,
    standing: Option<Ordering>,
}

impl Match {
    /// A record, with its facts worked out.
    pub fn new(record: Record) -> Self {
        let facts = facts(&record);
        let brief = |f: &PointFacts| Brief { serve: f.serve, server: f.server, standing: f.standing };
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

/// What is wrong with a question file, or with the name of a question.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum StudyError {
    /// Not TOML, or not the form of a question file.
    #[error("{at}: {found}")]
    Form {
        /// Where.
        at: At,
        /// What was found, and what is allowed.
        found: Box<str>,
    },
    /// A word that is not one of those allowed there.
    #[error("{at}: \"{key}\" cannot be \"{found}\"; allowed: {allowed}{hint}")]
    Word {
        /// Where.
        at: At,
        /// The key.
        key: &'static str,
        /// The word as found.
        found: Box<str>,
        /// The words allowed.
        allowed: Box<str>,
        /// The nearest of them.
        hint: Hint,
    },
    /// A pattern that the pattern file does not have.
    #[error("{at}: {error}")]
    Pattern {
        /// Where.
        at: At,
        /// What the pattern file says.
        error: PatternError,
    },
    /// A question that asks nothing, or one of a name that is taken.
    #[error("{at}: question \"{name}\" {what}")]
    Question {
        /// Where.
        at: At,
        /// Its name.
        name: Box<str>,
        /// What is wrong with it.
        what: &'static str,
    },
    /// No question of this name.
    #[error("there is no question \"{found}\"; allowed: {allowed}{hint}")]
    NoQuestion {
        /// The name asked for.
        found: Box<str>,
        /// The names that there are.
        allowed: Box<str>,
        /// The nearest of them.
        hint: Hint,
    },
}

#[cfg(test)]
pub(crate) mod test_matches;
#[cfg(test)]
mod tests;
