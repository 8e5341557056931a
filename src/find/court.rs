//! The court found in one picture: lines, guesses, the best of them fitted, and a decision how far to believe it.

use super::grey::Grey;
use super::guess::{Map, guesses};
use super::line::lines;
use super::ridge::{Ridges, Run};
use super::score::{Near, REACH, score};
use super::search::{Fit, Support, fit, look};
use crate::measure::{Calibration, Camera, Homography, Pixel, Size};
use crate::tennis::court::{LANDMARKS, Spot};

/// Pictures are searched at this width: narrower ones lose half of the lines.
const WIDTH: usize = 1280;
/// So many of the best guesses are told apart, and the best of those are fitted.
const BEST: usize = 400;
const FITTED: usize = 16;
/// Reaches of the search for each fit, in pixels.
const REACHES: [f64; 5] = [14.0, 9.0, 6.0, 4.0, 3.0];

/// How far the court that was found may be believed. With these limits a probe took no wrong court for sure in 60 simulated
/// pictures and in 70 real ones that show one baseline.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Belief {
    /// At least three lines across and three along the court fit, and it is in the middle of the picture: it may be used once a person has seen it.
    Sure,
    /// At least two of each, five in all: a person must check the far baseline first.
    Proposal,
}

/// A court that was found in a picture.
#[derive(Debug, Clone)]
pub struct Court {
    /// The camera, for the picture as it was given, and how sure it is.
    pub calibration: Calibration,
    /// How far to believe it.
    pub belief: Belief,
    /// The part of the visible lines at which a line was found, from 0 to 1.
    pub support: f64,
    /// How far the lines are off, in pixels of the picture as it was given: one standard deviation.
    pub rms: f64,
}

/// Why no court was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotFound {
    /// There are not two lines along and two across.
    #[error("no lines of a court are seen")]
    NoLines,
    /// No court explains the lines.
    #[error("lines are seen, but they do not fit a court that is seen from behind")]
    NoFit,
    /// A court explains them too poorly, or two courts explain them equally well.
    #[error("some lines fit a court, but too few to be believed")]
    Weak,
}

/// A guess after it was fitted.
struct Candidate {
    fit: Fit,
    support: Support,
    value: f64,
    corners: Vec<Pixel>,
}

/// Looks for the court in one picture.
///
/// # Errors
/// When none is found: then it takes four clicks ([`Calibration::of`]).
pub fn find_court(picture: &Grey) -> Result<Court, NotFound> {
    let work = picture.resized(WIDTH);
    let smooth = work.smoothed(0.8);
    let size = smooth.size();
    let (up, across) = (Ridges::of(&smooth, Run::Up), Ridges::of(&smooth, Run::Across));
    let maps = guesses(&lines(&up, Run::Up), &lines(&across, Run::Across), size);
    if maps.is_empty() {
        return Err(NotFound::NoLines);
    }
    let near = Near { size, up: up.nearness(REACH), across: across.nearness(REACH) };
    let mut candidates: Vec<Candidate> =
        best(&maps, &near).iter().filter_map(|map| candidate(map, &smooth, &near)).collect();
    candidates.sort_by(|a, b| b.value.total_cmp(&a.value));
    let (first, others) = candidates.split_first().ok_or(NotFound::NoFit)?;
    let second = others.iter().find(|c| apart(&first.corners, &c.corners) > 12.0);
    let margin = second.map_or(1.0, |s| (first.value - s.value) / first.value.max(0.1));
    let belief = belief(first, margin).ok_or(NotFound::Weak)?;
    let by = f64::from(picture.size().width) / f64::from(size.width);
    Ok(Court {
        calibration: calibration(first, picture.size()),
        belief,
        support: first.support.all,
        rms: first.support.rms * by,
    })
}

/// Whether the court is the one that the camera was put up for, and not the one beside it: the middle of its net is in the
/// middle half of the picture, and the camera is not far to its side.
fn is_the_one_filmed(camera: &Camera) -> bool {
    let [x, y, _] = camera.position();
    let wide = f64::from(camera.size().width);
    let net = camera.see_ground(Spot::default());
    net.is_some_and(|p| (0.25 * wide..0.75 * wide).contains(&p.x)) && x.atan2(-y).to_degrees().abs() < 28.0
}

