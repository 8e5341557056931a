//! The few special functions under the statistics, from `statrs`, made total: outside their domain they give a limit.

use statrs::function::beta::{checked_beta_reg, ln_beta};
use statrs::function::factorial::ln_binomial;
use statrs::function::gamma::{checked_gamma_ur, gamma_lr};

/// P(a standard normal value is further from 0 than `z`): the square of one is chi-squared, which `statrs` has to more
/// digits than the error function.
pub(super) fn normal_beyond(z: f64) -> f64 {
    chi2_above(z * z, 1)
}

/// P(a chi-squared value on `df` degrees of freedom > `q`).
pub(super) fn chi2_above(q: f64, df: usize) -> f64 {
    let (a, x) = (df as f64 / 2.0, q / 2.0);
    if df == 0 || x <= 0.0 {
        return 1.0;
    }
    // Below its mean the lower tail is the sum; the difference from 1 is then the exact one.
    if x < 1.0 || x <= a {
        return (1.0 - gamma_lr(a, x)).clamp(0.0, 1.0);
    }
    checked_gamma_ur(a, x).unwrap_or(0.0).clamp(0.0, 1.0)
}

/// The natural logarithm of the number of ways to choose `k` of `n`; minus infinity when there is none.
pub(super) fn ln_choose(n: usize, k: usize) -> f64 {
    if k > n { f64::NEG_INFINITY } else { ln_binomial(n as u64, k as u64) }
}

/// The value that a Beta(a, b) is below with probability `p`, for `a` and `b` above 0.
///
/// Newton's method, held inside a bracket that halves when a step would leave it: it always ends.
pub(super) fn beta_quantile(a: f64, b: f64, p: f64) -> f64 {
    let (mut low, mut high, mut x) = (0.0_f64, 1.0_f64, a / (a + b));
    let scale = ln_beta(a, b);
    for _ in 0..400 {
        let above = checked_beta_reg(a, b, x).unwrap_or(p) - p;
        if above > 0.0 {
            high = x;
        } else {
            low = x;
        }
        let slope = ((a - 1.0) * x.ln() + (b - 1.0) * (-x).ln_1p() - scale).exp();
        let newton = x - above / slope;
        let next = if newton > low && newton < high { newton } else { f64::midpoint(low, high) };
        if (next - x).abs() <= 1e-15 * x || high - low <= f64::MIN_POSITIVE {
            return next;
        }
        x = next;
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::near;

    /// scipy 1.17: `norm.sf`, `chi2.sf`, `beta.ppf`, as printed.
    #[test]
    fn as_scipy_has_them() {
        near(normal_beyond(1.5), 2.0 * 0.066_807_201_268_858_07, 1e-14);
        near(normal_beyond(-6.0), 2.0 * 9.865_876_450_376_946e-10, 1e-12);
        near(chi2_above(3.75, 1), 0.052_807_511_416_113_395, 1e-13);
        near(chi2_above(30.801, 40), 0.851_710_021_482_931_4, 1e-13);
        near(beta_quantile(19.0, 9.0, 0.025), 0.498_186_333_629_998_6, 1e-13);
    }

    #[test]
    fn the_edges_are_limits() {
        near(chi2_above(0.0, 3), 1.0, 0.0);
        near(chi2_above(5.0, 0), 1.0, 0.0);
        near(chi2_above(1e9, 2), 0.0, 0.0);
        assert!(ln_choose(2, 3).exp() < f64::MIN_POSITIVE);
        near(ln_choose(5, 2).exp(), 10.0, 1e-13);
        // One success of a million: the bracket must not stop early near 0.
        near(beta_quantile(1.0, 1e6, 0.025), -f64::exp_m1((1.0_f64 - 0.025).ln() / 1e6), 1e-9);
    }
}
