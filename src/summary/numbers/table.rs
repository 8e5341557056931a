//! The numbers of a match as they were counted: types only. Every count is the length of a list.

use schemars::JsonSchema;
use serde::Serialize;

use super::what::{Number, Topic};
use crate::counted::{Counted, Noun};
use crate::facts::PointRef;
use crate::summary::Rate;

/// The numbers of two players, side by side.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Numbers {
    /// Who they are of, in the order of the columns.
    pub players: [String; 2],
    /// The whole match first, then each set of which a point is in the record.
    pub parts: Vec<Part>,
    /// Points whose set is not known: they count in the whole match alone.
    pub no_set: Vec<PointRef>,
    /// Points that were played again (lets): they count nowhere.
    pub replayed: Vec<PointRef>,
}

/// The whole match, or one set.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Part {
    /// The number of the set, from 1; absent for the whole match.
    pub set: Option<usize>,
    /// The numbers, in the order of the table.
    pub rows: Vec<Row>,
}

/// One number of both players.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Row {
    /// Which number it is.
    #[serde(skip)]
    pub number: Number,
    /// What it is about, in words.
    pub topic: String,
    /// Its name in words.
    pub name: String,
    /// Of each player, in the order of [`Numbers::players`].
    pub values: [Value; 2],
}

/// The rows of a topic as they are shown, by their places.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// What they are about.
    pub topic: Topic,
    /// Those that are shown.
    pub rows: Vec<usize>,
    /// Those that neither player was seen to do.
    pub none: Vec<usize>,
}

impl Part {
    /// Its topics in the order of the table; those of which nothing is known are left out.
    pub fn topics(&self) -> Vec<Shown> {
        let mut all: Vec<Shown> = Vec::new();
        for (n, row) in self.rows.iter().enumerate().filter(|(_, r)| !self.is_missing(r.about())) {
            if all.last().is_none_or(|s| s.topic != row.about()) {
                all.push(Shown { topic: row.about(), rows: Vec::new(), none: Vec::new() });
            }
            if let Some(shown) = all.last_mut() {
                if row.is_folded() { shown.none.push(n) } else { shown.rows.push(n) }
            }
        }
        all
    }

    /// Whether nothing at all was counted for a topic.
    fn is_missing(&self, topic: Topic) -> bool {
        let nothing = |v: &Value| match v {
            // Of a shot that missed nothing is known of its line where aims are not logged.
            Value::Share(s) if topic == Topic::ErrorLines => s.count == 0,
            Value::Share(s) => s.of == 0,
            Value::Most(m) => m.value == 0,
        };
        self.rows.iter().filter(|r| r.about() == topic).flat_map(|r| &r.values).all(nothing)
    }
}

impl Numbers {
    /// What to know beside a part.
    pub fn notes(&self, part: &Part) -> Vec<String> {
        let points = |n| Counted(n, Noun::Point);
        let mut notes = Vec::new();
        let mut missing: Vec<Topic> =
            part.rows.iter().map(Row::about).filter(|t| part.is_missing(*t)).collect();
        missing.dedup();
        if !missing.is_empty() {
            let names: Vec<&str> = missing.into_iter().map(Topic::words).collect();
            notes.push(format!("The record says nothing about: {}.", names.join("; ")));
        }
        if part.set.is_none() && !self.no_set.is_empty() {
            notes.push(format!(
                "The set of {} is not known: counted only in the whole match.",
                points(self.no_set.len())
            ));
        }
        if part.set.is_none() && !self.replayed.is_empty() {
            notes.push(format!("{} played again (let): not counted.", points(self.replayed.len())));
        }
        notes
    }
}

impl Row {
    /// Whether neither player had a chance of it; or, where it is one of many ways to do something, was seen to do it.
    fn is_folded(&self) -> bool {
        let ways = matches!(self.about(), Topic::Errors | Topic::ErrorLines | Topic::Winners | Topic::Lines);
        self.values.iter().all(|v| match v {
            Value::Share(s) if ways => s.count == 0,
            Value::Share(s) => s.of == 0 && s.unknown.is_empty(),
            Value::Most(_) => false,
        })
    }

    pub(super) fn new(number: Number, values: [Value; 2]) -> Self {
        Self { number, topic: number.topic().words().into(), name: number.to_string(), values }
    }

    /// What it is about.
    pub const fn about(&self) -> Topic {
        self.number.topic()
    }
}

/// What was counted of one player.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Value {
    /// So many of so many.
    Share(Share),
    /// The most of something at once.
    Most(Most),
}

/// So many of so many.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Share {
    /// How many count: the length of `counted`.
    pub count: usize,
    /// Of how many: those that count and the others.
    pub of: usize,
    /// The one by the other, with its interval; absent when there are none.
    pub rate: Option<Rate>,
    /// Those that count.
    pub counted: Vec<Item>,
    /// Those that do not.
    pub others: Vec<Item>,
    /// Those of which the record does not say; they are in no rate.
    pub unknown: Vec<Item>,
}

impl Share {
    pub(super) fn close(mut self) -> Self {
        (self.count, self.of) = (self.counted.len(), self.counted.len() + self.others.len());
        self.rate = Rate::of(self.count, self.of);
        self
    }
}

/// The most of something at once.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Most {
    /// How many; 0 when there was none.
    pub value: usize,
    /// The points in which it was: of a row of points each of them, of a rally every point that was as long.
    pub points: Vec<Item>,
    /// Points that might be among them; the record does not say.
    pub unknown: Vec<Item>,
}

/// What is counted: a point, or a shot in it. A game is counted by its last point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
pub struct Item {
    /// The point.
    #[serde(flatten)]
    pub at: PointRef,
    /// Where shots are counted, the place of the shot in its point, from 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shot: Option<usize>,
}

impl From<PointRef> for Item {
    fn from(at: PointRef) -> Self {
        Self { at, shot: None }
    }
}
