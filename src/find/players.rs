//! The players found in the picture: where their feet are on the ground, near and far, at one moment of a point.
//!
//! Everything that differs from the empty court and is no shadow (`empty`) is held against somebody 1.75 m tall who stands at each
//! place of the court and of the ground around it. Of the best places in each frame the way is taken that nobody would run too fast
//! for. Two straight lines through the places before and after the moment give the place at it: a strike is where a run ends and the next
//! one begins. Somebody whose feet the picture's lower edge cuts off is nowhere.

use std::sync::Arc;

use nalgebra::{Matrix3, Matrix3x2, Vector3};

use super::bodies::{Body, Ground, bodies, without};
use super::colour::Colour;
use super::empty::Empty;
use super::mask::Mask;
use crate::measure::Camera;
use crate::tennis::court::Spot;
use crate::time::MatchTime;

/// What no place in a frame costs, and what a metre costs beyond the fastest run (metres a second).
const MISSING: f64 = 0.15;
const FAST: f64 = 8.0;
/// The lines go through places of frames this near to the moment, in seconds; a place so far from it has half the weight.
const AROUND: f64 = 0.4;
const HALF_WEIGHT: f64 = 0.2;

/// Where somebody's feet are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feet {
    /// On the ground, the middle between them.
    pub spot: Spot,
    /// How far the places of the frames around scatter about the line through them, in metres.
    pub scatter: f64,
    /// How far to believe it, from 0 to 1: how much of a body is seen, and in how many of the frames.
    pub confidence: f64,
}

/// Looks for the players around one moment.
#[derive(Debug)]
pub struct Players {
    empty: Empty,
    /// Used again for each picture.
    mask: Mask,
    frames: Vec<(MatchTime, [Vec<Body>; 2])>,
}

impl Players {
    /// With pictures of the same court from other moments, each with its camera, and the cameras of the pictures in which players will be
    /// looked for. `None` if the pictures are fewer than five.
    pub fn new(samples: &[(Camera, Arc<Colour>)], looks: &[Camera]) -> Option<Self> {
        Some(Self { empty: Empty::of(samples, looks)?, mask: Mask::default(), frames: Vec::new() })
    }

    /// The next frame around the moment.
    pub fn feed(&mut self, time: MatchTime, camera: &Camera, picture: &Colour) {
        let camera = camera.resized(picture.size());
        let net = camera.see_ground(Spot::default()).map_or(0.0, |p| p.y.max(0.0)) as usize;
        let ground = Ground::new(&camera);
        let mask = &mut self.mask;
        self.empty.differs(&camera, picture, (ground.first_row(), net), &mut mask.is);
        mask.count(picture.size());
        let near = bodies(mask, &ground, false);
        // Somebody at the net stands before the far half: it must not be taken for the legs of who is there.
        let before = near.first().and_then(|body| without(mask, &camera, body.spot));
        let far = bodies(before.as_ref().unwrap_or(mask), &ground, true);
        self.frames.push((time, [near, far]));
    }

    /// The feet of the near and of the far player at the moment, as far as they are found.
    pub fn at(&self, time: MatchTime) -> [Option<Feet>; 2] {
        [0, 1].map(|half| {
            let seconds = |t: MatchTime| {
                if t > time { (t - time).as_secs_f64() } else { -(time - t).as_secs_f64() }
            };
            let frames: Vec<_> = self.frames.iter().map(|(t, b)| (seconds(*t), &b[half][..])).collect();
            // A way leads over frames in which nobody is seen, however many they are.
            let seen: Vec<_> = frames.iter().filter(|(_, bodies)| !bodies.is_empty()).copied().collect();
            line(&way(&seen), frames.iter().filter(|f| f.0.abs() <= AROUND).count())
        })
    }
}

