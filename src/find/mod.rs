//! The court found in a picture. Pure: a picture goes in, a calibration comes out.
//!
//! [`find_court`] looks for the painted lines and decides how far to believe what it found. From left to right: `grey` ▶
//! `ridge` (pixels on bright lines) ▶ `segment`, `line` ▶ `guess` (which lines of the court could these be?) ▶ `score` ▶
//! `search` (the camera fitted to the lines) ▶ `court` (the decision). A [`Follower`] then follows it from frame to frame (`follow`);
//! `motion` tells it how the whole picture moved. A [`FilmFollower`] takes the frames of a film one by one, finds the court, follows
//! it, finds it again after a cut (`film`), and gives [`Poses`]: for each time the camera, or why there is none. [`Backward`] asks for frames
//! once more and follows it through those before a start (`back`). [`Players`] finds the feet of the players in small pictures in colour ([`Colour`]). `advice` says where the camera should stand, `model` holds the painted lines.

mod advice;
mod back;
mod bodies;
mod colour;
mod court;
mod empty;
mod film;
mod follow;
mod grey;
mod guess;
mod line;
mod mask;
mod middle;
mod model;
mod motion;
mod planar;
mod players;
mod poses;
#[cfg(test)]
mod rendered;
mod ridge;
mod score;
mod search;
mod segment;
#[cfg(test)]
mod tests;
mod way;

pub use advice::{Advice, advice, least_height};
pub use back::Backward;
pub use colour::Colour;
pub use court::{Belief, Court, NotFound, find_court, find_court_unless_stopped};
pub use film::{FilmFollower, marked_court, stands};
pub use follow::{Follower, Packed, Pose, Small, Step};
pub use grey::Grey;
pub use planar::Planar;
pub use players::{Feet, Players};
pub use poses::{FramePose, Poses, Seen, Start, Unseen};
