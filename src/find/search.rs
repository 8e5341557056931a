//! Looks for the painted lines beside where a camera expects them, and fits the camera to what is found.

use nalgebra::{SMatrix, SVector};

use super::grey::Grey;
use super::model::{ACROSS, LINES, PAINTED, SAMPLES};
use crate::measure::{Camera, NUMBERS, Pixel, PoseStep};
use crate::tennis::court::NET_CENTRE;

/// Steps of the search, in pixels.
const FINE: f64 = 0.5;
/// A line's pixels are brighter than both sides by at least so many shades, in the mean of [`ALONGSIDE`] places.
const BRIGHTER: f64 = 5.0;
/// Places along the line whose pixels are averaged: the noise of one pixel is as large as a faint line's contrast.
const ALONGSIDE: [f64; 5] = [-0.4, -0.2, 0.0, 0.2, 0.4];

/// What was found at one place of a painted line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Evidence {
    /// Which of [`SAMPLES`].
    pub sample: usize,
    /// Where the camera expects it, and the direction across the line.
    pub expected: Pixel,
    pub normal: [f64; 2],
    /// How far along the normal the line's middle is, in pixels; `None` if no line is there.
    pub off: Option<f64>,
    /// How much brighter than its sides it is there.
    pub bright: f64,
    /// Pixels of line that the place stands for.
    pub length: f64,
}

/// Whether the sight line to a place on the far side passes the band along the top of the net.
fn behind_the_band(camera: &Camera, at: [f64; 2]) -> bool {
    let [_, y, height] = camera.position();
    let over = height * at[1] / (at[1] - y);
    at[1] > 0.0 && (NET_CENTRE.0 - 0.19..NET_CENTRE.0 + 0.20).contains(&over)
}

/// Motion that widens lines while the shutter is open: where the camera was in the frame before, and the part of the time
/// between both frames that the shutter was open.
pub(super) type Blur<'a> = Option<(&'a Camera, f64)>;

/// Looks for each line within `reach` pixels of where the camera expects it.
pub(super) fn look(picture: &Grey, camera: &Camera, reach: f64) -> Vec<Evidence> {
    look_blurred(picture, camera, reach, None)
}

/// The same in a picture that was taken while the camera moved.
pub(super) fn look_blurred(picture: &Grey, camera: &Camera, reach: f64, blur: Blur) -> Vec<Evidence> {
    // A far search of a frame that is followed comes early: half of the places are enough.
    let step = if blur.is_some() && reach > 6.0 { 2 } else { 1 };
    let places = SAMPLES.iter().enumerate().step_by(step).filter(|(_, s)| !behind_the_band(camera, s.at));
    places.filter_map(|(sample, _)| look_at(picture, camera, sample, reach, blur)).collect()
}

fn look_at(picture: &Grey, camera: &Camera, sample: usize, reach: f64, blur: Blur) -> Option<Evidence> {
    let place = &SAMPLES[sample];
    let width = PAINTED[place.line].width;
    let q = camera.see_ground(place.spot())?;
    if !picture.size().holds(q, 4.5) {
        return None;
    }
    let e = camera.see_ground(place.moved(0.2, 0.0))?;
    let (a, b) = (
        camera.see_ground(place.moved(0.0, width / 2.0))?,
        camera.see_ground(place.moved(0.0, -width / 2.0))?,
    );
    let long = e.distance(q).max(1e-9);
    let t = [(e.x - q.x) / long, (e.y - q.y) / long];
    let normal = [-t[1], t[0]];
    let mut thick = ((a.x - b.x) * normal[0] + (a.y - b.y) * normal[1]).abs();
    if let Some((before, open)) = blur
        && let Some(p) = before.see_ground(place.spot())
    {
        thick += open * ((q.x - p.x) * normal[0] + (q.y - p.y) * normal[1]).abs();
    }
    let thick = thick.clamp(1.0, 28.0);
    let length = (long * super::model::STEP / 0.2).min(40.0);
    let ridge = ridge(picture, q, normal, thick, reach, length.min(8.0));
    let (off, bright) = ridge.map_or((None, 0.0), |(off, bright)| (Some(off), bright));
    Some(Evidence { sample, expected: q, normal, off, bright, length })
}

