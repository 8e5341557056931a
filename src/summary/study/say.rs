//! Findings in sentences.

use super::by::By;
use super::counts::Counts;
use super::facets::Facets;
use super::findings::{Findings, Row, Section, Strata};
use super::question::Question;
use super::question::{Ask, Part};
use crate::evidence::{Caution, FEW, Percent, Reversal, Verdict, about};
use crate::record::printable;
use crate::summary::{Rate, Tally, Whose};

/// No more differences than this are told in the headline.
const TOLD: usize = 3;

/// Whose points, and which of them.
pub(super) fn looked_at(question: &Question, facets: &Facets) -> String {
    let (rest, of) = (facets.to_string(), question.of);
    if facets.whose == Whose::Both {
        let patterns = question.asks.iter().all(|a| matches!(a, Ask::Patterns(_)));
        let whose = match of {
            Part::Player if patterns => "both players",
            Part::Server | Part::Player => "both players, seen from the server",
            Part::Receiver => "both players, seen from the receiver",
            Part::LastStriker => "both players, seen from who finished the point",
        };
        return if rest.is_empty() { whose.into() } else { format!("{whose}, {rest}") };
    }
    match (of, rest.split_once(", ")) {
        (Part::LastStriker, None) => format!("points that {rest} finished"),
        (Part::LastStriker, Some((name, rest))) => format!("points that {name} finished, {rest}"),
        _ => format!("{rest}, {}", of.words()),
    }
}

/// A row in a sentence, without its cautions.
pub(super) fn row(
    name: &str,
    by: Option<By>,
    tally: &Tally,
    others: &Tally,
    counts: Counts,
    verdict: &Verdict,
) -> String {
    let name = printable(name, 200) + &by.map_or_else(String::new, |by| format!(" ({})", by.words()));
    let how = match counts {
        Counts::Won => "won",
        Counts::Winner => "ended with a winner",
        Counts::UnforcedError => "ended with an unforced error",
    };
    let Some(rate) = tally.rate else { return format!("{name}: {verdict}") };
    // Of fewer than ten a percentage would say more than they do.
    let share = |r: Rate| if r.of < FEW { String::new() } else { format!(" ({})", Percent::of(r.rate)) };
    let against = others.rate.map_or_else(String::new, |r| {
        let s = if r.of == 1 { "" } else { "s" };
        format!(", against {} of {} other point{s}{}", r.won, r.of, share(r))
    });
    format!("{name}: {} of {} {how}{}{against}; {verdict}", rate.won, rate.of, share(rate))
}

/// The answer in sentences, and what to keep in mind beside it.
pub(super) fn headline(f: &Findings, mix: bool) -> (Vec<String>, Vec<Caution>) {
    let rows = || f.sections.iter().flat_map(|s| &s.rows);
    let size = |r: &Row| r.comparison.map_or(0.0, |c| c.difference.abs());
    let found = |r: &&Row| matches!(r.verdict, Verdict::Difference { .. } | Verdict::Lopsided { .. });
    // Of two rows that are each other's others one tells it.
    let twin = |s: &Section, n: usize| s.rows[..n].iter().any(|r| r.tally.points == s.rows[n].others.points);
    let mut told: Vec<&Row> = (f.sections.iter())
        .flat_map(|s| s.rows.iter().enumerate().filter(|(n, _)| !twin(s, *n)).map(|(_, r)| r))
        .filter(found)
        .collect();
    let small = |r: &Row| matches!(r.verdict, Verdict::Lopsided { .. });
    told.sort_by(|a, b| small(a).cmp(&small(b)).then(size(b).total_cmp(&size(a))));
    told.truncate(TOLD);
    let mut said: Vec<String> = f.mixes.iter().map(|m| m.says.clone()).collect();
    said.extend(told.iter().map(|r| r.says.clone()));
    if said.is_empty() {
        said.push(nothing(f));
    }
    if mix && f.mixes.is_empty() {
        said.push("choose one player to see how mixed the serves are".into());
    }
    // One of each table: of two rows it is the same reversal, seen from either side. Where the groups do not all say it and
    // no difference is claimed, it stays by its row.
    let claims = |r: &Row| {
        use Verdict::{Difference, Explained, PerhapsChance};
        matches!(r.verdict, Difference { .. } | Explained { .. } | PerhapsChance { .. })
            || r.strata.iter().any(|s| s.compared.reversal == Reversal::Vanishes)
    };
    let reversal = |r: &Row| {
        let worth = |s: &&Strata| claims(r) || s.compared.reversal == Reversal::Everywhere && is_broad(s);
        r.strata.iter().filter(worth).find_map(|s| s.says.clone())
    };
    said.extend(f.sections.iter().filter_map(|s| s.rows.iter().find_map(reversal)));
    let cautions = match told.first() {
        Some(row) => row.cautions.clone(),
        None => gravest(rows()),
    };
    (said, cautions)
}

