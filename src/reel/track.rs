//! One clip on the time line of a reel: which of its frames each frame of the reel shows.

use crate::frames::FrameIndex;
use crate::lesson::{Clip, Pace};
use crate::time::{FrameRate, MatchTime};

/// What is known while a freeze lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Freezing {
    /// Which of the clip's freezes, from 0.
    pub number: usize,
    /// How long it has lasted.
    pub since: MatchTime,
}

/// What one frame of a reel shows of a clip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// The frame of the file, by its index.
    pub frame: usize,
    /// The freeze, if the picture stands still.
    pub freeze: Option<Freezing>,
}

/// How a piece of a clip is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// These frames of the file, one after another.
    Play {
        /// The first of them.
        first: usize,
        /// How many.
        count: usize,
        /// How fast.
        pace: Pace,
    },
    /// One frame, standing still.
    Stand {
        /// The frame.
        frame: usize,
        /// Which of the clip's freezes, from 0.
        number: usize,
    },
}

/// A part of a clip that is shown in one way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Piece {
    /// Its first frame, counted from the beginning of its track.
    pub starts: u64,
    /// How many frames of the reel it takes, at least one.
    pub frames: u64,
    /// How it is shown.
    pub way: Way,
}

impl Piece {
    /// The frame of the file that its frame `k` shows.
    ///
    /// Its first frame shows the first frame of the file's, its last the last one. Slow motion shows each as often as the
    /// others, give or take one.
    fn look(&self, k: u64) -> usize {
        match self.way {
            Way::Stand { frame, .. } => frame,
            Way::Play { first, count, .. } => first + spread(k, self.frames, count as u64) as usize,
        }
    }
}

/// Which of `count` frames is shown as frame `k` of `all`.
fn spread(k: u64, all: u64, count: u64) -> u64 {
    let of = |n: u64, d: u64| (u128::from(k) * u128::from(n) / u128::from(d.max(1))) as u64;
    if count <= all { of(count, all) } else { of(count - 1, all - 1) }
}

/// A clip as it runs in a reel. It has at least one frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Track {
    /// The file, as the lesson names it.
    pub file: String,
    /// Its parts, in order, without gaps.
    pub pieces: Vec<Piece>,
}

impl Track {
    /// The clip at `rate`, or `None` when it begins after the last frame of its file.
    pub(super) fn new(clip: &Clip, index: &FrameIndex, rate: FrameRate) -> Option<Self> {
        let frames = index.clip(clip.from, clip.to)?;
        let (first, last) = (frames.start, frames.end - 1);
        let once = ways(clip, index, first, last);
        let mut pieces: Vec<Piece> = Vec::new();
        // How much has been shown before a piece, in billionths of a frame of the reel: nothing is lost by rounding.
        let (mut passed, mut starts) = (0u128, 0u64);
        for way in once.iter().cycle().take(once.len() * usize::from(clip.times.unwrap_or(1).clamp(1, 20))) {
            passed += lasts(*way, clip, index, rate);
            let ends = (((passed + 500_000_000) / 1_000_000_000) as u64).max(starts + 1);
            pieces.push(Piece { starts, frames: ends - starts, way: *way });
            starts = ends;
        }
        Some(Self { file: clip.footage.file.clone(), pieces })
    }

    /// How many frames of the reel it takes.
    pub fn frames(&self) -> u64 {
        self.pieces.last().map_or(0, |p| p.starts + p.frames)
    }

    /// What it shows `k` frames after its beginning; its last frame after its end.
    pub fn at(&self, k: u64, rate: FrameRate) -> Look {
        let k = k.min(self.frames().saturating_sub(1));
        let n = self.pieces.partition_point(|p| p.starts <= k).saturating_sub(1);
        let Some(piece) = self.pieces.get(n) else { return Look { frame: 0, freeze: None } };
        let into = k - piece.starts;
        let freeze = match piece.way {
            Way::Stand { number, .. } => Some(Freezing { number, since: rate.time_of(into) }),
            Way::Play { .. } => None,
        };
        Look { frame: piece.look(into), freeze }
    }

    /// Its first frame of the reel that shows this frame of the file or one after it.
    pub(super) fn reaches(&self, frame: usize) -> u64 {
        for piece in &self.pieces {
            let hit = (0..piece.frames).find(|k| piece.look(*k) >= frame);
            if let Some(k) = hit {
                return piece.starts + k;
            }
        }
        self.frames().saturating_sub(1)
    }
}

/// How a clip is shown once: its frames from `first` to `last`, parted where the speed changes and where it stands still.
fn ways(clip: &Clip, index: &FrameIndex, first: usize, last: usize) -> Vec<Way> {
    let pace = |i: usize| {
        let t = index.time(i).max(clip.from);
        let stretch = clip.stretches.iter().find(|s| s.from <= t && t < s.to);
        Pace(stretch.map_or(100, |s| s.pace.0.clamp(10, 400)))
    };
    let mut stands: Vec<(usize, usize)> = Vec::new();
    for (number, freeze) in clip.freezes.iter().enumerate() {
        if clip.from <= freeze.at && freeze.at <= clip.to {
            stands.push((index.at(freeze.at).clamp(first, last), number));
        }
    }
    stands.sort_unstable();
    let mut out = Vec::new();
    let (mut from, mut stands) = (first, stands.into_iter().peekable());
    for i in first..=last {
        let stands_here = stands.peek().is_some_and(|s| s.0 == i);
        if i == last || stands_here || pace(i + 1) != pace(i) {
            out.push(Way::Play { first: from, count: i + 1 - from, pace: pace(i) });
            from = i + 1;
        }
        while let Some((frame, number)) = stands.next_if(|s| s.0 == i) {
            out.push(Way::Stand { frame, number });
        }
    }
    out
}

/// How long a piece lasts, in billionths of a frame of the reel.
fn lasts(way: Way, clip: &Clip, index: &FrameIndex, rate: FrameRate) -> u128 {
    let frames = |nanos: u64, pace: u16| {
        u128::from(nanos) * u128::from(rate.frames()) * 100 / (u128::from(rate.per()) * u128::from(pace))
    };
    match way {
        Way::Stand { number, .. } => frames(clip.freezes.get(number).map_or(0, |f| f.lasts.nanos()), 100),
        Way::Play { first, count, pace } => {
            let nanos = match index.rate() {
                // Not from its times, which some containers round to a millisecond.
                Some(own) => own.time_of(count as u64).nanos(),
                None => (index.gone(first + count - 1) - index.time(first)).as_nanos() as u64,
            };
            frames(nanos, pace.0)
        }
    }
}
