//! Comparing each row with the other points, and looking whether the comparison holds within groups.

use std::collections::BTreeMap;

use super::by::By;
use super::by::place;
use super::counts::Counts;
use super::draft::{Draft, Drafts};
use super::facets::standing;
use super::findings::{Group, Row, Section, Strata};
use super::pool::Pool;
use super::say;
use crate::evidence::{
    Circumstances, Comparison, FEW, Mixing, Prior, Proportion, Reversal, Verdict, cautions, compare,
    false_discovery, stratified, tiers,
};
use crate::facts::PointRef;
use crate::record::printable;
use crate::summary::Tally;
use crate::tennis::Side;

/// A small row is pulled toward the rate of all its points as if so many of them had been seen before (our choice).
const WEIGHT: f64 = 20.0;

/// What comparisons look up about a point.
pub(super) struct Judge<'p> {
    pool: &'p Pool,
    /// The side asked about in each match.
    asked: Vec<Option<Side>>,
    /// A number for each opponent, match by match; none when both players are asked about.
    opponents: Option<Vec<usize>>,
}

/// What is asked of every row of a table.
#[derive(Clone, Copy)]
struct Asking {
    by: Option<By>,
    counts: Counts,
    questions: usize,
}

impl<'p> Judge<'p> {
    pub(super) fn new(pool: &'p Pool, asked: Vec<Option<Side>>) -> Self {
        let opponents = asked.iter().any(Option::is_some).then(|| {
            let mut names = BTreeMap::new();
            (pool.matches.iter().zip(&asked))
                .map(|(m, side)| {
                    let other = side.map(|s| m.record.about.side_name(s.other()).to_lowercase());
                    let next = names.len();
                    *names.entry(other).or_insert(next)
                })
                .collect()
        });
        Self { pool, asked, opponents }
    }

    /// Compares all rows of an answer as so many questions asked at once.
    pub(super) fn sections(&self, drafts: Vec<Drafts>) -> Vec<Section> {
        let compared: Vec<Vec<Option<Comparison>>> = drafts
            .iter()
            .map(|d| d.rows.iter().map(|r| compare(of(&r.tally), of(&r.others))).collect())
            .collect();
        // Of two rows that are each other's others, one question is asked, not two.
        let twins = |d: &Drafts, n: usize| d.by.is_some() && d.rows.len() == 2 && n == 1;
        let mut asked = Vec::new();
        for (d, all) in drafts.iter().zip(&compared) {
            asked.extend(
                all.iter()
                    .enumerate()
                    .filter(|(n, _)| !twins(d, *n))
                    .filter_map(|(_, c)| c.as_ref())
                    .map(|c| c.p),
            );
        }
        let mut rates = false_discovery(&asked).into_iter();
        (drafts.into_iter().zip(compared))
            .map(|(d, compared)| {
                let mut last = None;
                let kept = (compared.into_iter().enumerate())
                    .map(|(n, c)| {
                        if c.is_some() && !twins(&d, n) {
                            last = rates.next();
                        }
                        c.map(|c| (c, last.unwrap_or(1.0)))
                    })
                    .collect();
                self.section(d, kept, asked.len())
            })
            .collect()
    }

    fn section(&self, d: Drafts, compared: Vec<Option<(Comparison, f64)>>, questions: usize) -> Section {
        let asking = Asking { by: d.by, counts: d.counts, questions };
        let rows: Vec<Row> =
            d.rows.into_iter().zip(compared).map(|(draft, c)| self.row(draft, c, asking)).collect();
        // Of few points no order is said, even where intervals part.
        let enough = |p: Proportion| if p.n() < FEW { Proportion::default() } else { p };
        let rates: Vec<Proportion> = rows.iter().map(|r| enough(of(&r.tally))).collect();
        Section {
            by: d.by.map_or("pattern", By::words).into(),
            counts: d.counts,
            tiers: tiers(&rates),
            rows,
            cannot_tell: d.cannot_tell,
            lacking: d.by.map_or("", By::lacking).into(),
            outside: d.outside,
            outside_means: d.by.map_or("", By::outside_words).into(),
            estimated: d.estimated,
        }
    }

    fn row(&self, draft: Draft, compared: Option<(Comparison, f64)>, asking: Asking) -> Row {
        let Draft { name, about, tally, others, cannot_tell, unplaced } = draft;
        let (this, that) = (of(&tally), of(&others));
        let verdict =
            compared.as_ref().map_or(Verdict::Nothing, |(c, q)| Verdict::of(c, *q, asking.questions));
        let all = Proportion { won: this.won + that.won, lost: this.lost + that.lost, unknown: 0 };
        let cautions = cautions(&Circumstances {
            this: Proportion { unknown: this.unknown + cannot_tell.len() + unplaced.len(), ..this },
            that,
            questions: asking.questions,
            chosen: asking.by.is_none_or(By::chosen),
            score: self.scores(&tally, &others, asking.by),
            opponent: self.opponents(&tally, &others),
        });
        Row {
            says: say::row(&name, asking.by, &tally, &others, asking.counts, &verdict),
            strata: if compared.is_some() { self.strata(&name, &tally, &others, asking) } else { Vec::new() },
            comparison: compared.map(|(c, _)| c),
            discovery: compared.map(|(_, q)| q),
            shrunk: Prior::own(all, WEIGHT).filter(|_| this.n() > 0).map(|p| p.after(this)),
            verdict,
            cautions,
            name,
            about,
            tally,
            others,
            cannot_tell,
            unplaced,
        }
    }

