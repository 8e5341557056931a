//! The shots of a point, as they were seen. What they mean is worked out in `facts`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::tennis::court::{HALF_LENGTH, HALF_SINGLES, Metres, Spot};
use crate::tennis::stroke::{Cell, Depth, FaultKind, Pace, Spin, Stroke, VolleyKind, Wing};
use crate::time::MatchTime;

/// One shot. Shot 1 of a point is the serve in play, shot 2 the return. The players alternate, so the server decides who struck
/// which shot. What was not seen is absent; a shot of which nothing was seen has no field at all.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Shot {
    /// When it was logged: the frame shown at the key press, minus the reaction time if that is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<MatchTime>,
    /// The stroke; a serve has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stroke: Option<Stroke>,
    /// The kind of volley, if it was not a plain one. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volley: Option<VolleyKind>,
    /// The wing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wing: Option<Wing>,
    /// The spin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spin: Option<Spin>,
    /// The pace of a serve.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pace: Option<Pace>,
    /// Whether the striker came to the net behind it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub approach: bool,
    /// Whether the striker stood at the net. Since version 3.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub at_net: bool,
    /// Whether it touched the net and went over. Since version 3.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub net_cord: bool,
    /// The cell in which it landed, as the camera sees it; for a serve, the third of the box.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cell: Option<Cell>,
    /// How deep it landed, if the third of the width was not seen and `cell` is absent. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<Depth>,
    /// Where it landed, measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub landing: Option<Place>,
    /// For a missed shot, the cell toward which it was aimed; it did not land there. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aim: Option<Cell>,
    /// For a missed shot, the measured place toward which it was aimed. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aim_place: Option<Place>,
    /// Why a serve was a fault; only for serves that were faults. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fault: Option<FaultKind>,
    /// Where A and B stood at the strike, measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub players: Option<[Place; 2]>,
}

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
    fn a_ball_of_which_nothing_was_seen_is_an_empty_object() {
        assert_eq!(serde_json::to_string(&Shot::default()).unwrap(), "{}");
        assert_eq!(serde_json::from_str::<Shot>("{}").unwrap(), Shot::default());
    }

    #[test]
    fn places_are_kept_to_the_millimetre() {
        let spot = Spot::new(-4.1148, 11.8872);
        let back = Spot::from(Place::from(spot));
        assert!(spot.distance(back).0 < 0.001);
    }
}