/// Where along a normal the picture is brightest over the width of the line, compared with both sides of it.
/// Pixels are averaged over a `length` along the line.
fn ridge(
    picture: &Grey,
    from: Pixel,
    normal: [f64; 2],
    thick: f64,
    reach: f64,
    length: f64,
) -> Option<(f64, f64)> {
    let half = ((thick / 2.0 / FINE).round() as usize).max(1);
    let gap = ((thick / 2.0 * 0.6 / FINE).round() as usize).max(2);
    let side = half.max(3);
    let steps = (reach / FINE) as usize;
    let margin = half + gap + side + 1;
    let count = 2 * (steps + margin) + 1;
    // A far search comes early and need not be exact.
    let places = if reach > 6.0 { &ALONGSIDE[1..4] } else { &ALONGSIDE[..] };
    let mut sums = Vec::with_capacity(count + 1);
    sums.push(0.0);
    for i in 0..count {
        let d = (i as f64 - (steps + margin) as f64) * FINE;
        let (x, y) = (from.x + normal[0] * d, from.y + normal[1] * d);
        let beside = |t: &f64| picture.at(x + normal[1] * t * length, y - normal[0] * t * length);
        sums.push(sums[i] + f64::from(places.iter().map(beside).sum::<f32>()) / places.len() as f64);
    }
    let mean = |a: usize, b: usize| (sums[b] - sums[a]) / (b - a) as f64;
    // Brightness of the middle against the brighter side, and against both.
    let at = |k: usize| {
        let i = k + margin;
        let inside = mean(i - half, i + half + 1);
        let left = mean(i - half - gap - side, i - half - gap);
        let right = mean(i + half + gap + 1, i + half + gap + side + 1);
        (inside - left.max(right), inside - f64::midpoint(left, right))
    };
    let far = |k: usize| (k as f64 - steps as f64) * FINE;
    let value = |k: usize| at(k).0 - 0.15 * (BRIGHTER / 4.0) * far(k).abs();
    let best = (0..=2 * steps).max_by(|a, b| value(*a).total_cmp(&value(*b)))?;
    if at(best).0 < BRIGHTER || best == 0 || best == 2 * steps {
        return None;
    }
    let [a, b, c] = [at(best - 1).1, at(best).1, at(best + 1).1];
    let bend = a - 2.0 * b + c;
    let between = if bend.abs() > 1e-6 { (0.5 * (a - c) / bend).clamp(-1.0, 1.0) } else { 0.0 };
    Some((far(best) + between * FINE, at(best).0))
}

/// A camera, and how uncertain its numbers are.
#[derive(Debug, Clone)]
pub(super) struct Fit {
    pub camera: Camera,
    pub covariance: SMatrix<f64, NUMBERS, NUMBERS>,
}

/// Fits the camera to the lines found: iteratively reweighted least squares with Levenberg's damping. A line `scale`
/// pixels off has little weight (Cauchy's weights). `lens` is one standard deviation of the radial term.
pub(super) fn fit(camera: &Camera, found: &[Evidence], scale: f64, lens: f64) -> Option<Fit> {
    let mut camera = *camera;
    let targets: Vec<_> = found.iter().filter_map(|e| Some((e, target(e)?))).collect();
    let mut damping = 1e-3;
    let (mut cost, mut normal, mut slope) = equations(&camera, &targets, scale, lens)?;
    for _ in 0..25 {
        let mut damped = normal;
        for k in 0..NUMBERS {
            damped[(k, k)] += damping * normal[(k, k)] + 1e-9;
        }
        let step: PoseStep = -(damped.cholesky()?.solve(&slope));
        let moved = camera.moved(&step);
        match equations(&moved, &targets, scale, lens).filter(|(c, ..)| *c <= cost) {
            Some((less, n, s)) => {
                let done = cost - less < 1e-6 * cost;
                (camera, cost, normal, slope) = (moved, less, n, s);
                damping *= 0.2;
                if done {
                    break;
                }
            }
            None if damping > 1e4 => break,
            None => damping *= 10.0,
        }
    }
    let covariance = normal.try_inverse()?;
    covariance.iter().all(|v| v.is_finite()).then_some(Fit { camera, covariance })
}

/// How far one frame may turn (radians) and zoom the camera from where it was expected: one standard deviation. Cameras hardly roll.
const TURN: [f64; 4] = [0.02, 0.02, 0.002, 0.02];

