//! The court followed from one frame to the next: the camera stands where it stood, and only turns and zooms. Every frame is
//! measured against the painted lines, so errors do not add up.

use std::sync::Arc;

use nalgebra::{SMatrix, SVector};

use super::grey::Grey;
use super::motion::{Shift, motion};
use super::planar::{MOST, Planar};
use super::search::{Blur, Evidence, Support, fit_turn, look_blurred};
use crate::measure::{Camera, Pixel, PoseStep, Size};

/// Frames are followed at half this width or more.
const WIDTH: usize = 960;
/// The court is held when at least this part of the visible lines is found, and this part of what is usual.
const LEAST: f64 = 0.4;
const USUAL: f64 = 0.6;
/// With less than this a frame is not bridged.
const BRIDGED: f64 = 0.35;
/// How far the lines may be off, in pixels: one standard deviation.
const OFF: f64 = 1.5;

/// A camera that turned by less than this, in pixels, stands still: nothing is blurred.
const STANDS: f64 = 0.7;
/// Parts of the time between two frames that a shutter may be open.
const OPEN: [f64; 3] = [0.0, 0.2, 0.5];

/// What a frame shows of the court.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// The court is where this pose puts it.
    Held(Pose),
    /// Too few lines are seen in this frame, but perhaps in the next one.
    Weak,
    /// The court is no longer seen; `cut` when the whole picture changed.
    Lost {
        /// Whether nothing of the frame before is seen.
        cut: bool,
    },
}

/// The camera in one frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// For the picture as it was given.
    pub camera: Camera,
    /// The part of the visible lines at which a line was found.
    pub support: f64,
    /// How far the lines are off, in pixels of the picture as it was given: one standard deviation.
    pub rms: f64,
}

/// A frame made small enough to be followed in.
#[derive(Debug, Clone)]
pub struct Small {
    /// Shared: the next frame is compared with it.
    pub(super) picture: Arc<Grey>,
    given: Size,
}

impl Small {
    /// Of a frame.
    pub fn of(picture: Grey) -> Self {
        let given = picture.size();
        let by = picture.width() / WIDTH;
        Self { picture: Arc::new(if by > 1 { picture.boxed(by) } else { picture }), given }
    }

    /// Of a frame as its decoder gave it. `None` if it is smaller than a court can be found in.
    pub fn of_planar(picture: &Planar<'_>) -> Option<Self> {
        let by = (picture.shown.width as usize / WIDTH).clamp(1, MOST);
        Some(Self { picture: Arc::new(picture.grey(by)?), given: picture.shown })
    }

    pub(super) fn given(&self) -> Size {
        self.given
    }

    /// As it is kept for later: a quarter of the memory, to half a shade.
    pub fn packed(&self) -> Packed {
        Packed { size: self.picture.size(), bytes: self.picture.bytes(), given: self.given }
    }

    /// How many pixels of the picture as it was given are one of these.
    pub(super) fn by(&self) -> f64 {
        f64::from(self.given.width) / self.picture.width() as f64
    }
}

/// A small frame kept for later.
#[derive(Debug, Clone)]
pub struct Packed {
    size: Size,
    bytes: Vec<u8>,
    given: Size,
}

impl Packed {
    pub(super) fn small(&self) -> Option<Small> {
        Some(Small { picture: Arc::new(Grey::of_bytes(self.size, &self.bytes)?), given: self.given })
    }

    /// How many bytes a frame of this size takes.
    pub(super) fn bytes_of(given: Size) -> usize {
        let by = (given.width as usize / WIDTH).max(1);
        (given.width as usize / by) * (given.height as usize / by)
    }
}

/// Follows the court through frames that come one after another, in either direction.
#[derive(Debug, Clone)]
pub struct Follower {
    camera: Camera,
    before: Option<Arc<Grey>>,
    speed: PoseStep,
    usual: Option<f64>,
    /// The part of the time between two frames that the shutter seems to be open.
    open: f64,
    bad: u8,
}

/// A camera tried in a frame.
struct Tried {
    camera: Camera,
    support: Support,
}

impl Tried {
    fn value(&self) -> f64 {
        self.support.all - 0.15 * self.support.rms.min(10.0)
    }

    fn is_court(&self) -> bool {
        let (across, along) = self.support.counts();
        self.support.rms < OFF && across >= 1 && along >= 2
    }
}

impl Follower {
    /// From the camera of the next frame, or of one that looks nearly the same.
    pub fn new(camera: &Camera) -> Self {
        Self { camera: *camera, before: None, speed: PoseStep::zeros(), usual: None, open: 0.2, bad: 0 }
    }

    /// The camera of the last frame in which the court was held.
    pub fn camera(&self) -> &Camera {
        &self.camera
    }

    /// The court in the next frame.
    pub fn step(&mut self, frame: &Small) -> Step {
        let picture = &frame.picture;
        let here = self.camera.resized(picture.size());
        let (tried, shift) = self.tried(picture, &here);
        let had_motion = self.before.is_none() || shift.is_some();
        self.before = Some(Arc::clone(picture));
        let Some(tried) = tried else { return self.missed(0.0, had_motion) };
        let all = tried.support.all;
        let usual = *self.usual.get_or_insert(all);
        if !(tried.is_court() && all > LEAST.max(USUAL * usual)) {
            return self.missed(if tried.is_court() { all } else { 0.0 }, had_motion);
        }
        let turn = tried.camera.turn_from(&here);
        self.speed = turn * 0.6;
        self.speed[2] = 0.0;
        self.bad = 0;
        self.usual = Some(usual + 0.05 * (all - usual));
        self.camera = tried.camera.resized(frame.given);
        Step::Held(Pose { camera: self.camera, support: all, rms: tried.support.rms * frame.by() })
    }

