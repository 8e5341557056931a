//! Where the camera was in each frame of a film.

use nalgebra::SMatrix;

use super::court::Belief;
use crate::measure::{Calibration, Camera, NUMBERS};
use crate::time::MatchTime;

/// What is known of one frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FramePose {
    /// When it is shown.
    pub time: MatchTime,
    /// The court in it.
    pub seen: Seen,
}

/// Whether the court is held in a frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seen {
    /// The camera, for the picture as it was given; the part of the visible lines at which a line was found; how far the lines are
    /// off, in pixels; and which of the starts it goes back to.
    Held {
        /// The camera.
        camera: Camera,
        /// The part of the visible lines that was found, from 0 to 1.
        support: f64,
        /// One standard deviation of how far the lines are off, in pixels.
        rms: f64,
        /// Index of its [`Start`].
        start: usize,
    },
    /// Not held.
    No(Unseen),
}

/// Why the court is not held in a frame. Then nothing is measured and nothing drawn on the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Unseen {
    /// It was held before; in this frame too few lines are seen.
    #[error("too few lines are seen in this frame")]
    Weak,
    /// It was held before and is lost.
    #[error("the court was lost")]
    Lost,
    /// The whole picture changed.
    #[error("the picture was cut")]
    Cut,
    /// It was not found yet.
    #[error("no court is found")]
    NotFound,
}

/// A court that was found by itself in one picture; the frames around it were followed from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// In which frame.
    pub time: MatchTime,
    /// How far to believe it.
    pub belief: Belief,
    /// Covariance of the camera's numbers.
    pub covariance: SMatrix<f64, NUMBERS, NUMBERS>,
    /// How far the lines were off in that frame, in pixels.
    pub rms: f64,
}

/// The cameras of a film: an index from the time to what is known of the frame.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Poses {
    frames: Vec<FramePose>,
    starts: Vec<Start>,
}

impl Poses {
    /// Of frames in the order of their times.
    pub fn new(frames: Vec<FramePose>, starts: Vec<Start>) -> Self {
        Self { frames, starts }
    }

    /// All frames.
    pub fn frames(&self) -> &[FramePose] {
        &self.frames
    }

    /// Where the court was found by itself.
    pub fn starts(&self) -> &[Start] {
        &self.starts
    }

    /// The frame that is shown at a time; `None` before the first one.
    pub fn at(&self, time: MatchTime) -> Option<&FramePose> {
        let after = self.frames.partition_point(|f| f.time <= time);
        after.checked_sub(1).map(|i| &self.frames[i])
    }

    /// The calibration of the frame that is shown at a time; `None` while the court is not held.
    pub fn calibration(&self, time: MatchTime) -> Option<Calibration> {
        self.at(time).and_then(|frame| self.calibration_of(frame))
    }

    /// The calibration of a frame: the uncertainty of its start, and more when its lines fit worse.
    pub fn calibration_of(&self, frame: &FramePose) -> Option<Calibration> {
        let Seen::Held { camera, rms, start, .. } = &frame.seen else { return None };
        let start = self.starts.get(*start)?;
        let worse = (rms.max(0.25) / start.rms.max(0.25)).max(1.0);
        Some(Calibration::fitted(*camera, &(start.covariance * (worse * worse))))
    }

    /// When somebody touched a camera that otherwise stands still: it stood, moved for less than a second and a half, and stands
    /// again, looking at another place (by more than 1.5 pixels). Each bump by the time at which it began.
    pub fn bumps(&self) -> Vec<MatchTime> {
        const STILL: usize = 8;
        let moves: Vec<Option<f64>> = self.frames.windows(2).map(|w| moved(&w[0].seen, &w[1].seen)).collect();
        let is_still = |m: &Option<f64>| m.is_some_and(|m| m < 0.35);
        let mut bumps = Vec::new();
        let mut i = STILL;
        while i < moves.len() {
            if is_still(&moves[i]) || !moves[i - STILL..i].iter().all(is_still) {
                i += 1;
                continue;
            }
            let ends = (i + 1..moves.len().saturating_sub(STILL))
                .find(|k| moves[*k..*k + STILL].iter().all(is_still))
                .filter(|k| {
                    self.frames[*k].time - self.frames[i].time < std::time::Duration::from_millis(1500)
                });
            if let Some(end) = ends
                && moved(&self.frames[i].seen, &self.frames[end].seen).is_some_and(|m| m > 1.5)
            {
                bumps.push(self.frames[i + 1].time);
            }
            i = ends.unwrap_or(i) + 1;
        }
        bumps
    }
}

/// How far the middle of the picture moved between two frames, in pixels at a width of 1280; `None` if one is not held.
fn moved(a: &Seen, b: &Seen) -> Option<f64> {
    let (Seen::Held { camera: a, .. }, Seen::Held { camera: b, .. }) = (a, b) else { return None };
    let turn = b.turn_from(a);
    let wide = f64::from(a.size().width);
    let pixels = turn[0].hypot(turn[1]) * a.focal() + turn[2].abs() * wide / 4.0 + turn[3].abs() * wide / 4.0;
    Some(pixels * 1280.0 / wide)
}
