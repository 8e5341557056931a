//! Findings in sentences.

use std::cmp::Ordering;

use super::by::By;
use super::counts::Counts;
use super::facets::Facets;
use super::findings::{Findings, Row, Section, Strata};
use super::lead::row_of;
use super::mix;
use super::noted::Noted;
use super::phrase::{Said, Speaker};
use super::question::Question;
use super::question::{Ask, Part};
use crate::counted::{Counted, Noun};
use crate::evidence::{Caution, Comparison, FEW, Reversal, Verdict};
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
    let Some(numbers) = said.numbers(speaker) else {
        return match (said.tally.points.is_empty(), said.counts) {
            (true, _) => format!("no points are known {}", said.points()),
            (false, Counts::Won) => format!("who won is not known of the points {}", said.points()),
            (false, _) => format!("the ending is not known of the points {}", said.points()),
        };
    };
    // The rates of all points may differ more than those on serve and on return, or the other way round.
    let elsewhere = compared.is_some_and(|c| {
        let all = said.tally.rate.zip(said.others.rate).map_or(0.0, |(a, b)| a.rate - b.rate);
        let told = matches!(
            verdict,
            Verdict::Difference { .. } | Verdict::PerhapsChance { .. } | Verdict::NoDifference { .. }
        );
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

/// The answer in sentences, and what to keep in mind beside it. `lead` has the lines that answer the question itself.
pub(super) fn headline(
    f: &Findings,
    question: &Question,
    speaker: &Speaker,
    lead: Vec<String>,
) -> (Vec<String>, Vec<Noted>) {
    let first = question.lead.and_then(|l| row_of(l, f)).filter(|_| !lead.is_empty());
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
    said.extend(lead);
    said.extend(f.mixes.iter().map(|m| m.says.clone()));
    let is_first = |r: &Row| first.is_some_and(|f| std::ptr::eq(f, r));
    said.extend(told.iter().filter(|r| !is_first(r)).map(|r| r.says.clone()));
    if said.is_empty() {
        said.push(nothing(f, speaker));
    }
    if question.mix && f.mixes.is_empty() {
        said.push(if speaker.is_one() {
            "the direction of no serve is noted, so it cannot be said how mixed the serves are".into()
        } else {
            "choose one player to see how mixed the serves are".into()
        });
    }
    said.extend(f.sections.iter().filter_map(|s| s.rows.iter().find_map(reversal)));
    let nearest =
        || single(f).filter(|r| matches!(r.verdict, Verdict::TooFew { .. })).min_by(|a, b| nearer(a, b));
    let cautions = match (first, told.first()) {
        (None, Some(row)) => row.cautions.iter().map(|c| noted(f, row, *c)).collect(),
        (first, _) => gravest(f, first.or_else(nearest)),
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
    let largest_of = |a: &&Row, b: &&Row| size(a).total_cmp(&size(b));
    let whom = speaker.whom(f.points.len());
    let (chances, none, little) = (chance().count(), seen().count(), few().count());
    let most = |r: Option<&Row>| {
        r.map_or_else(String::new, |r| format!(". The largest difference of those: {}", r.numbers))
    };
    match (chances, none) {
        (1.., _) => {
            let asked = rows().flat_map(|r| &r.cautions).find_map(Caution::questions);
            let asked = Counted(asked.unwrap_or(chances + none + little), Noun::Comparison);
            let one = chances == 1;
            let pass = if one { "1 passes".to_owned() } else { format!("{chances} pass") };
            let largest = if one { "That one" } else { "The largest of them" };
            let numbers = chance().max_by(largest_of).map_or("", |r| &r.numbers);
            format!(
                "nothing stands out {whom}: of {asked} {pass} the test alone, which may be chance. {largest}: {numbers}"
            )
        }
        (0, 1..) => {
            let few = if little == 0 { String::new() } else { format!(", and {little} had too few points") };
            let none = Counted(none, Noun::Comparison);
            format!(
                "nothing stands out {whom}: {none} found no difference{few}{}",
                most(seen().max_by(largest_of))
            )
        }
        (0, 0) => few()
            .filter(|r| r.comparison.is_some())
            .min_by(|a, b| nearer(a, b))
            .map_or_else(|| format!("nothing to compare {whom}: {}", without(f)), |r| too_few(r, speaker)),
    }
}

/// Why no row can be compared.
fn without(f: &Findings) -> &'static str {
    if f.sections.iter().flat_map(|s| &s.rows).all(|r| r.tally.points.is_empty()) {
        "the record says nothing about what is asked"
    } else {
        "no row has other points to compare it with"
    }
}

/// The row that is nearest to a difference, and how many more points would tell.
fn too_few(r: &Row, speaker: &Speaker) -> String {
    format!("cannot tell yet: too few points. Nearest to a difference: {}{}", r.numbers, speaker.wanting(r))
}

/// So many points on each side are worth naming, if others have more than one or two.
const ENOUGH: usize = 5;

/// Rows in the order of how rarely chance alone makes their difference; those of a few points, of which nothing follows, last.
fn nearer(a: &Row, b: &Row) -> Ordering {
    let tiny = |r: &Row| matches!(r.verdict, Verdict::TooFew { points, .. } if points < ENOUGH);
    let p = |r: &Row| r.comparison.map_or(f64::INFINITY, |c| c.p);
    tiny(a).cmp(&tiny(b)).then(p(a).total_cmp(&p(b))).then(size(b).total_cmp(&size(a)))
}

/// How grave a caution is, among those of its kind.
fn weight(c: &Caution) -> f64 {
    match *c {
        Caution::SmallSample { points, .. } => -(points as f64),
        Caution::LandedOnly { high, low, .. } => high.max(low),
        Caution::ScoreEffect { apart } | Caution::OpponentEffect { apart, .. } => apart.unwrap_or(1.0),
        Caution::ManyQuestions { .. } | Caution::Selection { .. } | Caution::Serving { .. } => 0.0,
    }
}

/// A caution with its row, and with the row's table where another has a row of that name.
fn noted(f: &Findings, row: &Row, caution: Caution) -> Noted {
    let title = row.title();
    let alike = f.sections.iter().flat_map(|s| &s.rows).filter(|r| r.title() == title).count();
    let own = f.sections.iter().find(|s| s.rows.iter().any(|r| std::ptr::eq(r, row)));
    let row = own.filter(|_| alike > 1).map_or_else(|| title.clone(), |s| format!("{}: {title}", s.by));
    Noted { caution, row }
}

/// The gravest caution of each kind, in the order in which they are printed. Too few points are told of the row that the first
/// line is about, so that both say the same.
fn gravest(f: &Findings, first: Option<&Row>) -> Vec<Noted> {
    let rows = || f.sections.iter().flat_map(|s| &s.rows);
    // Where all rows have too few points, nothing looks like a difference that many comparisons could have made.
    let says =
        |r: &Row| !matches!(r.verdict, Verdict::TooFew { .. } | Verdict::Nothing | Verdict::ByDefinition);
    let any = rows().any(says);
    let mut all: Vec<Noted> = Vec::new();
    // A row that is compared with nothing has nothing to be careful about.
    for row in first.into_iter().chain(rows()).filter(|r| r.comparison.is_some()) {
        for caution in &row.cautions {
            match caution {
                Caution::ManyQuestions { .. } if !any => continue,
                Caution::SmallSample { .. } if first.is_some_and(|f| !std::ptr::eq(f, row)) => continue,
                _ => {}
            }
            let kind = std::mem::discriminant(caution);
            match all.iter_mut().find(|n| std::mem::discriminant(&n.caution) == kind) {
                None => all.push(noted(f, row, *caution)),
                Some(was) if weight(caution) > weight(&was.caution) => *was = noted(f, row, *caution),
                Some(_) => {}
            }
        }
    }
    all.sort_by_key(|n| n.caution.place());
    all
}

/// Rows of a tier beyond this number are only counted.
const NAMED: usize = 4;

impl Section {
    /// The order of its rows, as far as it is known; `None` if fewer than two rows have points, or they are not of one kind.
    pub fn order(&self) -> Option<String> {
        let rows = || self.rows.iter().filter(|r| r.tally.rate.is_some());
        let one_kind = rows().all(|r| r.won_by == self.rows[0].won_by) && self.by != By::BreakPoint.words();
        if rows().count() < 2 || !one_kind {
            return None;
        }
        if self.tiers.tiers.iter().map(Vec::len).sum::<usize>() < 2 {
            return Some("the rows cannot be ranked: too few points".into());
        }
        if !self.tiers.has_order() {
            return Some("the rows cannot be ranked: their ranges overlap".into());
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
        Some(format!("ranked, as far as the ranges allow: {}", tiers.join("  >  ")))
    }
}
