//! What a comparison says, in words that a coach would use.

use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;

use super::compare::Comparison;
use super::interval::Interval;
use super::many::ALPHA;
use super::percent::Percent;
use super::power::{about, points_needed};
use super::proportion::Proportion;

/// With fewer decided points than this a rate says too little (common practice; no source).
pub const FEW: usize = 10;

/// The difference that a coach should be able to see: 20 points in a hundred (our choice).
const WORTH_SEEING: f64 = 0.2;

/// What can be said of the difference between two rates.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "verdict", rename_all = "snake_case")]
pub enum Verdict {
    /// One of the two has no decided points.
    Nothing,
    /// Its points are won or lost by definition, at least in part, such as double faults and short rallies.
    ByDefinition,
    /// Too few points to see a difference of 20 percentage points.
    TooFew {
        /// Decided points of the smaller of the two.
        points: usize,
        /// About how many it would need, if the other side grows in proportion.
        needed: usize,
    },
    /// Fewer than ten points on one side, but unlikely to be chance, for example all lost against none lost.
    Lopsided {
        /// Decided points of the smaller of the two.
        points: usize,
    },
    /// A difference in all points that disappears or turns round within the groups.
    Explained {
        /// By what the groups are told apart.
        by: &'static str,
    },
    /// Enough points, and no difference, or only one that disappears in rounding.
    NoDifference {
        /// Where the difference may lie.
        interval: Interval,
    },
    /// A difference that can easily be chance, because so many questions are asked.
    PerhapsChance {
        /// How many were asked.
        questions: usize,
        /// The range of the difference, if this were the only question.
        interval: Interval,
    },
    /// A difference.
    Difference {
        /// Where it may lie: on one side of 0.
        interval: Interval,
    },
}

impl Verdict {
    /// The verdict on one comparison, given its false discovery rate among this many questions.
    pub fn of(comparison: &Comparison, discovery: f64, questions: usize) -> Self {
        let interval = comparison.interval;
        let points = comparison.this.n().min(comparison.that.n());
        let needed = needed(comparison.this, comparison.that);
        // The p-value and the interval may disagree near 5 %; both must agree before a difference is said.
        let seen = !interval.holds(0.0) && comparison.p <= ALPHA;
        let rates = [comparison.this.rate(), comparison.that.rate()];
        let [this, that] = rates.map(|r| r.map(Percent::of));
        // Compared apart, two rates that look the same may hide a difference: then they are not what was compared.
        let told = rates[0].zip(rates[1]).is_none_or(|(a, b)| interval.holds(a - b));
        let alike = Percent::of(comparison.difference.abs()).whole() == 0 || this == that && told;
        if points < FEW && seen && discovery <= ALPHA {
            Self::Lopsided { points }
        } else if points < FEW || (!seen && points < needed) {
            Self::TooFew { points, needed }
        } else if !seen || alike {
            Self::NoDifference { interval }
        } else if discovery > ALPHA {
            Self::PerhapsChance { questions, interval }
        } else {
            Self::Difference { interval }
        }
    }
}

/// How many decided points the smaller of the two would need to see a difference of 20 in a hundred, at the ratio
/// that they have; never fewer than [`FEW`].
///
/// With arms of ratio r the smaller needs (1 + 1/r)/2 of what an equal arm does: Fleiss, Levin & Paik, *Statistical
/// Methods for Rates and Proportions*, chapter 4 (from memory).
pub(super) fn needed(this: Proportion, that: Proportion) -> usize {
    let (small, large) = if this.n() < that.n() { (this, that) } else { (that, this) };
    // Around the rate of both sides together. The half point keeps a rate from few points away from 0 and 100 %.
    let base = ((small.won + large.won) as f64 + 0.5) / ((small.n() + large.n()) as f64 + 1.0);
    let each = points_needed(base, WORTH_SEEING).unwrap_or(0) as f64;
    let ratio = small.n() as f64 / large.n().max(1) as f64;
    ((each * (1.0 + ratio) / 2.0).ceil() as usize).max(FEW)
}

