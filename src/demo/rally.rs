//! One point: serves, shots, where everybody runs, what is heard, and how it ends.
//!
//! Each striker is looked at in an own frame: x to the striker's right, y towards the opponent, so that both ends
//! play alike. Turned by half a circle for the far end.

use super::dice::Dice;
use super::flight::Flight;
use super::stage::{Heard, Motion, Noise, Path, Piece, Stage, Swing, dist};
use super::tactics::{self, Aim, Choice, Outcome, Situation};
use super::truth::{Ending, Fate, ServeTo, Strike, Stroke, Tag, Wing};
use crate::tennis::court::{BALL_RADIUS, Metres, Spot};
use crate::tennis::{CourtSide, End, Side};
use crate::time::MatchTime;

/// Height of the racket at a serve, metres.
const SERVE_HEIGHT: f64 = 2.55;
/// How far beside the body a ball is met, metres.
const ARM: f64 = 0.72;
/// How fast a player covers ground in play, metres a second.
const RUN: f64 = 5.0;

/// To the nearest millisecond, so that truth and pictures agree exactly.
pub(super) fn to_millis(seconds: f64) -> f64 {
    (seconds * 1000.0).round() / 1000.0
}

/// A moment in seconds as a time on the match clock.
pub(super) fn clock(seconds: f64) -> MatchTime {
    MatchTime::from_millis((seconds.max(0.0) * 1000.0).round() as u64)
}

/// A place to the nearest millimetre.
pub(super) fn spot(at: [f64; 2]) -> Spot {
    let mm = |v: f64| (v * 1000.0).round() / 1000.0;
    Spot { x: Metres(mm(at[0])), y: Metres(mm(at[1])) }
}

/// What is known before the first serve.
#[derive(Debug, Clone, Copy)]
pub(super) struct Setting {
    /// Strike of the first serve.
    pub start: f64,
    /// Who serves.
    pub server: Side,
    /// To which court.
    pub court: CourtSide,
    /// From which end.
    pub server_end: End,
    /// Whether dead time is shortened.
    pub brisk: bool,
}

/// A point as played.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Played {
    /// Every strike.
    pub strikes: Vec<Strike>,
    /// Who won.
    pub winner: Side,
    /// How.
    pub ending: Ending,
    /// Tactics shown.
    pub tags: Vec<Tag>,
    /// When the last ball landed or met the net.
    pub end: f64,
    /// Where the ball comes to rest, and when.
    pub rest: ([f64; 3], f64),
}

/// A ball on its way to the player who must strike next.
#[derive(Debug, Clone, Copy)]
struct Incoming {
    time: f64,
    ball: [f64; 3],
    wing: Wing,
    short: bool,
    bounced: bool,
    lobbed: bool,
}

/// A point under way.
struct Rally<'a> {
    dice: &'a mut Dice,
    stage: &'a mut Stage,
    set: Setting,
    /// Last place of each player at an own strike, and its moment.
    stood: [([f64; 2], f64); 2],
    at_net: [bool; 2],
    strikes: Vec<Strike>,
    tags: Vec<Tag>,
    serve: (ServeTo, CourtSide, bool),
}

/// Where the server and the receiver wait for a serve.
pub(super) fn serve_places(set: &Setting, second: bool) -> [[f64; 2]; 2] {
    let side = if set.court == CourtSide::Deuce { 1.0 } else { -1.0 };
    let back = if second { -12.2 } else { -13.0 };
    [own(set.server_end, [side * 0.75, -12.15]), own(set.server_end.other(), [side * 3.7, back])]
}

/// From a player's own frame to the court and back: half a turn at the far end.
pub(super) fn own(end: End, at: [f64; 2]) -> [f64; 2] {
    match end {
        End::Near => at,
        End::Far => [-at[0], -at[1]],
    }
}

/// Plays a point.
pub(super) fn play(dice: &mut Dice, stage: &mut Stage, set: Setting) -> Played {
    let [s, r] = serve_places(&set, false);
    let mut stood = [(s, set.start); 2];
    stood[set.server.other().index()].0 = r;
    let serve = (ServeTo::Wide, set.court, true);
    let rally =
        Rally { dice, stage, set, stood, at_net: [false; 2], strikes: Vec::new(), tags: Vec::new(), serve };
    rally.run()
}

