//! Study: one question about many matches. The answer is a table of rows, and every number in it is a clip list.
//!
//! A [`Pool`] holds the matches and their facts, computed once when they are loaded. A [`Question`] says whose points it is about and
//! how they are grouped: by a fact (the direction of the serve, the length of the rally), or by patterns. [`Facets`] are filters:
//! one player, one set, one side, one score. [`ask`] gives [`Findings`]:
//!
//! ```text
//! Pool, Question, Facets ─▶ gather ─▶ lists of points ─▶ judge ─▶ rows, compared with the other points on serve and on return
//!                                          │                └─▶ groups: does it hold serve by serve, match by match?
//!                                          ├─▶ court: the same points by where the shot landed
//!                                          └─▶ mix: how mixed and how predictable one player's serves are
//! ```
//!
//! A point whose facet, fact or winner is not known is in a separate list, and in no rate. Rows are put in tiers, never in an order
//! that the intervals do not support.

mod by;
mod counted;
mod counts;
mod court;
mod draft;
mod error;
mod facets;
mod file;
mod findings;
mod gather;
mod groups;
mod judge;
mod lead;
mod mix;
mod noted;
mod phrase;
mod pool;
mod question;
mod say;

pub use by::By;
pub use counts::Counts;
pub use court::MapOf;
pub use error::StudyError;
pub use facets::{Facets, Role};
pub use file::questions;
pub use findings::{Changes, CourtCell, CourtMap, Findings, Group, Mix, Place, Row, Section, Strata};
pub use gather::ask;
pub use noted::Noted;
pub use pool::{Match, Pool};
pub use question::{Ask, Lead, Part, Question, named, starter};

#[cfg(test)]
mod aim_tests;
#[cfg(test)]
mod archive_tests;
#[cfg(test)]
mod by_tests;
#[cfg(test)]
mod lead_tests;
#[cfg(test)]
pub(crate) mod test_matches;
#[cfg(test)]
mod tests;
