//! The Library page: all records under the user's folders, and one search over all of them.
//!
//! `model` is what the page's parts share, `reading` reads the records in the background. `matches` lists them, `search_box` is
//! the line of words with its chips, `results` lists the clips that were found. `marking` puts stars, tags and notes on them, `noting`
//! has the buttons and the line for these.

mod marking;
#[cfg(test)]
mod marks_tests;
mod matches;
mod model;
mod noting;
mod page;
mod playing;
mod reading;
mod results;
mod search_box;
#[cfg(test)]
mod tests;

pub use page::LibraryPage;
