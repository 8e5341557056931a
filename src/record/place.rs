//! A place on the ground of the court, as a record holds it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::tennis::court::{HALF_LENGTH, HALF_SINGLES, Metres, Spot};

/// A measured place on the ground in whole millimetres, which is finer than any measurement of it: to the right of the
/// middle of the net, and beyond it, as the camera sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// To the right of the middle of the net.
    pub x_mm: i32,
    /// Beyond the net; negative on the near side.
    pub y_mm: i32,
}

impl Place {
    /// Whether it is in the singles court, in either half.
    pub fn in_court(self) -> bool {
        let at = Spot::from(self);
        at.x.abs() <= HALF_SINGLES && at.y.abs() <= HALF_LENGTH
    }
}

impl From<Spot> for Place {
    fn from(spot: Spot) -> Self {
        let whole = |m: Metres| (m.0 * 1000.0).round() as i32;
        Self { x_mm: whole(spot.x), y_mm: whole(spot.y) }
    }
}

impl From<Place> for Spot {
    fn from(place: Place) -> Self {
        Self::new(f64::from(place.x_mm) / 1000.0, f64::from(place.y_mm) / 1000.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_kept_to_the_millimetre() {
        let spot = Spot::new(-4.1148, 11.8872);
        let back = Spot::from(Place::from(spot));
        assert!(spot.distance(back).0 < 0.001);
    }
}
