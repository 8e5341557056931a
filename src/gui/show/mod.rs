//! The Show page: a lesson is put in order, trimmed, and shown.
//!
//! `list` is its parts, `words` what is written to the chosen one and the buttons that cut it, `empty` what is seen when no lesson
//! is open, `layer` draws over the footage, `stage` plays the lesson as a show, `screens` says on which screen, `talk_bar` what its
//! talk is doing.

mod empty;
mod layer;
mod list;
mod page;
mod screens;
#[cfg(test)]
mod show_bench;
mod stage;
mod talk_bar;
#[cfg(test)]
mod talk_tests;
#[cfg(test)]
pub(super) mod tests;
mod words;

pub use page::{ShowPage, nothing_to_watch};
