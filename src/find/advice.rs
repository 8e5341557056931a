//! Where the camera should stand so that the court is found and far places are measured well.

use std::fmt;

use crate::measure::Camera;
use crate::tennis::court::{HALF_LENGTH, LANDMARKS, Metres, NET_CENTRE};

/// From this height on the court was found in nearly all test pictures.
const GOOD_HEIGHT: Metres = Metres(4.0);
/// The tests go up to this angle to the side of the court's middle line, in degrees.
const SIDEWAYS: f64 = 25.0;

/// What would make a camera see more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Advice {
    /// The net hides the far baseline.
    OverTheNet {
        /// The least height from which the far baseline is seen over the net at this distance.
        least: Metres,
    },
    /// Low: far places are uncertain by tens of centimetres.
    Higher {
        /// How high it is.
        height: Metres,
    },
    /// Corners of the court are outside the picture.
    MoreOfTheCourt {
        /// How many landmarks are in the picture.
        seen: usize,
    },
    /// Far to the side.
    Middle,
}

impl fmt::Display for Advice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OverTheNet { least } => {
                write!(
                    f,
                    "the net hides the far baseline: put the camera at least {:.1} m high, or nearer",
                    least.0
                )
            }
            Self::Higher { height } => write!(
                f,
                "the camera is about {:.1} m high: from {} m up, far places are measured better",
                height.0, GOOD_HEIGHT.0
            ),
            Self::MoreOfTheCourt { seen } => write!(
                f,
                "{seen} of 14 corners and line crossings are in the picture: move the camera back or zoom out"
            ),
            Self::Middle => {
                f.write_str("the camera is far to the side: put it behind the middle of the baseline")
            }
        }
    }
}

/// The least height from which the far baseline is seen over the middle of the net, for a camera this far from the net:
/// the sight line from the far baseline over the net, by similar triangles.
pub fn least_height(from_net: Metres) -> Metres {
    NET_CENTRE * ((from_net + HALF_LENGTH).0 / HALF_LENGTH.0)
}

/// What would make this camera see more; nothing if it stands well.
pub fn advice(camera: &Camera) -> Vec<Advice> {
    let [x, y, height] = camera.position();
    let least = least_height(Metres(-y));
    let in_picture = |at| camera.see_ground(at).is_some_and(|p| camera.size().holds(p, 0.0));
    let seen = LANDMARKS.iter().filter(|l| in_picture(l.spot)).count();
    let mut all = Vec::new();
    if height < least.0 {
        all.push(Advice::OverTheNet { least });
    } else if height < GOOD_HEIGHT.0 {
        all.push(Advice::Higher { height: Metres(height) });
    }
    if seen < LANDMARKS.len() {
        all.push(Advice::MoreOfTheCourt { seen });
    }
    if x.atan2(-y).to_degrees().abs() > SIDEWAYS {
        all.push(Advice::Middle);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Size;

    /// A probe with real cameras: 2.1 m at 15 m from the net, 3.0 m at 27 m.
    #[test]
    fn the_far_baseline_is_seen_over_the_net() {
        assert!((least_height(Metres(15.0)).0 - 2.1).abs() < 0.05);
        assert!((least_height(Metres(27.0)).0 - 3.0).abs() < 0.05);
        for (height, hidden) in [(2.4, true), (2.5, false)] {
            let camera = Camera::looking([0.0, -20.0, height], [0.0; 3], 60.0, Size::new(1280, 720)).unwrap();
            let told = advice(&camera);
            assert_eq!(matches!(told[0], Advice::OverTheNet { .. }), hidden, "{told:?}");
            // The same by sight: the far baseline is above the net's top in the picture, or not.
            let row = |at| camera.see(at).unwrap().y;
            assert_eq!(row([0.0, HALF_LENGTH.0, 0.0]) > row([0.0, 0.0, NET_CENTRE.0]), hidden);
        }
    }

    #[test]
    fn a_good_place_needs_no_advice() {
        let stand = |at: [f64; 3], wide| {
            advice(&Camera::looking(at, [0.0, -2.0, 0.0], wide, Size::new(1280, 720)).unwrap())
        };
        assert_eq!(stand([0.0, -23.9, 5.0], 60.0), []);
        let told = stand([15.0, -20.0, 3.0], 30.0);
        let words: Vec<String> = told.iter().map(ToString::to_string).collect();
        assert!(matches!(told[..], [Advice::Higher { .. }, .., Advice::Middle]), "{words:?}");
        assert_eq!(words[0], "the camera is about 3.0 m high: from 4 m up, far places are measured better");
    }
}
