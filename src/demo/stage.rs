//! Where everybody and everything is at any moment of the simulated match. Seconds on the match clock, metres.

use super::flight::Flight;
use super::space::{dist, mix};

/// A moment at which a player is at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stand {
    /// When.
    pub t: f64,
    /// Where, x and y.
    pub spot: [f64; 2],
    /// Whether the player walks there looking ahead, rather than runs there looking at the net.
    pub walks: bool,
    /// Metres covered since the start of the match.
    covered: f64,
}

/// How a racket moves around a strike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Motion {
    /// Toss and serve.
    Serve,
    /// Above the head.
    Overhead,
    /// On the racket hand's side.
    Forehand,
    /// On the other side.
    Backhand,
}

/// One swing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Swing {
    /// When the racket meets the ball.
    pub t: f64,
    /// How.
    pub motion: Motion,
    /// Whether it is a short, blocked one.
    pub short: bool,
    /// Where the ball is met.
    pub ball: [f64; 3],
}

/// One player's match.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Track {
    stands: Vec<Stand>,
    /// Every swing in order.
    pub swings: Vec<Swing>,
}

/// A player at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Figure {
    /// Where the player stands.
    pub spot: [f64; 2],
    /// Unit vector of where the chest points.
    pub ahead: [f64; 2],
    /// Unit vector of the way the legs go.
    pub going: [f64; 2],
    /// Whether the player walks between points, at ease.
    pub at_ease: bool,
    /// Metres a second.
    pub speed: f64,
    /// Metres covered so far; the legs follow it.
    pub covered: f64,
    /// The swing under way, with seconds since its strike.
    pub swing: Option<(Swing, f64)>,
}

impl Track {
    /// Adds a place to go to. Earlier moments than the last are ignored.
    pub fn go(&mut self, t: f64, spot: [f64; 2], walks: bool) {
        let covered = match self.stands.last() {
            Some(last) if t <= last.t => return,
            Some(last) => last.covered + dist(last.spot, spot),
            None => 0.0,
        };
        self.stands.push(Stand { t, spot, walks, covered });
    }

    /// Stays at the last place until `t`.
    pub fn stay(&mut self, t: f64) {
        if let Some(last) = self.stands.last().copied() {
            self.go(t, last.spot, last.walks);
        }
    }

    /// The last place and moment so far.
    pub fn last(&self) -> ([f64; 2], f64) {
        self.stands.last().map_or(([0.0; 2], 0.0), |s| (s.spot, s.t))
    }

    /// The player at a moment.
    pub fn at(&self, t: f64) -> Figure {
        let i = self.stands.partition_point(|s| s.t <= t);
        let swing = self.swing_near(t);
        let (Some(a), b) = (self.stands.get(i.saturating_sub(1)), self.stands.get(i)) else {
            let up = [0.0, 1.0];
            return Figure {
                spot: [0.0; 2],
                ahead: up,
                going: up,
                at_ease: true,
                speed: 0.0,
                covered: 0.0,
                swing,
            };
        };
        let b = b.unwrap_or(a);
        let part = if b.t > a.t { ((t - a.t) / (b.t - a.t)).clamp(0.0, 1.0) } else { 1.0 };
        let (s, ds) = if b.walks { walk_ease(part) } else { run_ease(part) };
        let way = dist(a.spot, b.spot);
        let spot = [a.spot[0] + (b.spot[0] - a.spot[0]) * s, a.spot[1] + (b.spot[1] - a.spot[1]) * s];
        let speed = if b.t > a.t { way * ds / (b.t - a.t) } else { 0.0 };
        let ahead = ahead(a, b, part, spot);
        let going =
            if way > 0.05 { [(b.spot[0] - a.spot[0]) / way, (b.spot[1] - a.spot[1]) / way] } else { ahead };
        Figure { spot, ahead, going, at_ease: b.walks, speed, covered: a.covered + way * s, swing }
    }

    fn swing_near(&self, t: f64) -> Option<(Swing, f64)> {
        let i = self.swings.partition_point(|s| s.t + 0.6 < t);
        let s = self.swings.get(i)?;
        (s.t - t < if s.motion == Motion::Serve { 1.1 } else { 0.62 }).then_some((*s, t - s.t))
    }
}

