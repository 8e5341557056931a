//! How a ball flies: gravity, spin and air.
//!
//! The air is taken as proportional to speed, which has a closed solution, so that a flight can be solved to start
//! and land exactly where and when the play says: with drag k (1/s) and downward pull g (gravity and topspin, m/s²),
//! z(τ) = z₀ + (z₁ − z₀)·s + (g/k)·(T·s − τ), s = (1 − e^(−kτ)) / (1 − e^(−kT)).

use super::space::mix;
use crate::tennis::court::{BALL_RADIUS, Metres, net_height};

/// Acceleration of free fall, m/s².
pub(super) const FREE_FALL: f64 = 9.81;
/// Drag of a ball in the air, 1/s.
const DRAG: f64 = 0.45;

/// One flight between two moments. Metres and seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Flight {
    from: [f64; 3],
    to: [f64; 3],
    length: f64,
    pull: f64,
}

impl Flight {
    /// A free flight from one place to another in `length` seconds.
    pub fn free(from: [f64; 3], to: [f64; 3], length: f64) -> Self {
        Self { from, to, length: length.max(1e-3), pull: FREE_FALL }
    }

    /// A flight that passes the net with `room` metres to spare, by as much topspin as that needs.
    pub fn over_net(from: [f64; 3], to: [f64; 3], length: f64, room: f64) -> Self {
        let mut flight = Self::free(from, to, length);
        if let Some(tau) = flight.net_time() {
            let s = flight.share(tau);
            let x = from[0] + (to[0] - from[0]) * s;
            let need = net_height(Metres(x)).0 + BALL_RADIUS.0 + room - from[2] - (to[2] - from[2]) * s;
            let pull = need * DRAG / (flight.length * s - tau);
            flight.pull = pull.clamp(FREE_FALL, 60.0);
        }
        flight
    }

    /// When the ball is over the net, in seconds from the start.
    pub fn net_time(&self) -> Option<f64> {
        let (y0, y1) = (self.from[1], self.to[1]);
        if y0 * y1 >= 0.0 {
            return None;
        }
        let s = -y0 / (y1 - y0);
        Some(-(1.0 - s * (1.0 - (-DRAG * self.length).exp())).ln() / DRAG)
    }

    fn share(&self, tau: f64) -> f64 {
        (1.0 - (-DRAG * tau).exp()) / (1.0 - (-DRAG * self.length).exp())
    }

    /// Where the ball is `tau` seconds after the start.
    pub fn at(&self, tau: f64) -> [f64; 3] {
        let s = self.share(tau);
        let [x, y, z] = mix(self.from, self.to, s);
        [x, y, z + self.pull / DRAG * (self.length * s - tau)]
    }

    /// Horizontal velocity at the end, m/s.
    pub fn last_speed(&self) -> [f64; 2] {
        let e = (-DRAG * self.length).exp();
        let rate = DRAG * e / (1.0 - e);
        [(self.to[0] - self.from[0]) * rate, (self.to[1] - self.from[1]) * rate]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_flight_starts_and_lands_where_it_should(
            x0 in -5.0f64..5.0, y0 in -15.0f64..-1.0, z0 in 0.2f64..2.7,
            x1 in -5.0f64..5.0, y1 in 1.0f64..13.0, t in 0.3f64..2.5,
        ) {
            let (from, to) = ([x0, y0, z0], [x1, y1, BALL_RADIUS.0]);
            let f = Flight::over_net(from, to, t, 0.1);
            for i in 0..3 {
                prop_assert!((f.at(0.0)[i] - from[i]).abs() < 1e-9);
                prop_assert!((f.at(t)[i] - to[i]).abs() < 1e-9);
            }
            let tau = f.net_time().unwrap();
            let at = f.at(tau);
            prop_assert!(at[1].abs() < 1e-6);
            prop_assert!(f.pull >= 59.9 || at[2] >= net_height(Metres(at[0])).0 + 0.1);
        }
    }

    #[test]
    fn a_free_flight_falls_and_slows() {
        let f = Flight::free([0.0, -11.0, 1.0], [0.0, 9.0, 0.0335], 0.9);
        assert!(f.at(0.45)[1] > -1.0, "more than half the way in half the time");
        let h = 1e-3;
        let fall = (f.at(0.4 + h)[2] - 2.0 * f.at(0.4)[2] + f.at(0.4 - h)[2]) / (h * h);
        let up = (f.at(0.4 + h)[2] - f.at(0.4 - h)[2]) / (2.0 * h);
        assert!((fall + FREE_FALL + DRAG * up).abs() < 1e-4, "{fall}");
    }
}
