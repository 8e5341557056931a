//! Rates of small samples, pulled toward the player's rate: a few points seldom tell more than many.

use schemars::JsonSchema;
use serde::Serialize;

use super::interval::Interval;
use super::interval::TAIL;
use super::proportion::Proportion;
use super::special::beta_quantile;

/// The expected rate before its points are seen: a Beta distribution with the weight of `won + lost` points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    won: f64,
    lost: f64,
}

/// What is thought of a rate after its points are seen.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Posterior {
    /// The mean, 0 to 1: between the rate seen and the rate expected.
    pub rate: f64,
    /// The middle 95 % of it, equal tails.
    pub interval: Interval,
}

impl Prior {
    /// As if `won` and `lost` points had been seen before, in fractions if need be; none unless both are above 0.
    pub fn new(won: f64, lost: f64) -> Option<Self> {
        (won > 0.0 && lost > 0.0 && (won + lost).is_finite()).then_some(Self { won, lost })
    }

    /// The player's own rate in all points, with the weight of `weight` points; `None` without points or weight.
    ///
    /// Half a point won and half a point lost keep it off 0 and 1 (Jeffreys' prior; common practice, no source).
    pub fn own(all: Proportion, weight: f64) -> Option<Self> {
        all.rate()?;
        let mean = (all.won as f64 + 0.5) / (all.n() as f64 + 1.0);
        Self::new(mean * weight, (1.0 - mean) * weight)
    }

    /// The expected rate after these points; the prior itself if none is decided.
    pub fn after(&self, seen: Proportion) -> Posterior {
        let (won, lost) = (self.won + seen.won as f64, self.lost + seen.lost as f64);
        let interval =
            Interval { low: beta_quantile(won, lost, TAIL), high: 1.0 - beta_quantile(lost, won, TAIL) };
        Posterior { rate: won / (won + lost), interval }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::{near, won_of};
    use proptest::prelude::*;

    /// `stats.beta` of the project's vectors, recomputed outside this program.
    #[test]
    fn seven_of_eight_are_worth_two_thirds() {
        let thought = Prior::new(12.0, 8.0).unwrap().after(won_of(7, 8));
        near(thought.rate, 0.678_571_428_571_428_6, 1e-15);
        assert!((thought.interval.low - 0.498_186).abs() < 5.1e-7);
        assert!((thought.interval.high - 0.834_812).abs() < 5.1e-7);
    }

    #[test]
    fn without_points_there_is_nothing_to_pull() {
        assert_eq!(Prior::new(0.0, 1.0), None);
        assert_eq!(Prior::new(f64::NAN, 1.0), None);
        assert_eq!(Prior::own(won_of(0, 0), 20.0), None);
        assert_eq!(Prior::own(won_of(3, 5), 0.0), None);
        // No point decided: the prior is what is left.
        near(Prior::new(12.0, 8.0).unwrap().after(won_of(0, 0)).rate, 0.6, 1e-15);
        assert!(Prior::own(won_of(0, 5), 20.0).is_some());
    }

    proptest! {
        #[test]
        fn lies_between_the_rate_and_the_own_mean(
            won in 0usize..40, lost in 0usize..40, all_won in 0usize..200, all_lost in 0usize..200, weight in 1.0f64..60.0
        ) {
            prop_assume!(won + lost > 0 && all_won + all_lost > 0);
            let all = Proportion { won: all_won, lost: all_lost, unknown: 0 };
            let prior = Prior::own(all, weight).unwrap();
            let seen = Proportion { won, lost, unknown: 0 };
            let (own, rate) = (prior.after(won_of(0, 0)).rate, seen.rate().unwrap());
            let p = prior.after(seen);
            prop_assert!(rate.min(own) - 1e-12 <= p.rate && p.rate <= rate.max(own) + 1e-12);
            prop_assert!(0.0 <= p.interval.low && p.interval.low < p.interval.high && p.interval.high <= 1.0);
            // Seen from the other side.
            let other = Prior::new(prior.lost, prior.won).unwrap().after(seen.other_side());
            prop_assert!((p.interval.low + other.interval.high - 1.0).abs() < 1e-12);
        }
    }
}
