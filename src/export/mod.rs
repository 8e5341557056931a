//! Clip lists and summaries as files for other programs: one file here for each format.
//!
//! Names, tags and notes are hostile text: each format escapes them so that they can neither break the file nor
//! run as a formula in a spreadsheet.

pub mod chapters;
pub mod csv;
pub mod edl;
pub mod json;
pub mod numbers;
pub mod otio;
pub mod points;
pub mod score;
pub mod study;
pub mod table;
pub mod timecode;
pub mod webvtt;
pub mod xspf;

mod answers_csv;
mod columns;
mod error;
mod extent;
mod format;
mod place;
mod sheet;

pub use error::ExportError;
pub use extent::Extent;
pub use format::{AnswerFormat, Format, PointFormat};
pub use place::name_from;
pub use sheet::{Of, Sheet};

#[cfg(test)]
mod study_tests;
#[cfg(test)]
mod tests;
