//! Players proposed at the strikes of a record: at which moments they are looked for, and what is made of what was found. Without
//! footage: somebody hands over the frames.

use std::sync::Arc;
use std::time::Duration;

use super::cameras::{Cameras, NoCamera};
use crate::facts::PointFacts;
use crate::find::{Colour, Feet, Players};
use crate::frames::FrameIndex;
use crate::measure::{Camera, Pixel, Place};
use crate::record::{FOUND, Footage, Record, Shared, Touch};
use crate::tennis::rules::Sides;
use crate::tennis::{End, Side};
use crate::time::MatchTime;

/// The court without players is put together from pictures so far apart, and at most so many: somebody who waits for two serves at one
/// place is on less than half of them.
const EVERY: Duration = Duration::from_secs(2);
const SAMPLES: u32 = 31;
/// Frames are looked at so near to a strike, and so far apart.
const AROUND: Duration = Duration::from_millis(450);
const STEP: Duration = Duration::from_millis(75);

/// A strike at which players are looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Strike {
    /// The point and the shot, from 0.
    pub shot: (usize, usize),
    /// Whether it is a serve that was a fault.
    pub fault: bool,
    /// On the match clock.
    pub at: MatchTime,
    /// Who is at the near end, if that is known.
    pub near: Option<Side>,
}

/// A part of one file in which players are looked for: a point.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The file.
    pub footage: Footage,
    /// The strikes, in their order.
    pub strikes: Vec<Strike>,
}

impl Stretch {
    fn start(&self) -> Duration {
        self.footage.start - MatchTime::ZERO
    }

    /// The frames from which the court without players is put together: from a minute around the point, or all of a short film. They lie
    /// on a grid, so that points that are near each other share them; and they are key frames where there are any near, for these are
    /// decoded without others.
    pub fn samples(&self, index: &FrameIndex) -> Vec<usize> {
        let in_file = |s: &Strike| s.at.earlier(self.start()) - MatchTime::ZERO;
        let Some((first, last)) = self.strikes.first().zip(self.strikes.last()) else { return Vec::new() };
        let every = ((index.end() - MatchTime::ZERO) / SAMPLES).min(EVERY).max(Duration::from_nanos(1));
        let nth = |at: Duration| (at.as_nanos() / every.as_nanos()) as u32;
        let near = |n: u32| {
            let at = index.at(MatchTime::ZERO.later(every * n + every / 2));
            let key = index.key_near(at);
            let (a, b) = (index.time(at), index.time(key));
            if (if a > b { a - b } else { b - a }) < every { key } else { at }
        };
        let all = nth(index.end() - MatchTime::ZERO);
        let middle = nth((in_file(first) + in_file(last)) / 2);
        let from = middle.saturating_sub(SAMPLES / 2).min(all.saturating_sub(SAMPLES));
        let mut frames: Vec<usize> = (from..from + SAMPLES).map(near).collect();
        frames.sort_unstable();
        frames.dedup();
        frames
    }

    /// The frames in which players are looked for: those near a strike.
    pub fn looked(&self, index: &FrameIndex) -> Vec<usize> {
        let mut frames = Vec::new();
        for strike in &self.strikes {
            let at = strike.at.earlier(self.start());
            let (first, own) = (index.at(at.earlier(AROUND)), index.at(at));
            let last = index.at(at.later(AROUND));
            let mut due = MatchTime::ZERO;
            for frame in first..=last {
                if index.time(frame) >= due || frame == own {
                    due = index.time(frame).later(STEP);
                    frames.push(frame);
                }
            }
        }
        frames.sort_unstable();
        frames.dedup();
        frames
    }
}

/// A player that was found. Nothing of it is in the record until somebody accepts it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proposal {
    /// At which strike.
    pub strike: Strike,
    /// Whose feet; `None` if it is not known who is at that end.
    pub of: Option<Touch>,
    /// At which end.
    pub end: End,
    /// The frame, on the match clock, and the pixel in it.
    pub frame: MatchTime,
    /// Likewise.
    pub pixel: Pixel,
    /// Where that is, and how uncertain.
    pub place: Place,
    /// How far to believe it, from 0 to 1.
    pub confidence: f64,
}

