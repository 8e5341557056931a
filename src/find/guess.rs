//! Guesses where the court is: pairs of lines that run across it and pairs that run along it.

use super::line::{Line, covered};
use super::model::{XS, YS};
use crate::measure::Size;

/// Lines along the court meet in a vanishing point. So many such points are tried; walls and
/// fences have their own, often with more lines.
const POINTS: usize = 12;
/// How far a line may point past it, in degrees.
const PAST: f64 = 1.3;
/// So many lines along the court and across it are combined.
const ALONG: usize = 8;
const ACROSS: usize = 15;
/// What cameras are believed: angle of view in degrees, height and distance to the near baseline in metres, and how far
/// the court's axes may be from a right angle (cosine).
const WIDE: (f64, f64) = (8.0, 110.0);
const HEIGHT: (f64, f64) = (1.2, 40.0);
const BACK: (f64, f64) = (0.5, 90.0);
const SQUARE: f64 = 0.12;

/// A map from the ground to pixels from the picture's middle, in half diagonals.
pub(super) type Map = [[f64; 3]; 3];

/// Lines along the court, and lines across it ordered by how much of it they span.
struct Bundle<'a> {
    along: Vec<&'a Line>,
    across: Vec<&'a Line>,
}

/// Everything that may be the court.
pub(super) fn guesses(up: &[Line], across: &[Line], size: Size) -> Vec<Map> {
    let mut maps = Vec::new();
    for bundle in bundles(up, across, size) {
        combine(&bundle, size, &mut maps);
    }
    maps
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// A vanishing point and which lines go to it.
struct Vanishing {
    at: [f64; 2],
    members: Vec<bool>,
    score: f64,
}

fn vanishing(at: [f64; 2], lines: &[Line]) -> Vanishing {
    let mut members = vec![false; lines.len()];
    let (mut score, mut count) = (0.0, 0);
    for (line, member) in lines.iter().zip(&mut members) {
        let d = [at[0] - line.middle[0], at[1] - line.middle[1]];
        let far = d[0].hypot(d[1]).max(1e-6);
        let past = (d[0] * line.along[1] - d[1] * line.along[0]).abs() / far;
        let past = past.min(1.0).asin().to_degrees();
        if past < PAST && line.middle[1] > at[1] - 5.0 {
            *member = true;
            count += 1;
            score += line.covered.min(300.0) * (1.0 - 0.5 * past / PAST);
        }
    }
    Vanishing { at, members, score: score + 80.0 * f64::from(count.min(6)) }
}

fn bundles<'a>(up: &'a [Line], across: &'a [Line], size: Size) -> Vec<Bundle<'a>> {
    let up = &up[..up.len().min(24)];
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    let pairs = (0..up.len()).flat_map(|i| (i + 1..up.len()).map(move |j| (i, j)));
    let meet = pairs.filter_map(|(i, j)| {
        let p = cross(up[i].equation, up[j].equation);
        let at = [p[0] / p[2], p[1] / p[2]];
        let above = at[1] < 0.55 * h && at[1] > -4.0 * h;
        (p[2].abs() > 1e-7 && above && (at[0] - w / 2.0).abs() < 1.5 * w).then(|| vanishing(at, up))
    });
    let mut found: Vec<Vanishing> = meet.collect();
    found.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut kept: Vec<Vanishing> = Vec::new();
    let mut bundles = Vec::new();
    for v in found {
        let own = v.members.iter().filter(|m| **m).count().max(1);
        let shared = |k: &Vanishing| k.members.iter().zip(&v.members).filter(|(a, b)| **a && **b).count();
        if kept.iter().any(|k| shared(k) as f64 >= 0.7 * own as f64) {
            continue;
        }
        let members = up.iter().zip(&v.members).filter(|(_, m)| **m).map(|(l, _)| l);
        let along: Vec<&Line> = members.take(ALONG).collect();
        if along.len() >= 2 {
            bundles.push(Bundle { across: ranked(across, &along, v.at, w), along });
        }
        kept.push(v);
        if bundles.len() >= POINTS {
            break;
        }
    }
    bundles
}

/// The lines across, those first that cover most of the wedge between the outermost lines along the court.
fn ranked<'a>(across: &'a [Line], along: &[&Line], from: [f64; 2], wide: f64) -> Vec<&'a Line> {
    let angle = |p: [f64; 2]| (p[0] - from[0]).atan2(p[1] - from[1]);
    let angles = || along.iter().map(|l| angle(l.middle));
    let (low, high) = (angles().fold(f64::MAX, f64::min) - 0.02, angles().fold(f64::MIN, f64::max) + 0.02);
    let mut ranked: Vec<(f64, &Line)> = across
        .iter()
        .filter_map(|line| {
            let within = |p: &[f64; 2]| p[1] > from[1] + 4.0 && (low..high).contains(&angle(*p));
            let inside: Vec<_> = line.points.iter().copied().filter(within).collect();
            let seen = covered(inside.iter().copied(), line.along);
            if seen < 24.0 {
                return None;
            }
            let mut heights: Vec<f64> = inside.iter().map(|p| p[1] - from[1]).collect();
            heights.sort_by(f64::total_cmp);
            let deep = heights[heights.len() / 2];
            let open = if high < 1.5 && low > -1.5 { deep * (high.tan() - low.tan()) } else { wide };
            Some((seen / open.max(30.0).min(wide) * (seen / 60.0).sqrt().min(1.0), line))
        })
        .collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    ranked.into_iter().take(ACROSS).map(|(_, line)| line).collect()
}

