//! Patterns: named questions about a point, answered yes, no or unknown.
//!
//! A pattern file is TOML: `[[pattern]]` tables with a `name`, an `about`, whose win counts (`won_by`) and
//! conditions on tags, server, serve, score, shots and outcome. `sample-tags/starter-patterns.toml` is built in and shows
//! every key. [`write()`] is the way back.
//!
//! Answers follow Kleene's logic of three values: what is learnt about a point may turn unknown into yes or no, and never
//! yes into no. [`fn@explain`] says why, part by part.

mod answer;
mod ball;
mod condition;
mod decided;
mod direction;
mod draft;
mod error;
mod explain;
mod file;
mod find;
mod keys;
mod parse;
mod partners;
pub mod patch;
mod reader;
mod renamed;
mod say;
mod sequence;
mod tag;
mod values;
mod who;
mod write;

pub use answer::Answer;
pub use ball::ShotTest;
pub use condition::{About, Condition, Met, Moment, Named, Pattern, Plans, ServeTest, answer};
pub(crate) use direction::Aim;
pub use draft::{Ball as BallDraft, Draft, Place, Row, Scope};
pub use error::{At, PatternError};
pub use explain::{Explanation, explain, named_conditions};
pub use file::PatternFile;
pub use keys::CALLS;
pub use parse::{STARTER, STARTER_NAME, parse};
pub use sequence::{Step, Striker};
pub use tag::{TagTest, same_tag};
pub use values::Values;
pub use who::Who;
pub use write::write;

#[cfg(test)]
mod keys_tests;
#[cfg(test)]
mod properties;
#[cfg(test)]
mod seen_tests;
#[cfg(test)]
mod starter_tests;
#[cfg(test)]
mod tests;
