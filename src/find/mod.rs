//! The court found in a picture. Pure: a picture goes in, a calibration comes out.
//!
//! [`find_court`] looks for the painted lines and decides how far to believe what it found. From left to right: `grey` ▶
//! `ridge` (pixels on bright lines) ▶ `segment`, `line` ▶ `guess` (which lines of the court could these be?) ▶ `score` ▶
//! `search` (the camera fitted to the lines) ▶ `court` (the decision). `advice` says where the camera should stand, `model` holds the painted lines.

mod advice;
mod court;
mod grey;
mod guess;
mod line;
mod model;
#[cfg(test)]
mod rendered;
mod ridge;
mod score;
mod search;
mod segment;
#[cfg(test)]
mod tests;

pub use advice::{Advice, advice, least_height};
pub use court::{Belief, Court, NotFound, find_court};
pub use grey::Grey;
