//! Reels: a lesson as one video.
//!
//! [`Plan`] says which frame of which file each frame of the reel shows, and where its sound comes from; pure; `told` is a lesson as its talk shows it. `render` makes the
//! file: `screen` composes each picture with the words that `look` places and `words` sets, `mixer` joins the sounds, which
//! `loud` makes equally loud, and `voice` is the coach's.

#[cfg(feature = "video")]
mod error;
#[cfg(feature = "video")]
mod look;
#[cfg(feature = "video")]
mod loud;
#[cfg(feature = "video")]
mod mixer;
mod plan;
#[cfg(test)]
mod plan_tests;
#[cfg(feature = "video")]
mod render;
#[cfg(feature = "video")]
mod screen;
mod seen;
mod told;
mod track;
#[cfg(feature = "video")]
mod voice;
#[cfg(feature = "video")]
mod words;

#[cfg(feature = "video")]
pub use error::ReelError;
#[cfg(feature = "video")]
pub use mixer::Level;
pub use plan::{Files, Mark, Plan, PlanError, Scene, Shows, Sound, Wish};
#[cfg(feature = "video")]
pub use render::{Made, estimate, expected, render};
pub use seen::{Told, Voices};
pub use told::shown_at;
pub use track::{Freezing, Look, Piece, Track, Way};
