//! The court found and followed through a whole film: found again after a loss, begun anew after a cut, and followed backward
//! from where it was found.

use std::collections::VecDeque;

use super::back::{Backward, Gap};
use super::court::{Belief, Court, court_near, find_court, seen_apart};
use super::follow::{Follower, Packed, Small, Step};
use super::motion::motion;
use super::poses::{FramePose, Poses, Seen, Start, Unseen};
use crate::measure::Camera;
use crate::time::MatchTime;

/// While it is not held, the court is searched in every frame of so many, and more seldom after some tries in vain.
const EVERY: usize = 8;
const SELDOM: usize = 24;
const TRIES: usize = 12;
/// Frames kept to be followed backward from the next start.
const KEPT: usize = 40;
/// The court is searched only in frames that moved less than this since the one before, in pixels at a width of 1280: a start in
/// a blurred frame puts the camera in a wrong place for all that follow.
const SLOW: f64 = 3.0;
/// A camera that sees the court this near to where it saw it stood still, in pixels at a width of 1280.
const STOOD: f64 = 1.5;
/// Marks agree with the court that is held when they are this near, in pixels: careful clicks are.
const AGREES: f64 = 4.0;
/// Marks at which the court is held as near as this, once they are fitted to the lines, say nothing new about the frames before.
const SAME: f64 = 2.0;
/// Remembered cameras that are tried after a loss, and how well one must fit.
const REMEMBERED: usize = 3;
const AGAIN: f64 = 0.7;

/// Follows the court through the frames of a film, which are given in their order.
#[derive(Debug)]
pub struct FilmFollower {
    least: Belief,
    /// The cameras of frames in which somebody marked the court, in their order, and how many of these frames have been fed.
    marked: Vec<(MatchTime, Camera)>,
    passed: usize,
    frames: Vec<FramePose>,
    starts: Vec<Start>,
    holding: Option<(Follower, usize)>,
    /// Cameras of the last losses, the last one first.
    remembered: VecDeque<(Camera, usize)>,
    /// Frames since the loss, and whether there were more.
    waiting: VecDeque<Packed>,
    dropped: bool,
    since: usize,
    before: Option<Small>,
    /// The starts from marks.
    by_hand: Vec<usize>,
    gaps: Vec<Gap>,
}

impl FilmFollower {
    /// One that starts from courts that are believed at least so far.
    pub fn new(least: Belief) -> Self {
        Self {
            least,
            marked: Vec::new(),
            passed: 0,
            frames: Vec::new(),
            starts: Vec::new(),
            holding: None,
            remembered: VecDeque::new(),
            waiting: VecDeque::new(),
            dropped: false,
            since: 0,
            before: None,
            by_hand: Vec::new(),
            gaps: Vec::new(),
        }
    }

    /// One that also starts where somebody marked the court: from the camera of each of these frames.
    #[must_use]
    pub fn marked(self, mut marked: Vec<(MatchTime, Camera)>) -> Self {
        marked.sort_by_key(|(time, _)| *time);
        Self { marked, ..self }
    }

    /// The next frame.
    pub fn feed(&mut self, time: MatchTime, frame: Small) {
        let seen = match self.holding.take() {
            Some((follower, start)) => self.follow(follower, start, &frame),
            None => Seen::No(Unseen::NotFound),
        };
        self.frames.push(FramePose { time, seen });
        self.meet_marks(time, &frame);
        if self.holding.is_none() {
            self.search(time, &frame);
            self.since += 1;
        }
        if self.holding.is_none() {
            self.waiting.push_back(frame.packed());
            if self.waiting.len() > KEPT {
                self.waiting.pop_front();
                self.dropped = true;
            }
        }
        self.before = Some(frame);
    }

    /// All frames that were fed, as far as they could be followed forward, and backward from a start through the last ones before it.
    pub fn finish(self) -> Poses {
        Poses::new(self.frames, self.starts)
    }

    /// What follows the court farther back.
    pub fn backward(self) -> Backward {
        Backward::new((self.frames, self.starts), self.by_hand, self.gaps)
    }

    /// How many frames were fed, and through how many the court may have to be followed backward.
    pub fn counts(&self) -> (usize, usize) {
        (self.frames.len(), self.gaps.iter().map(|g| g.at).sum())
    }

    fn follow(&mut self, mut follower: Follower, start: usize, frame: &Small) -> Seen {
        let seen = match follower.step(frame) {
            Step::Held(pose) => {
                Seen::Held { camera: pose.camera, support: pose.support, rms: pose.rms, start }
            }
            Step::Weak => Seen::No(Unseen::Weak),
            Step::Lost { cut } => {
                self.remembered.push_front((*follower.camera(), start));
                self.remembered.truncate(REMEMBERED);
                self.since = 0;
                return Seen::No(if cut { Unseen::Cut } else { Unseen::Lost });
            }
        };
        self.holding = Some((follower, start));
        seen
    }

