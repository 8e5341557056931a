//! Do all directions win equally often? A server who mixes well wins as often with each.

use schemars::JsonSchema;
use serde::Serialize;

use super::proportion::Proportion;
use super::special::chi2_above;

/// A chi-squared statistic.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct ChiSquared {
    /// Pearson's Q: 0 when all rates are the same.
    pub q: f64,
    /// Degrees of freedom.
    pub df: usize,
    /// The probability of a value this large, or larger, by chance alone. An approximation: poor where fewer than 5 wins or losses are
    /// expected (common practice, no source).
    pub p: f64,
}

/// Pearson's test that all rates are equal; directions without decided points are left out. None when fewer than two
/// are left, or when every point was won, or every point lost.
///
/// As used for serve directions by Walker & Wooders 2001, *Am. Econ. Rev.* 91(5).
pub fn equal_rates(directions: &[Proportion]) -> Option<ChiSquared> {
    let played: Vec<&Proportion> = directions.iter().filter(|d| d.n() > 0).collect();
    let won: usize = played.iter().map(|d| d.won).sum();
    let n: usize = played.iter().map(|d| d.n()).sum();
    if played.len() < 2 || won == 0 || won == n {
        return None;
    }
    let pooled = won as f64 / n as f64;
    let part = |d: &&Proportion| {
        let expected = d.n() as f64 * pooled;
        (d.won as f64 - expected).powi(2) / (expected * (1.0 - pooled))
    };
    let (q, df) = (played.iter().map(part).sum(), played.len() - 1);
    Some(ChiSquared { q, df, p: chi2_above(q, df) })
}

/// Several independent tests as one: their sum, on as many degrees of freedom; p is 1 without any.
pub fn joint(tests: &[ChiSquared]) -> ChiSquared {
    let q = tests.iter().map(|t| t.q).sum();
    let df = tests.iter().map(|t| t.df).sum();
    ChiSquared { q, df, p: chi2_above(q, df) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::{near, won_of};
    use proptest::prelude::*;

    /// Walker & Wooders 2001, *AER* 91(5), table 1, first row (*memory*: 70 and 5 serves, 50 and 3 won, Q .294, p .588);
    /// p to more
    /// digits, and a row of our own: `stats.equal_win_rate` of the project's vectors.
    #[test]
    fn as_walker_and_wooders_have_it() {
        let t = equal_rates(&[won_of(50, 70), won_of(3, 5)]).unwrap();
        assert!((t.q - 0.294).abs() < 0.000_51 && (t.p - 0.588).abs() < 0.000_51);
        near(t.q, 0.294_045_577_064_445, 1e-13); // the exact fraction
        near(t.p, 0.587_639_616_975, 1e-11);
        let t = equal_rates(&[won_of(30, 40), won_of(10, 20)]).unwrap();
        near(t.q, 3.75, 1e-14);
        near(t.p, 0.052_807_511_416, 1e-11);
        assert_eq!(t.df, 1);
    }

    /// The same, joint test (*memory*: Q = 30.801 on 40 degrees of freedom, p .852).
    #[test]
    fn forty_rows_as_one() {
        let row = ChiSquared { q: 30.801 / 40.0, df: 1, p: 0.0 };
        let all = joint(&[row; 40]);
        assert_eq!(all.df, 40);
        assert!((all.p - 0.852).abs() < 0.000_51);
        near(all.p, 0.851_710_021_482_9, 1e-11);
        near(joint(&[]).p, 1.0, 0.0);
    }

    #[test]
    fn without_two_directions_or_both_outcomes_there_is_no_test() {
        assert_eq!(equal_rates(&[]), None);
        assert_eq!(equal_rates(&[won_of(3, 5), won_of(0, 0)]), None);
        assert_eq!(equal_rates(&[won_of(3, 3), won_of(2, 2)]), None);
        assert_eq!(equal_rates(&[won_of(0, 3), won_of(0, 2)]), None);
    }

    proptest! {
        #[test]
        fn neither_order_nor_side_matters(
            directions in prop::collection::vec((0usize..50, 0usize..50), 2..5)
        ) {
            let all: Vec<Proportion> =
                directions.iter().map(|(won, lost)| Proportion { won: *won, lost: *lost, unknown: 0 }).collect();
            let other: Vec<Proportion> = all.iter().rev().map(|p| p.other_side()).collect();
            let (a, b) = (equal_rates(&all), equal_rates(&other));
            prop_assert_eq!(a.is_some(), b.is_some());
            if let (Some(a), Some(b)) = (a, b) {
                prop_assert!((a.q - b.q).abs() <= 1e-9 * a.q.max(1.0) && a.q >= 0.0);
                prop_assert!((0.0..=1.0).contains(&a.p));
            }
        }
    }
}
