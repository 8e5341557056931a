//! The simulated match: play, pictures, sound, truth.
//!
//! Two invented players, Holt and Okafor, play by the rules; one number makes one match. From left to right:
//! `dice` (measured distributions) and `tactics` (habits) ▶ `rally` (one point) ▶ `play` (the match) ▶ `stage`
//! (where everybody is at any moment, and what is heard) ▶ `camera`, `camera_work`, `scene`, `figure`, `render` (pictures) and
//! `sound` ▶ `film` (files). [`mod@truth`] is the record of what happened, [`logged()`] what a careful coach would log of it.

mod camera;
mod camera_truth;
mod camera_work;
mod dice;
mod edited;
mod figure;
mod film;
mod flight;
mod logged;
mod play;
mod rally;
mod render;
mod scene;
mod sound;
mod stage;
mod tactics;
pub mod truth;

pub use camera_work::CameraWork;
pub use film::{Demo, DemoError, Progress, make, make_unless_stopped, truth};
pub use logged::logged;
#[cfg(test)]
pub(crate) use logged::miss;
pub use truth::Truth;