fn belief(found: &Candidate, margin: f64) -> Option<Belief> {
    let (across, along) = found.support.counts();
    let gate = found.support.all > 0.6 && margin > 0.12 && found.support.rms < 0.6 && found.value > 0.8;
    match (across, along) {
        _ if !gate => None,
        (3.., 3..) if is_the_one_filmed(&found.fit.camera) => Some(Belief::Sure),
        (2.., 2..) if across + along >= 5 => Some(Belief::Proposal),
        _ => None,
    }
}

fn see(map: &Map, size: Size, at: [f64; 2]) -> Option<[f64; 2]> {
    let [u, v, w] = map.map(|r| r[0] * at[0] + r[1] * at[1] + r[2]);
    let (r, middle) = (size.half_diagonal(), size.middle());
    (w > 1e-6).then(|| [middle.x + u / w * r, middle.y + v / w * r])
}

/// The best guesses that are not nearly the same.
fn best(maps: &[Map], near: &Near) -> Vec<Map> {
    let signed = |m: &Map| if m[2][2] < 0.0 { m.map(|r| r.map(|v| -v)) } else { *m };
    let mut scored: Vec<(f64, Map)> =
        maps.iter().map(signed).map(|m| (score(near, |at| see(&m, near.size, at)), m)).collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut kept: Vec<(Map, Vec<Pixel>)> = Vec::new();
    for (_, map) in scored.into_iter().take(BEST) {
        let seen = |s: Spot| {
            see(&map, near.size, [s.x.0, s.y.0]).map_or(Pixel::new(-1e4, -1e4), |p| Pixel::new(p[0], p[1]))
        };
        let corners: Vec<_> = LANDMARKS.iter().map(|l| seen(l.spot)).collect();
        if kept.iter().all(|(_, other)| apart(&corners, other) > 7.0) {
            kept.push((map, corners));
        }
        if kept.len() >= FITTED {
            break;
        }
    }
    kept.into_iter().map(|(map, _)| map).collect()
}

/// How far two courts are apart in the picture: mean over the landmarks, each at most 60 pixels.
fn apart(a: &[Pixel], b: &[Pixel]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a.distance(*b).min(60.0)).sum::<f64>() / a.len() as f64
}

fn candidate(map: &Map, picture: &Grey, near: &Near) -> Option<Candidate> {
    let (r, middle) = (near.size.half_diagonal(), near.size.middle());
    let pixels = [
        std::array::from_fn(|c| map[0][c] * r + map[2][c] * middle.x),
        std::array::from_fn(|c| map[1][c] * r + map[2][c] * middle.y),
        map[2],
    ];
    let mut camera = Camera::of_homography(&Homography::from_rows(pixels), near.size, middle)?;
    let mut last = None;
    for (i, reach) in REACHES.into_iter().enumerate() {
        let found = look(picture, &camera, reach);
        if found.iter().filter(|e| e.off.is_some()).count() < 40 {
            return None;
        }
        let lens = if i == 0 {
            0.002
        } else if i < 3 {
            1.0 / 60.0
        } else {
            1.0 / 15.0
        };
        let scale = if i == 0 { 3.0 } else { 1.5 };
        let fit = fit(&camera, &found, scale, lens)?;
        camera = fit.camera;
        last = Some(fit);
    }
    let fit = last?;
    let [_, y, height] = camera.position();
    if !(1.0..45.0).contains(&height) || y > -12.0 || camera.radial().abs() > 0.3 {
        return None;
    }
    let support = Support::of(&look(picture, &camera, 3.0), f64::from(near.size.width));
    let coarse = score(near, |at| camera.see([at[0], at[1], 0.0]).map(|p| [p.x, p.y]));
    let value = coarse + support.balance - 0.12 * support.missing() as f64;
    let far = Pixel::new(-1e4, -1e4);
    let corners = LANDMARKS.iter().map(|l| camera.see_ground(l.spot).unwrap_or(far)).collect();
    Some(Candidate { fit, support, value, corners })
}

/// The calibration for the picture as it was given. Neighbouring places of a line are not independent: paint, noise and
/// compression move them together, so their errors are taken to be those of a fourth of them.
fn calibration(found: &Candidate, size: Size) -> Calibration {
    let off = found.support.rms.max(0.25);
    let covariance = found.fit.covariance * (4.0 * off * off);
    Calibration::fitted(found.fit.camera.resized(size), &covariance)
}
