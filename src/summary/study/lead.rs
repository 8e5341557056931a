//! The first line of a question: it answers that question, even if something else stands out more.

use super::by::By;
use super::findings::{Findings, Row};
use super::phrase::{Speaker, share};
use super::pool::Pool;
use super::question::{Lead, Part, Question};
use crate::counted::{Counted, Noun};
use crate::evidence::{Caution, Proportion, Verdict};
use crate::facts::{PointFacts, PointRef};
use crate::record::{Finish, printable};
use crate::summary::Tally;
use crate::tennis::Side;

/// How points are won, and how they are lost, in the order of [`Leader::ways`].
const WON_BY: [&str; 6] = [
    "winners",
    "aces",
    "opponent's forced errors",
    "opponent's unforced errors",
    "opponent's double faults",
    "opponent's point penalties",
];
const LOST_BY: [&str; 6] = [
    "opponent's winners",
    "opponent's aces",
    "own forced errors",
    "own unforced errors",
    "own double faults",
    "own point penalties",
];

/// Looks up what the first line needs beside the tables.
pub(super) struct Leader<'a> {
    pub(super) pool: &'a Pool,
    /// The side asked about in each match.
    pub(super) asked: &'a [Option<Side>],
    pub(super) speaker: &'a Speaker,
}

/// The row that the first line is about.
pub(super) fn row_of(lead: Lead, f: &Findings) -> Option<&Row> {
    let (table, row) = match lead {
        Lead::Row(table, row) | Lead::Endings(table, row) => (table, row),
        Lead::Errors(table, _) => (table, 0),
    };
    f.sections.get(table)?.rows.get(row)
}

