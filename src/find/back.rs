//! The court followed backward: through the frames before one in which it was found, farther than they were kept.
//!
//! Footage is decoded forward only. So runs of frames are asked for, the last one first, and each is followed from its end.

use super::follow::{Follower, Packed, Small, Step};
use super::poses::{FramePose, Poses, Seen, Start};
use crate::measure::Camera;
use crate::time::MatchTime;

/// Frames are asked for in runs of at most so many, which take at most so many bytes.
const RUN: usize = 128;
const BYTES: usize = 128 << 20;

/// Frames through which the court is still to be followed backward.
#[derive(Debug)]
pub(super) struct Gap {
    /// The frame before which they are.
    pub at: usize,
    /// The camera in that frame, and the start to which it goes back.
    pub camera: Camera,
    pub start: usize,
    /// Whether what is held there is replaced: somebody marked the court elsewhere.
    pub replaces: bool,
}

/// Follows the court backward, after all frames were fed to a [`super::FilmFollower`].
#[derive(Debug)]
pub struct Backward {
    frames: Vec<FramePose>,
    starts: Vec<Start>,
    /// Starts where somebody marked the court: what was followed from them is not replaced.
    marked: Vec<usize>,
    gaps: Vec<Gap>,
    now: Option<Going>,
    run: usize,
}

/// A gap that is being followed through: the frames before this one are still to come.
#[derive(Debug)]
struct Going {
    gap: Gap,
    follower: Follower,
    before: usize,
}

impl Backward {
    pub(super) fn new(poses: (Vec<FramePose>, Vec<Start>), marked: Vec<usize>, gaps: Vec<Gap>) -> Self {
        let bytes = gaps.first().map_or(1, |g| Packed::bytes_of(g.camera.size()));
        let run = (BYTES / bytes.max(1)).clamp(8, RUN);
        Self { frames: poses.0, starts: poses.1, marked, gaps, now: None, run }
    }

    /// The times of the first and the last frame of the run that is wanted next; `None` when all is done.
    pub fn wants(&mut self) -> Option<(MatchTime, MatchTime)> {
        while self.now.is_none() {
            let gap = self.gaps.pop()?;
            // The frame in which it is held comes again: how the picture moved is told by two frames.
            let (follower, before) = (Follower::new(&gap.camera), gap.at + 1);
            self.now = (gap.at > 0).then_some(Going { gap, follower, before });
        }
        let last = self.now.as_ref()?.before - 1;
        let first = (last + 1).saturating_sub(self.run);
        Some((self.frames[first].time, self.frames[last].time))
    }

    /// How many frames may still be followed.
    pub fn left(&self) -> usize {
        let now = self.now.as_ref().map_or(0, |n| n.before);
        now + self.gaps.iter().map(|g| g.at).sum::<usize>()
    }

    /// The run that was wanted, in the order of the times.
    pub fn feed(&mut self, run: &[(MatchTime, Packed)]) {
        let Some(mut going) = self.now.take() else { return };
        for (time, frame) in run.iter().rev() {
            if going.before == 0 || self.frames[going.before - 1].time != *time {
                return;
            }
            going.before -= 1;
            if !frame.small().is_some_and(|frame| self.step(&mut going, &frame)) {
                return;
            }
        }
        // Without the run that was wanted nothing more is asked for.
        self.now = Some(going).filter(|g| g.before > 0 && !run.is_empty());
    }

    /// One frame farther back; `false` at the end of the gap.
    fn step(&mut self, going: &mut Going, frame: &Small) -> bool {
        let (at, start) = (going.before, going.gap.start);
        let is_first = at == going.gap.at;
        if !is_first && self.is_settled(at, going.gap.replaces) {
            return false;
        }
        match going.follower.step(frame) {
            Step::Held(_) if is_first => true,
            Step::Held(pose) => {
                let (camera, support, rms) = (pose.camera, pose.support, pose.rms);
                self.frames[at].seen = Seen::Held { camera, support, rms, start };
                true
            }
            Step::Weak => true,
            Step::Lost { .. } => false,
        }
    }

    /// Whether the court is held in a frame, and nothing better can be known of it.
    fn is_settled(&self, frame: usize, replaces: bool) -> bool {
        match &self.frames[frame].seen {
            Seen::Held { start, .. } => !replaces || self.marked.contains(start),
            Seen::No(_) => false,
        }
    }

    /// What is known of all frames.
    pub fn finish(self) -> Poses {
        Poses::new(self.frames, self.starts)
    }
}
