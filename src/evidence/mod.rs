//! How sure one can be of a number. Statistics only: no tennis, no records; whole numbers in, probabilities and words out.
//!
//! | question | asked by |
//! |---|---|
//! | what may the rate be? | [`wilson`] |
//! | do two rates differ? | [`compare()`]: the difference, its interval, Fisher's p; [`Verdict`] says it in words |
//! | several such questions? | [`false_discovery`], [`any_false_alarm`] |
//! | how many points are needed? | [`n_per_arm`], [`points_needed`] |
//! | what is a small sample worth? | [`Prior`]: pulled toward the player's own mean |
//! | is the difference only a different mix of serve and return, kinds of serve, or opponents? | [`compare_within`], [`stratified`], [`Reversal`] |
//! | does the score matter, although earlier points decide it? | [`compare_excess`] |
//! | how mixed and how predictable are the serves? | [`entropy`], [`conditional_entropy`], [`runs()`], [`equal_rates`] |
//! | which is best? | [`tiers()`]: no order where intervals overlap |
//! | what to keep in mind? | [`cautions`] |
//! | how is a share printed? | [`Percent`] |
//!
//! Nothing here panics or guesses. Without points the answer is `None`, never 0. Intervals are 95 %.

mod caution;
mod compare;
mod equal;
mod excess;
mod fisher;
mod interval;
mod many;
mod mix;
mod percent;
mod power;
mod proportion;
mod runs;
mod shrink;
mod special;
mod strata;
mod tiers;
mod verdict;
mod within;

pub use caution::{Caution, Circumstances, Mixing, cautions};
pub use compare::{Comparison, compare};
pub use equal::{ChiSquared, equal_rates, joint};
pub use excess::{Excess, compare_excess};
pub use fisher::{Fisher, exact_within, fisher};
pub use interval::{Interval, wilson};
pub use many::{ALPHA, any_false_alarm, false_discovery};
pub use mix::{Entropy, conditional_entropy, entropy};
pub use percent::Percent;
pub use power::{about, n_per_arm, points_needed};
pub use proportion::Proportion;
pub use runs::{Runs, runs, runs_of};
pub use shrink::{Posterior, Prior};
pub use strata::{GroupWords, Reversal, Stratified, stratified};
pub use tiers::{Tiers, tiers};
pub use verdict::{FEW, Verdict};
pub use within::compare_within;

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