/// Why nobody can be proposed at the strikes of a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoStretch {
    /// Two players of a side cannot be told apart.
    #[error("players are proposed in singles only")]
    NotSingles,
    /// No shot of the point has a time in footage.
    #[error("players are proposed at logged shots, and this point has none with a time in footage")]
    NoStrikes,
    /// Nothing tells whose feet they would be.
    #[error("it is not known who is at which end, so nobody is proposed; log who serves, and from which end")]
    NoEnd,
    /// There is no camera at any of the strikes.
    #[error("{}", no_court(*.0))]
    NoCourt(NoCamera),
}

/// What is missing, in words that hold before the court is marked, while its marks are not saved, and after.
fn no_court(why: NoCamera) -> &'static str {
    match why {
        NoCamera::NotMarked => {
            "once the court is marked and saved in the footage of this point, players are proposed at its shots"
        }
        NoCamera::NotHeld => "the court is not seen at the shots of this point, so nobody is proposed",
        NoCamera::NotFollowed => {
            "the camera moves: once the court was followed, players are proposed at the shots of this point"
        }
        NoCamera::NotRead => "where the camera was is still being read",
    }
}

/// The part of the footage in which the players of a point, counted from 0, can be looked for: that of its shots that have times, where
/// the court is known.
///
/// # Errors
/// [`NoStretch`].
pub fn stretch(
    record: &Record,
    facts: &Shared<PointFacts>,
    cameras: &Cameras,
    n: usize,
) -> Result<Stretch, NoStretch> {
    if record.about.rules.sides != Sides::Singles {
        return Err(NoStretch::NotSingles);
    }
    let (point, f) = record.points.get(n).zip(facts.get(n)).ok_or(NoStretch::NoStrikes)?;
    let server = f.server.zip(f.server_end);
    let near =
        Some(server.map(|(s, end)| if end == End::Near { s } else { s.other() }).ok_or(NoStretch::NoEnd)?);
    let faults = point.serves_out.iter().enumerate().map(|(k, s)| (k, s, true));
    let shots = faults.chain(point.shots.iter().enumerate().map(|(k, s)| (k, s, false)));
    let strike = |(k, s, fault): (usize, &crate::record::Shot, bool)| {
        Some(Strike { shot: (n, k), fault, at: s.at?, near })
    };
    let mut strikes: Vec<Strike> = shots.filter_map(strike).collect();
    strikes.sort_by_key(|s| s.at);
    let first = strikes.first().ok_or(NoStretch::NoStrikes)?.at;
    let footage = cameras.file_at(first).ok_or(NoStretch::NoStrikes)?.clone();
    strikes.retain(|s| footage.covers(s.at) && cameras.at(s.at).is_some());
    if strikes.is_empty() {
        return Err(NoStretch::NoCourt(cameras.look(first).err().unwrap_or(NoCamera::NotHeld)));
    }
    Ok(Stretch { footage, strikes })
}

/// The same of all points that have one.
pub fn stretches(record: &Record, facts: &Shared<PointFacts>, cameras: &Cameras) -> Vec<Stretch> {
    (0..record.points.len()).filter_map(|n| stretch(record, facts, cameras, n).ok()).collect()
}

/// Makes a small picture of a frame, if it is wanted; of some frames there is none.
pub(super) type Made<'a> = &'a dyn Fn() -> Option<Arc<Colour>>;

/// Looks for the players of a stretch in its frames: first those of [`Stretch::samples`], then those of [`Stretch::looked`].
pub struct Watcher<'a> {
    cameras: &'a Cameras,
    stretch: &'a Stretch,
    stands: [f64; 3],
    samples: Vec<(Camera, Arc<Colour>)>,
    players: Option<Players>,
    /// The frame of each strike, on the match clock.
    frames: Vec<MatchTime>,
    /// The frames in which players are looked for, by their times in the file.
    looks: Vec<MatchTime>,
}

