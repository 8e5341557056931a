//! The court found in one picture: lines, guesses, the best of them fitted, and a decision how far to believe it.

use std::ops::ControlFlow;

use super::grey::Grey;
use super::guess::{Map, guesses};
use super::line::lines;
use super::ridge::{Ridges, Run};
use super::score::{Near, REACH, score};
use super::search::{Fit, Support, fit, look};
use crate::measure::{Calibration, Camera, Homography, Pixel, Size};
use crate::tennis::court::{LANDMARKS, SERVICE_LINE, Spot};

/// Pictures are searched at this width: narrower ones lose half of the lines.
const WIDTH: usize = 1280;
/// So many of the best guesses are told apart, and the best of those are fitted.
const BEST: usize = 400;
const FITTED: usize = 28;
/// So much of the search is done once the edges are known, and once the guesses are.
const RIDGES: f64 = 0.1;
const GUESSES: f64 = 0.3;
/// How far the court that was found may be believed.
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
    /// Somebody stopped the search.
    #[error("the search was stopped")]
    Stopped,
}

/// A guess after it was fitted.
#[derive(Debug)]
pub(super) struct Candidate {
    pub fit: Fit,
    pub support: Support,
    pub value: f64,
    corners: Vec<Pixel>,
}

/// Looks for the court in one picture.
///
/// # Errors
/// When none is found: then it takes four clicks ([`Calibration::of`]).
pub fn find_court(picture: &Grey) -> Result<Court, NotFound> {
    find_court_unless_stopped(picture, &mut |_| ControlFlow::Continue(()))
}

/// The same. `go_on` hears how far the search is, from 0 to 1, and can stop it.
///
/// # Errors
/// The same, and [`NotFound::Stopped`] after a break.
pub fn find_court_unless_stopped(
    picture: &Grey,
    go_on: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Court, NotFound> {
    let candidates = candidates(picture, &mut |part| match go_on(part) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(NotFound::Stopped),
    })?;
    let (first, margin) = leader(&candidates).ok_or(NotFound::NoFit)?;
    let belief = belief(first, margin).ok_or(NotFound::Weak)?;
    let by = f64::from(picture.size().width) / WIDTH as f64;
    Ok(Court {
        calibration: calibration(&first.fit, &first.support, picture.size()),
        belief,
        support: first.support.all,
        rms: first.support.rms * by,
    })
}

/// The court that somebody marked in this picture or in one that looks nearly the same, fitted to the lines. `None` if the lines are
/// not there.
pub(super) fn court_near(picture: &Grey, marked: &Camera) -> Option<Court> {
    let smooth = picture.resized(WIDTH).smoothed(0.8);
    let start = marked.resized(smooth.size());
    let mut fit = closer(&start, &smooth, 8.0, 1.5, 1.0 / 60.0)?;
    for reach in [4.0, 3.0] {
        fit = closer(&fit.camera, &smooth, reach, 1.5, 1.0 / 15.0)?;
    }
    let support = Support::of(&look(&smooth, &fit.camera, 3.0), f64::from(smooth.size().width));
    let (across, along) = support.counts();
    let is_there = support.all > 0.5 && support.rms < 1.0 && across >= 2 && along >= 2;
    let is_near = apart(&corners(&start), &corners(&fit.camera)) < 10.0;
    let by = f64::from(picture.size().width) / WIDTH as f64;
    (is_there && is_near).then(|| Court {
        calibration: calibration(&fit, &support, picture.size()),
        belief: Belief::Sure,
        support: support.all,
        rms: support.rms * by,
    })
}

/// How far two cameras see the court apart, in pixels of the first one's picture.
pub(super) fn seen_apart(a: &Camera, b: &Camera) -> f64 {
    apart(&corners(a), &corners(&b.resized(a.size())))
}

/// The guesses that could be fitted, the best first. `go_on` hears how far that is.
fn candidates(
    picture: &Grey,
    go_on: &mut dyn FnMut(f64) -> Result<(), NotFound>,
) -> Result<Vec<Candidate>, NotFound> {
    go_on(0.0)?;
    let work = picture.resized(WIDTH);
    let smooth = work.smoothed(0.8);
    let size = smooth.size();
    let (up, across) = (Ridges::of(&smooth, Run::Up), Ridges::of(&smooth, Run::Across));
    go_on(RIDGES)?;
    let maps = guesses(&lines(&up, Run::Up), &lines(&across, Run::Across), size);
    if maps.is_empty() {
        return Err(NotFound::NoLines);
    }
    let near = Near { size, up: up.nearness(REACH), across: across.nearness(REACH) };
    let mut candidates: Vec<Candidate> = Vec::new();
    let best = best(&maps, &near);
    for (n, map) in best.iter().enumerate() {
        go_on(GUESSES + (1.0 - GUESSES) * n as f64 / best.len() as f64)?;
        let Some(start) = nearly(map, &smooth, size) else { continue };
        let corners = corners(&start);
        if candidates.iter().all(|c| apart(&c.corners, &corners) > 5.0) {
            candidates.extend(candidate(&start, &smooth, &near));
        }
    }
    candidates.sort_by(|a, b| b.value.total_cmp(&a.value));
    Ok(candidates)
}