/// The line in units of half diagonals from the middle.
fn centred(line: &Line, size: Size) -> [f64; 3] {
    let [a, b, c] = line.equation;
    let middle = size.middle();
    [a, b, (a * middle.x + b * middle.y + c) / size.half_diagonal()]
}

fn combine(bundle: &Bundle, size: Size, maps: &mut Vec<Map>) {
    let along: Vec<_> = bundle.along.iter().map(|l| centred(l, size)).collect();
    let across: Vec<_> = bundle.across.iter().map(|l| centred(l, size)).collect();
    for (i, a) in across.iter().enumerate() {
        for b in &across[i + 1..] {
            for (k, c) in along.iter().enumerate() {
                for d in &along[k + 1..] {
                    if let Some(square) = corners(*a, *b, *c, *d).and_then(square_to) {
                        place(&square, size, maps);
                    }
                }
            }
        }
    }
}

/// Where two lines across and two along the court meet: upper left, upper right, lower right, lower left. `None` if
/// they do not bound a convex part of the picture or of its surroundings.
fn corners(a: [f64; 3], b: [f64; 3], c: [f64; 3], d: [f64; 3]) -> Option<[[f64; 2]; 4]> {
    let meet = |l, m| {
        let p = cross(l, m);
        let p = (p[2].abs() > 1e-9).then(|| [p[0] / p[2], p[1] / p[2]])?;
        (p[0].abs() < 4.0 && p[1].abs() < 4.0).then_some(p)
    };
    let (mut ac, mut ad, mut bc, mut bd) = (meet(a, c)?, meet(a, d)?, meet(b, c)?, meet(b, d)?);
    if ac[1] + ad[1] > bc[1] + bd[1] {
        (ac, ad, bc, bd) = (bc, bd, ac, ad);
    }
    if ac[0] + bc[0] > ad[0] + bd[0] {
        (ac, ad, bc, bd) = (ad, ac, bd, bc);
    }
    let turn =
        |o: [f64; 2], p: [f64; 2], q: [f64; 2]| (p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0]);
    let turns = [turn(ac, ad, bd), turn(ad, bd, bc), turn(bd, bc, ac), turn(bc, ac, ad)];
    turns.iter().all(|t| *t > 1e-4).then_some([ac, ad, bd, bc])
}

/// The map from the unit square (from lower left) to four corners (Heckbert 1989).
fn square_to([ul, ur, lr, ll]: [[f64; 2]; 4]) -> Option<Map> {
    let d1 = [lr[0] - ur[0], lr[1] - ur[1]];
    let d2 = [ul[0] - ur[0], ul[1] - ur[1]];
    let s = [ll[0] - lr[0] + ur[0] - ul[0], ll[1] - lr[1] + ur[1] - ul[1]];
    let den = d1[0] * d2[1] - d2[0] * d1[1];
    if den.abs() < 1e-12 {
        return None;
    }
    let g = (s[0] * d2[1] - d2[0] * s[1]) / den;
    let h = (d1[0] * s[1] - s[0] * d1[1]) / den;
    Some([
        [lr[0] - ll[0] + g * lr[0], ul[0] - ll[0] + h * ul[0], ll[0]],
        [lr[1] - ll[1] + g * lr[1], ul[1] - ll[1] + h * ul[1], ll[1]],
        [g, h, 1.0],
    ])
}

/// Every pair of the court's lines that the four could be, if a camera sees it like that.
fn place(square: &Map, size: Size, maps: &mut Vec<Map>) {
    for (i, left) in XS.iter().enumerate() {
        for right in &XS[i + 1..] {
            for (k, near) in YS.iter().enumerate() {
                for far in &YS[k + 1..] {
                    let (dx, dy) = (right - left, far - near);
                    let map = square.map(|[a, b, c]| {
                        let (a, b) = (a / dx, b / dy);
                        [a, b, c - a * left - b * near]
                    });
                    if believed(&map, size) {
                        maps.push(map);
                    }
                }
            }
        }
    }
}

/// Whether a camera with its picture's middle in the middle can stand where this map puts it.
fn believed(m: &Map, size: Size) -> bool {
    let columns: [[f64; 3]; 3] = std::array::from_fn(|c| [m[0][c], m[1][c], m[2][c]]);
    let [a, b, t] = columns;
    let squares = a[0] * a[0] + a[1] * a[1] - b[0] * b[0] - b[1] * b[1];
    let f2 = squares / (b[2] * b[2] - a[2] * a[2]);
    if f2.is_nan() || f2 <= 0.0 {
        return false;
    }
    let f = f2.sqrt();
    let wide = 2.0 * (f64::from(size.width) / 2.0 / size.half_diagonal() / f).atan().to_degrees();
    let scaled = |v: [f64; 3]| [v[0] / f, v[1] / f, v[2]];
    let dot = |u: [f64; 3], v: [f64; 3]| u[0] * v[0] + u[1] * v[1] + u[2] * v[2];
    let (a, b, t) = (scaled(a), scaled(b), scaled(t));
    let s2 = (dot(a, a) * dot(b, b)).sqrt();
    if (dot(a, b) / s2).abs() > SQUARE || !(WIDE.0..WIDE.1).contains(&wide) {
        return false;
    }
    // The camera's place is −Rᵀt with the columns as axes; its height has the sign of the determinant.
    let sign = t[2].signum();
    let (x, y) = (-dot(a, t) / s2, -dot(b, t) / s2);
    let height = -sign * dot(cross(a, b), t) / (s2 * s2.sqrt());
    let back = YS[0] - y;
    (HEIGHT.0..HEIGHT.1).contains(&height) && (BACK.0..BACK.1).contains(&back) && x.abs() < 0.7 * y.abs()
}
