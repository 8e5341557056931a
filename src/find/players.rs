//! The players found in the picture: where their feet are on the ground, near and far, at one moment of a point.
//!
//! Everything that differs from the empty court and is no shadow (`empty`) is held against somebody 1.75 m tall who stands at each
//! place of the court and of the ground around it. Of the best places in each frame the way is taken that nobody would run too fast
//! for. Two straight lines through the places before and after the moment give the place at it: a strike is where a run ends and the next
//! one begins. Somebody whose feet the picture's lower edge cuts off is nowhere.

use nalgebra::{Matrix3, Matrix3x2, Vector3};

use super::colour::Colour;
use super::empty::Empty;
use crate::measure::{Camera, Pixel, Size};
use crate::tennis::court::{HALF_DOUBLES, HALF_LENGTH, Spot};
use crate::time::MatchTime;

/// Ground beside and behind the court on which players are looked for, in metres.
const BESIDE: f64 = 4.0;
const BEHIND: f64 = 7.5;
/// Nearer to the camera's plane than this nobody is looked for, in metres.
const BEFORE: f64 = 2.5;
/// Somebody's height and width, in metres.
const TALL: f64 = 1.75;
const WIDE: f64 = 0.6;
/// Places are tried so many metres apart.
const STEP: f64 = 0.25;
/// So many of the best places of a frame are kept, and places this near to a better one are not.
const BEST: usize = 4;
const APART: f64 = 1.2;
/// A place with less of somebody's picture is nobody.
const LEAST: f64 = 0.22;
/// What no place in a frame costs, and what a metre costs beyond the fastest run (metres a second).
const MISSING: f64 = 0.15;
const FAST: f64 = 8.0;
/// The lines go through places of frames this near to the moment, in seconds; a place so far from it has half the weight.
const AROUND: f64 = 0.4;
const HALF_WEIGHT: f64 = 0.2;
/// Feet so near to the lower edge of the picture are cut off, in pixels.
const CUT: usize = 2;

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
    frames: Vec<(MatchTime, [Vec<Body>; 2])>,
}

/// A place where somebody may stand.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Body {
    spot: Spot,
    value: f64,
}

impl Players {
    /// With pictures of the same court from other moments, each with its camera. `None` if they are fewer than five.
    pub fn new(samples: &[(Camera, Colour)]) -> Option<Self> {
        Some(Self { empty: Empty::of(samples)?, frames: Vec::new() })
    }

