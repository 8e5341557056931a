//! Tables for people.

use std::fmt::Write;

use super::columns::{Lean, aligned};
use super::sheet::Sheet;
use crate::clips::Why;
use crate::counted::{Counted, Noun};
use crate::evidence::{Caution, Percent, Proportion};
use crate::record::printable;
use crate::summary::{Rate, Table, Tally};

use Lean::{Left, Right};

/// A clip list as lines: number, file, start and end in the file, label; then what cannot be shown.
pub fn clips(sheet: &Sheet) -> String {
    let mut rows = vec![["clip", "file", "start", "end", "shows"].map(String::from)];
    for (n, clip) in sheet.clips.iter().enumerate() {
        let span = clip.file_span;
        rows.push([
            (n + 1).to_string(),
            printable(&clip.file, 200),
            span.start().to_string(),
            span.end().to_string(),
            printable(&clip.label, 200),
        ]);
    }
    aligned(&rows, [Right, Left, Right, Right, Left]) + &unreachable(sheet)
}

/// The points without a clip, by reason; empty if all points have one.
pub fn unreachable(sheet: &Sheet) -> String {
    let mut out = String::new();
    for why in [Why::NoTimes, Why::NoFootage, Why::NoPoint] {
        let points: Vec<String> = (sheet.unreachable.iter().filter(|u| u.why == why))
            .map(|u| match sheet.records.get(u.point.record) {
                Some(of) if sheet.records.len() > 1 => {
                    format!("{} in {}", u.point.point + 1, printable(&of.file, 200))
                }
                _ => (u.point.point + 1).to_string(),
            })
            .collect();
        if !points.is_empty() {
            // Writing to a text cannot fail.
            let _ = writeln!(
                out,
                "no clip of {}: {} ({})",
                Counted(points.len(), Noun::Point),
                why.words(),
                points.join(", ")
            );
        }
    }
    out
}

/// A summary as lines, one a pattern.
pub fn summary(table: &Table) -> String {
    let head = [
        "pattern",
        "won by",
        "happened",
        "won",
        "lost",
        "unknown",
        "rate",
        "95 % interval",
        "other points",
        "can't tell",
        "",
    ];
    let mut rows = vec![head.map(String::from)];
    for row in &table.rows {
        let t = &row.happened;
        rows.push([
            printable(&row.pattern, 200),
            row.won_by.clone(),
            t.points.len().to_string(),
            t.won.len().to_string(),
            t.lost.len().to_string(),
            t.unknown.len().to_string(),
            t.rate.map_or_else(|| "–".into(), share),
            t.rate.map_or_else(|| "–".into(), interval),
            row.others.rate.map_or_else(|| "–".into(), |r| format!("{} ({})", share(r), interval(r))),
            row.cannot_tell.len().to_string(),
            if t.rate.is_some_and(|r| r.too_few) { "too few points".into() } else { String::new() },
        ]);
    }
    let lean = [Left, Left, Right, Right, Right, Right, Right, Right, Right, Right, Left];
    format!("{}\n{} looked at\n{}", aligned(&rows, lean), Counted(table.points, Noun::Point), landed(table))
}

/// Which rates are of shots that landed, which way they lean, and by how much at most.
fn landed(table: &Table) -> String {
    let count = |t: &Tally| Proportion { won: t.won.len(), lost: t.lost.len(), unknown: t.unknown.len() };
    let lines: Vec<String> = (table.rows.iter())
        .filter(|r| !r.by_definition)
        .filter_map(|r| Some((r, Caution::landed(count(&r.happened), count(&r.missed))?)))
        .map(|(r, caution)| format!("  {}, {caution}\n", printable(&r.pattern, 200)))
        .collect();
    if lines.is_empty() { String::new() } else { format!("\nkeep in mind\n{}", lines.concat()) }
}

fn share(r: Rate) -> String {
    format!("{} of {}", percent(r.rate), r.of)
}

fn interval(r: Rate) -> String {
    format!("{}–{}", Percent::of(r.interval.low).whole(), percent(r.interval.high))
}

fn percent(x: f64) -> String {
    Percent::of(x).to_string()
}
