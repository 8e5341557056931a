//! Compares each row with the other points, and checks whether the comparison holds within groups.

use std::collections::BTreeMap;

use super::by::By;
use super::by::place;
use super::counts::Counts;
use super::draft::{Draft, Drafts};
use super::facets::standing;
use super::findings::{Row, Section, Strata};
use super::groups::{Groups, ROLES, of};
use super::phrase::{Reach, Said, Speaker};
use super::pool::Pool;
use super::question::Part;
use super::say;
use crate::evidence::{
    Caution, Circumstances, Comparison, FEW, Mixing, Posterior, Prior, Proportion, Verdict, cautions,
    false_discovery, tiers,
};
use crate::summary::Tally;
use crate::tennis::Side;

/// A small row is pulled toward the rate of all its points as if this many of them had been seen before (our choice).
const WEIGHT: f64 = 20.0;

/// What comparisons look up about a point.
pub(super) struct Judge<'p> {
    pool: &'p Pool,
    /// The side asked about in each match.
    asked: Vec<Option<Side>>,
    /// A number for each opponent, match by match; `None` if the question is about both players.
    opponents: Option<Vec<usize>>,
    groups: Groups<'p>,
    speaker: &'p Speaker,
}

/// What is asked of every row of a table.
#[derive(Clone, Copy)]
struct Asking {
    by: Option<By>,
    counts: Counts,
    questions: usize,
}

impl<'p> Judge<'p> {
    pub(super) fn new(pool: &'p Pool, asked: Vec<Option<Side>>, part: Part, speaker: &'p Speaker) -> Self {
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
        let groups = Groups::new(pool, asked.clone(), part);
        Self { pool, asked, opponents, groups, speaker }
    }

    /// Compares all rows of an answer, as that many questions asked at once.
    pub(super) fn sections(&self, drafts: Vec<Drafts>) -> Vec<Section> {
        let compared: Vec<Vec<Option<Comparison>>> = drafts
            .iter()
            .map(|d| d.rows.iter().map(|r| self.compared(r, d.counts, d.by)).collect())
            .collect();
        // Two rows that are each other's other points are one question, not two.
        let twins = |d: &Drafts, n: usize| {
            n > 0 && d.by.is_some() && d.rows[n - 1].tally.points == d.rows[n].others.points
        };
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

    /// A row that is won or lost by definition is not compared: the comparison would tell nothing, and one more question would make
    /// the other findings weaker.
    fn compared(&self, row: &Draft, counts: Counts, by: Option<By>) -> Option<Comparison> {
        if row.by_definition {
            return None;
        }
        let (this, that) = (&row.tally, &row.others);
        let scores = || self.groups.compare_scores(this, that, counts);
        by.filter(|by| by.is_score())
            .and_then(|_| scores())
            .or_else(|| self.groups.compare(this, that, counts))
    }

    fn section(&self, d: Drafts, compared: Vec<Option<(Comparison, f64)>>, questions: usize) -> Section {
        let asking = Asking { by: d.by, counts: d.counts, questions };
        let reach = d.rows.first().map_or(Reach::All, Reach::of);
        let rows: Vec<Row> =
            d.rows.into_iter().zip(compared).map(|(draft, c)| self.row(draft, c, asking)).collect();
        // Rows with few points have no order, even if their intervals do not overlap; nor do rows that are won by definition.
        let enough = |r: &Row| of(&r.tally).n() >= FEW && r.verdict != Verdict::ByDefinition;
        let rate = |r: &Row| if enough(r) { of(&r.tally) } else { Proportion::default() };
        // What is won on serve and what is won on return are in no order: serving alone would make it.
        let one_part = d.by != Some(By::BreakPoint) && rows.iter().all(|r| r.won_by == rows[0].won_by);
        let rates: Vec<Proportion> = if one_part { rows.iter().map(rate).collect() } else { Vec::new() };
        Section {
            by: d.by.map_or_else(|| "pattern".into(), |by| format!("{}{}", by.words(), reach.words())),
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
        let reach = Reach::of(&draft);
        let Draft {
            name, about, won_by, tally, others, cannot_tell, unplaced, by_definition, missed, ..
        } = draft;
        let (this, that) = (of(&tally), of(&others));
        let by_match = !asking.by.is_some_and(By::is_score);
        let unknown = cannot_tell.len() + unplaced.len();
        let cautions = self.cautions([&tally, &others], unknown, missed, asking);
        let said = Said {
            name: &name,
            by: asking.by,
            won_by: &won_by,
            counts: asking.counts,
            reach,
            tally: &tally,
            others: &others,
        };
        let groups = || self.groups.strata(&said.points(), &tally, &others, asking.counts, by_match);
        let strata = compared.as_ref().map_or_else(Vec::new, |_| groups());
        let verdict = verdict(compared.as_ref(), by_definition, asking.questions, &strata);
        Row {
            says: say::row(&said, self.speaker, &verdict, compared.as_ref().map(|(c, _)| c), &cautions),
            numbers: said.numbers(self.speaker).unwrap_or_default(),
            strata,
            comparison: compared.map(|(c, _)| c),
            discovery: compared.map(|(_, q)| q),
            shrunk: shrunk(this, that),
            verdict,
            cautions,
            name,
            about,
            won_by,
            tally,
            others,
            cannot_tell,
            unplaced,
        }
    }

    fn cautions(
        &self,
        [tally, others]: [&Tally; 2],
        more: usize,
        missed: Proportion,
        asking: Asking,
    ) -> Vec<Caution> {
        let this = of(tally);
        cautions(&Circumstances {
            this: Proportion { unknown: this.unknown + more, ..this },
            missed,
            that: of(others),
            questions: asking.questions,
            chosen: asking.by.is_none_or(By::chosen),
            score: self.scores(tally, others, asking.by),
            opponent: self.opponents(tally, others),
        })
    }

    /// How both groups are spread over behind, level and ahead. Skipped if the table is about the score: the score cannot confound
    /// itself.
    fn scores(&self, this: &Tally, that: &Tally, by: Option<By>) -> Mixing {
        if by.is_some_and(By::is_score) {
            return Mixing::Seen(vec![[1, 1]]);
        }
        let mut groups = vec![[0, 0]; 3];
        for (side, tally) in [this, that].into_iter().enumerate() {
            for at in &tally.points {
                let Some(b) = self.pool.matches[at.record].brief(at.point) else { continue };
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
}

/// What can be said of a row.
fn verdict(
    compared: Option<&(Comparison, f64)>,
    by_definition: bool,
    questions: usize,
    strata: &[Strata],
) -> Verdict {
    match compared {
        Some((c, q)) => explained(Verdict::of(c, *q, questions), strata),
        None if by_definition => Verdict::ByDefinition,
        None => Verdict::Nothing,
    }
}

/// A rate pulled toward that of all its points.
fn shrunk(this: Proportion, that: Proportion) -> Option<Posterior> {
    let all = Proportion { won: this.won + that.won, lost: this.lost + that.lost, unknown: 0 };
    Prior::own(all, WEIGHT).filter(|_| this.n() > 0).map(|p| p.after(this))
}

/// A difference that the groups contradict is explained by them. Who serves was checked before.
fn explained(verdict: Verdict, strata: &[Strata]) -> Verdict {
    let against = |s: &&Strata| s.says.is_some() && s.by != ROLES.by;
    match (verdict, strata.iter().find(against)) {
        (Verdict::Difference { .. }, Some(s)) => Verdict::Explained { by: s.by },
        _ => verdict,
    }
}
