//! What the person behind the camera does: stands it on a stand, turns it after the ball, holds it in the hand, or mixes the pictures of
//! several cameras as a broadcast does. A camera of any moment.

use serde::Serialize;

use super::camera::Camera;
use super::play::Match;
/// How the match is filmed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum CameraWork {
    /// A camera that never moves.
    #[default]
    Still,
    /// A camera on a stand that is bumped about once a minute.
    Tripod,
    /// A camera on a stand that turns after the play and zooms a little.
    Pan,
    /// A camera held in the hand.
    Hand,
    /// A camera on a high stand that turns and zooms; between points close views and a second camera are cut in.
    Broadcast,
}

/// What a picture shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Showing {
    /// The court, from the first camera.
    Court,
    /// A player, from near.
    CloseUp,
    /// The court, from another camera.
    SecondCamera,
}

/// Steps of the path along which a camera turns, in seconds.
const STEP: f64 = 1.0 / 60.0;
/// How quickly a camera follows the play, per second.
const QUICK: f64 = 3.0;
/// Seconds between two bumps, and how long one lasts.
const BUMP_EVERY: f64 = 47.0;
const BUMP_LASTS: f64 = 0.4;

/// A camera at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct View {
    pub camera: Camera,
    pub showing: Showing,
    /// Grows by one with every cut.
    pub take: u32,
    /// Whether the stand is moving because somebody bumped into it.
    pub bumped: bool,
}

/// A stretch between two cuts: when it begins, and what it shows.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Take {
    from: f64,
    showing: Showing,
    /// At whom a close view looks.
    player: usize,
}

/// All camera work of a match.
#[derive(Debug)]
pub(super) struct Filming {
    work: CameraWork,
    size: [f64; 2],
    /// Where the camera looks, x and y on the ground, every [`STEP`].
    path: Vec<[f64; 2]>,
    takes: Vec<Take>,
}

impl Filming {
    pub fn new(work: CameraWork, game: &Match, width: u32, height: u32) -> Self {
        let follows = !matches!(work, CameraWork::Still | CameraWork::Tripod);
        let path = if follows { path(game) } else { Vec::new() };
        let mut takes = vec![Take { from: 0.0, showing: Showing::Court, player: 0 }];
        if work == CameraWork::Broadcast {
            takes.extend(cuts(game));
        }
        Self { work, size: [f64::from(width), f64::from(height)], path, takes }
    }

    /// Of the picture, in pixels.
    pub fn size(&self) -> [f64; 2] {
        self.size
    }

    /// The camera at a moment of the match clock, in seconds.
    pub fn at(&self, game: &Match, t: f64) -> View {
        let number = self.takes.partition_point(|c| c.from <= t).max(1) - 1;
        let take = self.takes[number];
        let (bumps, bumped) = if self.work == CameraWork::Tripod { bumps(t) } else { ([0.0; 2], false) };
        let camera = match (self.work, take.showing) {
            (_, Showing::CloseUp) => {
                let [x, y] = game.stage.players[take.player].at(t).spot;
                Camera::looking([0.0, -31.0, 8.5], [x, y, 1.1], 9.0, self.size)
            }
            (_, Showing::SecondCamera) => {
                Camera::looking([-4.0, -25.0, 6.0], [0.2, -1.5, 0.0], 58.0, self.size)
            }
            (CameraWork::Still | CameraWork::Tripod, _) => {
                Camera::behind_the_court(self.size[0], self.size[1]).turned([bumps[0], bumps[1], 0.0])
            }
            (CameraWork::Pan, _) => {
                let wide = 52.0 * (1.0 + 0.10 * (t / 3.7).sin());
                Camera::looking([0.0, -23.8872, 5.0], self.aim(t, 1.0), wide, self.size)
            }
            (CameraWork::Hand, _) => held(t, self.aim(t, 0.3), self.size),
            (CameraWork::Broadcast, _) => {
                let wide = 35.0 * (1.0 - 0.12 * (t / 2.9).sin().max(0.0));
                Camera::looking([0.0, -31.0, 8.5], self.aim(t, 0.9), wide, self.size)
            }
        };
        View { camera, showing: take.showing, take: number as u32, bumped }
    }

    /// The place on the ground at which the camera looks, `much` of the way from the middle to the play.
    fn aim(&self, t: f64, much: f64) -> [f64; 3] {
        let last = self.path.len().saturating_sub(1);
        let i = ((t / STEP).max(0.0) as usize).min(last);
        let part = (t / STEP - i as f64).clamp(0.0, 1.0);
        let [a, b] = [i, (i + 1).min(last)].map(|k| self.path.get(k).copied().unwrap_or_default());
        let [x, y] = [0, 1].map(|k| a[k] + (b[k] - a[k]) * part);
        [x * much, -2.0 + y * much, 0.0]
    }
}

/// Where an attentive person looks: at the middle between the ball and the players, later than they get there (a damped spring that does
/// not swing over).
fn path(game: &Match) -> Vec<[f64; 2]> {
    let (mut at, mut speed) = ([0.0_f64; 2], [0.0_f64; 2]);
    let steps = (game.stage.end / STEP) as usize + 2;
    let one = |i: usize| {
        let t = i as f64 * STEP;
        let ball =
            game.stage.ball_at(t).map_or([0.0; 2], |b| [b[0].clamp(-7.0, 7.0), b[1].clamp(-12.0, 12.0)]);
        let players = game.stage.players.iter().map(|p| p.at(t).spot[0].clamp(-6.0, 6.0)).sum::<f64>() / 2.0;
        let goal = [0.55 * ball[0] + 0.35 * players, 0.12 * ball[1]];
        for k in 0..2 {
            speed[k] += (QUICK * QUICK * (goal[k] - at[k]) - 2.0 * QUICK * speed[k]) * STEP;
            at[k] += speed[k] * STEP;
        }
        at
    };
    (0..steps).map(one).collect()
}

