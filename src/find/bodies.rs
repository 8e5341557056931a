//! Where in one picture somebody may stand, and where the feet of who stands there are.

use std::cmp::Ordering;

use super::mask::Mask;
use crate::measure::{Camera, Pixel};
use crate::tennis::court::{HALF_DOUBLES, HALF_LENGTH, Spot};

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
/// Where less than this part of a body is filled there is none; and nobody is seen so much from above that they are shorter than this, in
/// metres across the view.
const FILLED: f64 = 0.15;
const SHORT: f64 = 0.25;
/// Feet so near to the lower edge of the picture are cut off, in pixels.
const CUT: usize = 2;

/// A place where somebody may stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Body {
    pub spot: Spot,
    pub value: f64,
}

/// The ground on which players are looked for, as a camera sees it: at the corners of squares of a metre the pixel, and the pixels
/// of a metre there. Most squares are empty, and what holds for four corners holds between them.
pub(super) struct Ground<'a> {
    camera: &'a Camera,
    halves: [Vec<Option<(Pixel, f64)>>; 2],
}

/// Squares of a metre across and along each half.
const ACROSS: usize = (2.0 * (HALF_DOUBLES.0 + BESIDE)) as usize + 1;
const ALONG: usize = (HALF_LENGTH.0 + BEHIND) as usize + 1;
/// Places across and along each half, and along the side of a square.
const TRIED: (usize, usize) =
    ((2.0 * (HALF_DOUBLES.0 + BESIDE) / STEP) as usize, ((HALF_LENGTH.0 + BEHIND) / STEP) as usize);
const EACH: usize = (1.0 / STEP) as usize;
/// Straight lines on the ground are bent by a lens by less, in pixels.
const BENT: f64 = 2.0;

impl<'a> Ground<'a> {
    pub fn new(camera: &'a Camera) -> Self {
        let corner = |x: usize, y: f64| {
            let at = Spot::new(x as f64 - HALF_DOUBLES.0 - BESIDE, y);
            let depth = camera.depth(at);
            Some((camera.see_ground(at).filter(|_| depth > BEFORE)?, camera.focal() / depth))
        };
        let half = |sign: f64| {
            (0..=ALONG).flat_map(|y| (0..=ACROSS).map(move |x| corner(x, sign * y as f64))).collect()
        };
        Self { camera, halves: [half(-1.0), half(1.0)] }
    }

    /// The first row in which somebody on the ground can be seen.
    pub fn first_row(&self) -> usize {
        let tops = self.halves.iter().flatten().flatten().map(|(foot, metre)| foot.y - 2.2 * metre);
        tops.fold(f64::INFINITY, f64::min).max(0.0) as usize
    }

    /// Whether something is seen about where somebody in a square would be.
    fn is_anything(&self, mask: &Mask, far: bool, x: usize, y: usize) -> bool {
        let corner = |x: usize, y: usize| self.halves[usize::from(far)][y * (ACROSS + 1) + x];
        let corners = [corner(x, y), corner(x + 1, y), corner(x, y + 1), corner(x + 1, y + 1)];
        let [Some(a), Some(b), Some(c), Some(d)] = corners else {
            return corners.iter().any(Option::is_some);
        };
        let all = [a, b, c, d];
        let metre = all.iter().map(|c| c.1).fold(0.0, f64::max);
        let of = |f: fn(f64, f64) -> f64, v: fn(&Pixel) -> f64| all.iter().map(|c| v(&c.0)).reduce(f);
        let [left, right] = [f64::min, f64::max].map(|f| of(f, |p| p.x).unwrap_or(0.0));
        let [top, bottom] = [f64::min, f64::max].map(|f| of(f, |p| p.y).unwrap_or(0.0));
        let beside = metre + BENT;
        mask.within(left - beside, top - 2.2 * metre - BENT, right + beside, bottom + 0.2 * metre + BENT)
            > 0.0
    }
}

/// The places that are tried in a square.
fn places((x, y): (usize, usize), far: bool) -> impl Iterator<Item = Spot> {
    let (from_x, sign) = (-HALF_DOUBLES.0 - BESIDE, if far { 1.0 } else { -1.0 });
    let across = x * EACH..=(x * EACH + EACH - 1).min(TRIED.0);
    (y * EACH + 1..=(y * EACH + EACH).min(TRIED.1)).flat_map(move |j| {
        across.clone().map(move |i| Spot::new(from_x + i as f64 * STEP, sign * j as f64 * STEP))
    })
}

