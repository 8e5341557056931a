//! Players proposed at the strikes of a record: at which moments they are looked for, and what is made of what was found. Without
//! footage: somebody hands over the frames.

use std::time::Duration;

use super::cameras::{Cameras, NoCamera};
use crate::facts::PointFacts;
use crate::find::{Colour, Feet, Players};
use crate::measure::{Camera, Pixel, Place};
use crate::record::{FOUND, Footage, Record, Shared, Touch};
use crate::tennis::rules::Sides;
use crate::tennis::{End, Side};
use crate::time::MatchTime;

/// So long before the first and after the last strike of a point the court is watched: somebody who stands still is on every picture
/// of a shorter time.
const BEFORE: Duration = Duration::from_secs(12);
const AFTER: Duration = Duration::from_secs(4);
/// Pictures of the court are compared so far apart, and at most so many.
const EVERY: Duration = Duration::from_millis(700);
const SAMPLES: usize = 31;
/// Frames are looked at so near to a strike, and so far apart.
const AROUND: Duration = Duration::from_millis(450);
const STEP: Duration = Duration::from_millis(60);

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
    /// From when to when, on the file's own clock.
    pub from: MatchTime,
    /// Likewise.
    pub to: MatchTime,
    /// The strikes, in their order.
    pub strikes: Vec<Strike>,
}

impl Stretch {
    fn around(footage: Footage, (first, last): (MatchTime, MatchTime), strikes: Vec<Strike>) -> Self {
        let start = footage.start - MatchTime::ZERO;
        let (from, to) = (first.earlier(start).earlier(BEFORE), last.earlier(start).later(AFTER));
        Self { footage, from, to, strikes }
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
    let ends = strikes.first().zip(strikes.last()).map(|(first, last)| (first.at, last.at));
    let none = || NoStretch::NoCourt(cameras.look(first).err().unwrap_or(NoCamera::NotHeld));
    Ok(Stretch::around(footage, ends.ok_or_else(none)?, strikes))
}

/// The same of all points that have one.
pub fn stretches(record: &Record, facts: &Shared<PointFacts>, cameras: &Cameras) -> Vec<Stretch> {
    (0..record.points.len()).filter_map(|n| stretch(record, facts, cameras, n).ok()).collect()
}

/// Looks for the players of a stretch in its frames, which are handed over in their order.
pub struct Watcher<'a> {
    cameras: &'a Cameras,
    stretch: &'a Stretch,
    stands: [f64; 3],
    samples: Vec<(Camera, Colour)>,
    sampled: Option<MatchTime>,
    waiting: Vec<(MatchTime, Camera, Colour)>,
    looked: Option<MatchTime>,
    players: Option<Players>,
    /// The frame of each strike.
    frames: Vec<Option<MatchTime>>,
}

impl std::fmt::Debug for Watcher<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Watcher").field("stretch", self.stretch).finish_non_exhaustive()
    }
}

impl<'a> Watcher<'a> {
    /// Before the first frame. `None` if the court is not known at its strikes.
    pub fn new(cameras: &'a Cameras, stretch: &'a Stretch) -> Option<Self> {
        let stands = cameras.at(stretch.strikes.first()?.at)?.camera().position();
        Some(Self {
            cameras,
            stretch,
            stands,
            samples: Vec::new(),
            sampled: None,
            waiting: Vec::new(),
            looked: None,
            players: None,
            frames: vec![None; stretch.strikes.len()],
        })
    }

    /// The next frame, by its time in the file. Its picture is asked for only if it is needed.
    pub fn feed(&mut self, in_file: MatchTime, picture: impl FnOnce() -> Option<Colour>) {
        let time = in_file.later(self.stretch.footage.start - MatchTime::ZERO);
        for (strike, frame) in self.stretch.strikes.iter().zip(&mut self.frames) {
            if time <= strike.at || frame.is_none() {
                *frame = Some(time);
            }
        }
        let is_due = |last: Option<MatchTime>, every| last.is_none_or(|t| time.earlier(every) >= t);
        let near = |s: &Strike| (if s.at > time { s.at - time } else { time - s.at }) <= AROUND;
        let look = is_due(self.looked, STEP) && self.stretch.strikes.iter().any(near);
        let sample = self.players.is_none() && is_due(self.sampled, EVERY);
        if !look && !sample {
            return;
        }
        let Some(camera) = self.cameras.at(time).map(|c| *c.camera()).filter(|c| self.is_same(c)) else {
            return;
        };
        let Some(picture) = picture() else { return };
        if sample {
            self.sampled = Some(time);
            self.samples.push((camera, picture.clone()));
        }
        if look {
            self.looked = Some(time);
            self.waiting.push((time, camera, picture));
        }
        if self.samples.len() == SAMPLES {
            self.players = Players::new(&self.samples);
            self.samples.clear();
        }
        self.look();
    }

    /// Whether it stands where the camera of the first strike stands: after a cut another one may be shown.
    fn is_same(&self, camera: &Camera) -> bool {
        std::iter::zip(self.stands, camera.position()).all(|(a, b)| (a - b).abs() < 0.7)
    }

    fn look(&mut self) {
        let Some(players) = &mut self.players else { return };
        for (time, camera, picture) in self.waiting.drain(..) {
            players.feed(time, &camera, &picture);
        }
    }

    /// What was found at the strikes.
    pub fn finish(mut self) -> Vec<Proposal> {
        if self.players.is_none() {
            self.players = Players::new(&self.samples);
        }
        self.look();
        let Some(players) = &self.players else { return Vec::new() };
        let mut found = Vec::new();
        for (strike, frame) in self.stretch.strikes.iter().zip(&self.frames) {
            let Some(frame) = frame else { continue };
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
