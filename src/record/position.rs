//! Where somebody's feet, or a ball, were seen to touch the ground.
//!
//! What was seen is stored: the frame and the pixel. The place in metres, and its error, follow from the marks of the court; see
//! [`crate::record::Cameras`]. If the camera moves, they follow from where it looked in that frame, which is not part of the record.
//! Then the place is stored as well, because nobody could work it out again.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::court_marks::{Dot, FoundBy};
use super::place::Place;
use crate::measure::{self, CLICK, Calibration, Spread};
use crate::tennis::Side;
use crate::tennis::pair::{Partner, Server};
use crate::time::MatchTime;

/// What touches the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Touch {
    /// The feet of A, the middle between them.
    A,
    /// The feet of B.
    B,
    /// The feet of the first-named of A's pair.
    A1,
    /// The feet of the second-named of A's pair.
    A2,
    /// The feet of the first-named of B's pair.
    B1,
    /// The feet of the second-named of B's pair.
    B2,
    /// The ball, where the shot bounced.
    Ball,
}

impl Touch {
    /// Each with its word.
    pub const WORDS: [(&'static str, Self); 7] = [
        ("a", Self::A),
        ("b", Self::B),
        ("a1", Self::A1),
        ("a2", Self::A2),
        ("b1", Self::B1),
        ("b2", Self::B2),
        ("ball", Self::Ball),
    ];

    /// Whose feet they are; `None` of the ball.
    pub const fn player(self) -> Option<Server> {
        Some(match self {
            Self::A => Server::A,
            Self::B => Server::B,
            Self::A1 => Server::A1,
            Self::A2 => Server::A2,
            Self::B1 => Server::B1,
            Self::B2 => Server::B2,
            Self::Ball => return None,
        })
    }

    /// The feet of a player; in doubles of one of a pair.
    pub const fn feet(side: Side, partner: Option<Partner>) -> Self {
        match (side, partner) {
            (Side::A, None) => Self::A,
            (Side::A, Some(Partner::First)) => Self::A1,
            (Side::A, Some(Partner::Second)) => Self::A2,
            (Side::B, None) => Self::B,
            (Side::B, Some(Partner::First)) => Self::B1,
            (Side::B, Some(Partner::Second)) => Self::B2,
        }
    }
}

/// A place on the ground with the covariance of its error: along x, of both, along y, in square millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Measured {
    /// Where.
    pub place: Place,
    /// How uncertain.
    pub spread_mm2: [i64; 3],
}

impl Measured {
    /// The error; `None` if no error has these numbers.
    pub fn spread(self) -> Option<Spread> {
        let [xx, xy, yy] = self.spread_mm2.map(|v| v as f64 / 1e6);
        Spread::new(xx, xy, yy)
    }
}

impl From<measure::Place> for Measured {
    fn from(at: measure::Place) -> Self {
        let [xx, xy, yy] = at.spread.numbers();
        // Rounded up along the axes, so that the numbers stay those of an error.
        let mm2 = |v: f64| v * 1e6;
        let spread_mm2 = [mm2(xx).ceil() as i64, mm2(xy).trunc() as i64, mm2(yy).ceil() as i64];
        Self { place: at.spot.into(), spread_mm2 }
    }
}

/// What touched the ground, in which frame, and where in its picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Position {
    /// What.
    pub of: Touch,
    /// The frame, on the match clock.
    pub frame: MatchTime,
    /// The pixel.
    pub at: Dot,
    /// Who found it. What was only proposed is not in the record.
    #[serde(default, skip_serializing_if = "FoundBy::is_hand")]
    pub by: FoundBy,
    /// The place on the ground, if the camera moved.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measured>,
}

/// How far feet that were found are off in the picture, in pixels, and on the ground, in metres, because they stand apart: one standard
/// deviation each.
pub const FOUND: (f64, f64) = (1.5, 0.12);

impl Position {
    /// Where that is on the ground, as this camera sees it. What was found and only accepted is less sure than a click. `None` where
    /// no ground is seen.
    pub fn place(&self, camera: &Calibration) -> Option<measure::Place> {
        if self.by.is_hand() {
            return camera.place(self.at.into(), CLICK);
        }
        let place = camera.place(self.at.into(), FOUND.0)?;
        Some(measure::Place { spread: place.spread.wider(FOUND.1), ..place })
    }
}
