//! Fisher's exact test of two proportions.

use serde::Serialize;

/// Weights this close count as equal, so that rounding does not separate equal tables.
const EQUAL: f64 = 1.0 + 1e-7;

/// The probabilities of a table like the observed one, or a more extreme one, if both rates were the same.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fisher {
    /// That the first wins as few or fewer.
    pub less: f64,
    /// That the first wins as many or more.
    pub greater: f64,
    /// Of all tables that are no likelier than the one seen.
    pub two_sided: f64,
    /// Of all tables that are less likely than the observed one, plus half of those that are equally likely.
    pub mid: f64,
}

/// With more products than this, the exact test of several tables takes too long.
const MOST: usize = 1_000_000;

/// Fisher's exact test of `[[won, lost], [won, lost]]`; all 1 when a row or a column is empty.
///
/// Fisher 1935, *The Design of Experiments*. Time and memory grow with the smallest row or column total.
pub fn fisher(table: [[usize; 2]; 2]) -> Fisher {
    let [[a, b], [c, d]] = table;
    let (row, column, all) = (a + b, a + c, a + b + c + d);
    let first = (row + column).saturating_sub(all);
    let weights = hypergeometric(row, column, all, first);
    let seen = weights[a - first];
    // Added up from the small ones, and never above 1.
    let sum = |part: &mut dyn Iterator<Item = f64>| {
        let mut part: Vec<f64> = part.collect();
        part.sort_by(f64::total_cmp);
        part.iter().sum::<f64>()
    };
    let total = sum(&mut weights.iter().copied());
    let share = |part: &mut dyn Iterator<Item = f64>| (sum(part) / total).min(1.0);
    Fisher {
        less: share(&mut weights[..=a - first].iter().copied()),
        greater: share(&mut weights[a - first..].iter().copied()),
        two_sided: share(&mut weights.iter().copied().filter(|w| *w <= seen * EQUAL)),
        mid: mid(&weights, a - first),
    }
}

/// The mid-p-value of the weight at a place: that of all smaller ones, and half of that of its equals.
fn mid(weights: &[f64], at: usize) -> f64 {
    let seen = weights.get(at).copied().unwrap_or(0.0);
    let (mut less, mut equal, mut more) = (0.0, 0.0, 0.0);
    for w in weights {
        match w {
            w if *w * EQUAL < seen => less += w,
            w if *w > seen * EQUAL => more += w,
            w => equal += w,
        }
    }
    ((less + equal / 2.0) / (less + equal + more)).min(1.0)
}

/// The two-sided mid-p-value of several tables together: the probability, by chance alone, of this total number of wins of the
/// first side, or of a less likely number. `None` if the tables are too large to compute.
///
/// The number of wins in all is the sum of one hypergeometric number a table: Cox & Snell 1989, *Analysis of Binary Data*.
pub fn exact_within(tables: &[[[usize; 2]; 2]]) -> Option<f64> {
    let (mut sum, mut at) = (vec![1.0], 0);
    for [[a, b], [c, d]] in tables {
        let (row, column, all) = (a + b, a + c, a + b + c + d);
        let first = (row + column).saturating_sub(all);
        if sum.len().saturating_mul(row.min(column) - first + 1) > MOST {
            return None;
        }
        let one = hypergeometric(row, column, all, first);
        let mut next = vec![0.0; sum.len() + one.len() - 1];
        for (i, x) in sum.iter().enumerate() {
            for (j, y) in one.iter().enumerate() {
                next[i + j] += x * y;
            }
        }
        // So that many tables do not run out of range.
        let most = next.iter().copied().fold(0.0, f64::max);
        for w in &mut next {
            *w /= most;
        }
        (sum, at) = (next, at + a - first);
    }
    Some(mid(&sum, at))
}

