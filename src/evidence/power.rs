//! How many points it takes to see a difference.

use super::interval::Z;

/// The 80 % quantile of the normal distribution.
const Z_POWER: f64 = 0.841_621_233_572_914_3;

/// How many points each of two equal arms needs so that a two-sided test at 5 % sees the difference between two rates
/// 4 times in 5; none where the rates are equal or not within 0 to 1.
///
/// Normal approximation, pooled under "no difference": Fleiss, Levin & Paik, *Statistical Methods for Rates and
/// Proportions*, chapter 4, without continuity correction (from memory).
pub fn n_per_arm(one: f64, other: f64) -> Option<f64> {
    let rates = 0.0..=1.0;
    let difference = (one - other).abs();
    if !rates.contains(&one) || !rates.contains(&other) || difference <= 0.0 {
        return None;
    }
    let mean = f64::midpoint(one, other);
    let alike = (2.0 * mean * (1.0 - mean)).sqrt();
    let apart = (one * (1.0 - one) + other * (1.0 - other)).sqrt();
    Some(((Z * alike + Z_POWER * apart) / difference).powi(2))
}

/// As [`n_per_arm`], for a rate `base` against one that is `difference` higher or lower, whichever is harder to see and
/// still a rate; none when neither is. The other arm is as large.
pub fn points_needed(base: f64, difference: f64) -> Option<usize> {
    let ways = [base + difference, base - difference];
    let most = ways.into_iter().filter_map(|other| n_per_arm(base, other)).max_by(f64::total_cmp)?;
    Some(most.ceil() as usize)
}

/// A number rounded as people say it: 7, 90, 390, 1500.
pub fn about(n: usize) -> usize {
    let digits = n.checked_ilog10().unwrap_or(0);
    let unit = if digits == 0 { 1 } else { 10_usize.pow(digits.saturating_sub(1).max(1)) };
    (n + unit / 2) / unit * unit
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// `stats.n_per_arm_80pct` of the project's vectors, recomputed outside this program.
    #[test]
    fn as_in_the_vectors() {
        for (one, other, wanted) in
            [(0.60, 0.50, 387.34), (0.65, 0.55, 375.57), (0.70, 0.50, 93.0), (0.75, 0.50, 57.67)]
        {
            let n = n_per_arm(one, other).unwrap();
            assert!((n - wanted).abs() <= 0.0051, "{one} against {other}: {n}");
        }
    }

    #[test]
    fn about_ninety_for_twenty_points() {
        assert_eq!(points_needed(0.5, 0.2).map(about), Some(90));
        // From 90 % only lower is possible; from 0 % only higher.
        assert_eq!(points_needed(0.9, 0.2), n_per_arm(0.9, 0.7).map(|n| n.ceil() as usize));
        assert!(points_needed(0.0, 0.2).is_some());
        for nonsense in [f64::NAN, -0.1, 1.1] {
            assert_eq!(n_per_arm(nonsense, 0.5), None);
        }
        assert_eq!(n_per_arm(0.5, 0.5), None);
        assert_eq!(points_needed(0.5, 0.8), None);
    }

    #[test]
    fn numbers_as_one_says_them() {
        for (n, said) in
            [(0, 0), (7, 7), (12, 10), (94, 90), (96, 100), (388, 390), (1545, 1500), (98_765, 99_000)]
        {
            assert_eq!(about(n), said, "{n}");
        }
    }

    proptest! {
        #[test]
        fn smaller_differences_take_more(base in 0.1f64..0.5, small in 0.02f64..0.2, more in 0.01f64..0.2) {
            let few = n_per_arm(base, base + small + more).unwrap();
            prop_assert!(n_per_arm(base, base + small).unwrap() > few);
            prop_assert!((n_per_arm(base + small + more, base).unwrap() - few).abs() < 1e-9 * few);
        }
    }
}
