//! The match in numbers as a table for people.

use super::columns::{Lean, aligned_rows};
use crate::record::printable;
use crate::summary::numbers::{Numbers, Part, Value};

/// The numbers as text: those of one set, or of the whole match.
pub fn numbers(found: &Numbers, set: Option<usize>) -> String {
    let Some(part) = found.parts.iter().find(|p| p.set == set) else { return String::new() };
    let [ours, theirs] = found.players.each_ref().map(|name| printable(name, 60));
    let what = part.set.map_or_else(|| "the whole match".into(), |n| format!("set {n}"));
    let mut out = format!("{ours} and {theirs}: {what}\n\n");
    for sentence in found.headline(part) {
        out += &printable(&sentence, 400);
        out += ".\n";
    }
    out += "\n";
    out += &table(part, [ours, theirs]);
    let notes = found.notes(part);
    if !notes.is_empty() {
        out += "\n";
    }
    for line in notes {
        out += &line;
        out += "\n";
    }
    out
}

/// The rows by topic, and below a topic what neither player was seen to do. Topics of which nothing is known are named
/// below.
fn table(part: &Part, players: [String; 2]) -> String {
    let [ours, theirs] = players;
    let mut rows: Vec<Vec<String>> = vec![vec![String::new(), ours, theirs]];
    let mut below = Vec::new();
    for shown in part.topics() {
        rows.push(Vec::new());
        rows.push(vec![part.title(shown.topic).into()]);
        for row in shown.rows.iter().map(|n| &part.rows[*n]) {
            let [a, b] = row.values.each_ref().map(cell);
            rows.push(vec![format!("  {}", row.name), a, b]);
        }
        if !shown.none.is_empty() {
            let names: Vec<&str> = shown.none.iter().map(|n| part.rows[*n].name.as_str()).collect();
            below.push((rows.len(), format!("  none seen: {}", names.join("; "))));
        }
    }
    let mut lines: Vec<String> =
        aligned_rows(&rows, &[Lean::Left; 3]).lines().map(|line| line.to_owned() + "\n").collect();
    for (at, line) in below.into_iter().rev() {
        lines.insert(at.min(lines.len()), line + "\n");
    }
    lines.concat()
}

fn cell(value: &Value) -> String {
    let (text, unknown) = match value {
        Value::Share(share) => (share.words(), &share.unknown),
        Value::Most(most) => (most.words(), &most.unknown),
    };
    if unknown.is_empty() { text } else { format!("{text}, {} unknown", unknown.len()) }
}
