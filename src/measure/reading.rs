//! What a measured place on the ground says to a coach, in metres and feet, as far as it is certain. Pure.

use super::calibration::Place;
use crate::tennis::court::{HALF_LENGTH, HALF_SINGLES, Metres, Spot};
use crate::tennis::stroke::Depth;
use crate::time::MatchTime;

/// A place is certain to be on one side of an edge if it is this many standard deviations from it: 95 % of normal errors are
/// smaller.
pub const CERTAIN: f64 = 1.96;

/// The value of a place's coordinates that is certain within its error, where it is the same at both ends of the error.
pub fn certain<T: PartialEq>(at: &Place, of: impl Fn(Spot) -> T) -> Option<T> {
    let (dx, dy) = at.spread.deviations();
    let (dx, dy) = (dx * CERTAIN, dy * CERTAIN);
    let ends = [(dx, dy), (dx, -dy), (-dx, dy), (-dx, -dy)];
    let value = of(at.spot);
    let same = ends.iter().all(|(dx, dy)| of(Spot { x: at.spot.x + *dx, y: at.spot.y + *dy }) == value);
    same.then_some(value)
}

/// Whether it is inside the baseline; `None` within the error of it.
pub fn inside(at: &Place) -> Option<bool> {
    certain(at, |s| s.y.abs() < HALF_LENGTH)
}

/// How far behind the nearer baseline; negative inside it.
pub fn behind(at: &Place) -> Metres {
    at.spot.y.abs() - HALF_LENGTH
}

/// The third of the singles court's width, as the camera sees it.
pub fn lane(at: &Place) -> Option<&'static str> {
    certain(at, |s| match s.x.0 / (HALF_SINGLES.0 / 3.0) {
        x if x.abs() > 3.0 => "outside the singles court",
        x if x < -1.0 => "left third",
        x if x > 1.0 => "right third",
        _ => "middle third",
    })
}

/// How deep in its half.
pub fn zone(at: &Place) -> Option<&'static str> {
    certain(at, |s| match s.y.abs() {
        y if y > HALF_LENGTH => "behind the baseline",
        y => match Depth::at(y) {
            Depth::Short => "short",
            Depth::Mid => "mid",
            Depth::Deep => "deep",
        },
    })
}

/// Metres and feet: `1.24 m (4.1 ft)`.
pub fn length(of: Metres) -> String {
    format!("{:.2} m ({:.1} ft)", of.0.abs(), of.feet().abs())
}

/// How far it is from the baseline and from the middle, its lane and zone, and its error.
pub fn words(at: &Place) -> String {
    let end = if at.spot.y.0 < 0.0 { "near" } else { "far" };
    let from = behind(at);
    let deep = match inside(at) {
        Some(true) => format!("{} inside the {end} baseline", length(from)),
        Some(false) => format!("{} behind the {end} baseline", length(from)),
        None => format!("on the {end} baseline or within {} of it: uncertain", length(from)),
    };
    let across = if at.spot.x.0 < 0.0 { "left" } else { "right" };
    let parts = [lane(at), zone(at)].map(|p| p.unwrap_or("uncertain"));
    let error = at.spread.ellipse(0.95);
    format!(
        "{deep}; {} {across} of the middle. Lane: {}; zone: {}. 95 % within {:.2} × {:.2} m.",
        length(at.spot.x),
        parts[0],
        parts[1],
        error.long.0,
        error.short.0
    )
}

/// How somebody moved between two places.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Movement {
    /// How fast, in metres a second.
    pub speed: f64,
    /// One standard deviation of it.
    pub error: f64,
    /// Metres a second to the right and away from the camera.
    pub velocity: [f64; 2],
}

