//! The end of a ball's way: its last flight, the bounces after it, and where it comes to rest.

use super::super::flight::{FREE_FALL, Flight};
use super::super::stage::{Heard, Path, Piece};
use super::super::truth::Fate;
use super::{Rally, Rest};
use crate::tennis::court::BALL_RADIUS;

impl Rally<'_> {
    /// The last flight of a point or of a fault, and the ball bouncing and rolling out: where and when it rests.
    pub(super) fn last_flight(
        &mut self,
        t: f64,
        when: f64,
        from: [f64; 3],
        to: [f64; 3],
        fate: Fate,
    ) -> Rest {
        let net = fate == Fate::Net;
        let flight =
            if net { Flight::free(from, to, when - t) } else { Flight::over_net(from, to, when - t, 0.08) };
        self.fly(t, when, flight);
        self.hear(when, if net { Heard::Net } else { Heard::Bounce }, to);
        let v = flight.last_speed();
        let (mut v, mut up, mut at, mut now) = ([v[0] * 0.66, v[1] * 0.66], 3.9, to, when);
        if net {
            let fall = (2.0 * to[2] / FREE_FALL).sqrt();
            let down = [to[0] + 0.03 * v[0], -0.3 * v[1].signum(), BALL_RADIUS.0];
            self.fly(now, now + fall, Flight::free(to, down, fall));
            (v, up, at, now) = ([0.03 * v[0], -0.5 * v[1].signum()], 1.4, down, now + fall);
        }
        for _ in 0..6 {
            let air = 2.0 * up / FREE_FALL;
            let next = [within(at[0] + v[0] * air, 8.4), within(at[1] + v[1] * air, 17.4), BALL_RADIUS.0];
            self.fly(now, now + air, Flight::free(at, next, air));
            (at, now) = (next, now + air);
            self.hear(now, Heard::SoftBounce, at);
            for (v, (p, most)) in v.iter_mut().zip([(at[0], 8.4), (at[1], 17.4)]) {
                *v *= if p.abs() >= most { -0.15 } else { 0.7 };
            }
            up *= 0.68;
        }
        let rest = [within(at[0] + v[0], 8.4), within(at[1] + v[1], 17.4), BALL_RADIUS.0];
        self.stage.ball.push(Piece { t0: now, t1: now + 1.6, path: Path::Roll(at, rest) });
        (rest, now + 1.6)
    }
}

fn within(v: f64, most: f64) -> f64 {
    v.clamp(-most, most)
}
