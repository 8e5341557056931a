//! How well a guess explains the ridges of the picture, and how badly: lines without ridges speak against it.

use super::model::{ACROSS, LINES, PAINTED};
use crate::measure::Size;

/// Places looked at on each line.
const PLACES: usize = 24;
/// What a place without a ridge costs, as one with a ridge gains 2.
const MISSING: f64 = 1.4;
/// What a visible line with hardly any ridge costs, and a line that goes on beyond its end.
const NO_LINE: f64 = 0.12;
const BEYOND: f64 = 0.30;
/// How far a ridge may be from a line, in pixels.
pub(super) const REACH: f32 = 4.0;

/// How near a ridge each pixel is, for ridges that run up and those that run across.
#[derive(Debug)]
pub(super) struct Near {
    pub size: Size,
    pub up: Vec<u8>,
    pub across: Vec<u8>,
}

impl Near {
    fn inside(&self, p: [f64; 2]) -> bool {
        let (w, h) = (f64::from(self.size.width), f64::from(self.size.height));
        p[0] > 2.0 && p[0] < w - 3.0 && p[1] > 2.0 && p[1] < h - 3.0
    }

    fn at(&self, p: [f64; 2], steep: bool) -> f64 {
        let i = p[1] as usize * self.size.width as usize + p[0] as usize;
        f64::from(if steep { self.up[i] } else { self.across[i] }) / 255.0
    }
}

/// Metres beyond the ends of a line at which no ridge is expected: before its start and after its end. The sidelines and
/// the centre service line look farther away at their far end.
fn beyond(line: usize) -> ([f64; 4], [f64; 4]) {
    const BASE: [f64; 4] = [0.5, 0.9, 1.3, 1.7];
    const SERVICE: [f64; 4] = [0.35, 0.6, 0.8, 1.0];
    match line {
        0 | 1 => (BASE, BASE),
        2 | 3 => (SERVICE, SERVICE),
        6 => ([0.7, 1.2, 1.8, 2.4], [0.9, 1.5, 2.2, 3.0]),
        _ => ([0.5, 0.8, 1.1, 1.4], [0.8, 1.4, 2.0, 2.6]),
    }
}

/// The score of a guess that puts places on the ground (metres) to pixels: larger is better, 1 is roughly one line
/// across the whole picture.
pub(super) fn score(near: &Near, see: impl Fn([f64; 2]) -> Option<[f64; 2]>) -> f64 {
    (0..LINES).map(|line| one_line(near, line, &see)).sum()
}

fn one_line(near: &Near, line: usize, see: &impl Fn([f64; 2]) -> Option<[f64; 2]>) -> f64 {
    let painted = &PAINTED[line];
    let width = f64::from(near.size.width);
    let (mut gain, mut long, mut ridged) = (0.0, 0.0, 0.0);
    let (mut steep, mut last) = (line >= ACROSS, None);
    for i in 0..=PLACES {
        let now = see(painted.at(i as f64 / PLACES as f64));
        if let (Some(a), Some(b)) = (last, now) {
            let (a, b): ([f64; 2], [f64; 2]) = (a, b);
            let (dx, dy) = ((b[0] - a[0]).abs(), (b[1] - a[1]).abs());
            let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
            steep = dy > 0.6 * dx;
            if near.inside(middle) {
                let length = dx.hypot(dy).min(80.0) / width;
                let s = near.at(middle, steep);
                gain += (2.0 * s - MISSING * (1.0 - s)) * length;
                ridged += s * length;
                long += length;
            }
        }
        last = now;
    }
    let missing = if long > 0.03 && ridged < 0.3 * long { NO_LINE } else { 0.0 };
    let (before, after) = beyond(line);
    let metres = painted.length();
    let run_on = |parts: [f64; 4], sign: f64, from: f64| {
        let seen = parts.iter().filter_map(|m| see(painted.at(from + sign * m / metres)));
        let ridged: f64 = seen.filter(|p| near.inside(*p)).map(|p| near.at(p, steep)).sum();
        (ridged / 4.0 - 0.5).clamp(0.0, 1.0) * BEYOND
    };
    gain - missing - run_on(before, -1.0, 0.0) - run_on(after, 1.0, 1.0)
}
