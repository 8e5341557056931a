//! One point: serves, shots, where everybody runs, what is heard, and how it ends.
//!
//! Each striker is looked at in an own frame: x to the striker's right, y towards the opponent, so that both ends
//! play alike. Turned by half a circle for the far end.

use super::dice::Dice;
use super::flight::Flight;
use super::space::dist;
use super::stage::{Heard, Motion, Noise, Path, Piece, RUN_PEAK, Stage, Swing};
use super::tactics::{self, Aim, Choice, Outcome, Situation};
use super::truth::{Ending, Fate, ServeTo, Strike, Stroke, Tag, Wing};
use crate::tennis::court::{Metres, Spot};
use crate::tennis::{CourtSide, End, Side};
use crate::time::MatchTime;

mod roll_out;
mod serving;
mod stroke;

/// Height of the racket at a serve, metres.
const SERVE_HEIGHT: f64 = 2.55;
/// How far beside the body a ball is met, metres.
const ARM: f64 = 0.72;
/// A ball met higher than this is struck above the head, metres.
const OVERHEAD: f64 = 1.9;
/// The fastest that a player runs in play, metres a second (common practice, no source).
const SPRINT: f64 = 7.5;

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
    pub rest: Rest,
}

/// Where a ball comes to rest, and when.
type Rest = ([f64; 3], f64);

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

    fn rally_on(mut self, mut by: Side, mut ball: Incoming) -> Played {
        let mut shot = 2;
        loop {
            let other = by.other();
            let before = self.waits_at(by, self.strikes.last().map_or(0.0, |s| s.time.as_secs_f64()));
            let body = self.body_for(by, ball.ball, ball.wing, ball.ball[2] > OVERHEAD);
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

    fn wing(&self, by: Side, ball: [f64; 3], t: f64) -> Wing {
        let end = self.end_of(by);
        let here = self.waits_at(by, t - 0.5);
        let right = own(end, [ball[0] - here[0], 0.0])[0];
        if right > -tactics::habits(by).runs_round { Wing::Forehand } else { Wing::Backhand }
    }

    /// A player changes the place to wait at, to the net or back from it, at `t`.
    fn goes(&mut self, side: Side, t: f64, to_net: bool) {
        self.stood[side.index()] = (self.waits_at(side, t), t);
        self.at_net[side.index()] = to_net;
    }

    /// Whether a player who has run since `from` meets a ball in time without running faster than people do.
    fn reaches(&self, by: Side, ball: [f64; 3], from: f64, t: f64) -> bool {
        let body = self.body_for(by, ball, self.wing(by, ball, t), ball[2] > OVERHEAD);
        dist(self.waits_at(by, from), body) * RUN_PEAK <= SPRINT * (t - from)
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
            aim: None,
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

    fn finish(mut self, winner: Side, ending: Ending, end: f64, rest: Rest) -> Played {
        for side in [Side::A, Side::B] {
            let here = self.waits_at(side, end);
            self.stage.players[side.index()].go(end + 0.3, here, false);
        }
        Played { strikes: self.strikes, winner, ending, tags: std::mem::take(&mut self.tags), end, rest }
    }
}