    /// The next frame around the moment.
    pub fn feed(&mut self, time: MatchTime, camera: &Camera, picture: &Colour) {
        let camera = camera.resized(picture.size());
        let net = camera.see_ground(Spot::default()).map_or(0.0, |p| p.y.max(0.0)) as usize;
        let mask = Mask::new(picture.size(), self.empty.differs(&camera, picture, net));
        let near = bodies(&mask, &camera, false);
        // Somebody at the net stands before the far half: it must not be taken for the legs of who is there.
        let before = near.first().and_then(|body| mask.without(&camera, body.spot));
        let far = bodies(before.as_ref().unwrap_or(&mask), &camera, true);
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

/// What belongs to somebody, with sums over the rectangles from the left top corner.
struct Mask {
    width: usize,
    height: usize,
    is: Vec<u8>,
    sums: Vec<u32>,
}

impl Mask {
    fn new(size: Size, is: Vec<u8>) -> Self {
        let (width, height) = (size.width as usize, size.height as usize);
        let mut sums = vec![0; (width + 1) * (height + 1)];
        for y in 0..height {
            let mut row = 0;
            for x in 0..width {
                row += u32::from(is[y * width + x]);
                sums[(y + 1) * (width + 1) + x + 1] = sums[y * (width + 1) + x + 1] + row;
            }
        }
        Self { width, height, is, sums }
    }

    /// Without somebody who stands at a place; `None` if they do not reach before the far half.
    fn without(&self, camera: &Camera, at: Spot) -> Option<Self> {
        let (foot, head, metre) = stands(camera, at)?;
        camera.ground(head).filter(|behind| behind.y.0 > 0.0)?;
        let x = |v: f64| v.clamp(0.0, self.width as f64) as usize;
        let (left, right) = (x(foot.x - 0.75 * WIDE * metre), x(foot.x + 0.75 * WIDE * metre));
        let y = |v: f64| v.clamp(0.0, self.height as f64) as usize;
        let mut is = self.is.clone();
        for row in y(head.y - 0.1 * (foot.y - head.y))..y(foot.y + 1.0) {
            is[row * self.width + left..row * self.width + right].fill(0);
        }
        Some(Self::new(Size::new(self.width as u32, self.height as u32), is))
    }

    /// How many pixels of a rectangle belong to somebody.
    fn within(&self, left: f64, top: f64, right: f64, bottom: f64) -> f64 {
        // Rounded: much faster than by `round`, which is a call.
        let x = |v: f64| (v.clamp(0.0, self.width as f64) + 0.5) as usize;
        let y = |v: f64| (v.clamp(0.0, self.height as f64) + 0.5) as usize;
        let (l, t, r, b) = (x(left), y(top), x(right), y(bottom));
        if r <= l || b <= t {
            return 0.0;
        }
        let sum = |x: usize, y: usize| f64::from(self.sums[y * (self.width + 1) + x]);
        sum(r, b) - sum(l, b) - sum(r, t) + sum(l, t)
    }
}

/// The best places of one half.
fn bodies(mask: &Mask, camera: &Camera, far: bool) -> Vec<Body> {
    let mut tried: Vec<Body> = Vec::new();
    let across = (2.0 * (HALF_DOUBLES.0 + BESIDE) / STEP) as i32;
    let along = ((HALF_LENGTH.0 + BEHIND) / STEP) as i32;
    let (from_x, sign) = (-HALF_DOUBLES.0 - BESIDE, if far { 1.0 } else { -1.0 });
    for j in 1..=along {
        for i in 0..=across {
            let spot = Spot::new(from_x + f64::from(i) * STEP, sign * f64::from(j) * STEP);
            if !is_anything(mask, camera, spot) {
                continue;
            }
            let value = body(mask, camera, spot);
            if value > LEAST {
                tried.push(Body { spot, value });
            }
        }
    }
    tried.sort_by(|a, b| b.value.total_cmp(&a.value));
    let mut best: Vec<Body> = Vec::new();
    for new in tried {
        if best.len() < BEST && best.iter().all(|b| b.spot.distance(new.spot).0 > APART) {
            best.push(new);
        }
    }
    best.iter().filter_map(|b| Some(Body { spot: feet(mask, camera, b.spot)?, ..*b })).collect()
}

/// Whether something is seen about where somebody at a place would be: far cheaper than [`body`], and seldom so.
fn is_anything(mask: &Mask, camera: &Camera, at: Spot) -> bool {
    let depth = camera.depth(at);
    let Some(foot) = camera.see_ground(at).filter(|_| depth > BEFORE) else { return false };
    let metre = camera.focal() / depth;
    mask.within(foot.x - metre, foot.y - 2.2 * metre, foot.x + metre, foot.y + 0.2 * metre) > 0.0
}

/// Feet and head of somebody at a place, and the pixels of a metre there.
fn stands(camera: &Camera, at: Spot) -> Option<(Pixel, Pixel, f64)> {
    let foot = camera.see_ground(at).filter(|_| camera.depth(at) > BEFORE)?;
    let head = camera.see([at.x.0, at.y.0, TALL])?;
    let side = camera.see_ground(Spot::new(at.x.0 + 0.5, at.y.0))?;
    Some((foot, head, 2.0 * side.distance(foot)))
}

/// How much somebody's picture is there: filled where the body would be, empty to both sides and below the feet.
fn body(mask: &Mask, camera: &Camera, at: Spot) -> f64 {
    let Some((foot, head, metre)) = stands(camera, at) else { return 0.0 };
    let (half, tall) = (WIDE * metre / 2.0, foot.y - head.y);
    let inside = foot.x > 0.0 && foot.x < mask.width as f64 && foot.y > 0.0 && foot.y < mask.height as f64;
    if !inside || tall < 4.0 {
        return 0.0;
    }
    let (x, area) = (f64::midpoint(foot.x, head.x), 2.0 * half * tall);
    let filled = mask.within(x - half, head.y, x + half, foot.y);
    if filled < 0.15 * area {
        return 0.0;
    }
    let low = mask.within(x - half, foot.y - 0.3 * tall, x + half, foot.y) / (0.3 * area);
    let below = mask.within(x - half, foot.y, x + half, foot.y + 0.2 * tall) / (0.2 * area);
    let beside = mask.within(x - 3.0 * half, head.y, x - half, foot.y)
        + mask.within(x + half, head.y, x + 3.0 * half, foot.y);
    filled / area - 0.25 * beside / area - 0.6 * below + 0.15 * low.min(0.5)
}

/// The middle between the feet of somebody who stands about there: the lowest pixels to the left and to the right of the body. `None` if
/// the picture ends above the feet.
fn feet(mask: &Mask, camera: &Camera, about: Spot) -> Option<Spot> {
    let (foot, head, metre) = stands(camera, about)?;
    let tall = foot.y - head.y;
    let x_of = |v: f64| v.clamp(0.0, mask.width as f64 - 1.0) as usize;
    let y_of = |v: f64| v.clamp(0.0, mask.height as f64 - 1.0) as usize;
    let (left, right) = (x_of(foot.x - 0.75 * metre), x_of(foot.x + 0.75 * metre));
    let (top, bottom) = (y_of(head.y - 0.1 * tall), y_of(foot.y + 0.3 * tall));
    let filled = |x: usize, y: usize| mask.is[y * mask.width + x] == 1;
    // The body's axis: the column in which the trunk is.
    let trunk = top..=y_of(foot.y - 0.45 * tall);
    let reach = (0.22 * metre).max(1.0) as usize;
    let count = |x: usize| trunk.clone().filter(|y| filled(x, *y)).count();
    let counts: Vec<usize> = (left..=right).map(count).collect();
    let around =
        |k: usize| counts[k.saturating_sub(reach)..(k + reach + 1).min(counts.len())].iter().sum::<usize>();
    let most = (0..counts.len()).map(around).max().filter(|m| *m > 0)?;
    let axes: Vec<usize> = (0..counts.len()).filter(|k| around(*k) == most).collect();
    let axis = left + axes[axes.len() / 2];
    let wide = (0.6 * metre).max(2.0) as usize;
    let lowest = |columns: std::ops::RangeInclusive<usize>| {
        let low = (top..=bottom).rev().find(|y| columns.clone().any(|x| filled(x, *y)))?;
        let band = low.saturating_sub((0.06 * tall) as usize)..=low;
        let xs: Vec<usize> = columns.filter(|x| band.clone().any(|y| filled(*x, y))).collect();
        let x = xs.iter().sum::<usize>() as f64 / xs.len().max(1) as f64 + 0.5;
        // The lowest pixel that counts is covered in part, and the encoder blurs it.
        Some(Pixel::new(x, low as f64 + 0.5)).filter(|p| p.y > foot.y - 0.4 * tall)
    };
    let sides =
        [lowest(axis.saturating_sub(wide)..=axis), lowest(axis + 1..=(axis + wide).min(mask.width - 1))];
    let edge = (mask.height - CUT) as f64;
    if sides.iter().flatten().any(|p| p.y > edge) {
        return None;
    }
    let seen: Vec<Spot> = sides.into_iter().flatten().filter_map(|p| camera.ground(p)).collect();
    let middle = |f: fn(&Spot) -> f64| seen.iter().map(f).sum::<f64>() / seen.len() as f64;
    (!seen.is_empty()).then(|| Spot::new(middle(|s| s.x.0), middle(|s| s.y.0)))
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
