//! Two rates against each other.

use schemars::JsonSchema;
use serde::Serialize;

use super::fisher::fisher;
use super::interval::Interval;
use super::proportion::Proportion;

/// One rate less another.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Comparison {
    /// The one asked about.
    pub this: Proportion,
    /// What it is compared with.
    pub that: Proportion,
    /// The first rate minus the second rate, -1 to 1.
    pub difference: f64,
    /// 95 % interval of the difference (method 10 of Newcombe 1998).
    pub interval: Interval,
    /// Two-sided mid-p-value of Fisher's exact test: the probability, by chance alone, of a less likely table, plus half of that
    /// of an equally likely one. For large groups, the p-value of Mantel and Haenszel's test.
    pub p: f64,
}

/// Compares two rates by Fisher's exact test with mid-p-values; `None` if either has no decided points.
///
/// The interval is built from both Wilson intervals: method 10 of Newcombe 1998, *Stat. Med.* 17:873.
pub fn compare(this: Proportion, that: Proportion) -> Option<Comparison> {
    let (a, b) = (this.rate()?, that.rate()?);
    let (of_a, of_b) = (this.interval()?, that.interval()?);
    let difference = a - b;
    let interval = Interval {
        low: (difference - (a - of_a.low).hypot(of_b.high - b)).clamp(-1.0, difference),
        high: (difference + (of_a.high - a).hypot(b - of_b.low)).clamp(difference, 1.0),
    };
    let p = fisher([[this.won, this.lost], [that.won, that.lost]]).mid;
    Some(Comparison { this, that, difference, interval, p })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::won_of;
    use proptest::prelude::*;

    /// Newcombe 1998, *Stat. Med.* 17:873, table II, method 10, four decimals as published, and six decimals recomputed
    /// outside this program (`stats.newcombe_diff_m10` of the project's vectors).
    #[test]
    fn as_published_by_newcombe() {
        for ((x1, n1, x2, n2), published, computed) in [
            ((56, 70, 48, 80), (0.0524, 0.3339), (0.052_431, 0.333_873)),
            ((9, 10, 3, 10), (0.1705, 0.809), (0.170_523, 0.809_018)),
            ((6, 7, 2, 7), (0.0582, 0.8062), (0.058_228, 0.806_25)),
            ((5, 56, 0, 29), (-0.0381, 0.1926), (-0.038_137, 0.192_56)),
            ((0, 10, 0, 20), (-0.1611, 0.2775), (-0.161_125, 0.277_533)),
            ((10, 10, 0, 20), (0.6791, 1.0), (0.679_086, 1.0)),
        ] {
            let found = compare(won_of(x1, n1), won_of(x2, n2)).unwrap().interval;
            for (wanted, tolerance) in [(published, 0.000_050_001), (computed, 5.1e-7)] {
                assert!((found.low - wanted.0).abs() <= tolerance, "{x1}/{n1} - {x2}/{n2}: {found:?}");
                assert!((found.high - wanted.1).abs() <= tolerance, "{x1}/{n1} - {x2}/{n2}: {found:?}");
            }
        }
    }

    #[test]
    fn nothing_against_something_is_no_comparison() {
        assert_eq!(compare(won_of(0, 0), won_of(3, 5)), None);
        assert_eq!(compare(won_of(3, 5), Proportion { unknown: 4, ..won_of(0, 0) }), None);
    }

    fn some() -> impl Strategy<Value = Proportion> {
        (0usize..80, 0usize..80, 0usize..3)
            .prop_filter("some points", |(won, lost, _)| won + lost > 0)
            .prop_map(|(won, lost, unknown)| Proportion { won, lost, unknown })
    }

    proptest! {
        #[test]
        fn holds_the_difference_and_mirrors(a in some(), b in some()) {
            let (c, d) = (compare(a, b).unwrap(), compare(b, a).unwrap());
            prop_assert!(c.interval.holds(c.difference));
            prop_assert!(-1.0 <= c.interval.low && c.interval.low < c.interval.high && c.interval.high <= 1.0);
            prop_assert!((c.interval.low + d.interval.high).abs() < 1e-12);
            prop_assert!((c.interval.high + d.interval.low).abs() < 1e-12);
            let lost = compare(a.other_side(), b.other_side()).unwrap();
            prop_assert!((c.interval.low + lost.interval.high).abs() < 1e-12);
            prop_assert!((c.p - d.p).abs() < 1e-12 && (c.p - lost.p).abs() < 1e-12);
        }

        #[test]
        fn more_points_at_the_same_rates_are_narrower(a in some(), b in some(), times in 2usize..5) {
            let more = |p: Proportion| Proportion { won: p.won * times, lost: p.lost * times, ..p };
            let (few, many) = (compare(a, b).unwrap().interval, compare(more(a), more(b)).unwrap().interval);
            prop_assert!(many.high - many.low < few.high - few.low);
        }
    }
}
