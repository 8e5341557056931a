//! What a key says about one shot.

use super::action::Action;
use crate::record::Shot;
use crate::tennis::stroke::{Spin, Stroke, VolleyKind, Wing};

/// What a key says about one shot.
#[derive(Clone, Copy)]
pub(super) enum Said {
    Stroke(Stroke),
    Volley(VolleyKind),
    Spin(Spin),
    Wing(Wing),
    Approach,
    AtNet,
    NetCord,
}

impl Said {
    /// What the key of an action says; nothing for other actions.
    pub(super) const fn of(action: Action) -> Option<Self> {
        Some(match action {
            Action::Groundstroke => Self::Stroke(Stroke::Groundstroke),
            Action::DropShot => Self::Stroke(Stroke::DropShot),
            Action::Volley => Self::Stroke(Stroke::Volley),
            Action::HalfVolley => Self::Volley(VolleyKind::Half),
            Action::SwingingVolley => Self::Volley(VolleyKind::Swinging),
            Action::Overhead => Self::Stroke(Stroke::Overhead),
            Action::Lob => Self::Stroke(Stroke::Lob),
            Action::Slice => Self::Spin(Spin::Slice),
            Action::Topspin => Self::Spin(Spin::Topspin),
            Action::Flat => Self::Spin(Spin::Flat),
            Action::Approach => Self::Approach,
            Action::AtNet => Self::AtNet,
            Action::NetCord => Self::NetCord,
            Action::Backhand => Self::Wing(Wing::Backhand),
            Action::Forehand => Self::Wing(Wing::Forehand),
            _ => return None,
        })
    }

    /// The tag that says it of a point without shots.
    pub(super) const fn tag(self) -> Option<&'static str> {
        match self {
            Self::Stroke(stroke) if !matches!(stroke, Stroke::Groundstroke) => Some(stroke.words()),
            Self::Volley(_) => Some(Stroke::Volley.words()),
            Self::Approach => Some("approach"),
            Self::Stroke(_) | Self::Spin(_) | Self::Wing(_) | Self::AtNet | Self::NetCord => None,
        }
    }

    /// What of it a serve does not have.
    pub(super) const fn not_of_a_serve(self) -> Option<&'static str> {
        match self {
            Self::Stroke(_) | Self::Volley(_) => Some("stroke"),
            Self::Wing(_) => Some("wing"),
            Self::AtNet => Some("place at the net"),
            Self::Spin(_) | Self::Approach | Self::NetCord => None,
        }
    }

    /// Says it of a shot, or takes it off if the shot has it. A shot that loses its stroke gets the `plain` one.
    pub(super) fn put(self, shot: &mut Shot, plain: Option<Stroke>) {
        match self {
            Self::Stroke(s) => {
                shot.stroke = other(shot.stroke, s).or(plain.filter(|p| *p != s));
                shot.volley = None;
            }
            // It is a volley, whichever key came first.
            Self::Volley(kind) if shot.volley == Some(kind) => {
                (shot.volley, shot.stroke) = (None, plain);
            }
            Self::Volley(kind) => (shot.volley, shot.stroke) = (Some(kind), Some(Stroke::Volley)),
            Self::Spin(s) => shot.spin = other(shot.spin, s),
            Self::Wing(w) => shot.wing = other(shot.wing, w),
            Self::Approach => shot.approach = !shot.approach,
            Self::AtNet => shot.at_net = !shot.at_net,
            Self::NetCord => shot.net_cord = !shot.net_cord,
        }
    }
}

/// The value, or `None` if it was set already.
pub(super) fn other<T: PartialEq + Copy>(was: Option<T>, now: T) -> Option<T> {
    if was == Some(now) { None } else { Some(now) }
}