impl Leader<'_> {
    /// The first lines; empty if the question has no line of its own, or no points.
    pub(super) fn lines(&self, f: &Findings, question: &Question) -> Vec<String> {
        let Some(row) = question.lead.and_then(|l| row_of(l, f)).filter(|_| !f.points.is_empty()) else {
            return Vec::new();
        };
        match question.lead {
            Some(Lead::Errors(errors, unforced)) => self.errors(f, errors, unforced),
            Some(Lead::Endings(table, _)) => {
                let section = f.sections.get(table);
                let rows = section.into_iter().flat_map(|s| &s.rows);
                let endings = rows.filter(|r| !r.tally.points.is_empty()).map(|r| self.endings(r));
                let none = section.and_then(|s| self.without_rally(&s.outside));
                self.beside(row).into_iter().chain(endings).chain(none).collect()
            }
            _ => self.beside(row),
        }
    }

    /// A row beside the others, and both on serve and on return apart.
    fn beside(&self, row: &Row) -> Vec<String> {
        let first = match row.verdict {
            _ if row.numbers.is_empty() => format!("cannot tell yet: {}", row.says),
            Verdict::TooFew { .. } => self.too_few(&row.numbers, row),
            _ => row.says.clone(),
        };
        std::iter::once(first).chain(self.apart(row)).collect()
    }

    /// Numbers that say too little, and how many more points it takes.
    fn too_few(&self, numbers: &str, row: &Row) -> String {
        format!("cannot tell yet: {numbers}; too few points{}", self.speaker.wanting(row))
    }

    /// What was won on serve and on return, if the player did both.
    fn apart(&self, row: &Row) -> Option<String> {
        let [this, that] = [&row.tally, &row.others].map(|t| self.roles(&t.points));
        let told = |n: usize, role: &str| {
            let (this, that) = (this[n], that[n]);
            let others = || format!("{} of the {} others", that.won, that.n());
            match (this.n(), that.n()) {
                (0, _) => format!("{role}, {} were won", others()),
                (_, 0) => format!("{role}, {} of {} were won", this.won, this.n()),
                _ => format!("{role}, {} of {} were won, and {}", this.won, this.n(), others()),
            }
        };
        let both = (0..2).all(|n| this[n].n() + that[n].n() > 0) && !row.numbers.is_empty();
        both.then(|| format!("{}; {}", told(0, "on serve"), told(1, "on return")))
    }

    /// Points of the player asked about: on serve, on return. Empty if both players are asked about.
    fn roles(&self, points: &[PointRef]) -> [Proportion; 2] {
        let mut roles = [Proportion::default(); 2];
        for at in points {
            let Some(b) = self.pool.matches[at.record].brief(at.point) else { continue };
            let Some((side, server)) = self.asked[at.record].zip(b.server) else { continue };
            let role = &mut roles[usize::from(side != server)];
            match b.winner {
                Some(winner) if winner == side => role.won += 1,
                Some(_) => role.lost += 1,
                None => role.unknown += 1,
            }
        }
        roles
    }

    /// That serving and returning are won unequally, where a question is about both.
    pub(super) fn serving(&self, f: &Findings, part: Part) -> Option<Caution> {
        let [on_serve, on_return] = self.roles(&f.points);
        let matter = part == Part::Player && on_serve.n() > 0 && on_return.n() > 0;
        matter.then_some(Caution::Serving { on_serve, on_return })
    }

    /// How many errors each side made, how many of them were unforced, and which share of the last shots they were.
    fn errors(&self, f: &Findings, errors: usize, unforced: usize) -> Vec<String> {
        let rows = |n: usize| f.sections.get(n).map_or(&[][..], |s| &s.rows[..]);
        let both = || rows(errors).iter().zip(rows(unforced));
        let made: Vec<String> = both()
            .map(|(all, forced_not)| {
                let (n, unforced) = (all.tally.won.len(), forced_not.tally.won.len());
                format!(
                    "{} with the {} ({unforced} unforced)",
                    Counted(n, Noun::Error),
                    printable(&all.name, 60)
                )
            })
            .collect();
        let told: Vec<String> = both()
            .filter_map(|(all, _)| {
                let (rate, name) = (all.tally.rate?, printable(&all.name, 60));
                Some(format!("{} of {} {name}s{}", rate.won, rate.of, share(rate)))
            })
            .collect();
        let Some(row) = rows(errors).first().filter(|_| !told.is_empty()) else {
            return vec!["cannot tell yet: no last shot is known to be a forehand or a backhand".into()];
        };
        let made = format!("{} made {}", self.speaker.last_striker(), made.join(" and "));
        let of = format!("Of the last shots, {} were errors", told.join(" and "));
        let first = match row.verdict {
            Verdict::TooFew { .. } => {
                format!("{made}. {of}: too few to say which side makes more{}", self.speaker.wanting(row))
            }
            verdict => {
                format!("{made}. {of}; the {} compared with the other: {verdict}", printable(&row.name, 60))
            }
        };
        vec![first, "these are shares of the last shots, not of all forehands and backhands struck".into()]
    }

    /// How the points of a row ended: the parts of the won and of the lost ones add up.
    fn endings(&self, row: &Row) -> String {
        let Tally { won, lost, .. } = &row.tally;
        format!("{}: {}", By::Rally.phrase(&printable(&row.name, 60)), self.won_and_lost(won, lost))
    }

    /// Double faults and point penalties are in no row, because no rally was played: with them the ends of all points add up.
    fn without_rally(&self, points: &[PointRef]) -> Option<String> {
        let is_won = |at: &PointRef| {
            let b = self.pool.matches[at.record].brief(at.point)?;
            Some(b.winner? == self.asked[at.record].or(b.server)?)
        };
        let all = |won| points.iter().copied().filter(|at| is_won(at) == Some(won)).collect::<Vec<_>>();
        (!points.is_empty())
            .then(|| format!("without a rally: {}", self.won_and_lost(&all(true), &all(false))))
    }

    fn won_and_lost(&self, won: &[PointRef], lost: &[PointRef]) -> String {
        let won = self.ways(won, &WON_BY);
        let lost = self.ways(lost, &LOST_BY);
        format!("won {won}; lost {lost}")
    }

    fn ways(&self, points: &[PointRef], words: &[&str; 6]) -> String {
        let mut ways = [0; 7];
        for at in points {
            let fact = self.pool.matches[at.record].fact(at.point);
            let (finish, penalty) = fact.map_or((None, None), |f: &PointFacts| (f.finish, f.penalty));
            ways[match finish {
                Some(Finish::Winner) => 0,
                Some(Finish::Ace) => 1,
                Some(Finish::ForcedError) => 2,
                Some(Finish::UnforcedError) => 3,
                Some(Finish::DoubleFault) => 4,
                None if penalty.is_some() => 5,
                None => 6,
            }] += 1;
        }
        let words = words.iter().copied().chain(["not noted"]).zip(ways);
        let told: Vec<String> =
            words.filter(|(_, n)| *n > 0).map(|(word, n)| format!("{word} {n}")).collect();
        if told.is_empty() { "0".into() } else { format!("{} ({})", points.len(), told.join(", ")) }
    }
}
