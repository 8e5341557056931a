//! The Study page: a question, its answer, and the clips behind every number.
//!
//! `model` holds what is asked, the answer and the spot that is chosen; `asking` answers off the main loop, `choosing` lists
//! and plays clips. The widgets show it: `page` lays them out; `questions` and `filter` say what is asked; `answer` shows
//! tables (`table`, `strata`, `plot`, made of `parts`) or the match in numbers (`numbers`), `court` the court picture, `clips` the list, `large` the footage that takes the page. `cells` are the numbers that take the
//! focus. `files` asks for files, `shown` hands the answer to an export. `outside` is all that the page uses of the rest of the window.

mod answer;
mod asking;
mod cells;
mod choosing;
mod clip_list;
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
