//! Places in the demo's world, as numbers of metres, and what lies between two of them.

use nalgebra::{Vector2, Vector3};

/// From left to right, from the near end to the far one, up.
pub(super) type Place = [f64; 3];

/// The place at part `s` of the way from `a` to `b`; 0 is `a`, 1 is `b`.
pub(super) fn mix(a: Place, b: Place, s: f64) -> Place {
    let (a, b) = (Vector3::from(a), Vector3::from(b));
    (a + (b - a) * s).into()
}

/// How far two places are apart.
pub(super) fn apart(a: Place, b: Place) -> f64 {
    Vector3::from(a).metric_distance(&Vector3::from(b))
}

/// How far two places on the ground are apart.
pub(super) fn dist(a: [f64; 2], b: [f64; 2]) -> f64 {
    Vector2::from(a).metric_distance(&Vector2::from(b))
}