/// Where the chest points: at the net, or along the way when walking, turning within a third of a second.
fn ahead(a: &Stand, b: &Stand, part: f64, spot: [f64; 2]) -> [f64; 2] {
    let net = [0.0, if spot[1] < 0.0 { 1.0 } else { -1.0 }];
    let way = dist(a.spot, b.spot);
    if !b.walks || way < 0.4 {
        return net;
    }
    let length = b.t - a.t;
    let turned = (part * length / 0.35).min((1.0 - part) * length / 0.35).clamp(0.0, 1.0);
    let walk = [(b.spot[0] - a.spot[0]) / way, (b.spot[1] - a.spot[1]) / way];
    let from = net[1].atan2(net[0]);
    let mut turn = walk[1].atan2(walk[0]) - from;
    turn = (turn + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI;
    let (sin, cos) = (from + turn * turned).sin_cos();
    [cos, sin]
}

/// Part of a run that passes in reaction, and parts of the rest in which a runner gets up to speed and brakes.
const REACTION: f64 = 0.08;
const RUN_RAMP: f64 = 0.2;
/// The greatest speed of a run in terms of its mean.
pub(super) const RUN_PEAK: f64 = 1.0 / ((1.0 - REACTION) * (1.0 - RUN_RAMP));

/// A run: starts after a moment of reaction. Part of the way, and its slope.
fn run_ease(u: f64) -> (f64, f64) {
    let (s, slope) = ease(((u - REACTION) / (1.0 - REACTION)).max(0.0), RUN_RAMP);
    (s, slope / (1.0 - REACTION))
}

/// A walk: even, with short starts and stops.
fn walk_ease(u: f64) -> (f64, f64) {
    ease(u, 0.12)
}

/// An even speed but for a start and a stop that take `ramp` of the time each. Part of the way, and its slope.
fn ease(u: f64, ramp: f64) -> (f64, f64) {
    let top = 1.0 / (1.0 - ramp);
    if u < ramp {
        (top * u * u / (2.0 * ramp), top * u / ramp)
    } else if u > 1.0 - ramp {
        (1.0 - top * (1.0 - u).powi(2) / (2.0 * ramp), top * (1.0 - u) / ramp)
    } else {
        (top * (u - ramp / 2.0), top)
    }
}

/// How the ball gets from one moment to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Path {
    /// Through the air.
    Fly(Flight),
    /// In a hand, from one place to another.
    Hand([f64; 3], [f64; 3]),
    /// Along the ground, coming to rest.
    Roll([f64; 3], [f64; 3]),
}

/// One stretch of the ball's way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    /// Start.
    pub t0: f64,
    /// End.
    pub t1: f64,
    /// How.
    pub path: Path,
}

/// What is heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Heard {
    /// A racket–ball contact.
    Strike,
    /// A ball on the ground after a stroke.
    Bounce,
    /// A ball on the ground, softly: the server's bouncing, a ball rolling out.
    SoftBounce,
    /// A ball in the net: hardly anything.
    Net,
}

/// One sound at its source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Noise {
    /// When it is made.
    pub t: f64,
    /// What.
    pub what: Heard,
    /// Where.
    pub at: [f64; 3],
}

/// The whole match as it can be seen and heard.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Stage {
    /// A and B.
    pub players: [Track; 2],
    /// The ball's way, in order; between pieces it is in a pocket.
    pub ball: Vec<Piece>,
    /// Sounds, in order.
    pub noises: Vec<Noise>,
    /// When the footage ends.
    pub end: f64,
}

impl Stage {
    /// Where the ball is, when it can be seen.
    pub fn ball_at(&self, t: f64) -> Option<[f64; 3]> {
        let i = self.ball.partition_point(|p| p.t0 <= t);
        let p = self.ball.get(i.checked_sub(1)?)?;
        if t > p.t1 {
            return None;
        }
        let u = (t - p.t0) / (p.t1 - p.t0).max(1e-9);
        Some(match p.path {
            Path::Fly(f) => f.at(t - p.t0),
            Path::Hand(a, b) => mix(a, b, u * u * (3.0 - 2.0 * u)),
            Path::Roll(a, b) => mix(a, b, 1.0 - (1.0 - u) * (1.0 - u)),
        })
    }

    /// Seconds since the last bounce of a struck ball and where it was, when that is less than `within` ago.
    pub fn bounce_before(&self, t: f64, within: f64) -> Option<(f64, [f64; 3])> {
        let i = self.noises.partition_point(|n| n.t <= t);
        self.noises[..i]
            .iter()
            .rev()
            .take_while(|n| t - n.t < within)
            .find(|n| n.what == Heard::Bounce)
            .map(|n| (t - n.t, n.at))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_player_is_at_each_place_at_its_moment() {
        let mut track = Track::default();
        track.go(0.0, [0.0, -12.0], false);
        track.go(2.0, [3.0, -12.0], false);
        track.go(6.0, [3.0, -8.0], true);
        assert!(dist(track.at(2.0).spot, [3.0, -12.0]) < 1e-12);
        assert!(dist(track.at(9.0).spot, [3.0, -8.0]) < 1e-12);
        assert!((track.at(6.0).covered - 7.0).abs() < 1e-9);
        assert!(dist(track.at(1.0).ahead, [0.0, 1.0]) < 1e-12);
        let walking = track.at(4.0);
        assert!(walking.ahead[1] > 0.99 && (0.8..1.5).contains(&walking.speed));
    }

    #[test]
    fn easing_covers_the_way_once() {
        for ease in [run_ease, walk_ease] {
            assert!(ease(0.0).0.abs() < 1e-12 && (ease(1.0).0 - 1.0).abs() < 1e-12);
            let mut last = 0.0;
            for i in 0..=100 {
                let s = ease(f64::from(i) / 100.0).0;
                assert!(s >= last);
                last = s;
            }
        }
    }
}