impl std::fmt::Debug for Watcher<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Watcher").field("stretch", self.stretch).finish_non_exhaustive()
    }
}

impl<'a> Watcher<'a> {
    /// Before the first frame, with the frames in which players will be looked for. `None` if the court is not known at its strikes.
    pub fn new(
        cameras: &'a Cameras,
        stretch: &'a Stretch,
        index: &FrameIndex,
        looked: &[usize],
    ) -> Option<Self> {
        let stands = cameras.at(stretch.strikes.first()?.at)?.camera().position();
        let start = stretch.start();
        let frame = |s: &Strike| index.time(index.at(s.at.earlier(start))).later(start);
        let frames = stretch.strikes.iter().map(frame).collect();
        let looks = looked.iter().map(|n| index.time(*n)).collect();
        Some(Self { cameras, stretch, stands, samples: Vec::new(), players: None, frames, looks })
    }

    /// A picture for the court without players, by its time in the file.
    pub(super) fn sample(&mut self, in_file: MatchTime, picture: Made<'_>) {
        if let (_, Some(camera)) = self.camera(in_file) {
            self.samples.extend(picture().map(|picture| (camera, picture)));
        }
    }

    /// The samples are let go.
    pub(super) fn forget(&mut self) {
        self.samples.clear();
    }

    #[cfg(test)]
    pub(super) fn samples(&self) -> usize {
        self.samples.len()
    }

    /// The next frame in which players are looked for, by its time in the file. After the first no more samples are taken; if they
    /// were too few, nobody is found.
    pub(super) fn feed(&mut self, in_file: MatchTime, picture: Made<'_>) {
        if !self.samples.is_empty() {
            let looks: Vec<_> = self.looks.iter().filter_map(|at| self.camera(*at).1).collect();
            self.players = Players::new(&std::mem::take(&mut self.samples), &looks);
        }
        let (time, camera) = self.camera(in_file);
        let Some((camera, players)) = camera.zip(self.players.as_mut()) else { return };
        if let Some(picture) = picture() {
            players.feed(time, &camera, &picture);
        }
    }

    /// The time on the match clock, and the camera if it stands where that of the first strike stands: after a cut another one may be shown.
    fn camera(&self, in_file: MatchTime) -> (MatchTime, Option<Camera>) {
        let time = in_file.later(self.stretch.start());
        let is_same =
            |c: &Camera| std::iter::zip(self.stands, c.position()).all(|(a, b)| (a - b).abs() < 0.7);
        (time, self.cameras.at(time).map(|c| *c.camera()).filter(is_same))
    }

    /// What was found at the strikes.
    pub fn finish(self) -> Vec<Proposal> {
        let Some(players) = &self.players else { return Vec::new() };
        let mut found = Vec::new();
        for (strike, frame) in self.stretch.strikes.iter().zip(&self.frames) {
            for (feet, end) in players.at(strike.at).into_iter().zip([End::Near, End::Far]) {
                found.extend(feet.and_then(|feet| self.proposal(strike, *frame, feet, end)));
            }
        }
        found
    }

    fn proposal(&self, strike: &Strike, frame: MatchTime, feet: Feet, end: End) -> Option<Proposal> {
        let calibration = self.cameras.at(frame)?;
        let pixel = calibration
            .camera()
            .see_ground(feet.spot)
            .filter(|p| calibration.camera().size().holds(*p, 0.0))?;
        let side = strike.near.map(|near| if end == End::Near { near } else { near.other() });
        let spread = calibration.place(pixel, FOUND.0)?.spread.wider(FOUND.1.hypot(feet.scatter / 2.0));
        Some(Proposal {
            strike: *strike,
            of: side.map(|s| Touch::feet(s, None)),
            end,
            frame,
            pixel,
            place: Place { spot: feet.spot, spread },
            confidence: feet.confidence,
        })
    }
}

#[cfg(test)]
#[path = "proposing_tests.rs"]
mod tests;
