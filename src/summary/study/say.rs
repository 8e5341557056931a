//! Findings in sentences.

use super::facets::Facets;
use super::findings::{Findings, Row, Section, Strata};
use super::mix;
use super::phrase::{Said, Speaker};
use super::question::Question;
use super::question::{Ask, Part};
use crate::counted::{Counted, Noun};
use crate::evidence::{Caution, Comparison, FEW, Reversal, Verdict, about};
use crate::record::printable;
use crate::summary::{Tally, Whose};

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
            Part::LastStriker => "both players, seen from who hit the last shot",
        };
        return if rest.is_empty() { whose.into() } else { format!("{whose}, {rest}") };
    }
    match (of, rest.split_once(", ")) {
        (Part::LastStriker, None) => format!("points in which {rest} hit the last shot"),
        (Part::LastStriker, Some((name, rest))) => {
            format!("points in which {name} hit the last shot, {rest}")
        }
        _ => format!("{rest}, {}", of.words()),
    }
}

/// A row in a sentence, without its cautions.
pub(super) fn row(
    said: &Said<'_>,
    speaker: &Speaker,
    verdict: &Verdict,
    compared: Option<&Comparison>,
    cautions: &[Caution],
) -> String {
    let Some(numbers) = said.numbers(speaker) else { return format!("{}: {verdict}", said.points()) };
    // The rates of all points may differ more than those on serve and on return, or the other way round.
    let elsewhere = compared.is_some_and(|c| {
        let all = said.tally.rate.zip(said.others.rate).map_or(0.0, |(a, b)| a.rate - b.rate);
        let told = matches!(verdict, Verdict::Difference { .. } | Verdict::PerhapsChance { .. });
        told && !c.interval.holds(all)
    });
    let apart = if elsewhere { " when points on serve and on return are compared apart" } else { "" };
    let claims = !matches!(verdict, Verdict::TooFew { .. } | Verdict::NoDifference { .. });
    let missed = if claims && compared.is_some_and(|c| explains(cautions, c.difference)) {
        "; the shots that missed could explain all of it"
    } else {
        ""
    };
    format!("{numbers}; {verdict}{apart}{missed}")
}

/// Whether the shots that missed without a known aim could make a difference by themselves.
fn explains(cautions: &[Caution], difference: f64) -> bool {
    cautions.iter().any(|c| c.could_make(difference))
}

/// The answer in sentences, and what to keep in mind beside it.
pub(super) fn headline(f: &Findings, mix: bool, speaker: &Speaker) -> (Vec<String>, Vec<Caution>) {
    let rows = || f.sections.iter().flat_map(|s| &s.rows);
    let found = |r: &&Row| matches!(r.verdict, Verdict::Difference { .. } | Verdict::Lopsided { .. });
    let mut told: Vec<&Row> = single(f).filter(found).collect();
    // Solid ones first: not small, and not only of shots that landed.
    let rank = |r: &Row| {
        let small = matches!(r.verdict, Verdict::Lopsided { .. });
        (small, r.comparison.is_some_and(|c| explains(&r.cautions, c.difference)))
    };
    told.sort_by(|a, b| rank(a).cmp(&rank(b)).then(size(b).total_cmp(&size(a))));
    told.truncate(TOLD);
    let mut said: Vec<String> = mix::answer(&f.mixes, &speaker.server()).into_iter().collect();
    said.extend(f.mixes.iter().map(|m| m.says.clone()));
    said.extend(told.iter().map(|r| r.says.clone()));
    if said.is_empty() {
        said.push(nothing(f, speaker));
    }
    if mix && f.mixes.is_empty() {
        said.push("choose one player to see how mixed the serves are".into());
    }
    said.extend(f.sections.iter().filter_map(|s| s.rows.iter().find_map(reversal)));
    let cautions = match told.first() {
        Some(row) => row.cautions.clone(),
        None => gravest(rows()),
    };
    (said, cautions)
}

/// The rows; of two that are each other's others only the first.
fn single(f: &Findings) -> impl Iterator<Item = &Row> {
    let twin = |s: &Section, n: usize| s.rows[..n].iter().any(|r| r.tally.points == s.rows[n].others.points);
    let kept = move |s: &'_ Section, n: usize| !twin(s, n);
    f.sections
        .iter()
        .flat_map(move |s| s.rows.iter().enumerate().filter(move |(n, _)| kept(s, *n)).map(|(_, r)| r))
}

fn size(r: &Row) -> f64 {
    r.comparison.map_or(0.0, |c| c.difference.abs())
}

/// The reversal of a row that is worth a sentence. One per table is enough, because two rows can have the same reversal, seen from
/// either side. If not all groups agree and no difference is claimed, it is shown only at its row.
fn reversal(r: &Row) -> Option<String> {
    use Verdict::{Difference, Explained, PerhapsChance};
    let claims = matches!(r.verdict, Difference { .. } | Explained { .. } | PerhapsChance { .. })
        || r.strata.iter().any(|s| s.compared.reversal == Reversal::Vanishes);
    let worth = |s: &&Strata| claims || s.compared.reversal == Reversal::Everywhere && is_broad(s);
    r.strata.iter().filter(worth).find_map(|s| s.says.clone())
}

