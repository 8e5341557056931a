//! Where the camera of a clip was, for what is drawn on the ground of the court.

use super::model::Clip;
use crate::measure::Camera;
use crate::time::MatchTime;

/// Where the camera was that took the frame of a clip which is shown at a moment of its footage, if that is known.
pub type Ground<'a> = &'a dyn Fn(&Clip, MatchTime) -> Option<Camera>;
