//! From the picture to the ground and back: camera, calibration, positions with their error. Pure.
//!
//! Someone marks landmarks of the court in a picture ([`Mark`]). [`Calibration::of`] makes a [`Homography`] of them, from
//! it a [`Camera`], and says for each mark how far it is off. A [`Calibration`] then turns a pixel into a place on the
//! ground with its [`Spread`]. Only what touches the ground can be measured: a ball one metre high at the far baseline
//! would be put metres away.
//!
//! From left to right: `pixel` ▶ `homography`, `camera` ▶ `fit` ▶ `calibration`; `spread` is the error of a place, `reading` says what a place means
//! to a coach.
//!
//! Pixels are counted from the picture's left and top edge, so the middle of the first pixel is at 0.5. Places are
//! those of [`crate::tennis::court`], in metres.

mod calibration;
mod camera;
mod fit;
mod homography;
mod pixel;
pub mod reading;
mod spread;
#[cfg(test)]
mod tests;

pub use calibration::{Agreement, Calibration, CalibrationError, Mark, Place};
pub use camera::{Camera, NUMBERS, PoseStep, SeeSlope, Stand, Turn};
pub use fit::{CLICK, RADIAL_PRIOR};
pub use homography::{Homography, HomographyError};
pub use pixel::{Pixel, Size};
pub use spread::{Ellipse, Spread};
