//! The findings of the Study page as tables for people, with every interval drawn in characters.

use super::columns::{Lean, aligned};
use super::extent::Extent;
use crate::counted::{Counted, Noun};
use crate::evidence::{Interval, Percent};
use crate::record::printable;
use crate::summary::study::{Counts, CourtMap, Findings, Group, Place, Row, Section, Strata};
use crate::summary::{Rate, Tally};

use Lean::{Left, Right};

/// Steps of a drawn interval, from 0 to 100 %.
const STEPS: usize = 25;

/// The most lines of a short answer.
const LINES: usize = 40;

/// What a question found, as text.
pub fn study(found: &Findings, extent: Extent) -> String {
    let mut out = head(found);
    let mut body = Vec::new();
    for s in &found.sections {
        body.push(String::new());
        section(s, extent, &mut body);
    }
    if extent == Extent::Full {
        for map in &found.maps {
            body.push(String::new());
            court(map, &mut body);
        }
    }
    let mut end = vec![String::new()];
    end.extend(key(found, extent).into_iter().map(String::from));
    if !found.cautions.is_empty() {
        end.extend([String::new(), "keep in mind".into()]);
        end.extend(found.cautions.iter().map(|c| format!("  {c}")));
    }
    if extent == Extent::Short {
        end.extend([String::new(), more(found).into()]);
        let room = LINES.saturating_sub(out.len() + end.len());
        if body.len() > room {
            body.retain(|line| !line.is_empty());
        }
        if body.len() > room {
            let left = body.len() - room.saturating_sub(1);
            body.truncate(room.saturating_sub(1));
            body.push(format!("… and {left} more lines"));
        }
    }
    out.extend(body);
    out.extend(end);
    out.truncate(if extent == Extent::Short { LINES } else { usize::MAX });
    out.iter().flat_map(|line| [line.trim_end(), "\n"]).collect()
}

/// How to read the tables.
fn key(found: &Findings, extent: Extent) -> Vec<&'static str> {
    let rows = || found.sections.iter().flat_map(|s| &s.rows);
    if !rows().any(|r| !r.tally.points.is_empty()) {
        return Vec::new();
    }
    let others = if found.sections.iter().all(|s| s.by == "pattern") {
        "others: the points without the pattern in which it could have happened"
    } else {
        "others: the points of the other rows of the table"
    };
    let mut key = vec!["● the rate, ─ where the true rate probably lies (95 % range), ┊ the others", others];
    if extent == Extent::Full {
        key.push("careful: the rate pulled toward that of the row and its others together, by the weight of 20 points");
    }
    key
}

/// What a short answer leaves out.
fn more(found: &Findings) -> &'static str {
    if found.maps.is_empty() {
        "--all shows every row and group"
    } else {
        "--all shows every row and group, and where the shots landed"
    }
}

fn head(found: &Findings) -> Vec<String> {
    let mut out =
        vec![printable(&found.question, 200), format!("{}: {}", found.looked_at, points(found.points.len()))];
    if !found.left_out.is_empty() {
        let n = points(found.left_out.len());
        out.push(format!("{n} {} the data for this question", n.lacks()));
    }
    if !found.doubtful.is_empty() {
        let n = points(found.doubtful.len());
        out.push(format!(
            "{n} {} in doubt: what was logged contradicts itself, or the ending is missing; changeover check says more",
            n.is()
        ));
    }
    if !found.about.trim().is_empty() {
        out.push(printable(&found.about, 400));
    }
    out.push(String::new());
    out.extend(found.headline.iter().map(|s| sentence(s)));
    out
}