/// Whether at least two groups have enough points on both sides. A few points can reverse by chance.
fn is_broad(strata: &Strata) -> bool {
    let enough = |t: &Tally| t.won.len() + t.lost.len() >= FEW;
    strata.groups.iter().filter(|g| enough(&g.this) && enough(&g.that)).count() >= 2
}

/// The answer if no row differs from its other points: why, and the numbers of the row that comes nearest to a difference.
fn nothing(f: &Findings, speaker: &Speaker) -> String {
    let rows = || single(f);
    if f.points.is_empty() {
        return "no points match the filter".into();
    }
    let of = |kind: fn(&Verdict) -> bool| rows().filter(move |r| kind(&r.verdict));
    let chance = || of(|v| matches!(v, Verdict::PerhapsChance { .. }));
    let seen = || of(|v| matches!(v, Verdict::NoDifference { .. }));
    let few = || of(|v| matches!(v, Verdict::TooFew { .. }));
    let largest = |a: &&Row, b: &&Row| size(a).total_cmp(&size(b));
    let whom = speaker.whom(f.points.len());
    let (chances, none, little) = (chance().count(), seen().count(), few().count());
    let most = |r: Option<&Row>| r.map_or_else(String::new, |r| format!(". The largest: {}", r.numbers));
    match (chances, none) {
        (1.., _) => {
            let differ = Counted(chances, Noun::Difference);
            let questions = rows().flat_map(|r| &r.cautions).find_map(Caution::questions);
            let questions = Counted(questions.unwrap_or(chances + none + little), Noun::Comparison);
            format!(
                "nothing stands out {whom}: {differ} among {questions} may be chance{}",
                most(chance().max_by(largest))
            )
        }
        (0, 1..) => {
            let few = if little == 0 { String::new() } else { format!(", and {little} had too few points") };
            let none = Counted(none, Noun::Comparison);
            format!(
                "nothing stands out {whom}: {none} found no difference{few}{}",
                most(seen().max_by(largest))
            )
        }
        // The row that fewest more points would tell something of.
        (0, 0) => few()
            .min_by_key(|r| more_points(r))
            .map_or_else(|| format!("nothing to compare {whom}"), |r| wanting(r, &whom)),
    }
}

/// How many more points would tell something of this row.
fn wanting(r: &Row, whom: &str) -> String {
    let more = Counted(about(more_points(r).max(1)), Noun::MorePoint);
    format!(
        "nothing stands out {whom}: there are too few points. About {more} would show a difference of 20 \
         percentage points, if there is one. So far: {}",
        r.numbers
    )
}

/// How many more points it would take, of this row and its others together.
fn more_points(r: &Row) -> usize {
    let Verdict::TooFew { points, needed } = r.verdict else { return usize::MAX };
    let all = r.comparison.map_or(points, |c| c.this.n() + c.that.n());
    (needed.saturating_sub(points) * all).div_ceil(points.max(1))
}

/// How grave a caution is, among those of its kind.
fn weight(c: &Caution) -> f64 {
    match *c {
        Caution::SmallSample { points, .. } => -(points as f64),
        Caution::LandedOnly { high, low, .. } => high.max(low),
        Caution::ScoreEffect { apart } | Caution::OpponentEffect { apart, .. } => apart.unwrap_or(1.0),
        Caution::ManyQuestions { .. } | Caution::Selection { .. } => 0.0,
    }
}

/// The gravest caution of each kind, in the order in which they are printed.
fn gravest<'r>(rows: impl Iterator<Item = &'r Row>) -> Vec<Caution> {
    let mut all: Vec<Caution> = Vec::new();
    // A row that is compared with nothing has nothing to be careful about.
    for caution in rows.filter(|r| r.comparison.is_some()).flat_map(|r| &r.cautions) {
        let same = all.iter_mut().find(|c| std::mem::discriminant(*c) == std::mem::discriminant(caution));
        match (same, caution) {
            (None, _) => all.push(*caution),
            (Some(was), now) if weight(now) > weight(was) => *was = *now,
            _ => {}
        }
    }
    all.sort_by_key(|c| match c {
        Caution::SmallSample { .. } => 0,
        Caution::ManyQuestions { .. } => 1,
        Caution::LandedOnly { .. } => 2,
        Caution::Selection { .. } => 3,
        Caution::ScoreEffect { .. } => 4,
        Caution::OpponentEffect { .. } => 5,
    });
    all
}

/// Rows of a tier beyond this number are only counted.
const NAMED: usize = 4;

impl Section {
    /// The order of its rows, as far as it is known; `None` if fewer than two rows have a rate.
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