/// Whether two groups or more have enough points on both sides: any few points reverse by chance.
fn is_broad(strata: &Strata) -> bool {
    let enough = |t: &Tally| t.won.len() + t.lost.len() >= FEW;
    strata.groups.iter().filter(|g| enough(&g.this) && enough(&g.that)).count() >= 2
}

/// When no row differs from its others.
fn nothing(f: &Findings) -> String {
    let rows = || f.sections.iter().flat_map(|s| &s.rows);
    let points = f.points.len();
    if points == 0 {
        return "no points match the filter".into();
    }
    let seen = |v: &Verdict| matches!(v, Verdict::NoDifference { .. });
    let chance = |v: &Verdict| matches!(v, Verdict::PerhapsChance { .. });
    // The row that is nearest to telling something.
    let share = |r: &Row| match r.verdict {
        Verdict::TooFew { points, needed } => points as f64 / needed as f64,
        _ => -1.0,
    };
    let nearest = rows().filter(|r| share(r) >= 0.0).max_by(|a, b| share(a).total_cmp(&share(b)));
    match (rows().filter(|r| chance(&r.verdict)).count(), rows().filter(|r| seen(&r.verdict)).count()) {
        (0, 0) => nearest.map_or_else(|| "nothing to compare".into(), wanting),
        (0, 1) => "nothing stands out: no difference found in 1 row".into(),
        (0, n) => format!("nothing stands out: no difference found in {n} rows"),
        (1, _) => {
            "nothing stands out: 1 row differs, but may by chance alone, as so much was compared at once"
                .into()
        }
        (n, _) => {
            format!(
                "nothing stands out: {n} rows differ, but may by chance alone, as so much was compared at once"
            )
        }
    }
}

/// How many more points would tell.
fn wanting(r: &Row) -> String {
    let Verdict::TooFew { points, needed } = r.verdict else { return r.says.clone() };
    let more = about(needed.saturating_sub(points).max(1));
    let s = if more == 1 { "" } else { "s" };
    format!(
        "nothing stands out: there are too few points. With about {more} more point{s} a difference of 20 percentage points would \
         be seen in {}",
        printable(&r.name, 200)
    )
}

/// Of each kind of caution the first that a row has, in the order in which they are said; of small samples the smallest.
fn gravest<'r>(rows: impl Iterator<Item = &'r Row>) -> Vec<Caution> {
    let mut all: Vec<Caution> = Vec::new();
    // A row that is compared with nothing has nothing to be careful about.
    for caution in rows.filter(|r| r.comparison.is_some()).flat_map(|r| &r.cautions) {
        let same = all.iter_mut().find(|c| std::mem::discriminant(*c) == std::mem::discriminant(caution));
        match (same, caution) {
            (None, _) => all.push(*caution),
            (Some(was @ Caution::SmallSample { .. }), Caution::SmallSample { points, .. }) => {
                if matches!(was, Caution::SmallSample { points: least, .. } if points < least) {
                    *was = *caution;
                }
            }
            _ => {}
        }
    }
    all.sort_by_key(|c| match c {
        Caution::SmallSample { .. } => 0,
        Caution::ManyQuestions { .. } => 1,
        Caution::Selection { .. } => 2,
        Caution::ScoreEffect { .. } => 3,
        Caution::OpponentEffect { .. } => 4,
    });
    all
}

/// Of a tier with more rows than this the rest is counted.
const NAMED: usize = 4;

impl Section {
    /// What order of its rows can be said; none where fewer than two have a rate.
    pub fn order(&self) -> Option<String> {
        let known: usize = self.tiers.tiers.iter().map(Vec::len).sum();
        if known < 2 {
            return None;
        }
        if !self.tiers.has_order() {
            return Some("the rows cannot be ranked: their intervals overlap".into());
        }
        let name = |n: &usize| self.rows.get(*n).map_or_else(String::new, |r| printable(&r.name, 60));
        let tier = |t: &Vec<usize>| {
            let mut names: Vec<String> = t.iter().take(NAMED).map(name).collect();
            if t.len() > NAMED {
                names.push(format!("{} more", t.len() - NAMED));
            }
            names.join(", ")
        };
        let tiers: Vec<String> = self.tiers.tiers.iter().map(tier).collect();
        Some(format!("ranked, as far as the intervals allow: {}", tiers.join("  >  ")))
    }
}
