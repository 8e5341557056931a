//! The shots of a point, as they were seen. What they mean is worked out in `facts`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::place::Place;
use super::position::Position;
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
    /// Where feet, and the ball as it bounced, were seen to touch the ground around the strike. Since version 3.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub positions: Vec<Position>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_of_which_nothing_was_seen_is_an_empty_object() {
        assert_eq!(serde_json::to_string(&Shot::default()).unwrap(), "{}");
        assert_eq!(serde_json::from_str::<Shot>("{}").unwrap(), Shot::default());
    }
}