impl Rally<'_> {
    fn end_of(&self, side: Side) -> End {
        if side == self.set.server { self.set.server_end } else { self.set.server_end.other() }
    }

    fn run(mut self) -> Played {
        let t = self.set.start;
        if self.serve_is_good(t, false) {
            return self.serve_in(t, false);
        }
        let (_, rest) = self.fault(t);
        let clear = (rest.1 + 0.5).min(t + 2.0);
        self.stage.ball.retain(|p| p.t0 < clear);
        let t = to_millis(t + self.dice.second_serve(self.set.brisk));
        if self.serve_is_good(t, true) {
            return self.serve_in(t, true);
        }
        let (end, rest) = self.fault(t);
        let receiver = self.set.server.other();
        self.finish(receiver, Ending::DoubleFault, end, rest)
    }

    /// Decides where a serve goes and whether it goes in; plays what comes before its strike.
    fn serve_is_good(&mut self, t: f64, second: bool) -> bool {
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

    /// A serve that misses: when it does, and where the ball then rests.
    fn fault(&mut self, t: f64) -> (f64, ([f64; 3], f64)) {
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

    fn serve_in(mut self, t: f64, second: bool) -> Played {
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
        if self.dice.chance(if second { 0.01 } else { ace * 1.25 }) {
            let rest = self.last_flight(t, down, from, land, Fate::In);
            self.give_chase(server.other(), t, down, land);
            return self.finish(server, Ending::Ace, down, rest);
        }
        let flight = Flight::over_net(from, land, down - t, 0.06);
        self.fly(t, down, flight);
        self.hear(down, Heard::Bounce, land);
        let next = self.after_bounce(server.other(), &flight, land, down, to_millis(t + gap));
        self.rally_on(server.other(), next)
    }

    /// The way from a bounce to the racket of `by`.
    fn after_bounce(&mut self, by: Side, f: &Flight, land: [f64; 3], down: f64, t: f64) -> Incoming {
        let v = f.last_speed();
        let tau = t - down;
        let keep = 0.68;
        let reach = |p: f64, v: f64, most: f64| (p + v * keep * tau).clamp(-most, most);
        let high = (0.75 + 0.5 * self.dice.between(0.0, 1.0)).min(0.25 + tau * 2.6);
        let ball = [reach(land[0], v[0], 6.1), reach(land[1], v[1], 14.3), high];
        self.fly(down, t, Flight::free(land, ball, tau));
        let short = land[1].abs() < 6.4 && v[1].abs() < 16.0;
        Incoming { time: t, ball, wing: self.wing(by, ball, t), short, bounced: true, lobbed: false }
    }

    fn wing(&self, by: Side, ball: [f64; 3], t: f64) -> Wing {
        let end = self.end_of(by);
        let here = self.waits_at(by, t - 0.5);
        let right = own(end, [ball[0] - here[0], 0.0])[0];
        if right > -tactics::habits(by).runs_round { Wing::Forehand } else { Wing::Backhand }
    }

    /// Where a player has got to at `t` on the way back from the last own strike.
    fn waits_at(&self, side: Side, t: f64) -> [f64; 2] {
        let (from, since) = self.stood[side.index()];
        let y = if self.at_net[side.index()] { -3.4 } else { -12.6 };
        let home = own(self.end_of(side), [0.0, y]);
        let way = dist(from, home);
        let goes = (4.3 * (t - since - 0.15)).clamp(0.0, way);
        if way < 1e-6 || self.strikes.len() < 2 && side != self.set.server {
            return from;
        }
        [from[0] + (home[0] - from[0]) * goes / way, from[1] + (home[1] - from[1]) * goes / way]
    }

    /// Where a player stands to meet a ball.
    fn body_for(&self, by: Side, ball: [f64; 3], wing: Wing, above: bool) -> [f64; 2] {
        let aside = match (above, wing) {
            (true, _) => -0.2,
            (false, Wing::Forehand) => -ARM,
            (false, Wing::Backhand) => ARM,
        };
        let o = own(self.end_of(by), [aside, -0.4]);
        [ball[0] + o[0], ball[1] + o[1]]
    }

    fn rally_on(mut self, mut by: Side, mut ball: Incoming) -> Played {
        let mut shot = 2;
        loop {
            let other = by.other();
            let before = self.waits_at(by, self.strikes.last().map_or(0.0, |s| s.time.as_secs_f64()));
            let body = self.body_for(by, ball.ball, ball.wing, ball.ball[2] > 1.9);
            let run = dist(before, body);
            let off = self.waits_at(other, ball.time)[0].abs();
            let now = Situation {
                shot,
                by,
                wing: ball.wing,
                serve: self.serve,
                run,
                opponent_off: off,
                short_ball: ball.short,
                at_net: !ball.bounced,
                opponent_at_net: self.at_net[other.index()],
                lobbed: ball.lobbed,
            };
            let choice = tactics::choose(self.dice, &now);
            self.note(&now, choice);
            self.move_for(by, body, &ball);
            match self.shoot(by, shot, &ball, choice) {
                Ok(next) => (by, ball, shot) = (other, next, shot + 1),
                Err((end, rest)) => {
                    if shot > 8 {
                        self.tags.push(Tag::LongRally);
                    }
                    let forced = run > 2.6 || shot == 2 && self.serve.2 || self.at_net[other.index()];
                    let (winner, ending) = match choice.result {
                        Outcome::Miss if forced => (other, Ending::ForcedError),
                        Outcome::Miss => (other, Ending::UnforcedError),
                        _ => (by, Ending::Winner),
                    };
                    return self.finish(winner, ending, end, rest);
                }
            }
        }
    }

    /// Tags that a decision adds.
    fn note(&mut self, now: &Situation, choice: Choice) {
        let mut tags = Vec::new();
        if now.shot == 2 && now.wing == Wing::Backhand {
            tags.push(Tag::BackhandReturn);
        }
        if choice.aim == Aim::Open && now.shot == 3 {
            tags.push(Tag::ServePlusOneOpen);
        }
        match choice.aim {
            Aim::Open => tags.push(Tag::OpenCourt),
            Aim::Behind => tags.push(Tag::Behind),
            Aim::Neutral => {}
        }
        match choice.stroke {
            Stroke::DropShot => tags.push(Tag::DropShot),
            Stroke::Lob => tags.push(Tag::Lob),
            _ => {}
        }
        if now.at_net || choice.approach {
            tags.push(Tag::Net);
        }
        for tag in tags {
            if !self.tags.contains(&tag) {
                self.tags.push(tag);
            }
        }
    }

    /// The striker runs to the ball, the opponent back to the middle.
    fn move_for(&mut self, by: Side, body: [f64; 2], ball: &Incoming) {
        let waits = self.waits_at(by.other(), ball.time);
        self.stage.players[by.other().index()].go(ball.time, waits, false);
        self.stage.players[by.index()].go(ball.time, body, false);
        self.stood[by.index()] = (body, ball.time);
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

    /// Strikes: the next ball for the opponent, or the end of the point and the ball's resting place.
    fn shoot(
        &mut self,
        by: Side,
        shot: u32,
        ball: &Incoming,
        choice: Choice,
    ) -> Result<Incoming, (f64, ([f64; 3], f64))> {
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
            self.at_net[other.index()] = false;
        }
        if self.at_net[other.index()] {
            return Ok(self.send_to_net_player(by, ball, goal, gap, choice.stroke == Stroke::Lob));
        }
        Ok(self.send_to_bounce(by, ball, goal, gap, part))
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
        let t = to_millis(ball.time + if lob { gap } else { (gap * 0.68).clamp(0.62, 1.0) });
        let here = own(self.end_of(by), self.waits_at(other, ball.time));
        let x = (goal[0] * 0.6).clamp(here[0] - 2.4, here[0] + 2.4);
        let y = if lob { 5.2 } else { here[1].clamp(2.8, 9.5) - 0.3 };
        let w = own(self.end_of(by), [x, y]);
        let at = [w[0], w[1], if lob { 2.5 } else { self.dice.between(0.7, 1.35) }];
        self.fly(ball.time, t, Flight::over_net(ball.ball, at, t - ball.time, if lob { 2.4 } else { 0.12 }));
        self.fate(Fate::Met, t, at);
        let wing = self.wing(other, at, t);
        Incoming { time: t, ball: at, wing, short: true, bounced: false, lobbed: lob }
    }

    /// A ball that bounces before the opponent reaches it: it is aimed so that this is possible.
    fn send_to_bounce(&mut self, by: Side, ball: &Incoming, goal: [f64; 2], gap: f64, part: f64) -> Incoming {
        let (t, other) = (ball.time, by.other());
        let (down, next) = (to_millis(t + gap * part), to_millis(t + gap));
        let here = self.waits_at(other, t);
        let mut w = own(self.end_of(by), goal);
        let short = goal[1] < 4.0;
        let room = if short { 0.35 } else { 0.25 };
        for _ in 0..10 {
            let land = [w[0], w[1], BALL_RADIUS.0];
            let v = Flight::over_net(ball.ball, land, down - t, room).last_speed();
            let reach = [land[0] + v[0] * 0.68 * (next - down), land[1] + v[1] * 0.68 * (next - down)];
            let way = (dist(here, reach) - ARM).max(0.0);
            if way <= RUN * (next - t - 0.2) {
                break;
            }
            w[0] += (here[0] - w[0]) * 0.2;
        }
        let land = [w[0], w[1], BALL_RADIUS.0];
        let flight = Flight::over_net(ball.ball, land, down - t, room);
        self.fly(t, down, flight);
        self.hear(down, Heard::Bounce, land);
        self.fate(Fate::In, down, land);
        let incoming = self.after_bounce(other, &flight, land, down, next);
        if short {
            self.at_net[other.index()] = true;
        }
        incoming
    }

    /// A stroke that misses: when, and where the ball rests.
    fn miss(&mut self, by: Side, ball: &Incoming, goal: [f64; 2], length: f64) -> (f64, ([f64; 3], f64)) {
        let end = self.end_of(by);
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
    fn give_chase(&mut self, side: Side, t: f64, until: f64, land: [f64; 3]) {
        let here = self.waits_at(side, t);
        let goal = [land[0], here[1]];
        let most = (3.6 * (until - t)).min(dist(here, goal) * 0.6);
        let part = most / dist(here, goal).max(1e-6);
        let to = [here[0] + (goal[0] - here[0]) * part, here[1]];
        self.stage.players[side.index()].go(until + 0.25, to, false);
        self.stood[side.index()] = (to, until + 0.25);
    }

    fn strike(
        &mut self,
        t: f64,
        by: Side,
        stroke: Stroke,
        wing: Option<Wing>,
        at: [f64; 3],
        shot: Option<u32>,
    ) {
        let motion = match (stroke, wing) {
            (Stroke::Serve, _) => Motion::Serve,
            (Stroke::Overhead, _) => Motion::Overhead,
            (_, Some(Wing::Backhand)) => Motion::Backhand,
            _ => Motion::Forehand,
        };
        let short = matches!(stroke, Stroke::Volley | Stroke::DropShot);
        self.stage.players[by.index()].swings.push(Swing { t, motion, short, ball: at });
        self.hear(t, Heard::Strike, at);
        let mut positions = [Spot::default(); 2];
        positions[by.index()] = spot(self.stood[by.index()].0);
        positions[by.other().index()] = spot(self.waits_at(by.other(), t));
        self.strikes.push(Strike {
            time: clock(t),
            by,
            shot,
            stroke,
            wing,
            serve: (stroke == Stroke::Serve).then_some(self.serve.0),
            from: spot([at[0], at[1]]),
            height: Metres((at[2] * 1000.0).round() / 1000.0),
            fate: Fate::In,
            fate_time: clock(t),
            fate_spot: Spot::default(),
            positions,
        });
    }

    /// Says what became of the last strike.
    fn fate(&mut self, fate: Fate, t: f64, at: [f64; 3]) {
        if let Some(last) = self.strikes.last_mut() {
            (last.fate, last.fate_time, last.fate_spot) = (fate, clock(t), spot([at[0], at[1]]));
        }
    }

    fn fly(&mut self, t0: f64, t1: f64, flight: Flight) {
        self.stage.ball.push(Piece { t0, t1, path: Path::Fly(flight) });
    }

    fn hear(&mut self, t: f64, what: Heard, at: [f64; 3]) {
        self.stage.noises.push(Noise { t, what, at });
    }

    /// The last flight of a point or of a fault, and the ball bouncing and rolling out: where and when it rests.
    fn last_flight(
        &mut self,
        t: f64,
        when: f64,
        from: [f64; 3],
        to: [f64; 3],
        fate: Fate,
    ) -> ([f64; 3], f64) {
        let net = fate == Fate::Net;
        let flight =
            if net { Flight::free(from, to, when - t) } else { Flight::over_net(from, to, when - t, 0.08) };
        self.fly(t, when, flight);
        self.hear(when, if net { Heard::Net } else { Heard::Bounce }, to);
        let v = flight.last_speed();
        let (mut v, mut up, mut at, mut now) = ([v[0] * 0.66, v[1] * 0.66], 3.9, to, when);
        if net {
            let fall = (2.0 * to[2] / 9.81_f64).sqrt();
            let down = [to[0] + 0.03 * v[0], -0.3 * v[1].signum(), BALL_RADIUS.0];
            self.fly(now, now + fall, Flight::free(to, down, fall));
            (v, up, at, now) = ([0.03 * v[0], -0.5 * v[1].signum()], 1.4, down, now + fall);
        }
        for _ in 0..6 {
            let air = 2.0 * up / 9.81;
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

    fn finish(mut self, winner: Side, ending: Ending, end: f64, rest: ([f64; 3], f64)) -> Played {
        for side in [Side::A, Side::B] {
            let here = self.waits_at(side, end);
            self.stage.players[side.index()].go(end + 0.3, here, false);
        }
        Played { strikes: self.strikes, winner, ending, tags: std::mem::take(&mut self.tags), end, rest }
    }
}

fn within(v: f64, most: f64) -> f64 {
    v.clamp(-most, most)
}
