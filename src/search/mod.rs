//! One search over everything: a line of the words that the screens use becomes a question to each point.
//!
//! A [`Vocabulary`] knows the trade's words and, of the records asked, the players, tags, patterns, surfaces and venues.
//! [`Search::read`] finds its phrases in what was typed, the longest first: each becomes a [`Chip`], which says how it was
//! understood, or that it was not, with the nearest phrase. Chips beside each other make one part: `Holt backhand slice` is
//! one shot, `drop shot then lob` are two, one after the other. [`Search::of`] asks all parts of a point: yes, no or unknown.

mod ask;
mod build;
mod chip;
mod complete;
mod dates;
mod number;
mod part;
mod phrases;
mod query;
mod read;
mod vocabulary;

pub use ask::Asked;
pub use chip::{Chip, Meaning, Subject};
pub use complete::Suggestion;
pub use query::Search;
pub use vocabulary::{Kind, Vocabulary};

#[cfg(test)]
mod tests;