impl Verdict {
    /// In a few words, for a table; [`Display`](fmt::Display) has the rest.
    pub fn short(&self) -> String {
        match self {
            Self::Nothing => "no others".into(),
            Self::ByDefinition => "by definition".into(),
            Self::TooFew { .. } => "too few points".into(),
            Self::Lopsided { .. } => "few, but lopsided".into(),
            Self::Explained { by } => format!("explained by {by}"),
            Self::NoDifference { .. } => "no difference".into(),
            Self::PerhapsChance { .. } => "may be chance".into(),
            Self::Difference { interval } => {
                let sign = if interval.low > 0.0 { "more" } else { "less" };
                let [a, b] = [interval.low.abs(), interval.high.abs()];
                let low = if a.min(b) < 0.005 { "<1".into() } else { hundred(a.min(b)) };
                format!("{low} to {} {sign}", hundred(a.max(b)))
            }
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => f.write_str("nothing to compare it with"),
            Self::ByDefinition => {
                f.write_str("won or lost by definition, at least in part, so not a finding")
            }
            Self::TooFew { points, needed } => {
                let needed = about(*needed);
                write!(
                    f,
                    "too few points: about {needed} are needed to see a difference of 20 percentage points, you have {points}"
                )
            }
            Self::Lopsided { points: 1 } => f.write_str("a small sample, but lopsided: watch this point"),
            Self::Lopsided { points } => {
                write!(f, "a small sample, but lopsided: watch the {points} points")
            }
            Self::Explained { by } => {
                write!(f, "no difference of its own: {by} explains it")
            }
            Self::NoDifference { interval } => {
                write!(f, "no difference found: {} is possible", Range(*interval))
            }
            Self::PerhapsChance { questions, interval } => {
                write!(
                    f,
                    "may be chance: one of {questions} comparisons; on its own it would be {}",
                    Range(*interval)
                )
            }
            Self::Difference { interval } => {
                write!(f, "a difference that is unlikely to be chance: {}", Range(*interval))
            }
        }
    }
}

/// A difference as a coach would say it: in percentage points.
struct Range(Interval);

impl fmt::Display for Range {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Interval { low, high } = self.0;
        if low > 0.0 {
            write!(f, "{} to {} percentage points more", hundred(low), hundred(high))
        } else if high < 0.0 {
            write!(f, "{} to {} percentage points less", hundred(-high), hundred(-low))
        } else {
            let (low, high) = (hundred(-low), hundred(high));
            let points = if low == "1" || low == "less than 1" { "point" } else { "points" };
            write!(f, "anything from {low} percentage {points} less to {high} more")
        }
    }
}

