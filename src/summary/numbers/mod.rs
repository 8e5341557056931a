//! The match in numbers: what every coach asks first, of both players side by side, of the whole match and of each set.
//!
//! ```text
//! Pool ─▶ count: each point, each player ─▶ asked: does it count? ─▶ Share: counted, others, unknown
//!                                                                 └▶ Most: a row of points, a long rally
//! ```
//!
//! A [`Number`] is asked of every point (or, for lines, of every shot) of either player. What the record does not say is
//! unknown: it is in no rate, and listed. Points that were played again count nowhere.

mod asked;
mod count;
mod say;
mod table;
mod what;

pub use count::{numbers, numbers_in};
pub use table::{Item, Missed, Most, Numbers, Part, Row, Share, Shown, Value};
pub use what::{Number, Topic};

#[cfg(test)]
mod asked_tests;
#[cfg(test)]
mod tests;
