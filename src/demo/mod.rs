//! The simulated match: play, pictures, sound, truth.
//!
//! Two invented players, Holt and Okafor, play by the rules; one number makes one match. From left to right:
//! `dice` (measured distributions) and `tactics` (habits) ▶ `rally` (one point) ▶ `play` (the match) ▶ `stage`
//! (where everybody is at any moment, and what is heard) ▶ `camera`, `camera_work`, `scene`, `figure`, `render` (pictures) and
//! `sound` ▶ `shoot` (a file) ▶ `film` (files); `many` takes points of several matches. [`mod@truth`] is the record of what
//! happened, [`logged()`] what a careful coach would log of it.

mod camera;
mod camera_truth;
mod camera_work;
mod dice;
mod edited;
mod figure;
mod film;
mod flight;
mod logged;
mod many;
mod play;
mod rally;
mod render;
mod scene;
mod shoot;
mod sound;
mod space;
mod stage;
mod tactics;
pub mod truth;
mod wish;

pub use camera_work::CameraWork;
pub use film::{Progress, make, make_unless_stopped, truth};
#[cfg(test)]
pub(crate) use logged::miss;
pub use logged::{logged, logged_points};
#[cfg(test)]
pub(crate) use many::whole_points;
pub use many::{MOST, PointsTruth, SeenPoint, make_all_points, make_points, points_truth};
pub use truth::Truth;
pub use wish::{Demo, DemoError};
