//! What Study has found: the tables of a question, or the match in numbers. No widgets.

use std::ops::Deref;

use crate::facts::PointRef;
use crate::summary::numbers::{Item, Numbers, Row, Topic, Value};
use crate::summary::study::Findings;

/// What is on the screen.
#[derive(Debug, Clone)]
pub struct Found {
    /// The answer to the question; without tables where it is the match in numbers.
    pub findings: Findings,
    /// The match in numbers.
    pub numbers: Option<Numbers>,
}

/// A number of one player.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NumberAt {
    /// The whole match, or a set: by its place.
    pub part: usize,
    /// Its row.
    pub row: usize,
    /// The player: 0 or 1.
    pub column: usize,
    /// Which of its items.
    pub of: Items,
}

/// Which items of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Items {
    /// Those that count.
    Counted,
    /// Those that count and those that do not.
    All,
    /// Those of which the record does not say.
    Unknown,
}

impl Deref for Found {
    type Target = Findings;

    fn deref(&self) -> &Findings {
        &self.findings
    }
}

impl Found {
    /// The answer to a question.
    pub const fn answer(findings: Findings) -> Self {
        Self { findings, numbers: None }
    }

    fn row(&self, at: NumberAt) -> Option<&Row> {
        self.numbers.as_ref()?.parts.get(at.part)?.rows.get(at.row)
    }

    fn value(&self, at: NumberAt) -> Option<&Value> {
        self.row(at)?.values.get(at.column)
    }

    /// What is behind a number: points, or shots in them.
    fn items(&self, at: NumberAt) -> Vec<Item> {
        match (self.value(at), at.of) {
            (Some(Value::Share(s)), Items::Counted) => s.counted.clone(),
            (Some(Value::Share(s)), Items::All) => [&*s.counted, &s.others].concat(),
            (Some(Value::Share(s)), Items::Unknown) => s.unknown.clone(),
            (Some(Value::Most(m)), Items::Unknown) => m.unknown.clone(),
            (Some(Value::Most(m)), _) => m.points.clone(),
            (None, _) => Vec::new(),
        }
    }

    /// How many are behind a number: as many as it says, save of a longest rally, whose number is its length.
    pub fn count(&self, at: NumberAt) -> usize {
        self.items(at).len()
    }

    /// The points behind a number, each once, in the order played.
    pub fn points(&self, at: NumberAt) -> Vec<PointRef> {
        let mut all: Vec<PointRef> = self.items(at).into_iter().map(|i| i.at).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// How many shots are behind it, where shots are counted.
    pub fn shots(&self, at: NumberAt) -> Option<usize> {
        let shots = self.items(at).iter().filter(|i| i.shot.is_some()).count();
        (shots > 0).then_some(shots)
    }

    /// What it is, without how many: `Holt, first serves in`.
    pub fn title(&self, at: NumberAt) -> String {
        let (Some(numbers), Some(row)) = (&self.numbers, self.row(at)) else { return String::new() };
        let name = match row.about() {
            Topic::Rally | Topic::Errors | Topic::ErrorLines | Topic::Winners | Topic::Lines => {
                format!("{}, {}", row.topic, row.name)
            }
            _ => row.name.clone(),
        };
        let set = numbers.parts[at.part].set.map_or_else(String::new, |n| format!(", set {n}"));
        let of = match at.of {
            Items::Counted => "",
            Items::All => ": all points counted",
            Items::Unknown => ": unknown",
        };
        format!("{}, {name}{set}{of}", numbers.players[at.column])
    }

    /// The number in words: `Holt, first serves in: 27 of 45 (60 %), 2 unknown`.
    pub fn spoken(&self, at: NumberAt) -> String {
        let said = match (self.value(at), at.of) {
            (Some(Value::Share(s)), Items::Counted) => {
                let rate = s.rate.filter(|r| !r.too_few).map(|r| format!(" ({})", r.percent()));
                let unknown = Some(s.unknown.len()).filter(|n| *n > 0).map(|n| format!(", {n} unknown"));
                format!("{} of {}{}{}", s.count, s.of, rate.unwrap_or_default(), unknown.unwrap_or_default())
            }
            (Some(Value::Most(m)), Items::Counted | Items::All) => {
                let unknown = Some(m.unknown.len()).filter(|n| *n > 0).map(|n| format!(", {n} unknown"));
                m.words() + &unknown.unwrap_or_default()
            }
            _ => self.count(at).to_string(),
        };
        format!("{}: {said}", self.title(at))
    }
}