/// The best candidate, and by which part of its value it is better than the best one that is no court of the same ground. Of
/// courts beside each other the one in the middle of the picture is taken.
pub(super) fn leader(candidates: &[Candidate]) -> Option<(&Candidate, f64)> {
    let best = candidates.first()?;
    let beside = candidates.iter().filter(|c| c.support.all > 0.6 && are_beside(best, c));
    let off = |c: &Candidate| off_middle(&c.fit.camera);
    let first = beside.chain([best]).min_by(|a, b| off(a).total_cmp(&off(b)))?;
    let rival = |c: &&Candidate| apart(&first.corners, &c.corners) > 12.0 && !are_beside(first, c);
    let second = candidates.iter().find(rival);
    Some((first, second.map_or(1.0, |s| (first.value - s.value) / first.value.max(0.1))))
}

/// Whether both are seen by nearly the same camera, but one is beside the other.
fn are_beside(a: &Candidate, b: &Candidate) -> bool {
    let ([ax, ay, ah], [bx, by, bh]) = (a.fit.camera.position(), b.fit.camera.position());
    let zoom = (a.fit.camera.focal() / b.fit.camera.focal()).ln().abs();
    (ax - bx).abs() > 11.0 && (ay - by).abs() < 2.0 && (ah / bh).ln().abs() < 0.15 && zoom < 0.08
}

/// How far the middle of the net is from the middle of the picture, in picture widths.
fn off_middle(camera: &Camera) -> f64 {
    let wide = f64::from(camera.size().width);
    camera.see_ground(Spot::default()).map_or(f64::INFINITY, |p| (p.x / wide - 0.5).abs())
}

/// Whether the court is the one that the camera was put up for, and not the one beside it: the middle of its net is in the
/// middle half of the picture, and the camera is not far to its side.
fn is_the_one_filmed(camera: &Camera) -> bool {
    let [x, y, _] = camera.position();
    off_middle(camera) < 0.25 && x.atan2(-y).to_degrees().abs() < 28.0
}

/// The decision. A picture of half a court is never accepted: lines beyond the net must be seen.
fn belief(found: &Candidate, margin: f64) -> Option<Belief> {
    let (across, along) = found.support.counts();
    let Support { all, rms, far, .. } = found.support;
    // Few lines that fit exactly, and no other court like it: far lines are faint when the paint is worn.
    let exact = rms < 0.25 && margin > 0.35 && across >= 2 && along >= 4;
    let camera = &found.fit.camera;
    let beyond =
        camera.see_ground(Spot::new(0.0, SERVICE_LINE.0)).is_some_and(|p| camera.size().holds(p, 0.0));
    let whole = beyond && far.0 > 0.2 && far.1 > if exact { 0.12 } else { 0.25 };
    let gate = all > 0.6 && margin > 0.12 && rms < 0.6 && found.value > 0.8 && whole;
    match (across, along) {
        _ if !gate => None,
        (3.., 3..) if far.1 > 0.4 && is_the_one_filmed(camera) => Some(Belief::Sure),
        (2.., 2..) if across + along >= 5 => Some(Belief::Proposal),
        (1, 4..) if all > 0.72 && rms < 0.25 => Some(Belief::Proposal),
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

/// Where the landmarks are in the picture.
fn corners(camera: &Camera) -> Vec<Pixel> {
    let far = Pixel::new(-1e4, -1e4);
    LANDMARKS.iter().map(|l| camera.see_ground(l.spot).unwrap_or(far)).collect()
}

/// The camera of a guess after the first searches, which reach far.
fn nearly(map: &Map, picture: &Grey, size: Size) -> Option<Camera> {
    let (r, middle) = (size.half_diagonal(), size.middle());
    let pixels = [
        std::array::from_fn(|c| map[0][c] * r + map[2][c] * middle.x),
        std::array::from_fn(|c| map[1][c] * r + map[2][c] * middle.y),
        map[2],
    ];
    let mut camera = Camera::of_homography(&Homography::from_rows(pixels), size, middle)?;
    for (reach, scale, lens) in [(14.0, 3.0, 0.002), (9.0, 1.5, 1.0 / 60.0)] {
        camera = closer(&camera, picture, reach, scale, lens)?.camera;
    }
    Some(camera)
}

fn closer(camera: &Camera, picture: &Grey, reach: f64, scale: f64, lens: f64) -> Option<Fit> {
    let found = look(picture, camera, reach);
    (found.iter().filter(|e| e.off.is_some()).count() >= 40).then(|| fit(camera, &found, scale, lens))?
}

fn candidate(start: &Camera, picture: &Grey, near: &Near) -> Option<Candidate> {
    let mut fit = closer(start, picture, 6.0, 1.5, 1.0 / 60.0)?;
    for reach in [4.0, 3.0] {
        fit = closer(&fit.camera, picture, reach, 1.5, 1.0 / 15.0)?;
    }
    let camera = fit.camera;
    let [_, y, height] = camera.position();
    if !(1.0..45.0).contains(&height) || y > -12.0 || camera.radial().abs() > 0.3 {
        return None;
    }
    let support = Support::of(&look(picture, &camera, 3.0), f64::from(near.size.width));
    let coarse = score(near, |at| camera.see([at[0], at[1], 0.0]).map(|p| [p.x, p.y]));
    let value = coarse + support.balance - 0.12 * support.missing() as f64;
    let corners = corners(&camera);
    Some(Candidate { fit, support, value, corners })
}

/// The calibration for the picture as it was given. Neighbouring places of a line are not independent: paint, noise and
/// compression move them together, so their errors are taken to be those of a fourth of them.
fn calibration(fit: &Fit, support: &Support, size: Size) -> Calibration {
    let off = support.rms.max(0.25);
    let covariance = fit.covariance * (4.0 * off * off);
    Calibration::fitted(fit.camera.resized(size), &covariance)
}