/// Fits only turn and zoom to the lines found: Gauss and Newton's method with Cauchy's weights.
pub(super) fn fit_turn(camera: &Camera, found: &[Evidence], scale: f64) -> Option<Camera> {
    let targets: Vec<_> = found.iter().filter_map(|e| Some((e, target(e)?))).collect();
    let (mut turned, mut all) = (*camera, SVector::<f64, 4>::zeros());
    for _ in 0..5 {
        let mut normal = SMatrix::<f64, 4, 4>::from_diagonal(&SVector::from(TURN.map(|t| 1.0 / (t * t))));
        let mut slope = normal * all;
        for (e, target) in &targets {
            let (seen, by) = turned.see_slope(SAMPLES[e.sample].spot())?;
            let r = (seen.x - target.x) * e.normal[0] + (seen.y - target.y) * e.normal[1];
            let row = by.fixed_view::<1, 4>(0, 0) * e.normal[0] + by.fixed_view::<1, 4>(1, 0) * e.normal[1];
            let weight = e.length.min(14.0) / 14.0 / (1.0 + (r / scale).powi(2));
            normal += row.transpose() * row * weight;
            slope += row.transpose() * (r * weight);
        }
        let step = -(normal.cholesky()?.solve(&slope));
        all += step;
        let mut by = PoseStep::zeros();
        by.fixed_rows_mut::<4>(0).copy_from(&step);
        turned = turned.moved(&by);
        if step.amax() < 1e-6 {
            break;
        }
    }
    Some(turned)
}

fn target(e: &Evidence) -> Option<Pixel> {
    let off = e.off?;
    Some(Pixel::new(e.expected.x + e.normal[0] * off, e.expected.y + e.normal[1] * off))
}

type Normal = (f64, SMatrix<f64, NUMBERS, NUMBERS>, SVector<f64, NUMBERS>);

/// Cost, normal matrix and gradient.
fn equations(camera: &Camera, targets: &[(&Evidence, Pixel)], scale: f64, lens: f64) -> Option<Normal> {
    let mut normal = SMatrix::<f64, NUMBERS, NUMBERS>::zeros();
    let mut slope = SVector::<f64, NUMBERS>::zeros();
    let mut cost = 0.0;
    for (e, target) in targets {
        let (seen, by) = camera.see_slope(SAMPLES[e.sample].spot())?;
        let r = (seen.x - target.x) * e.normal[0] + (seen.y - target.y) * e.normal[1];
        let row = by.row(0) * e.normal[0] + by.row(1) * e.normal[1];
        let spread = 1.0 + (r / scale).powi(2);
        cost += scale * scale * spread.ln();
        let weighted = row.transpose() / spread;
        normal += weighted * row;
        slope += weighted * r;
    }
    let k = camera.radial() / lens;
    cost += k * k;
    normal[(4, 4)] += 1.0 / (lens * lens);
    slope[4] += k / lens;
    cost.is_finite().then_some((cost, normal, slope))
}

/// How well the lines were found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Support {
    /// The part of each line's visible pixels at which it was found; `None` for a line that is hardly visible.
    pub lines: [Option<f64>; LINES],
    /// The same of all lines together.
    pub all: f64,
    /// How far they are off, in pixels: 1.48 times the median, which is one standard deviation of normal errors.
    pub rms: f64,
    /// Length found less length missing, in picture widths.
    pub balance: f64,
    /// Of the lines beyond the net: the visible length in picture widths, and the part of it at which a line was found.
    pub far: (f64, f64),
}

impl Support {
    pub fn of(found: &[Evidence], width: f64) -> Self {
        let (mut seen, mut long, mut count) = ([0.0; LINES], [0.0; LINES], [0; LINES]);
        let mut offs = Vec::new();
        let (mut far_seen, mut far_long) = (0.0, 0.0);
        for e in found {
            if SAMPLES[e.sample].at[1] > 0.5 {
                far_long += e.length;
                far_seen += if e.off.is_some() { e.length } else { 0.0 };
            }
            let line = SAMPLES[e.sample].line;
            long[line] += e.length;
            count[line] += 1;
            if let Some(off) = e.off {
                seen[line] += e.length;
                offs.push(off.abs());
            }
        }
        offs.sort_by(f64::total_cmp);
        let (all_seen, all_long) = (seen.iter().sum::<f64>(), long.iter().sum::<f64>());
        Self {
            lines: std::array::from_fn(|i| (count[i] >= 5).then(|| seen[i] / long[i].max(1e-9))),
            all: all_seen / all_long.max(1e-9),
            rms: offs.get(offs.len() / 2).map_or(f64::INFINITY, |o| 1.48 * o),
            balance: (all_seen - 0.7 * (all_long - all_seen)) / width,
            far: (far_long / width, far_seen / f64::max(far_long, 1e-9)),
        }
    }

    /// How many lines across and along the court are there: found at 40 % of their visible pixels.
    pub fn counts(&self) -> (usize, usize) {
        let there = |lines: &[Option<f64>]| lines.iter().flatten().filter(|s| **s > 0.4).count();
        (there(&self.lines[..ACROSS]), there(&self.lines[ACROSS..]))
    }

    /// How many visible lines are not there.
    pub fn missing(&self) -> usize {
        self.lines.iter().flatten().filter(|s| **s < 0.25).count()
    }
}
