//! Intervals for one proportion.

use schemars::JsonSchema;
use serde::Serialize;

/// The two-sided 95 % quantile of the normal distribution.
pub(super) const Z: f64 = 1.959_963_984_540_054;

/// The probability that a 95 % interval leaves out at each end.
pub(super) const TAIL: f64 = 0.025;

/// The range in which a value may lie, `low <= high`: for proportions 0 to 1, for differences -1 to 1, for odds
/// ratios from 0.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Interval {
    /// Its lower end.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

impl Interval {
    /// Whether `value` lies in it, ends included.
    pub fn holds(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// Whether the two share a value, ends included.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.low <= other.high && other.low <= self.high
    }
}

/// The Wilson score interval, 95 %, for `won` of `of`; `None` if `of` is 0 or less than `won`.
///
/// Wilson 1927, *J. Am. Stat. Assoc.* 22:209; method 3 of Newcombe 1998, *Stat. Med.* 17:857.
pub fn wilson(won: usize, of: usize) -> Option<Interval> {
    if of == 0 || won > of {
        return None;
    }
    let (x, n) = (won as f64, of as f64);
    let z2 = Z * Z;
    let p = x / n;
    let half = Z * (z2 + 4.0 * n * p * (1.0 - p)).sqrt();
    let centre = 2.0 * n * p + z2;
    let scale = 2.0 * (n + z2);
    // At the ends the formula is exactly 0 and 1; floating point is not.
    let low = if won == 0 { 0.0 } else { ((centre - half) / scale).clamp(0.0, p) };
    let high = if won == of { 1.0 } else { ((centre + half) / scale).clamp(p, 1.0) };
    Some(Interval { low, high })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Half of the last printed digit, and a hair for its floating-point form.
    const PRINTED: f64 = 0.000_050_001;

    fn close(i: Option<Interval>, low: f64, high: f64) {
        let i = i.unwrap();
        assert!((i.low - low).abs() <= PRINTED && (i.high - high).abs() <= PRINTED, "{i:?}");
    }

    /// Newcombe 1998, *Stat. Med.* 17:857, table I, method 3, four decimals as published.
    #[test]
    fn as_published_by_newcombe() {
        for (won, of, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            close(wilson(won, of), low, high);
        }
    }

    /// `stats.wilson_small` of the project's vectors, recomputed outside this program.
    #[test]
    fn small_samples() {
        for (won, of, low, high) in [
            (0, 1, 0.0, 0.7935),
            (1, 1, 0.2065, 1.0),
            (3, 5, 0.2307, 0.8824),
            (5, 8, 0.3057, 0.8632),
            (7, 8, 0.5291, 0.9776),
            (6, 10, 0.3127, 0.8318),
            (9, 15, 0.3575, 0.8018),
            (12, 20, 0.3866, 0.7812),
            (18, 30, 0.4232, 0.7541),
            (30, 50, 0.4618, 0.7239),
            (60, 100, 0.502, 0.6906),
            (120, 200, 0.5308, 0.6654),
            (240, 400, 0.5513, 0.6468),
        ] {
            close(wilson(won, of), low, high);
        }
    }

    #[test]
    fn nothing_played_has_no_rate() {
        assert_eq!(wilson(0, 0), None);
        assert_eq!(wilson(2, 1), None);
    }

    #[test]
    fn touching_ends_overlap() {
        let of = |low, high| Interval { low, high };
        assert!(of(0.1, 0.3).overlaps(&of(0.3, 0.5)) && of(0.3, 0.5).overlaps(&of(0.1, 0.3)));
        assert!(!of(0.1, 0.3).overlaps(&of(0.31, 0.5)));
    }

    proptest! {
        #[test]
        fn holds_the_rate_and_mirrors(of in 1usize..5000, part in 0.0f64..=1.0) {
            let won = ((of as f64) * part).round() as usize;
            let p = won as f64 / of as f64;
            let i = wilson(won, of).unwrap();
            prop_assert!(0.0 <= i.low && i.low <= p && p <= i.high && i.high <= 1.0);
            prop_assert!(i.low < i.high);
            let m = wilson(of - won, of).unwrap();
            prop_assert!((m.low - (1.0 - i.high)).abs() < 1e-12 && (m.high - (1.0 - i.low)).abs() < 1e-12);
        }

        #[test]
        fn more_points_at_the_same_rate_are_narrower(won in 0usize..60, lost in 0usize..60, times in 2usize..5) {
            prop_assume!(won + lost > 0);
            let few = wilson(won, won + lost).unwrap();
            let many = wilson(won * times, (won + lost) * times).unwrap();
            prop_assert!(many.high - many.low < few.high - few.low);
        }
    }
}
