//! The Study page: a question, its answer, and the clips behind every number.
//!
//! `model` holds the question, the answer and the chosen number. `asking` answers outside the main loop, `choosing` lists and plays
//! clips. The widgets: `page` is the layout, `questions` and `filter` choose the question, `answer` shows tables (`table`, `strata`,
//! `plot`, made of `parts`) or the match in numbers (`numbers`), `court` is the court picture, `clips` the list, `large` the large
//! footage. `cells` are the numbers that can have the focus. `files` asks for files, `shown` gives the answer to an export.
//! `outside` holds everything that the page uses of the rest of the window.

mod answer;
mod asking;
mod cells;
mod choosing;
mod clips;
mod court;
mod court_draw;
mod files;
mod filter;
mod large;
mod model;
mod numbers;
#[cfg(test)]
mod numbers_tests;
mod outside;
mod page;
mod panes;
mod parts;
mod plot;
mod questions;
mod shown;
mod strata;
mod table;
#[cfg(test)]
mod tests;
mod widgets;

pub use page::StudyPage;
