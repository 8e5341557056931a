//! The match in numbers as a table for people.

use super::columns::{Lean, aligned_rows};
use crate::evidence::{FEW, Percent};
use crate::record::printable;
use crate::summary::numbers::{Numbers, Part, Row, Share, Topic, Value};

/// The numbers as text: those of one set, or of the whole match.
pub fn numbers(found: &Numbers, set: Option<usize>) -> String {
    let Some(part) = found.parts.iter().find(|p| p.set == set) else { return String::new() };
    let [ours, theirs] = found.players.each_ref().map(|name| printable(name, 60));
    let what = part.set.map_or_else(|| "the whole match".into(), |n| format!("set {n}"));
    let mut out = format!("{ours} and {theirs}: {what}\n");
    out += &table(part, [ours, theirs]);
    let notes = notes(found, part);
    if !notes.is_empty() {
        out += "\n";
    }
    for line in notes {
        out += &line;
        out += "\n";
    }
    out
}

/// The rows by topic. Topics of which nothing is known are named below.
fn table(part: &Part, players: [String; 2]) -> String {
    let [ours, theirs] = players;
    let mut rows: Vec<Vec<String>> = vec![vec![String::new(), ours, theirs]];
    let mut topic: Option<Topic> = None;
    for row in part.rows.iter().filter(|r| !is_empty(part, r.about())) {
        if topic.replace(row.about()) != Some(row.about()) {
            rows.push(Vec::new());
            rows.push(vec![row.topic.clone()]);
        }
        let [a, b] = row.values.each_ref().map(cell);
        rows.push(vec![format!("  {}", row.name), a, b]);
    }
    aligned_rows(&rows, &[Lean::Left; 3])
}

/// Whether nothing at all was counted for a topic.
fn is_empty(part: &Part, topic: Topic) -> bool {
    let nothing = |v: &Value| match v {
        Value::Share(s) => s.of == 0,
        Value::Most(m) => m.value == 0,
    };
    part.rows.iter().filter(|r| r.about() == topic).flat_map(|r| &r.values).all(nothing)
}

fn cell(value: &Value) -> String {
    let (text, unknown) = match value {
        Value::Share(share) => (of(share), &share.unknown),
        Value::Most(most) => (most.value.to_string(), &most.unknown),
    };
    if unknown.is_empty() { text } else { format!("{text}, {} unknown", unknown.len()) }
}

/// `34 of 50 (68 %)`; a percentage of fewer than ten would say more than they do.
fn of(share: &Share) -> String {
    match share.rate {
        None => "–".into(),
        Some(r) if r.of < FEW => format!("{} of {}", r.won, r.of),
        Some(r) => format!("{} of {} ({})", r.won, r.of, Percent::of(r.rate)),
    }
}

/// What to know beside the table.
fn notes(found: &Numbers, part: &Part) -> Vec<String> {
    let points = |n: usize| format!("{n} point{}", if n == 1 { "" } else { "s" });
    let mut notes = Vec::new();
    let mut missing: Vec<Topic> = part.rows.iter().map(Row::about).filter(|t| is_empty(part, *t)).collect();
    missing.dedup();
    if !missing.is_empty() {
        let names: Vec<&str> = missing.into_iter().map(Topic::words).collect();
        notes.push(format!("The record says nothing about: {}.", names.join("; ")));
    }
    if part.set.is_none() && !found.no_set.is_empty() {
        notes.push(format!(
            "The set of {} is not known: they count in the whole match alone.",
            points(found.no_set.len())
        ));
    }
    if part.set.is_none() && !found.replayed.is_empty() {
        notes.push(format!("{} played again (let): not counted.", points(found.replayed.len())));
    }
    notes
}