/// The movement between two measured places; `None` if they are of one moment.
pub fn movement(from: (MatchTime, Place), to: (MatchTime, Place)) -> Option<Movement> {
    let ((t0, a), (t1, b)) = if from.0 <= to.0 { (from, to) } else { (to, from) };
    let seconds = (t1 - t0).as_secs_f64();
    if seconds <= 0.0 {
        return None;
    }
    let (dx, dy) = ((b.spot.x - a.spot.x).0, (b.spot.y - a.spot.y).0);
    let long = dx.hypot(dy);
    let [xx, xy, yy] = (a.spread + b.spread).numbers();
    // The error along the way; of somebody who stands, along the worst direction.
    let along = if long > 1e-6 {
        (dx * dx * xx + 2.0 * dx * dy * xy + dy * dy * yy) / (long * long)
    } else {
        (a.spread + b.spread).ellipse(1.0 - (-0.5_f64).exp()).long.0.powi(2)
    };
    Some(Movement {
        speed: long / seconds,
        error: along.max(0.0).sqrt() / seconds,
        velocity: [dx / seconds, dy / seconds],
    })
}

impl Movement {
    /// Speed, error and direction; that nobody moved for certain, if it is within the error.
    pub fn words(&self) -> String {
        if self.speed < CERTAIN * self.error {
            return format!("no movement beyond the error of {:.1} m/s", CERTAIN * self.error);
        }
        let [x, y] = self.velocity;
        let side = if x < 0.0 { "to the left" } else { "to the right" };
        let deep = if y < 0.0 { "toward the camera" } else { "away from the camera" };
        let way = match (x.abs() / self.speed, y.abs() / self.speed) {
            (sideways, _) if sideways > 0.924 => side.to_owned(),
            (_, lengthways) if lengthways > 0.924 => deep.to_owned(),
            _ => format!("{side} and {deep}"),
        };
        format!("{:.1} ± {:.1} m/s {way}", self.speed, CERTAIN * self.error)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Spread;

    fn at(x: f64, y: f64, sx: f64, sy: f64) -> Place {
        Place { spot: Spot::new(x, y), spread: Spread::new(sx * sx, 0.0, sy * sy).unwrap() }
    }

    #[test]
    fn a_place_in_words() {
        assert_eq!(
            words(&at(-1.0, -13.1, 0.02, 0.05)),
            "1.21 m (4.0 ft) behind the near baseline; 1.00 m (3.3 ft) left of the middle. Lane: middle third; \
             zone: behind the baseline. 95 % within 0.12 × 0.05 m."
        );
        assert_eq!(
            words(&at(1.4, 11.8, 0.05, 0.2)),
            "on the far baseline or within 0.09 m (0.3 ft) of it: uncertain; 1.40 m (4.6 ft) right of the middle. \
             Lane: uncertain; zone: uncertain. 95 % within 0.49 × 0.12 m."
        );
        assert_eq!(inside(&at(0.0, 11.0, 0.1, 0.3)), Some(true));
        assert_eq!(inside(&at(0.0, 11.4, 0.1, 0.3)), None);
    }

    #[test]
    fn a_movement_has_speed_direction_and_error() {
        let secs = MatchTime::from_millis;
        let m = movement((secs(1000), at(0.0, -12.0, 0.03, 0.04)), (secs(1500), at(1.5, -12.0, 0.03, 0.04)));
        let m = m.unwrap();
        assert!((m.speed - 3.0).abs() < 1e-9 && (m.error - 0.03 * 2.0_f64.sqrt() / 0.5).abs() < 1e-9);
        assert_eq!(m.words(), "3.0 ± 0.2 m/s to the right");
        let back =
            movement((secs(1500), at(0.0, -12.0, 0.03, 0.04)), (secs(1000), at(0.0, -11.0, 0.03, 0.04)));
        assert_eq!(back.unwrap().words(), "2.0 ± 0.2 m/s toward the camera");
        let still =
            movement((secs(0), at(0.0, 12.0, 0.1, 0.4)), (secs(500), at(0.0, 12.2, 0.1, 0.4))).unwrap();
        assert_eq!(still.words(), "no movement beyond the error of 2.2 m/s");
        assert_eq!(movement((secs(5), at(0.0, 1.0, 0.1, 0.1)), (secs(5), at(0.0, 2.0, 0.1, 0.1))), None);
    }
}
