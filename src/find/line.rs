//! Lines of the picture: segments joined and fitted to the ridge pixels along them.

use super::ridge::{Ridges, Run};
use super::segment::{Segment, segments};

/// At most so many lines of one run are kept.
const MOST: usize = 40;
/// Fewest pixels that support a line.
const SUPPORT: f64 = 36.0;

/// A line of the picture.
#[derive(Debug, Clone)]
pub(super) struct Line {
    /// Pixels of its length that are covered by runs of ridge pixels.
    pub covered: f64,
    /// Its equation: a·x + b·y + c = 0 with a² + b² = 1.
    pub equation: [f64; 3],
    /// Its direction, of length 1.
    pub along: [f64; 2],
    /// The ridge pixels on it.
    pub points: Vec<[f64; 2]>,
    /// The median of these.
    pub middle: [f64; 2],
}

/// The lines of one run, those with the most cover first.
pub(super) fn lines(ridges: &Ridges, run: Run) -> Vec<Line> {
    let mut segments = segments(ridges, run);
    segments.sort_by(|a, b| b.length().total_cmp(&a.length()));
    let w = ridges.width;
    let on = ridges.on.iter().enumerate().filter(|(_, on)| **on);
    let points: Vec<[f64; 2]> = on.map(|(i, _)| [(i % w) as f64 + 0.5, (i / w) as f64 + 0.5]).collect();
    let mut alive = vec![true; segments.len()];
    let mut found = Vec::new();
    for i in 0..segments.len() {
        if !alive[i] || found.len() >= MOST {
            continue;
        }
        let Some(line) = fitted(&segments[i], &points) else { continue };
        let [a, b, c] = line.equation;
        let near = |p: &[f64; 2]| (a * p[0] + b * p[1] + c).abs() < 4.5;
        for (alive, s) in alive.iter_mut().zip(&segments) {
            *alive &= !s.ends.iter().all(near);
        }
        if line.covered >= SUPPORT {
            found.push(line);
        }
    }
    found.sort_by(|a, b| b.covered.total_cmp(&a.covered));
    found
}

/// The line through the pixels near a segment and near its continuation: total least squares, three times.
fn fitted(segment: &Segment, points: &[[f64; 2]]) -> Option<Line> {
    let [p, q] = segment.ends;
    let mut line = through(p, q)?;
    for within in [3.0, 2.5, 2.0] {
        let near: Vec<_> = points.iter().copied().filter(|p| off(&line, *p).abs() < within).collect();
        if near.len() < 20 {
            break;
        }
        line = middle_axis(&near)?;
    }
    let points: Vec<_> = points.iter().copied().filter(|p| off(&line, *p).abs() < 2.0).collect();
    let along = [-line[1], line[0]];
    let covered = covered(points.iter().copied(), along);
    let median = |k: usize| {
        let mut values: Vec<f64> = points.iter().map(|p| p[k]).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied()
    };
    let middle = [median(0)?, median(1)?];
    Some(Line { covered, equation: line, along, points, middle })
}

fn off(line: &[f64; 3], p: [f64; 2]) -> f64 {
    line[0] * p[0] + line[1] * p[1] + line[2]
}

fn through(p: [f64; 2], q: [f64; 2]) -> Option<[f64; 3]> {
    let (a, b) = (p[1] - q[1], q[0] - p[0]);
    let length = a.hypot(b);
    (length > 1e-9).then(|| [a / length, b / length, -(a * p[0] + b * p[1]) / length])
}

/// The line through the mean of points along their longest axis.
fn middle_axis(points: &[[f64; 2]]) -> Option<[f64; 3]> {
    let n = points.len() as f64;
    let mean: [f64; 2] = std::array::from_fn(|k| points.iter().map(|p| p[k]).sum::<f64>() / n);
    let sum = |f: fn(f64, f64) -> f64| points.iter().map(|p| f(p[0] - mean[0], p[1] - mean[1])).sum::<f64>();
    let (xx, xy, yy) = (sum(|x, _| x * x), sum(|x, y| x * y), sum(|_, y| y * y));
    let turn = (2.0 * xy).atan2(xx - yy) / 2.0;
    through(mean, [mean[0] + turn.cos(), mean[1] + turn.sin()])
}

/// How many pixels along a direction are covered by points, in runs of at least 24 pixels.
pub(super) fn covered(points: impl Iterator<Item = [f64; 2]>, along: [f64; 2]) -> f64 {
    const STEP: f64 = 4.0;
    let mut cells: Vec<i64> =
        points.map(|p| ((p[0] * along[0] + p[1] * along[1]) / STEP).floor() as i64).collect();
    cells.sort_unstable();
    cells.dedup();
    let runs = cells.chunk_by(|a, b| b - a <= 4).filter(|run| run.len() >= 6);
    runs.map(<[i64]>::len).sum::<usize>() as f64 * STEP
}
