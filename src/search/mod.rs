//! One search over everything: a line of words, as the screens use them, becomes a question that each point answers.
//!
//! A [`Vocabulary`] knows the words of tennis and the players, tags, patterns, surfaces and venues of the records.
//! [`Search::read`] finds its phrases in the typed text, the longest first. Each phrase becomes a [`Chip`], which says how it was
//! understood. If it was not understood, the chip names the nearest phrase. Chips beside each other make one part: `Holt backhand
//! slice` is one shot, `drop shot then lob` are two shots, one after the other. [`Search::of`] answers all parts for a point: yes,
//! no or unknown.

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
