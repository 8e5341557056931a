//! Serves: where the players wait, the bouncing and the toss, faults, and the serve in play.

use super::super::flight::Flight;
use super::super::stage::{Heard, Path, Piece};
use super::super::tactics;
use super::super::truth::{Ending, Fate, ServeTo, Stroke, Tag};
use super::stroke::{STRETCHES, rises_to};
use super::{Played, Rally, Rest, SERVE_HEIGHT, own, serve_places, to_millis};
use crate::tennis::court::BALL_RADIUS;
use crate::tennis::{CourtSide, Side};

impl Rally<'_> {
    /// Decides where a serve goes and whether it goes in; plays what comes before its strike.
    pub(super) fn serve_is_good(&mut self, t: f64, second: bool) -> bool {
        let to = tactics::serve_to(self.dice, self.set.server, self.set.court);
        self.serve = (to, self.set.court, !second);
        self.prepare_serve(t, second);
        self.dice.chance(if second { 0.91 } else { 0.62 })
    }

    /// Bouncing the ball, the toss, and both players in their places.
    fn prepare_serve(&mut self, t: f64, second: bool) {
        let [s, r] = serve_places(&self.set, second);
        let (server, receiver) = (self.set.server, self.set.server.other());
        let lead = if self.set.brisk { 3.2 } else { 4.8 };
        for (side, place) in [(server, s), (receiver, r)] {
            let track = &mut self.stage.players[side.index()];
            track.stay(t - lead - 1.2);
            track.go(t - lead + if side == server { 0.0 } else { 1.2 }, place, true);
            track.stay(t);
            self.stood[side.index()] = (place, t);
        }
        let e = self.set.server_end;
        let place = |x: f64, y: f64, z: f64| {
            let o = own(e, [x, y]);
            [s[0] + o[0], s[1] + o[1], z]
        };
        let (hand, floor) = (place(0.22, 0.45, 0.92), place(0.22, 0.5, BALL_RADIUS.0));
        let mut at = t - lead + 0.1;
        while at < t - 2.3 {
            self.fly(at, at + 0.27, Flight::free(hand, floor, 0.27));
            self.hear(at + 0.27, Heard::SoftBounce, floor);
            self.fly(at + 0.27, at + 0.62, Flight::free(floor, hand, 0.35));
            at += 0.68;
        }
        let (held, up) = (place(-0.05, 0.42, 1.08), place(-0.02, 0.5, 1.85));
        let racket = place(0.18, 0.42, SERVE_HEIGHT);
        self.stage.ball.push(Piece { t0: at, t1: t - 0.98, path: Path::Hand(hand, held) });
        self.stage.ball.push(Piece { t0: t - 0.98, t1: t - 0.74, path: Path::Hand(held, up) });
        self.fly(t - 0.74, t, Flight::free(up, racket, 0.74));
    }

    fn serve_landing(&mut self) -> [f64; 2] {
        let (low, high) = match self.serve.0 {
            ServeTo::Wide => (2.85, 3.98),
            ServeTo::Body => (1.55, 2.60),
            ServeTo::T => (0.15, 1.20),
        };
        let x = self.dice.between(low, high);
        let deep = if self.serve.2 { (4.9, 6.3) } else { (4.3, 6.0) };
        let side = if self.set.court == CourtSide::Deuce { -1.0 } else { 1.0 };
        [side * x, self.dice.between(deep.0, deep.1)]
    }

    fn racket(&self, server: Side) -> [f64; 3] {
        let (at, o) = (self.stood[server.index()].0, own(self.end_of(server), [0.18, 0.42]));
        [at[0] + o[0], at[1] + o[1], SERVE_HEIGHT]
    }

    /// The flight of a serve that is returned, as quick as wished or so slow that the receiver can reach it, and the
    /// time until the return.
    fn serve_flight(&self, [from, land]: [[f64; 3]; 2], t: f64, gap: f64, part: f64) -> (Flight, f64) {
        let fly = |gap: f64| Flight::over_net(from, land, to_millis(t + gap * part) - t, 0.06);
        let mut gap = gap;
        for _ in 0..STRETCHES {
            let ball = rises_to(&fly(gap), land, gap * (1.0 - part));
            if self.reaches(self.set.server.other(), ball, t, t + gap) {
                break;
            }
            gap *= 1.04;
        }
        (fly(gap), gap)
    }

    /// A serve that misses: when it does, and where the ball then rests.
    pub(super) fn fault(&mut self, t: f64) -> (f64, Rest) {
        let server = self.set.server;
        let end = self.end_of(server);
        let from = self.racket(server);
        let mut land = self.serve_landing();
        let length = self.dice.serve_to_return() * self.dice.serve_bounce_part();
        let (fate, to, when) = if self.dice.chance(0.42) {
            let x = f64::midpoint(from[0], own(end, land)[0]);
            (Fate::Net, [x, 0.0, self.dice.between(0.45, 0.8)], t + length * 0.66)
        } else {
            if self.dice.chance(0.7) || self.serve.0 == ServeTo::Body {
                land[1] = self.dice.between(6.6, 7.5);
            } else if self.serve.0 == ServeTo::Wide {
                land[0] = land[0].signum() * self.dice.between(4.3, 4.9);
            } else {
                land[0] = -land[0].signum() * self.dice.between(0.15, 0.6);
            }
            let w = own(end, land);
            (Fate::Out, [w[0], w[1], BALL_RADIUS.0], t + length)
        };
        let when = to_millis(when);
        self.strike(t, server, Stroke::Serve, None, from, None);
        self.fate(fate, when, to);
        let rest = self.last_flight(t, when, from, to, fate);
        (when, rest)
    }

    pub(super) fn serve_in(mut self, t: f64, second: bool) -> Played {
        let server = self.set.server;
        let end = self.end_of(server);
        self.tags.push(match self.serve.0 {
            ServeTo::Wide => Tag::WideServe,
            ServeTo::Body => Tag::BodyServe,
            ServeTo::T => Tag::TServe,
        });
        if second {
            self.tags.push(Tag::SecondServe);
        }
        let from = self.racket(server);
        let w = own(end, self.serve_landing());
        let land = [w[0], w[1], BALL_RADIUS.0];
        let (gap, part) = (self.dice.serve_to_return(), self.dice.serve_bounce_part());
        let down = to_millis(t + gap * part);
        self.strike(t, server, Stroke::Serve, None, from, Some(1));
        self.fate(Fate::In, down, land);
        let ace = tactics::habits(server).ace[match self.serve.0 {
            ServeTo::Wide => 0,
            ServeTo::Body => 1,
            ServeTo::T => 2,
        }];
        if self.dice.chance(if second { 0.01 } else { ace * 2.0 }) {
            let rest = self.last_flight(t, down, from, land, Fate::In);
            self.give_chase(server.other(), t, down, land);
            return self.finish(server, Ending::Ace, down, rest);
        }
        let (flight, gap) = self.serve_flight([from, land], t, gap, part);
        let down = to_millis(t + gap * part);
        self.fly(t, down, flight);
        self.fate(Fate::In, down, land);
        self.hear(down, Heard::Bounce, land);
        let next = self.after_bounce(server.other(), &flight, land, down, to_millis(t + gap));
        self.rally_on(server.other(), next)
    }
}