/// How likely each number of wins of the first row is, from `first` on, against the likeliest one, which is 1.
fn hypergeometric(row: usize, column: usize, all: usize, first: usize) -> Vec<f64> {
    let last = row.min(column);
    let likeliest = ((row + 1) as f64 * (column + 1) as f64 / (all + 2) as f64) as usize;
    let likeliest = likeliest.clamp(first, last);
    // P(k + 1) / P(k)
    let ratio = |k: usize| {
        ((row - k) as f64 * (column - k) as f64) / ((k + 1) as f64 * (all + k + 1 - row - column) as f64)
    };
    let mut weights = vec![1.0; last - first + 1];
    for k in likeliest..last {
        weights[k + 1 - first] = weights[k - first] * ratio(k);
    }
    for k in (first..likeliest).rev() {
        weights[k - first] = weights[k + 1 - first] / ratio(k);
    }
    weights
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::near;
    use proptest::prelude::*;

    /// Fisher 1935, *The Design of Experiments*: the tea tasting.
    #[test]
    fn the_tea_tasting() {
        let tea = fisher([[3, 1], [1, 3]]);
        near(tea.greater, 17.0 / 70.0, 1e-14);
        near(tea.two_sided, 34.0 / 70.0, 1e-14);
        let tea = fisher([[4, 0], [0, 4]]);
        near(tea.greater, 1.0 / 70.0, 1e-14);
        near(tea.two_sided, 2.0 / 70.0, 1e-14);
    }

    /// Reference library: scipy.stats.fisher_exact.
    #[test]
    fn as_scipy_has_it() {
        near(fisher([[8, 2], [1, 5]]).two_sided, 0.034_965_034_965, 1e-11);
        near(fisher([[1, 9], [11, 3]]).two_sided, 0.002_759_456_185, 1e-9);
        near(fisher([[30, 10], [10, 10]]).two_sided, 0.080_940_545_885_974_8, 1e-13);
    }

    #[test]
    fn an_empty_side_says_nothing() {
        for table in [[[0, 0], [0, 0]], [[0, 0], [3, 4]], [[0, 5], [0, 6]], [[5, 0], [2, 0]]] {
            let f = fisher(table);
            for p in [f.less, f.greater, f.two_sided] {
                near(p, 1.0, 0.0);
            }
            near(f.mid, 0.5, 0.0);
        }
    }

    #[test]
    fn many_points_do_not_overflow() {
        let f = fisher([[60_000, 40_000], [50_000, 50_000]]);
        assert!(f.two_sided < 1e-300 && f.less > 0.999_999, "{f:?}");
    }

    /// Half of the two tables that are as likely as the one seen.
    #[test]
    fn the_mid_p_of_the_tea_tasting() {
        near(fisher([[4, 0], [0, 4]]).mid, 1.0 / 70.0, 1e-14);
        near(fisher([[3, 1], [1, 3]]).mid, 18.0 / 70.0, 1e-14);
        near(exact_within(&[[[4, 0], [0, 4]]]).unwrap(), 1.0 / 70.0, 1e-14);
    }

    /// Two tables of one point a side each: both won by the first has 1 of 4 ways, so have both lost; mid-p 1/4.
    #[test]
    fn several_tables_add_their_wins() {
        near(exact_within(&[[[1, 0], [0, 1]], [[1, 0], [0, 1]]]).unwrap(), 0.25, 1e-14);
        near(exact_within(&[]).unwrap(), 0.5, 0.0);
        assert_eq!(exact_within(&[[[9000, 9000], [9000, 9000]], [[9000, 9000], [9000, 9000]]]), None);
    }

    proptest! {
        #[test]
        fn swapping_sides_swaps_tails(a in 0usize..60, b in 0usize..60, c in 0usize..60, d in 0usize..60) {
            let (f, g) = (fisher([[a, b], [c, d]]), fisher([[c, d], [a, b]]));
            for (x, y) in [(f.less, g.greater), (f.greater, g.less), (f.two_sided, g.two_sided)] {
                prop_assert!((x - y).abs() <= 1e-12 * x.max(y) && (0.0..=1.0).contains(&x));
            }
            let turned = fisher([[a, c], [b, d]]);
            prop_assert!((turned.two_sided - f.two_sided).abs() <= 1e-12);
            // The table seen is in both tails.
            prop_assert!(f.less + f.greater > 1.0 - 1e-12);
            prop_assert!(f.two_sided >= f.less.min(f.greater) - 1e-12);
        }
    }
}
