//! Does a choice between two things change more often, or less often, than the toss of a coin?

use schemars::JsonSchema;
use serde::Serialize;

use super::special::{ln_choose, normal_beyond};

/// The number of runs of equal choices, compared with chance for the same numbers of both choices.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Runs {
    /// How often the first was chosen.
    pub first: usize,
    /// How often the second.
    pub second: usize,
    /// Unbroken runs of either: `WWTWT` has 4.
    pub runs: usize,
    /// How many chance gives on average.
    pub mean: f64,
    /// The variance of that.
    pub variance: f64,
    /// The runs minus their mean, in standard deviations; below 0 the choice changes less often than by chance. `None` if only one
    /// number of runs is possible.
    pub z: Option<f64>,
    /// Two-sided p-value by the normal approximation of z, without continuity correction.
    pub p_normal: Option<f64>,
    /// Exact probability of as few runs, or fewer.
    pub p_few: f64,
    /// Exact probability of as many runs, or more.
    pub p_many: f64,
    /// Exact two-sided p-value: twice the smaller of both, at most 1.
    pub p: f64,
}

/// The runs test of a sequence of choices; none unless both were chosen.
///
/// Wald & Wolfowitz 1940, *Ann. Math. Stat.* 11:147.
pub fn runs(choices: &[bool]) -> Option<Runs> {
    let first = choices.iter().filter(|c| **c).count();
    let changes = choices.windows(2).filter(|w| w[0] != w[1]).count();
    runs_of(first, choices.len() - first, changes + 1)
}

/// As [`runs`], from the numbers alone; `None` for an impossible number of runs.
pub fn runs_of(first: usize, second: usize, runs: usize) -> Option<Runs> {
    let most = (2 * first.min(second) + usize::from(first != second)).max(2);
    if first == 0 || second == 0 || !(2..=most).contains(&runs) {
        return None;
    }
    let (a, b) = (first as f64, second as f64);
    let n = a + b;
    let twice = 2.0 * a * b;
    let mean = 1.0 + twice / n;
    let variance = twice * (twice - n) / (n * n * (n - 1.0));
    let z = (variance > 0.0).then(|| (runs as f64 - mean) / variance.sqrt());
    let sum = |from: usize, to: usize| (from..=to).map(|r| chance(first, second, r)).sum::<f64>().min(1.0);
    let (p_few, p_many) = (sum(2, runs), sum(runs, most));
    Some(Runs {
        first,
        second,
        runs,
        mean,
        variance,
        z,
        p_normal: z.map(normal_beyond),
        p_few,
        p_many,
        p: (2.0 * p_few.min(p_many)).min(1.0),
    })
}

/// The probability of exactly `runs` runs.
fn chance(first: usize, second: usize, runs: usize) -> f64 {
    let ways = |long: usize, short: usize| ln_choose(first - 1, long - 1) + ln_choose(second - 1, short - 1);
    let all = ln_choose(first + second, first);
    let half = runs / 2;
    if runs.is_multiple_of(2) {
        2.0 * (ways(half, half) - all).exp()
    } else {
        (ways(half + 1, half) - all).exp() + (ways(half, half + 1) - all).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::near;
    use proptest::prelude::*;

    fn of(choices: &str) -> Option<Runs> {
        let first = choices.chars().next()?;
        runs(&choices.chars().map(|c| c == first).collect::<Vec<_>>())
    }

    /// `stats.runs` of the project's vectors: Wald & Wolfowitz 1940; reference library: statsmodels; exact
    /// probabilities as fractions.
    #[test]
    fn as_in_the_vectors() {
        let men = of("MMMFFFMMMMFFMMMFFFFFFFMMFMM").unwrap();
        let turns = of("WTWTWTWTTWTWTWTWTWWT").unwrap();
        assert_eq!((men.first, men.second, men.runs), (14, 13, 9));
        assert_eq!((turns.first, turns.second, turns.runs), (10, 10, 18));
        let (seldom, often) = (runs_of(10, 10, 6).unwrap(), runs_of(10, 10, 16).unwrap());
        for (r, mean, variance, z, few, many) in [
            (
                men,
                14.481_481_481_481_481,
                6.471_879_286_694_102,
                -2.154_679_834_369_657,
                701.0 / 29_716.0,
                3_976_799.0 / 4_011_660.0,
            ),
            (
                turns,
                11.0,
                4.736_842_105_263_157_5,
                3.216_278_042_154_385_3,
                46_184.0 / 46_189.0,
                7.0 / 7_106.0,
            ),
            (
                seldom,
                11.0,
                4.736_842_105_263_157_5,
                -2.297_341_458_681_703_6,
                1_711.0 / 92_378.0,
                91_963.0 / 92_378.0,
            ),
            (
                often,
                11.0,
                4.736_842_105_263_157_5,
                2.297_341_458_681_703_6,
                91_963.0 / 92_378.0,
                1_711.0 / 92_378.0,
            ),
        ] {
            near(r.mean, mean, 1e-14);
            near(r.variance, variance, 1e-14);
            near(r.z.unwrap(), z, 1e-14);
            near(r.p_few, few, 1e-12);
            near(r.p_many, many, 1e-12);
            near(r.p, 2.0 * few.min(many), 1e-12);
        }
    }

    #[test]
    fn one_kind_alone_has_no_runs_to_test() {
        assert_eq!(runs(&[]), None);
        assert_eq!(runs(&[true; 9]), None);
        assert_eq!(runs_of(3, 3, 7), None);
        assert_eq!(runs_of(3, 3, 1), None);
        // One of each: always 2 runs.
        let r = runs(&[true, false]).unwrap();
        assert_eq!((r.z, r.p_normal), (None, None));
        near(r.p, 1.0, 0.0);
    }

    #[test]
    fn a_long_career_does_not_overflow() {
        let r = runs_of(5000, 5000, 5001).unwrap();
        assert!(r.p > 0.9 && r.p <= 1.0, "{r:?}");
    }

    proptest! {
        #[test]
        fn all_numbers_of_runs_add_up(first in 1usize..60, second in 1usize..60) {
            let most = 2 * first.min(second) + usize::from(first != second);
            let chances: Vec<f64> = (2..=most).map(|r| chance(first, second, r)).collect();
            prop_assert!((chances.iter().sum::<f64>() - 1.0).abs() < 1e-11);
            let mean: f64 = chances.iter().zip(2..).map(|(p, r)| p * f64::from(r)).sum();
            prop_assert!((mean - runs_of(first, second, 2).unwrap().mean).abs() < 1e-9);
        }

        #[test]
        fn which_is_first_does_not_matter(choices in prop::collection::vec(any::<bool>(), 0..60)) {
            let other: Vec<bool> = choices.iter().rev().map(|c| !c).collect();
            let (a, b) = (runs(&choices), runs(&other));
            prop_assert_eq!(a.is_some(), b.is_some());
            if let (Some(a), Some(b)) = (a, b) {
                prop_assert_eq!(a.runs, b.runs);
                prop_assert!((a.p - b.p).abs() < 1e-12);
            }
        }
    }
}