/// With a capital and a full stop.
fn sentence(words: &str) -> String {
    let words = printable(words, 600);
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

/// `3 points have no serve direction`.
fn lacking(n: usize, what: &str) -> String {
    format!("{} {} no {what}", points(n), points(n).has())
}

const fn points(n: usize) -> Counted {
    Counted(n, Noun::Point)
}

fn section(s: &Section, extent: Extent, out: &mut Vec<String>) {
    let pattern = s.by == "pattern";
    // What no point shows would be a row of dashes.
    let (shown, empty): (Vec<&Row>, Vec<&Row>) = s.rows.iter().partition(|r| !r.tally.points.is_empty());
    if shown.is_empty() {
        out.push(format!("{}: no point has it", s.by));
    } else {
        table(s, &shown, pattern, extent, out);
        if pattern && !empty.is_empty() {
            out.push(format!(
                "patterns that no point shows (in brackets: points that may show them): {}",
                untold(&empty)
            ));
        } else if !empty.is_empty() {
            let names: Vec<String> = empty.iter().map(|r| printable(&r.name, 60)).collect();
            out.push(format!("no points: {}", names.join(", ")));
        }
    }
    let notes = notes(s);
    if !notes.is_empty() {
        out.push(notes.join("; "));
    }
    // If two rows are each other's other points, one reversal is enough.
    let seen = |n: usize| s.rows[..n].iter().any(|r| r.tally.points == s.rows[n].others.points);
    for r in s.rows.iter().enumerate().filter(|(n, _)| !seen(*n)).map(|(_, r)| r) {
        if extent == Extent::Full {
            r.strata.iter().filter(|x| x.says.is_some()).for_each(|x| strata(&r.name, x, out));
        }
    }
}

/// What is not in the rows, and their order.
fn notes(s: &Section) -> Vec<String> {
    let mut notes = Vec::new();
    if !s.estimated.is_empty() {
        let n = points(s.estimated.len());
        notes.push(format!("{n} estimated from where the shots before landed"));
    }
    if !s.cannot_tell.is_empty() {
        notes.push(lacking(s.cannot_tell.len(), &s.lacking));
    }
    if !s.outside.is_empty() {
        notes.push(format!("{} {}", points(s.outside.len()), s.outside_means));
    }
    notes.extend(s.order());
    notes
}

fn untold(rows: &[&Row]) -> String {
    let one = |r: &&Row| match (printable(&r.title(), 60), r.cannot_tell.len() + r.unplaced.len()) {
        (title, 0) => title,
        (title, n) => format!("{title} ({n})"),
    };
    rows.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn table(s: &Section, shown: &[&Row], pattern: bool, extent: Extent, out: &mut Vec<String>) {
    let not = if s.counts == Counts::Won { "lost" } else { "not" };
    let scale = format!("0 %{:>width$}", "100 %", width = STEPS - 3);
    let counts = s.counts.word();
    let by = &if s.counts == Counts::Won { s.by.clone() } else { format!("{}: {counts}s", s.by) };
    let told = if pattern { "may show it" } else { "" };
    let careful = if extent == Extent::Full { "careful" } else { "" };
    let head = [
        by,
        "points",
        counts,
        not,
        "unknown",
        told,
        "rate",
        "95 % range",
        &scale,
        "others",
        careful,
        "compared",
    ];
    let mut rows = vec![head.map(String::from)];
    rows.extend(shown.iter().map(|r| cells(r, pattern, extent)));
    let lean = [Left, Right, Right, Right, Right, Right, Right, Right, Left, Right, Right, Left];
    out.extend(aligned(&rows, lean).lines().map(String::from));
}

fn cells(r: &Row, pattern: bool, extent: Extent) -> [String; 12] {
    let t = &r.tally;
    let count = |list: &[_]| list.len().to_string();
    let none = || "–".to_owned();
    [
        printable(&r.title(), 60),
        count(&t.points),
        count(&t.won),
        count(&t.lost),
        count(&t.unknown),
        if pattern { (r.cannot_tell.len() + r.unplaced.len()).to_string() } else { String::new() },
        t.rate.map_or_else(none, |x| if x.too_few { few(x) } else { percent(x.rate) }),
        t.rate.map_or_else(none, |x| range(x.interval)),
        t.rate.map_or_else(String::new, |x| drawn(x, r.others.rate)),
        r.others.rate.map_or_else(none, |x| {
            if x.too_few { few(x) } else { format!("{} of {}", percent(x.rate), x.of) }
        }),
        if extent == Extent::Full { r.shrunk.map_or_else(none, |x| percent(x.rate)) } else { String::new() },
        if t.rate.is_some() { r.verdict.short() } else { String::new() },
    ]
}

/// Of a few points a percentage would say more than they do.
fn few(x: Rate) -> String {
    format!("{} of {}", x.won, x.of)
}

/// An interval from 0 to 100 %: a bar, a dot at the rate, a mark where the others are.
fn drawn(rate: Rate, others: Option<Rate>) -> String {
    let step = |x: f64| ((x * STEPS as f64) as usize).min(STEPS - 1);
    let (low, high) = (step(rate.interval.low), step(rate.interval.high));
    (0..STEPS)
        .map(|n| match n {
            n if n == step(rate.rate) => '●',
            n if others.is_some_and(|o| step(o.rate) == n) => '┊',
            n if (low..=high).contains(&n) => '─',
            _ => ' ',
        })
        .collect()
}

/// Groups beyond this are counted, not shown.
const GROUPS: usize = 12;

fn strata(name: &str, x: &Strata, out: &mut Vec<String>) {
    out.extend([String::new(), sentence(x.says.as_deref().unwrap_or_default())]);
    let mut rows = vec![[x.by.into(), printable(name, 60), "the rest".into()]];
    let of = |t: &Tally| {
        t.rate.map_or_else(|| "–".into(), |r| format!("{} of {} ({})", r.won, r.of, percent(r.rate)))
    };
    let line = |g: &Group| [printable(&g.name, 140), of(&g.this), of(&g.that)];
    rows.extend(x.groups.iter().take(GROUPS).map(line));
    out.extend(aligned(&rows, [Left, Right, Right]).lines().map(|l| format!("  {l}")));
    if x.groups.len() > GROUPS {
        out.push(format!("  and {} more; --json --all has them", x.groups.len() - GROUPS));
    }
    if !x.cannot_tell.is_empty() {
        out.push(format!("  {} unknown: {}", x.by, points(x.cannot_tell.len())));
    }
}

/// A map as rows of thirds; of each cell the points won of those decided.
fn court(map: &CourtMap, out: &mut Vec<String>) {
    if map.cells.iter().all(|c| c.tally.points.is_empty()) {
        out.push(format!("where it landed: {}, unknown in every point", map.ball));
        return;
    }
    let boxes = map.cells.iter().any(|c| matches!(c.at, Place::Box { .. }));
    let seen = if boxes { "" } else { ", as its striker sees it, the net above" };
    out.push(format!("where it landed: {}{seen}; points won, of those won or lost", map.ball));
    let head = if boxes { ["", "wide", "body", "T"] } else { ["", "left", "middle", "right"] };
    let mut rows = vec![head.map(String::from)];
    for three in map.cells.chunks(3) {
        let name = three.first().map_or("", |c| c.name.split(", ").next().unwrap_or_default());
        let value = |n: usize| three.get(n).map_or_else(String::new, |c| cell(&c.tally));
        let name = if boxes { name } else { name.split(',').next().unwrap_or_default() };
        rows.push([name.into(), value(0), value(1), value(2)]);
    }
    out.extend(aligned(&rows, [Left, Right, Right, Right]).lines().map(|l| format!("  {l}")));
    if !map.note.is_empty() {
        out.push(format!("  {}", map.note));
    }
    let rest = [("place unknown", map.cannot_tell.len()), (&*map.outside_means, map.outside.len())];
    out.extend(rest.iter().filter(|(_, n)| *n > 0).map(|(why, n)| format!("  {why}: {}", points(*n))));
}

fn cell(t: &Tally) -> String {
    let unknown = if t.unknown.is_empty() { String::new() } else { format!(" +{} unknown", t.unknown.len()) };
    match (t.rate, t.points.len()) {
        (_, 0) => "–".into(),
        (Some(r), _) => format!("{} of {}{unknown}", r.won, r.of),
        (None, _) => unknown.trim_start().into(),
    }
}

fn percent(x: f64) -> String {
    Percent::of(x).to_string()
}

fn range(i: Interval) -> String {
    format!("{}–{}", Percent::of(i.low).whole(), Percent::of(i.high).whole())
}