    fn missed(&mut self, support: f64, had_motion: bool) -> Step {
        self.bad += 1;
        if self.bad <= 2 && support > BRIDGED { Step::Weak } else { Step::Lost { cut: !had_motion } }
    }

    /// The best camera of all predictions, and how the picture moved if that was asked.
    fn tried(&mut self, picture: &Grey, here: &Camera) -> (Option<Tried>, Option<Shift>) {
        let usual = self.usual.unwrap_or(0.8);
        // Most cameras stand still or go on as they went: then the lines are near where they are expected.
        let mut best = attempt(picture, here, &[3.0], None);
        let good = |b: &Tried, part: f64| b.is_court() && b.support.rms < 0.8 && b.support.all > part * usual;
        if let Some(found) = best.take_if(|b| good(b, 0.95)) {
            let turn = found.camera.turn_from(here);
            let stands = turn[0].hypot(turn[1]) * here.focal() < STANDS;
            return (Some(if stands { found } else { self.sharpened(picture, found, here) }), None);
        }
        let next = attempt(picture, &here.moved(&self.speed), &[6.0, 3.0], Some((here, self.open)));
        if let Some(found) = next.filter(|b| good(b, 0.9)) {
            return (Some(self.sharpened(picture, found, here)), None);
        }
        let shift = self.before.as_ref().and_then(|before| motion(before, picture));
        let carried = shift.and_then(|s| carried(here, s));
        let predictions: Vec<Camera> = carried.into_iter().chain([here.moved(&self.speed)]).collect();
        'all: for open in [self.open, 0.5, 0.2] {
            for start in &predictions {
                let found = attempt(picture, start, &[10.0, 4.0], Some((here, open)));
                let better = |f: &Tried| best.as_ref().is_none_or(|b| f.value() > b.value() + 0.02);
                if let Some(found) = found.filter(better) {
                    best = Some(found);
                }
                if best.as_ref().is_some_and(|b| b.is_court() && b.support.all > 0.85 * usual) {
                    break 'all;
                }
            }
        }
        (best.map(|found| self.sharpened(picture, found, here)), shift)
    }

    /// The camera fitted once more with the exposure at which the lines stand out most: a line that is taken to be wider than it is
    /// lies anywhere within that width.
    fn sharpened(&mut self, picture: &Grey, found: Tried, here: &Camera) -> Tried {
        let looks = OPEN.map(|open| (open, look_blurred(picture, &found.camera, 4.0, Some((here, open)))));
        let bright = |look: &[Evidence]| look.iter().map(|e| e.bright * e.length).sum::<f64>();
        let Some((open, look)) = looks.into_iter().max_by(|a, b| bright(&a.1).total_cmp(&bright(&b.1)))
        else {
            return found;
        };
        self.open = open;
        let Some(camera) = fit_turn(&found.camera, &look, 1.0) else { return found };
        let again = look_blurred(picture, &camera, 3.0, Some((here, open)));
        let support = Support::of(&again, f64::from(picture.size().width));
        if support.all > found.support.all - 0.1 { Tried { camera, support } } else { found }
    }
}

/// The camera fitted to the lines near where it expects them, from far searches to near ones.
fn attempt(picture: &Grey, start: &Camera, reaches: &[f64], blur: Blur) -> Option<Tried> {
    let mut camera = *start;
    for reach in reaches {
        let found = look_blurred(picture, &camera, *reach, blur);
        if found.iter().filter(|e| e.off.is_some()).count() < 25 {
            return None;
        }
        camera = fit_turn(&camera, &found, if *reach > 6.0 { 3.0 } else { 1.0 })?;
    }
    let found = look_blurred(picture, &camera, 3.0, blur);
    Some(Tried { camera, support: Support::of(&found, f64::from(picture.size().width)) })
}

/// The camera turned and zoomed as the picture moved.
fn carried(camera: &Camera, shift: Shift) -> Option<Camera> {
    let (w, h) = (f64::from(camera.size().width), f64::from(camera.size().height));
    let places = [0.25, 0.75].into_iter().flat_map(|x| [0.4, 0.65, 0.9].map(|y| [x * w, y * h]));
    let pairs: Vec<_> = places
        .filter_map(|[x, y]| {
            let [u, v] = shift.of(x, y);
            Some((camera.ground(Pixel::new(x, y))?, Pixel::new(u, v)))
        })
        .collect();
    if pairs.len() < 2 {
        return None;
    }
    let mut moved = *camera;
    for _ in 0..3 {
        // Weak reasons against a roll and a zoom.
        let mut normal = SMatrix::<f64, 4, 4>::from_diagonal(&SVector::from([1.0, 1.0, 1e7, 1e4]));
        let mut slope = SVector::<f64, 4>::zeros();
        for (spot, target) in &pairs {
            let (seen, by) = moved.see_slope(*spot)?;
            let by = by.fixed_view::<2, 4>(0, 0);
            let r = SVector::<f64, 2>::new(seen.x - target.x, seen.y - target.y);
            normal += by.transpose() * by;
            slope += by.transpose() * r;
        }
        let mut step = PoseStep::zeros();
        step.fixed_rows_mut::<4>(0).copy_from(&-(normal.cholesky()?.solve(&slope)));
        moved = moved.moved(&step);
    }
    Some(moved)
}