/// The best places of one half.
pub(super) fn bodies(mask: &Mask, ground: &Ground<'_>, far: bool) -> Vec<Body> {
    let camera = ground.camera;
    let mut tried: Vec<Body> = Vec::new();
    let squares = (0..ALONG).flat_map(|y| (0..ACROSS).map(move |x| (x, y)));
    let seen = squares.filter(|(x, y)| ground.is_anything(mask, far, *x, *y));
    for spot in seen.flat_map(|square| places(square, far)) {
        let Some(foot) = is_anything(mask, camera, spot) else { continue };
        let value = body(mask, camera, spot, foot);
        if value > LEAST {
            tried.push(Body { spot, value });
        }
    }
    // Of equal ones the one nearer to the net, then farther to the left.
    let order = |b: &Body| (b.spot.y.0.abs(), b.spot.x.0);
    tried.sort_by(|a, b| {
        b.value.total_cmp(&a.value).then(order(a).partial_cmp(&order(b)).unwrap_or(Ordering::Equal))
    });
    let mut best: Vec<Body> = Vec::new();
    for new in tried {
        if best.len() < BEST && best.iter().all(|b| b.spot.distance(new.spot).0 > APART) {
            best.push(new);
        }
    }
    best.iter().filter_map(|b| Some(Body { spot: feet(mask, camera, b.spot)?, ..*b })).collect()
}

/// The mask without somebody who stands at a place; `None` if they do not reach before the far half.
pub(super) fn without(mask: &Mask, camera: &Camera, at: Spot) -> Option<Mask> {
    let (foot, head, metre) = stands(camera, at)?;
    camera.ground(head).filter(|behind| behind.y.0 > 0.0)?;
    let half = 0.75 * WIDE * metre;
    Some(mask.without(foot.x - half, head.y - 0.1 * (foot.y - head.y), foot.x + half, foot.y + 1.0))
}

/// The feet of somebody at a place, if enough is seen about there for a body: far cheaper than [`body`], and seldom so.
fn is_anything(mask: &Mask, camera: &Camera, at: Spot) -> Option<Pixel> {
    let depth = camera.depth(at);
    let foot = camera.see_ground(at).filter(|_| depth > BEFORE)?;
    let metre = camera.focal() / depth;
    let seen = mask.within(foot.x - metre, foot.y - 2.2 * metre, foot.x + metre, foot.y + 0.2 * metre);
    (seen > FILLED * WIDE * SHORT * metre * metre).then_some(foot)
}

/// Feet and head of somebody at a place, and the pixels of a metre there.
pub(super) fn stands(camera: &Camera, at: Spot) -> Option<(Pixel, Pixel, f64)> {
    let foot = camera.see_ground(at).filter(|_| camera.depth(at) > BEFORE)?;
    let (head, metre) = rises(camera, at, foot)?;
    Some((foot, head, metre))
}

/// The head of somebody whose feet are in a pixel, and the pixels of a metre there.
fn rises(camera: &Camera, at: Spot, foot: Pixel) -> Option<(Pixel, f64)> {
    let head = camera.see([at.x.0, at.y.0, TALL])?;
    let side = camera.see_ground(Spot::new(at.x.0 + 0.5, at.y.0))?;
    let (x, y) = (side.x - foot.x, side.y - foot.y);
    Some((head, 2.0 * (x * x + y * y).sqrt()))
}

/// How much somebody's picture is there: filled where the body would be, empty to both sides and below the feet.
fn body(mask: &Mask, camera: &Camera, at: Spot, foot: Pixel) -> f64 {
    let Some((head, metre)) = rises(camera, at, foot) else { return 0.0 };
    let (half, tall) = (WIDE * metre / 2.0, foot.y - head.y);
    let inside = foot.x > 0.0 && foot.x < mask.width as f64 && foot.y > 0.0 && foot.y < mask.height as f64;
    if !inside || tall < 4.0 {
        return 0.0;
    }
    let (x, area) = (f64::midpoint(foot.x, head.x), 2.0 * half * tall);
    let filled = mask.within(x - half, head.y, x + half, foot.y);
    if filled < FILLED * area {
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

/// A place about which something is seen, in a square that is passed over.
#[cfg(test)]
pub(super) fn is_anything_passed_over(mask: &Mask, ground: &Ground<'_>) -> Option<Spot> {
    let squares = (0..ALONG).flat_map(|y| (0..ACROSS).map(move |x| (x, y)));
    let all = squares.flat_map(|square| [false, true].map(|far| (square, far)));
    let empty = all.filter(|((x, y), far)| !ground.is_anything(mask, *far, *x, *y));
    empty
        .flat_map(|(square, far)| places(square, far))
        .find(|at| is_anything(mask, ground.camera, *at).is_some())
}