/// Of each frame the place on the best way, with its time (Viterbi 1967).
fn way(frames: &[(f64, &[Body])]) -> Vec<(f64, Body)> {
    /// The value so far, and the place before.
    type Node = (f64, Option<(usize, usize)>);
    let mut nodes: Vec<Vec<Node>> = Vec::with_capacity(frames.len());
    for (n, (t, bodies)) in frames.iter().enumerate() {
        let reached = |body: &Body| {
            let mut best = (body.value - MISSING * n as f64, None);
            for back in 1..=n.min(6) {
                let (before, others) = &frames[n - back];
                let lost = MISSING * (back - 1) as f64;
                for (k, other) in others.iter().enumerate() {
                    let fast = body.spot.distance(other.spot).0 / (t - before).max(1e-3);
                    let value = nodes[n - back][k].0 + body.value - lost - 0.2 * (fast - FAST).max(0.0);
                    if value > best.0 {
                        best = (value, Some((n - back, k)));
                    }
                }
            }
            best
        };
        let row = bodies.iter().map(reached).collect();
        nodes.push(row);
    }
    let last = frames.len();
    let ends = nodes.iter().enumerate().flat_map(|(n, row)| {
        row.iter().enumerate().map(move |(k, node)| (node.0 - MISSING * (last - 1 - n) as f64, (n, k)))
    });
    let mut at = ends.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, place)| place);
    let mut way = Vec::new();
    while let Some((n, k)) = at {
        way.push((frames[n].0, frames[n].1[k]));
        at = nodes[n][k].1;
    }
    way
}

/// The place at time 0 on the lines through the places around it: least squares, then without those that are far off.
fn line(way: &[(f64, Body)], frames: usize) -> Option<Feet> {
    let mut used: Vec<_> = way.iter().filter(|(t, _)| t.abs() <= AROUND).copied().collect();
    if used.len() < 2 || used.len() * 3 < frames {
        return None;
    }
    let value = used.iter().map(|(_, b)| b.value).sum::<f64>() / used.len() as f64;
    let mut fit = fitted(&used);
    for _ in 0..2 {
        let off = |(t, b): &(f64, Body)| (fit(*t).0 - b.spot.x.0).hypot(fit(*t).1 - b.spot.y.0);
        let mut offs: Vec<f64> = used.iter().map(off).collect();
        offs.sort_by(f64::total_cmp);
        let most = (2.5 * offs[offs.len() / 2]).max(0.15);
        let kept: Vec<_> = used.iter().filter(|u| off(u) <= most).copied().collect();
        if kept.len() >= 2 {
            used = kept;
        }
        fit = fitted(&used);
    }
    let square = |(t, b): &(f64, Body)| (fit(*t).0 - b.spot.x.0).powi(2) + (fit(*t).1 - b.spot.y.0).powi(2);
    let scatter = (used.iter().map(square).sum::<f64>() / used.len() as f64).sqrt();
    let share = used.len() as f64 / frames.max(1) as f64;
    let confidence = (value / 0.6).min(1.0) * share.min(1.0) * (-scatter / 0.6).exp();
    let (x, y) = fit(0.0);
    Some(Feet { spot: Spot::new(x, y), scatter, confidence })
}

/// Two lines that meet at time 0, by least squares; places far from it count less.
fn fitted(used: &[(f64, Body)]) -> impl Fn(f64) -> (f64, f64) + use<> {
    let basis = |t: f64| Vector3::new(1.0, t.min(0.0), t.max(0.0));
    // Where nothing is known of one side, nobody moves there.
    let mut normal = Matrix3::from_diagonal(&Vector3::new(1e-9, 1e-4, 1e-4));
    let mut sums = Matrix3x2::zeros();
    for (t, body) in used {
        let (by, weight) = (basis(*t), 1.0 / (1.0 + (t / HALF_WEIGHT).powi(2)));
        normal += by * by.transpose() * weight;
        sums.set_column(0, &(sums.column(0) + by * (weight * body.spot.x.0)));
        sums.set_column(1, &(sums.column(1) + by * (weight * body.spot.y.0)));
    }
    let lines = normal.cholesky().map_or(Matrix3x2::zeros(), |c| c.solve(&sums));
    move |at| {
        let place = lines.transpose() * basis(at);
        (place[0], place[1])
    }
}

#[cfg(test)]
#[path = "players_tests.rs"]
mod tests;
