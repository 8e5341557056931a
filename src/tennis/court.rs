//! The court: its measures and named places.
//!
//! Axes: x to the right and y away from the camera, origin on the ground at the middle of the net, metres. Measures
//! are those of the ITF Rules of Tennis (rule 1 and appendix on the court), which are whole feet and inches.

use std::fmt;
use std::ops::{Add, Mul, Neg, Sub};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A length in metres, with its sign where it is a coordinate.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct Metres(pub f64);

impl Metres {
    /// From feet (0.3048 m exactly) and inches (a twelfth of a foot).
    pub const fn from_feet(feet: f64, inches: f64) -> Self {
        Self((feet + inches / 12.0) * 0.3048)
    }

    /// The same length in feet.
    pub const fn feet(self) -> f64 {
        self.0 / 0.3048
    }

    /// The length without its sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl Add for Metres {
    type Output = Self;

    fn add(self, rhs: Self) -> Self {
        Self(self.0 + rhs.0)
    }
}

impl Sub for Metres {
    type Output = Self;

    fn sub(self, rhs: Self) -> Self {
        Self(self.0 - rhs.0)
    }
}

impl Neg for Metres {
    type Output = Self;

    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Metres {
    type Output = Self;

    fn mul(self, rhs: f64) -> Self {
        Self(self.0 * rhs)
    }
}

impl fmt::Display for Metres {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.2} m", self.0)
    }
}

/// A place on the ground.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Spot {
    /// To the right of the middle of the net, as the camera sees it.
    pub x: Metres,
    /// Beyond the net, as the camera sees it; negative on the near side.
    pub y: Metres,
}

impl Spot {
    /// A place from its coordinates in metres.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x: Metres(x), y: Metres(y) }
    }

    /// How far another place is.
    pub fn distance(self, other: Self) -> Metres {
        Metres((self.x.0 - other.x.0).hypot(self.y.0 - other.y.0))
    }
}

/// From the net to either baseline (outer edge).
pub const HALF_LENGTH: Metres = Metres::from_feet(39.0, 0.0);
/// From the centre line to either singles sideline (outer edge).
pub const HALF_SINGLES: Metres = Metres::from_feet(13.0, 6.0);
/// From the centre line to either doubles sideline (outer edge).
pub const HALF_DOUBLES: Metres = Metres::from_feet(18.0, 0.0);
/// From the net to either service line (outer edge).
pub const SERVICE_LINE: Metres = Metres::from_feet(21.0, 0.0);
/// Height of the net at its middle.
pub const NET_CENTRE: Metres = Metres::from_feet(3.0, 0.0);
/// Height of the net at its posts.
pub const NET_POST: Metres = Metres::from_feet(3.0, 6.0);
/// From the doubles sideline to the middle of a net post.
pub const POST_OUTSIDE: Metres = Metres::from_feet(3.0, 0.0);
/// Width of the centre service line and the centre marks.
pub const CENTRE_LINE_WIDTH: Metres = Metres::from_feet(0.0, 2.0);
/// Width of the other lines as usually painted (the rules allow 1 to 2 inches).
pub const LINE_WIDTH: Metres = Metres::from_feet(0.0, 2.0);
/// Width of the baselines as usually painted (the rules allow up to 4 inches).
pub const BASELINE_WIDTH: Metres = Metres::from_feet(0.0, 4.0);
/// Length of a centre mark, inwards from the baseline.
pub const CENTRE_MARK: Metres = Metres::from_feet(0.0, 4.0);
/// Radius of a ball (the rules allow diameters of 6.54 to 6.86 cm).
pub const BALL_RADIUS: Metres = Metres(0.033_5);

/// A named place on the court that can be seen in a picture and whose position is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Landmark {
    /// What a person calls it.
    pub name: &'static str,
    /// Where it is.
    pub spot: Spot,
}

/// The fourteen corners and line crossings of a court, from the camera outwards and from left to right.
pub const LANDMARKS: [Landmark; 14] = {
    const B: f64 = HALF_LENGTH.0;
    const S: f64 = HALF_SINGLES.0;
    const D: f64 = HALF_DOUBLES.0;
    const V: f64 = SERVICE_LINE.0;
    const fn at(name: &'static str, x: f64, y: f64) -> Landmark {
        Landmark { name, spot: Spot::new(x, y) }
    }
    [
        at("near-left doubles corner", -D, -B),
        at("near-left singles corner", -S, -B),
        at("near-right singles corner", S, -B),
        at("near-right doubles corner", D, -B),
        at("near service line x left singles", -S, -V),
        at("near T", 0.0, -V),
        at("near service line x right singles", S, -V),
        at("far service line x left singles", -S, V),
        at("far T", 0.0, V),
        at("far service line x right singles", S, V),
        at("far-left doubles corner", -D, B),
        at("far-left singles corner", -S, B),
        at("far-right singles corner", S, B),
        at("far-right doubles corner", D, B),
    ]
};

/// Height of the net over the ground at `x`: straight from the strap at the middle to the doubles posts, the same
/// beyond them.
pub fn net_height(x: Metres) -> Metres {
    let part = (x.abs().0 / (HALF_DOUBLES + POST_OUTSIDE).0).min(1.0);
    NET_CENTRE + (NET_POST - NET_CENTRE) * part
}

/// Whether a ball whose middle lands here is in the singles court: it is in when any of it touches the line.
pub fn in_singles(spot: Spot) -> bool {
    spot.x.abs() <= HALF_SINGLES + BALL_RADIUS && spot.y.abs() <= HALF_LENGTH + BALL_RADIUS
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ITF CS 04/02 gives the same court in metres to three places.
    #[test]
    fn feet_agree_with_the_published_metres() {
        for (ours, published) in [
            (HALF_LENGTH, 11.887),
            (HALF_SINGLES, 4.115),
            (HALF_DOUBLES * 2.0, 10.973),
            (SERVICE_LINE, 6.401),
            (HALF_LENGTH * 2.0, 23.774),
            (HALF_DOUBLES - HALF_SINGLES, 1.372),
            (NET_CENTRE, 0.914),
            (NET_POST, 1.067),
        ] {
            assert!((ours.0 - published).abs() < 6e-4, "{ours} is not {published} m");
        }
        assert!((Metres(3.6576).feet() - 12.0).abs() < 1e-12);
    }

    #[test]
    fn the_diagonal_closes() {
        let d = LANDMARKS[0].spot.distance(LANDMARKS[13].spot);
        assert!((d.0 - 26.1844).abs() < 1e-4, "{d}");
    }

    #[test]
    fn the_net_sags_to_its_strap() {
        assert_eq!(net_height(Metres(0.0)), NET_CENTRE);
        assert!((net_height(Metres(9.0)) - NET_POST).abs().0 < 1e-12);
        assert!(net_height(Metres(-2.0)) > NET_CENTRE);
    }

    #[test]
    fn a_ball_on_the_line_is_in() {
        assert!(in_singles(Spot::new(4.14, 11.9)));
        assert!(!in_singles(Spot::new(4.2, 11.0)));
        assert!(!in_singles(Spot::new(0.0, -12.0)));
    }
}
