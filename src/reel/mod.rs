//! Reels: a lesson as one video.
//!
//! [`Plan`] says which frame of which file each frame of the reel shows, and where its sound comes from; pure.

mod plan;
#[cfg(test)]
mod plan_tests;
mod track;

pub use plan::{Files, Mark, Plan, PlanError, Scene, Shows, Sound, Wish};
pub use track::{Freezing, Look, Piece, Track, Way};
