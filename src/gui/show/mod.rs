//! The Show page: a lesson is put in order, trimmed, and shown.
//!
//! `list` is its parts, `words` what is written to the chosen one and the buttons that cut it, `empty` what is seen when no lesson
//! is open, `layer` draws over the footage, `stage` plays the lesson as a show.

mod empty;
mod layer;
mod list;
mod page;
mod stage;
#[cfg(test)]
mod tests;
mod words;

pub use page::ShowPage;