/// In a hundred; what is not 0 is not called 0.
pub(super) fn hundred(part: f64) -> String {
    if part > 0.0 && part < 0.005 { "less than 1".into() } else { Percent::of(part).whole().to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::{compare, false_discovery, won_of};
    use proptest::prelude::*;

    /// What can be said of each pair, as that many questions asked at once.
    fn verdicts(pairs: &[(Proportion, Proportion)]) -> Vec<Verdict> {
        let compared: Vec<Option<Comparison>> =
            pairs.iter().map(|(this, that)| compare(*this, *that)).collect();
        let asked: Vec<f64> = compared.iter().flatten().map(|c| c.p).collect();
        let mut rates = false_discovery(&asked).into_iter();
        let mut say = |c: &Comparison| Verdict::of(c, rates.next().unwrap_or(1.0), asked.len());
        compared.iter().map(|c| c.as_ref().map_or(Verdict::Nothing, &mut say)).collect()
    }

    fn said(pairs: &[(Proportion, Proportion)]) -> Vec<String> {
        verdicts(pairs).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn in_a_coachs_words() {
        let alone = |this, that| said(&[(this, that)]).remove(0);
        insta::assert_snapshot!(
            [
                alone(won_of(0, 0), won_of(3, 9)),
                alone(won_of(1, 1), won_of(1, 2)),
                alone(won_of(3, 5), won_of(2, 5)),
                alone(won_of(5, 5), won_of(20, 60)),
                alone(won_of(12, 20), won_of(40, 80)),
                alone(won_of(100, 200), won_of(110, 200)),
                alone(won_of(56, 70), won_of(48, 80)),
                alone(won_of(48, 80), won_of(56, 70)),
                alone(won_of(5100, 10_000), won_of(4951, 10_000)),
            ]
            .join("\n"),
            @r"
        nothing to compare it with
        too few points: about 70 are needed to see a difference of 20 percentage points, you have 1
        too few points: about 90 are needed to see a difference of 20 percentage points, you have 5
        a small sample, but lopsided: watch the 5 points
        too few points: about 60 are needed to see a difference of 20 percentage points, you have 20
        no difference found: anything from 15 percentage points less to 5 more is possible
        a difference that is unlikely to be chance: 5 to 33 percentage points more
        a difference that is unlikely to be chance: 5 to 33 percentage points less
        a difference that is unlikely to be chance: less than 1 to 3 percentage points more
        "
        );
    }

    /// One is one, and a range that begins near 0 does not begin at 0.
    #[test]
    fn a_range_is_said_in_numbers_that_read_aloud() {
        let of = |low, high| Verdict::Difference { interval: Interval { low, high } };
        assert_eq!(of(0.001, 0.06).short(), "<1 to 6 more");
        assert_eq!(of(-0.11, -0.004).short(), "<1 to 11 less");
        assert_eq!(of(-0.11, -0.006).short(), "1 to 11 less");
        let none = |low, high| Verdict::NoDifference { interval: Interval { low, high } }.to_string();
        let said = "no difference found: anything from 1 percentage point less to 11 more is possible";
        assert_eq!(none(-0.014, 0.113), said);
        let said =
            "no difference found: anything from 2 percentage points less to less than 1 more is possible";
        assert_eq!(none(-0.02, 0.001), said);
    }

    /// "About 90": 93 points each to see 70 % against 50 % (`stats.n_per_arm_80pct` of the project's vectors).
    #[test]
    fn five_points_need_about_ninety() {
        assert_eq!(
            verdicts(&[(won_of(3, 5), won_of(2, 5))])[0].to_string(),
            "too few points: about 90 are needed to see a difference of 20 percentage points, you have 5"
        );
    }

    #[test]
    fn one_find_among_many_questions_may_be_chance() {
        let find = (won_of(56, 70), won_of(48, 80));
        assert!(matches!(verdicts(&[find])[0], Verdict::Difference { .. }));
        let mut asked = vec![find];
        asked.extend(vec![(won_of(100, 200), won_of(101, 200)); 19]);
        asked.push((won_of(0, 0), won_of(1, 2)));
        let said = verdicts(&asked);
        // What could not be compared was no question.
        assert!(matches!(said[0], Verdict::PerhapsChance { questions: 20, .. }), "{:?}", said[0]);
        assert_eq!(said[20], Verdict::Nothing);
        insta::assert_snapshot!(said[0], @"may be chance: one of 20 comparisons; on its own it would be 5 to 33 percentage points more");
    }

    proptest! {
        #[test]
        fn asking_more_never_finds_more(
            pairs in prop::collection::vec(((0usize..90, 0usize..90), (0usize..90, 0usize..90)), 1..12)
        ) {
            let of = |(won, lost)| Proportion { won, lost, unknown: 0 };
            let pairs: Vec<_> = pairs.into_iter().map(|(a, b)| (of(a), of(b))).collect();
            for (pair, among) in pairs.iter().zip(verdicts(&pairs)) {
                let alone = verdicts(&[*pair])[0];
                let found = |v: &Verdict| matches!(v, Verdict::Difference { .. });
                prop_assert!(!found(&among) || found(&alone));
                let chance = matches!(alone, Verdict::PerhapsChance { .. });
                prop_assert!(!chance);
                // Seen from the other side it is the same verdict.
                let turned = verdicts(&[(pair.1, pair.0)])[0];
                prop_assert_eq!(std::mem::discriminant(&alone), std::mem::discriminant(&turned));
                prop_assert!(!alone.to_string().contains("NaN"));
            }
        }
    }
}
