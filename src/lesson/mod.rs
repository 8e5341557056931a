//! Lessons: clips in order, with what a coach says, writes and draws about them.
//!
//! A lesson is a document of its own, `NAME.lesson.json`, kept as safely as a record. It names records and footage, and holds all
//! that is needed to play it when a record is away. `whole` and `model` are what it holds, `sound` what it may hold, `file` reads and writes it,
//! `build` makes one from a clip list, `edit` and `shape` change it, `footage` finds the files that it shows, `ground` is where its cameras were, `listed` lists its
//! clips for other programs, `talk` is what the coach
//! says over it, `texts` are all words in it.

mod build;
mod document;
mod edit;
mod file;
mod footage;
mod ground;
mod listed;
pub mod model;
mod shape;
mod sound;
pub mod talk;
pub mod texts;
mod whole;

pub use build::{Origin, parts_of};
pub use edit::{Change, Edit};
pub use file::{LessonStore, create, load, to_text};
pub use footage::{Astray, Found, find, others};
pub use ground::Ground;
pub use listed::listed;
pub use model::{
    Chapter, Clip, Condition, Footage, Freeze, Met, OfPoint, Pace, Pair, Part, Picture, Still, Stretch,
};
pub use sound::{LONGEST, MOST_CAPTION, MOST_NOTES, MOST_PARTS, MOST_TITLE, PACES, TIMES};
pub use whole::{FORMAT, Lesson, VERSION};
