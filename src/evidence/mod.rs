//! How sure one can be. Statistics only: no tennis, no records; whole numbers in, probabilities and words out.
//!
//! | question | asked by |
//! |---|---|
//! | what may the rate be? | [`wilson`], and [`exact`] where the promise must hold to the letter |
//! | do two rates differ? | [`compare()`]: the difference, its interval, Fisher's p; [`Verdict`] says it in words |
//! | several such questions? | [`verdicts`] and [`false_discovery`], [`any_false_alarm`] |
//! | how many points would tell? | [`n_per_arm`], [`points_needed`] |
//! | what is a small sample worth? | [`Prior`], [`james_stein`]: pulled toward the player's own mean |
//! | is it only first and second serves, or opponents, mixed differently? | [`stratified`], [`Reversal`] |
//! | how mixed and how predictable are the serves? | [`entropy`], [`conditional_entropy`], [`runs()`], [`equal_rates`] |
//! | do two who tag agree? | [`Agreement`] |
//! | which is best? | [`tiers()`]: no order where intervals overlap |
//! | what to keep in mind? | [`cautions`] |
//!
//! Nothing here panics or guesses: without points there is no answer (`None`), never 0. Intervals are 95 %.

mod agree;
mod caution;
mod compare;
mod equal;
mod fisher;
mod interval;
mod many;
mod mix;
mod power;
mod runs;
mod shrink;
mod special;
mod strata;
mod tiers;
mod verdict;

use schemars::JsonSchema;
use serde::Serialize;

pub use agree::Agreement;
pub use caution::{Caution, Circumstances, Mixing, cautions};
pub use compare::{Comparison, compare};
pub use equal::{ChiSquared, equal_rates, joint};
pub use fisher::{Fisher, fisher};
pub use interval::{Interval, exact, wilson};
pub use many::{ALPHA, any_false_alarm, false_discovery};
pub use mix::{Entropy, conditional_entropy, entropy};
pub use power::{n_per_arm, points_needed};
pub use runs::{Runs, runs, runs_of};
pub use shrink::{JamesStein, Posterior, Prior, james_stein};
pub use strata::{Reversal, Stratified, stratified};
pub use tiers::{Tiers, tiers};
pub use verdict::{FEW, Verdict, verdicts};

/// Points won and lost, and those of which it is not known: they count in no rate, but stay in sight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, JsonSchema)]
pub struct Proportion {
    /// Won.
    pub won: usize,
    /// Lost.
    pub lost: usize,
    /// Neither is known.
    pub unknown: usize,
}

impl Proportion {
    /// `won` of `n` decided points; none for more won than decided.
    pub fn of(won: usize, n: usize) -> Option<Self> {
        Some(Self { won, lost: n.checked_sub(won)?, unknown: 0 })
    }

    /// The decided points.
    pub fn n(&self) -> usize {
        self.won + self.lost
    }

    /// Won of the decided points, 0 to 1; none without any.
    pub fn rate(&self) -> Option<f64> {
        (self.n() > 0).then(|| self.won as f64 / self.n() as f64)
    }

    /// The 95 % interval of the rate ([`wilson`]); none without decided points.
    pub fn interval(&self) -> Option<Interval> {
        wilson(self.won, self.n())
    }

    /// The same points as the other player sees them.
    #[must_use]
    pub fn other_side(self) -> Self {
        Self { won: self.lost, lost: self.won, ..self }
    }
}

/// Fails unless `found` is within `relative` of `wanted`.
#[cfg(test)]
fn near(found: f64, wanted: f64, relative: f64) {
    assert!((found - wanted).abs() <= relative * wanted.abs().max(1e-300), "{found} is not {wanted}");
}

/// `won` of `n`, for tests.
#[cfg(test)]
fn won_of(won: usize, n: usize) -> Proportion {
    Proportion::of(won, n).unwrap()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unknown_points_are_in_no_rate() {
        let p = Proportion { won: 3, lost: 2, unknown: 7 };
        assert_eq!(p.n(), 5);
        near(p.rate().unwrap(), 0.6, 1e-15);
        assert_eq!(p.interval(), wilson(3, 5));
        assert_eq!(p.other_side(), Proportion { won: 2, lost: 3, unknown: 7 });
        assert_eq!(Proportion::default().rate(), None);
        assert_eq!(Proportion::default().interval(), None);
        assert_eq!(Proportion::of(3, 2), None);
    }
}
