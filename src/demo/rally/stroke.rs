//! Strokes after the serve: where a ball is aimed, how it gets to the next player, and how it misses.

use super::super::flight::Flight;
use super::super::space::dist;
use super::super::stage::Heard;
use super::super::tactics::{Aim, Choice, Outcome};
use super::super::truth::{Fate, Stroke};
use super::{Incoming, Rally, Rest, own, spot, to_millis};
use crate::tennis::Side;
use crate::tennis::court::BALL_RADIUS;

/// How often a flight is made slower, at most, until the next player can reach the ball.
pub(super) const STRETCHES: usize = 30;
/// The part of its horizontal speed that a ball keeps when it bounces.
const KEEP: f64 = 0.68;

/// Where a ball is `tau` seconds after its bounce, at the height of the hips.
pub(super) fn rises_to(flight: &Flight, land: [f64; 3], tau: f64) -> [f64; 3] {
    let v = flight.last_speed();
    let reach = |p: f64, v: f64, most: f64| (p + v * KEEP * tau).clamp(-most, most);
    [reach(land[0], v[0], 6.1), reach(land[1], v[1], 14.3), 1.0]
}

impl Rally<'_> {
    /// Strikes: the next ball for the opponent, or the end of the point and the ball's resting place.
    pub(super) fn shoot(
        &mut self,
        by: Side,
        shot: u32,
        ball: &Incoming,
        choice: Choice,
    ) -> Result<Incoming, (f64, Rest)> {
        let (t, other) = (ball.time, by.other());
        let wing = (choice.stroke != Stroke::Overhead).then_some(ball.wing);
        self.strike(t, by, choice.stroke, wing, ball.ball, Some(shot));
        let slow = matches!(choice.stroke, Stroke::Slice | Stroke::Lob | Stroke::DropShot);
        let quick = if choice.stroke == Stroke::Overhead { 0.8 } else { 1.0 };
        let gap = self.dice.stroke_to_stroke(slow) * quick;
        let part = self.dice.bounce_part();
        let goal = self.target(by, choice, t);
        if choice.result == Outcome::Miss {
            return Err(self.miss(by, ball, goal, gap * part));
        }
        if choice.result == Outcome::Winner {
            let w = own(self.end_of(by), goal);
            let (land, down) = ([w[0], w[1], BALL_RADIUS.0], to_millis(t + gap * part));
            self.fate(Fate::In, down, land);
            let rest = self.last_flight(t, down, ball.ball, land, Fate::In);
            self.give_chase(other, t, down, land);
            return Err((down, rest));
        }
        let met = self.at_net[other.index()];
        self.at_net[by.index()] |= choice.approach || choice.stroke == Stroke::Volley;
        if choice.stroke == Stroke::Lob && met && self.dice.chance(0.5) {
            self.goes(other, t, false);
        }
        if self.at_net[other.index()] {
            return Ok(self.send_to_net_player(by, ball, goal, gap, choice.stroke == Stroke::Lob));
        }
        Ok(self.send_to_bounce(by, ball, goal, gap, part))
    }

    /// Where a stroke is meant to land, in the striker's own frame.
    fn target(&mut self, by: Side, choice: Choice, t: f64) -> [f64; 2] {
        let end = self.end_of(by);
        let u = own(end, self.waits_at(by.other(), t))[0];
        let side = if u.abs() > 0.3 {
            u.signum()
        } else if self.dice.chance(0.5) {
            1.0
        } else {
            -1.0
        };
        let x = match choice.aim {
            Aim::Open => -side * self.dice.between(2.3, 3.8),
            Aim::Behind => side * self.dice.between(2.2, 3.6),
            Aim::Neutral if choice.result == Outcome::Winner => -side * self.dice.between(2.4, 3.9),
            Aim::Neutral => 1.7 * self.dice.normal().clamp(-2.0, 2.0),
        };
        let y = match choice.stroke {
            Stroke::DropShot => self.dice.between(1.9, 3.4),
            Stroke::Lob => self.dice.between(9.6, 11.5),
            Stroke::Volley => self.dice.between(5.5, 10.5),
            _ => (8.9 + 1.5 * self.dice.normal()).clamp(4.6, 11.6),
        };
        [x, y]
    }

    /// A ball that the opponent meets in the air.
    fn send_to_net_player(
        &mut self,
        by: Side,
        ball: &Incoming,
        goal: [f64; 2],
        gap: f64,
        lob: bool,
    ) -> Incoming {
        let other = by.other();
        let mut length = if lob { gap } else { (gap * 0.68).clamp(0.62, 1.0) };
        let here = own(self.end_of(by), self.waits_at(other, ball.time));
        let x = (goal[0] * 0.6).clamp(here[0] - 2.4, here[0] + 2.4);
        let y = if lob { 5.2 } else { here[1].clamp(2.8, 9.5) - 0.3 };
        let w = own(self.end_of(by), [x, y]);
        let at = [w[0], w[1], if lob { 2.5 } else { self.dice.between(0.7, 1.35) }];
        for _ in 0..STRETCHES {
            if self.reaches(other, at, ball.time, ball.time + length) {
                break;
            }
            length *= 1.04;
        }
        let t = to_millis(ball.time + length);
        self.fly(ball.time, t, Flight::over_net(ball.ball, at, t - ball.time, if lob { 2.4 } else { 0.12 }));
        self.fate(Fate::Met, t, at);
        let wing = self.wing(other, at, t);
        Incoming { time: t, ball: at, wing, short: true, bounced: false, lobbed: lob }
    }

    /// A ball that bounces before the opponent reaches it: it is aimed, and if need be slowed, so that this is possible.
    fn send_to_bounce(&mut self, by: Side, ball: &Incoming, goal: [f64; 2], gap: f64, part: f64) -> Incoming {
        let (t, other) = (ball.time, by.other());
        let here = self.waits_at(other, t);
        let mut w = own(self.end_of(by), goal);
        let short = goal[1] < 4.0;
        let room = if short { 0.35 } else { 0.25 };
        let fly = |w: [f64; 2], gap: f64| {
            let (land, down) = ([w[0], w[1], BALL_RADIUS.0], to_millis(t + gap * part));
            (land, down, Flight::over_net(ball.ball, land, down - t, room))
        };
        let mut gap = gap;
        for attempt in 0..10 + STRETCHES {
            let (land, down, flight) = fly(w, gap);
            if self.reaches(other, rises_to(&flight, land, t + gap - down), t, t + gap) {
                break;
            }
            if attempt < 10 {
                w[0] += (here[0] - w[0]) * 0.2;
            } else {
                gap *= 1.04;
            }
        }
        let (land, down, flight) = fly(w, gap);
        self.fly(t, down, flight);
        self.hear(down, Heard::Bounce, land);
        self.fate(Fate::In, down, land);
        let incoming = self.after_bounce(other, &flight, land, down, to_millis(t + gap));
        if short {
            self.goes(other, t, true);
        }
        incoming
    }

    /// The way from a bounce to the racket of `by`.
    pub(super) fn after_bounce(
        &mut self,
        by: Side,
        f: &Flight,
        land: [f64; 3],
        down: f64,
        t: f64,
    ) -> Incoming {
        let v = f.last_speed();
        let tau = t - down;
        let mut ball = rises_to(f, land, tau);
        ball[2] = (0.75 + 0.5 * self.dice.between(0.0, 1.0)).min(0.25 + tau * 2.6);
        self.fly(down, t, Flight::free(land, ball, tau));
        let short = land[1].abs() < 6.4 && v[1].abs() < 16.0;
        Incoming { time: t, ball, wing: self.wing(by, ball, t), short, bounced: true, lobbed: false }
    }

    /// A stroke that misses: when, and where the ball rests.
    fn miss(&mut self, by: Side, ball: &Incoming, goal: [f64; 2], length: f64) -> (f64, Rest) {
        let end = self.end_of(by);
        if let Some(strike) = self.strikes.last_mut() {
            strike.aim = Some(spot(own(end, goal)));
        }
        let mut land = goal;
        let kind = self.dice.pick(&[0.45, 0.33, 0.22]);
        let (fate, to, when) = if kind == 0 {
            let x = f64::midpoint(ball.ball[0], own(end, goal)[0]);
            let share = ball.ball[1].abs() / (ball.ball[1].abs() + goal[1]);
            (Fate::Net, [x, 0.0, self.dice.between(0.3, 0.8)], length * share.max(0.2))
        } else {
            if kind == 1 {
                land[1] = self.dice.between(12.1, 13.6);
            } else {
                land[0] = if land[0] < 0.0 { -1.0 } else { 1.0 } * self.dice.between(4.35, 5.3);
            }
            let w = own(end, land);
            (Fate::Out, [w[0], w[1], BALL_RADIUS.0], length)
        };
        let when = to_millis(ball.time + when);
        self.fate(fate, when, to);
        let rest = self.last_flight(ball.time, when, ball.ball, to, fate);
        self.give_chase(by.other(), ball.time, when, to);
        (when, rest)
    }

    /// The opponent goes after a ball without reaching it.
    pub(super) fn give_chase(&mut self, side: Side, t: f64, until: f64, land: [f64; 3]) {
        let here = self.waits_at(side, t);
        let goal = [land[0], here[1]];
        let most = (3.6 * (until - t)).min(dist(here, goal) * 0.6);
        let part = most / dist(here, goal).max(1e-6);
        let to = [here[0] + (goal[0] - here[0]) * part, here[1]];
        self.stage.players[side.index()].go(until + 0.25, to, false);
        self.stood[side.index()] = (to, until + 0.25);
    }
}