    /// How both are spread over the scores; where the score is what is asked about, it is no reason besides.
    fn scores(&self, this: &Tally, that: &Tally, by: Option<By>) -> Mixing {
        if matches!(by, Some(By::Standing | By::Important | By::BreakPoint | By::TieBreak | By::Set)) {
            return Mixing::Seen(vec![[1, 1]]);
        }
        let mut groups = vec![[0, 0]; 3];
        for (side, tally) in [this, that].into_iter().enumerate() {
            for at in &tally.points {
                let b = &self.pool.matches[at.record].briefs[at.point];
                if let Some(s) = standing(b.standing, b.server, self.asked[at.record]) {
                    groups[place(s)][side] += 1;
                }
            }
        }
        Mixing::Seen(groups)
    }

    fn opponents(&self, this: &Tally, that: &Tally) -> Mixing {
        let Some(opponents) = &self.opponents else { return Mixing::Unseen };
        let mut groups = vec![[0, 0]; opponents.len()];
        for (side, tally) in [this, that].into_iter().enumerate() {
            for at in &tally.points {
                groups[opponents[at.record]][side] += 1;
            }
        }
        Mixing::Seen(groups)
    }

    fn strata(&self, name: &str, this: &Tally, that: &Tally, asking: Asking) -> Vec<Strata> {
        // The words of a reversal are of winning.
        if asking.counts != Counts::Won {
            return Vec::new();
        }
        let matches = &self.pool.matches;
        let serve = |at: PointRef| matches[at.record].briefs[at.point].serve.map(|n| usize::from(n == 2));
        let serves = ["first serve", "second serve"];
        let teams = |n: usize| {
            let side = |s| printable(&matches[n].record.about.side_name(s), 60);
            format!("match {}, {} – {}", n + 1, side(Side::A), side(Side::B))
        };
        let by_serve = Cut { by: "kind of serve", groups: 2, of: &serve, name: &|n| serves[n].into() };
        let by_match = Cut { by: "match", groups: matches.len(), of: &|at| Some(at.record), name: &teams };
        [by_serve, by_match].iter().filter_map(|cut| cut.strata(name, this, that)).collect()
    }
}

/// A way to put points into groups.
struct Cut<'c> {
    by: &'static str,
    groups: usize,
    of: &'c dyn Fn(PointRef) -> Option<usize>,
    name: &'c dyn Fn(usize) -> String,
}

impl Cut<'_> {
    /// The comparison within the groups; none where fewer than two of them can say anything.
    fn strata(&self, name: &str, this: &Tally, that: &Tally) -> Option<Strata> {
        let mut counts = vec![(Proportion::default(), Proportion::default()); self.groups];
        let mut count = |list: &[PointRef], add: fn(&mut (Proportion, Proportion))| {
            for n in list.iter().filter_map(|at| (self.of)(*at)) {
                counts.get_mut(n).into_iter().for_each(add);
            }
        };
        count(&this.won, |c| c.0.won += 1);
        count(&this.lost, |c| c.0.lost += 1);
        count(&that.won, |c| c.1.won += 1);
        count(&that.lost, |c| c.1.lost += 1);
        if counts.iter().filter(|(a, b)| a.n() > 0 && b.n() > 0).count() < 2 {
            return None;
        }
        let compared = stratified(&counts);
        let percent = |p: Proportion| p.rate().map(|r| (100.0 * r).round());
        // Rates that print alike are no reversal worth a word.
        let seen = compared.reversal != Reversal::No && percent(compared.this) != percent(compared.that);
        let says = if seen { compared.reversal_words(name, "the rest", self.by) } else { None };
        let (mut groups, mut cannot_tell) = (Vec::new(), Vec::new());
        if seen {
            let parts = [self.parts(this, &mut cannot_tell), self.parts(that, &mut cannot_tell)];
            let [these, those] = parts;
            groups = (these.into_iter().zip(those).enumerate())
                .filter(|(_, (a, b))| !a.points.is_empty() || !b.points.is_empty())
                .map(|(n, (this, that))| Group { name: (self.name)(n), this, that })
                .collect();
        }
        Some(Strata { by: self.by.into(), compared, says, groups, cannot_tell })
    }

    /// The points of a tally, group by group.
    fn parts(&self, tally: &Tally, cannot_tell: &mut Vec<PointRef>) -> Vec<Tally> {
        use crate::pattern::Answer::{No, Unknown, Yes};
        let mut parts = vec![Tally::default(); self.groups];
        for (list, won) in [(&tally.won, Yes), (&tally.lost, No), (&tally.unknown, Unknown)] {
            for at in list {
                match (self.of)(*at).and_then(|n| parts.get_mut(n)) {
                    Some(part) => part.add(*at, won),
                    None => cannot_tell.push(*at),
                }
            }
        }
        for part in &mut parts {
            part.points.sort();
            part.close();
        }
        parts
    }
}

/// The numbers of a tally.
pub(super) fn of(tally: &Tally) -> Proportion {
    Proportion { won: tally.won.len(), lost: tally.lost.len(), unknown: tally.unknown.len() }
}