    /// Starts from the marks of this frame, unless the court is held where they put it.
    fn meet_marks(&mut self, time: MatchTime, frame: &Small) {
        let Some((_, camera)) = self.marked.get(self.passed).filter(|(at, _)| *at <= time) else { return };
        let camera = camera.resized(frame.given());
        self.passed += 1;
        let held = self.holding.as_ref().map(|(f, _)| *f.camera());
        if held.is_some_and(|held| seen_apart(&held, &camera) < AGREES) {
            return;
        }
        let Some(court) = court_near(&frame.picture, &camera) else { return };
        let fitted = court.calibration.camera().resized(frame.given());
        let Some(start) = self.start(time, frame, &court) else { return };
        self.by_hand.push(start);
        if held.is_some_and(|held| seen_apart(&held, &fitted) > SAME) {
            self.gaps.push(Gap { at: self.frames.len() - 1, camera: fitted, start, replaces: true });
        }
    }

    fn search(&mut self, time: MatchTime, frame: &Small) {
        let again = self.remembered.iter().find_map(|(camera, start)| {
            let mut follower = Follower::new(camera);
            match follower.step(frame) {
                Step::Held(pose) if pose.support > AGAIN && pose.rms < 1.0 * frame.by() => {
                    Some((follower, *start, pose))
                }
                _ => None,
            }
        });
        if let Some((follower, start, pose)) = again {
            self.begin(
                follower,
                Seen::Held { camera: pose.camera, support: pose.support, rms: pose.rms, start },
                start,
            );
            return;
        }
        let every = if self.since > TRIES * EVERY { SELDOM } else { EVERY };
        let Some(before) = self.before.as_ref().filter(|_| self.since % every == 1) else { return };
        if !is_slow(before, frame) {
            // The next frame may be slower.
            self.since -= 1;
            return;
        }
        let near = |(_, camera): &(MatchTime, Camera)| {
            let camera = camera.resized(frame.given());
            matches!(Follower::new(&camera).step(frame), Step::Held(_))
                .then(|| court_near(&frame.picture, &camera))?
        };
        if let Some(court) = self.marked.iter().find_map(near) {
            let start = self.start(time, frame, &court);
            return self.by_hand.extend(start);
        }
        let Ok(court) = find_court(&frame.picture) else { return };
        if self.least == Belief::Sure && court.belief != Belief::Sure {
            return;
        }
        let _ = self.start(time, frame, &court);
    }

    /// Starts from a court; gives the number of the start if the court can be followed from there.
    fn start(&mut self, time: MatchTime, frame: &Small, court: &Court) -> Option<usize> {
        let camera = court.calibration.camera().resized(frame.given());
        let mut follower = Follower::new(&camera);
        let Step::Held(pose) = follower.step(frame) else { return None };
        let (belief, rms) = (court.belief, court.rms * frame.by());
        let covariance = court.calibration.covariance();
        let start = self.starts.len();
        self.starts.push(Start { time, belief, covariance, rms });
        self.begin(
            follower,
            Seen::Held { camera: pose.camera, support: pose.support, rms: pose.rms, start },
            start,
        );
        Some(start)
    }

    /// Holds from the last frame on, and backward from it as far as it goes in the frames that were kept.
    fn begin(&mut self, follower: Follower, seen: Seen, start: usize) {
        let last = self.frames.len() - 1;
        self.frames[last].seen = seen;
        let mut back = follower.clone();
        let mut first = last - self.waiting.len();
        let goes_on = std::mem::take(&mut self.dropped);
        for (i, frame) in std::mem::take(&mut self.waiting).iter().rev().enumerate() {
            let step = frame.small().map(|frame| back.step(&frame));
            let Some(Step::Held(pose)) = step else {
                first = last;
                break;
            };
            self.frames[last - 1 - i].seen =
                Seen::Held { camera: pose.camera, support: pose.support, rms: pose.rms, start };
        }
        if goes_on && first < last {
            self.gaps.push(Gap { at: first, camera: *back.camera(), start, replaces: false });
        }
        self.holding = Some((follower, start));
        self.since = 0;
    }
}

/// Whether a camera sees the court in this frame where it saw it before, to about a pixel; `None` if the court is not seen.
pub fn stands(camera: &Camera, frame: &Small) -> Option<bool> {
    let camera = camera.resized(frame.given());
    let Step::Held(pose) = Follower::new(&camera).step(frame) else { return None };
    let wide = f64::from(camera.size().width);
    Some(seen_apart(&camera, &pose.camera) * 1280.0 / wide < STOOD)
}

/// Whether the picture hardly moved between two frames.
fn is_slow(before: &Small, now: &Small) -> bool {
    let wide = now.picture.width() as f64;
    let Some(shift) = motion(&before.picture, &now.picture) else { return false };
    let (x, y) = (wide / 2.0, now.picture.height() as f64 / 2.0);
    let [u, v] = shift.of(x, y);
    (u - x).hypot(v - y) * 1280.0 / wide < SLOW
}

/// The court that somebody marked in a frame, its camera fitted to the lines; `None` if they are not there.
pub fn marked_court(camera: &Camera, frame: &Small) -> Option<Court> {
    court_near(&frame.picture, &camera.resized(frame.given()))
}
