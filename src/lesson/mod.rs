//! Lessons: clips in order, with what a coach says, writes and draws about them. Pure.
//!
//! A lesson is a document of its own, `NAME.lesson.json`, kept as safely as a record. It names records and footage, and holds all
//! that is needed to play it when a record is away. `model` is what it holds.

pub mod model;

pub use model::{
    Chapter, Clip, Condition, Footage, Freeze, Lesson, Met, OfPoint, Pace, Pair, Part, Picture, Still,
    Stretch,
};
