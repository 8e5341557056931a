//! Sheets: three findings on one printed page, with a picture of the court, stills, clip times, and room for the coach's hand.
//!
//! `content` is what a sheet says, from what the questions of Study found or from a lesson; pure. `paint` draws it as PDF.

mod content;
#[cfg(feature = "paint")]
mod paint;

pub use content::{Court, Finding, Moment, Sheet, of_lesson, of_study};
#[cfg(feature = "paint")]
pub use paint::{Still, pdf};