/// After each point a player from near, after every other one also the second camera; the court again before the next point.
fn cuts(game: &Match) -> Vec<Take> {
    let mut takes = Vec::new();
    for (i, pair) in game.points.windows(2).enumerate() {
        let (end, next) = (pair[0].span.end().as_secs_f64(), pair[1].span.start().as_secs_f64());
        let (from, back) = (end + 0.9, next - 1.6);
        if back - from < 1.2 {
            continue;
        }
        let second = (i % 2 == 1 && back - from > 2.4).then_some(f64::midpoint(from, back));
        takes.push(Take { from, showing: Showing::CloseUp, player: i % 2 });
        takes.extend(second.map(|from| Take { from, showing: Showing::SecondCamera, player: 0 }));
        takes.push(Take { from: back, showing: Showing::Court, player: 0 });
    }
    takes
}

/// A camera in the hand: it sways, trembles and tilts, and its place moves by a centimetre.
fn held(t: f64, aim: [f64; 3], size: [f64; 2]) -> Camera {
    let wave = |hertz: f64, phase: f64| (t * hertz * std::f64::consts::TAU + phase).sin();
    let yaw = 0.9 * wave(0.31, 0.4) + 0.25 * wave(2.1, 1.9) + 0.06 * wave(5.3, 0.7);
    let pitch = 0.6 * wave(0.43, 2.2) + 0.20 * wave(2.7, 0.2) + 0.05 * wave(6.1, 1.1);
    let roll = 0.35 * wave(0.57, 1.3);
    let place = [0.01 * wave(0.37, 0.9), -23.8872 + 0.01 * wave(0.29, 2.9), 5.0 + 0.006 * wave(0.8, 0.3)];
    Camera::looking(place, aim, 60.0, size).turned([yaw, pitch, roll].map(f64::to_radians))
}

/// How far a stand was turned by all bumps so far, and whether one is going on.
fn bumps(t: f64) -> ([f64; 2], bool) {
    let count = (t / BUMP_EVERY - 0.25).floor();
    if count < 0.0 {
        return ([0.0; 2], false);
    }
    let since = t - (count + 0.25) * BUMP_EVERY;
    let by = |n: f64| [0.006 * (n * 2.1 + 1.0).sin(), 0.004 * (n * 1.3 + 1.2).cos()];
    let (old, new) = (if count > 0.0 { by(count - 1.0) } else { [0.0; 2] }, by(count));
    let part = (since / BUMP_LASTS).min(1.0);
    let swing = (part * std::f64::consts::PI * 3.0).sin() * (1.0 - part) * 0.006;
    ([0, 1].map(|k| old[k] + (new[k] - old[k]) * part + swing), part < 1.0)
}

#[cfg(test)]
mod tests {
    use super::super::camera_truth::lines_in;
    use super::super::play::{Wanted, play};
    use super::*;

    fn game() -> Match {
        play(&Wanted { number: 1, games: Some(1), points: Some(4), brisk: true })
    }

    /// How far the middle of the net moves in the picture from one frame to the next, pixels.
    fn speeds(work: CameraWork) -> Vec<(f64, View)> {
        let game = game();
        let filming = Filming::new(work, &game, 1280, 720);
        let all: Vec<View> =
            (0..(game.stage.end * 30.0) as usize).map(|i| filming.at(&game, i as f64 / 30.0)).collect();
        let net = |v: &View| v.camera.see([0.0, 0.0, 0.0]);
        all.windows(2)
            .map(|w| ((net(&w[0]).x - net(&w[1]).x).hypot(net(&w[0]).y - net(&w[1]).y), w[1]))
            .collect()
    }

    #[test]
    fn each_camera_moves_as_its_name_says() {
        assert!(speeds(CameraWork::Still).iter().all(|(by, _)| *by == 0.0));
        let pan = speeds(CameraWork::Pan);
        let fastest = |s: &[(f64, View)]| s.iter().map(|(by, _)| *by).fold(0.0, f64::max);
        assert!((4.0..25.0).contains(&fastest(&pan)), "{}", fastest(&pan));
        let hand = speeds(CameraWork::Hand);
        assert!((4.0..12.0).contains(&fastest(&hand)), "{}", fastest(&hand));
        let tripod = speeds(CameraWork::Tripod);
        assert!(
            tripod.iter().all(|(by, v)| v.bumped || *by < 1.0)
                && tripod.iter().any(|(by, v)| v.bumped && *by > 1.0)
        );
    }

    #[test]
    fn a_broadcast_is_cut_between_points() {
        let takes = speeds(CameraWork::Broadcast);
        let game = game();
        for point in &game.points {
            let during = takes.iter().enumerate().filter(|(i, _)| {
                let t = *i as f64 / 30.0;
                (point.span.start().as_secs_f64()..point.span.end().as_secs_f64()).contains(&t)
            });
            assert!(during.into_iter().all(|(_, (_, v))| v.showing == Showing::Court));
        }
        let shown = |s: Showing| takes.iter().filter(|(_, v)| v.showing == s).count();
        assert!(shown(Showing::CloseUp) > 30 && shown(Showing::SecondCamera) > 10);
        assert!(
            takes
                .iter()
                .filter(|(_, v)| v.showing == Showing::CloseUp)
                .all(|(by, v)| { *by >= 0.0 && lines_in(&v.camera, [1280.0, 720.0]) < 5 })
        );
    }
}
