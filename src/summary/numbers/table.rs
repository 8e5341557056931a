//! The numbers of a match as they were counted: types only. Every count is the length of a list.

use schemars::JsonSchema;
use serde::Serialize;

use super::what::{Number, Topic};
use crate::counted::{Counted, Noun};
use crate::evidence::{FEW, Percent};
use crate::facts::PointRef;
use crate::summary::Rate;
use crate::tennis::stroke::Wing;

const WINGS: [Wing; 2] = [Wing::Forehand, Wing::Backhand];

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
    /// The shots that each player missed, serves not among them.
    pub missed: [Missed; 2],
}

/// The shots that a player missed. One counts in the directions if it is known where it was aimed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, JsonSchema)]
pub struct Missed {
    /// Those whose aim is known.
    pub aim_known: usize,
    /// Those whose aim is not known.
    pub aim_unknown: usize,
    /// Of those how many may have been a forehand, and a backhand.
    #[serde(skip)]
    by_wing: [usize; 2],
}

impl Missed {
    pub(super) fn add(&mut self, aim_known: bool, wing: Option<Wing>) {
        if aim_known {
            self.aim_known += 1;
            return;
        }
        self.aim_unknown += 1;
        for (of, count) in WINGS.into_iter().zip(&mut self.by_wing) {
            *count += usize::from(wing.is_none_or(|w| w == of));
        }
    }

    /// How many shots of this wing are in no direction because of it, at most.
    fn of(self, wing: Wing) -> usize {
        WINGS.into_iter().zip(self.by_wing).find(|(w, _)| *w == wing).map_or(0, |(_, n)| n)
    }
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

    /// What a topic is called here: directions say of which shots they are.
    pub const fn title(&self, topic: Topic) -> &'static str {
        let [a, b] = self.missed;
        match (topic, a.aim_known + b.aim_known, a.aim_unknown + b.aim_unknown) {
            (Topic::Lines, 0, 1..) => "directions of the shots that landed, without serves",
            (Topic::Lines, _, 1..) => {
                "directions of the shots that landed or whose aim is known, without serves"
            }
            _ => topic.words(),
        }
    }

    /// Which way the directions lean, and by how much they can be off.
    fn lean(&self, players: &[String; 2]) -> Option<String> {
        let missed: Vec<String> = (players.iter().zip(self.missed))
            .filter(|(_, m)| m.aim_unknown > 0)
            .enumerate()
            .map(|(n, (name, m))| match (n, m.aim_unknown) {
                (0, 1) => format!("1 shot that {name} missed"),
                (0, many) => format!("{many} shots that {name} missed"),
                (_, many) => format!("{many} that {name} missed"),
            })
            .collect();
        let (mut higher, mut lower): (f64, f64) = (0.0, 0.0);
        for row in &self.rows {
            let Number::Lines(wing, _) = row.number else { continue };
            for (value, missed) in row.values.iter().zip(self.missed) {
                let Value::Share(s) = value else { continue };
                if s.of >= FEW {
                    let (count, of, more) = (s.count as f64, s.of as f64, missed.of(wing) as f64);
                    higher = higher.max((count + more) / (of + more) - count / of);
                    lower = lower.max(count / of - count / (of + more));
                }
            }
        }
        if missed.is_empty() || higher + lower <= 0.0 {
            return None;
        }
        let one = self.missed.iter().map(|m| m.aim_unknown).sum::<usize>() == 1;
        Some(format!(
            "Directions: it is not known where {} {} aimed. A direction that is missed more often than the others is \
             played more than its share says. Each share is {} percentage points.",
            missed.join(" and "),
            if one { "was" } else { "were" },
            off(Percent::up(higher).whole(), Percent::up(lower).whole()),
        ))
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
            let names: Vec<&str> = missing.iter().map(|t| t.words()).collect();
            notes.push(format!("The record says nothing about: {}.", names.join("; ")));
        }
        if !missing.contains(&Topic::Lines) {
            notes.extend(part.lean(&self.players));
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
    /// The one by the other, with its interval; absent when there are none, and where it would lean because of the unknown ones: of
    /// how a point ended it is known more often that it was not so than that it was.
    pub rate: Option<Rate>,
    /// Whether more of the unknown ones count than of the others.
    #[serde(skip)]
    pub at_least: bool,
    /// Those that count.
    pub counted: Vec<Item>,
    /// Those that do not.
    pub others: Vec<Item>,
    /// Those of which the record does not say; they are in no rate.
    pub unknown: Vec<Item>,
}

impl Share {
    pub(super) fn close(mut self, number: Number) -> Self {
        (self.count, self.of) = (self.counted.len(), self.counted.len() + self.others.len());
        self.at_least = number.leans() && !self.unknown.is_empty();
        // A double fault tells which serves there were, even where they were not logged.
        let leans = self.at_least || number.is_by_serve() && self.unknown.len() > self.of;
        self.rate = Rate::of(self.count, self.of).filter(|_| !leans);
        self
    }

    /// `34 of 50 (68 %)`; a percentage of fewer than ten would say more than they do. `at least 5` where more may count.
    pub fn words(&self) -> String {
        match self.rate {
            None if self.of == 0 || self.at_least && self.count == 0 => "–".into(),
            None if self.at_least => format!("at least {}", self.count),
            Some(r) if r.of >= FEW => format!("{} of {} ({})", r.won, r.of, Percent::of(r.rate)),
            _ => format!("{} of {}", self.count, self.of),
        }
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

impl Most {
    /// In words: if the record does not say all, there may have been more.
    pub fn words(&self) -> String {
        match (self.value, self.unknown.is_empty()) {
            (0, false) => "–".into(),
            (value, false) => format!("at least {value}"),
            (value, true) => value.to_string(),
        }
    }
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

/// By how many percentage points a share can be too low and too high; not by none.
fn off(low: i64, high: i64) -> String {
    match (low, high) {
        (_, 0) => format!("too low by at most {low}"),
        (0, _) => format!("too high by at most {high}"),
        _ => format!("too low by at most {low} or too high by at most {high}"),
    }
}
