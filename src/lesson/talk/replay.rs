//! What is on the screen at a moment of a talk.

use std::time::Duration;

use super::model::{Action, Deed, Take, Talk};
use crate::drawing::{Drawing, Shape};
use crate::lesson::model::Pace;
use crate::time::{FrameRate, MatchTime};

/// The end of the clock.
const END: MatchTime = MatchTime::from_nanos(u64::MAX);

/// How long after a clip came to stand the frame of its freeze may come: one more may have been shown, and is then gone back.
const LATE: Duration = Duration::from_millis(250);
/// How long a frame of footage without a constant rate is taken to last.
const FRAME: Duration = Duration::from_millis(40);

/// A moment of a take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Which piece of the talk, from 0.
    pub piece: usize,
    /// Which take, from 0.
    pub take: usize,
    /// When, on the take's clock.
    pub at: MatchTime,
}

/// What is on the screen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scene {
    /// Which take, from 0.
    pub take: usize,
    /// Which of the take's clips, from 0.
    pub clip: usize,
    /// The moment of the footage: the frame on the screen is the last one that appeared by then.
    pub moment: MatchTime,
    /// How fast it plays; `None` when it stands.
    pub pace: Option<Pace>,
    /// What is drawn over it.
    pub drawings: Vec<Drawing>,
}

/// The picture from an action on, without drawings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Anchor {
    at: MatchTime,
    clip: usize,
    moment: MatchTime,
    pace: Option<Pace>,
    /// Since when it stands, if it played before.
    stands: Option<MatchTime>,
}

impl Anchor {
    fn moment(&self, at: MatchTime) -> MatchTime {
        let Some(pace) = self.pace else { return self.moment };
        let passed = u128::from(at.nanos().saturating_sub(self.at.nanos())) * u128::from(pace.0) / 100;
        let passed = u64::try_from(passed).unwrap_or(u64::MAX);
        MatchTime::from_nanos(self.moment.nanos().saturating_add(passed))
    }
}

/// A talk, made ready to be asked for many moments.
#[derive(Debug, Clone)]
pub struct Timeline<'a> {
    talk: &'a Talk,
    /// Where each piece begins.
    starts: Vec<MatchTime>,
    /// For each take its pictures in order.
    anchors: Vec<Vec<Anchor>>,
}

impl<'a> Timeline<'a> {
    /// The time line of a talk.
    pub fn of(talk: &'a Talk) -> Self {
        let mut starts = Vec::with_capacity(talk.pieces.len());
        let mut sum = MatchTime::ZERO;
        for piece in &talk.pieces {
            starts.push(sum);
            sum = sum.later(piece.to - piece.from);
        }
        Self { talk, starts, anchors: talk.takes.iter().map(anchors).collect() }
    }

    /// Which moment of which take is heard at `t`. `None` from the end of the talk on.
    pub fn place(&self, t: MatchTime) -> Option<Place> {
        let piece = self.starts.partition_point(|start| *start <= t).checked_sub(1)?;
        let of = self.talk.pieces.get(piece)?;
        let at = of.from.later(t - *self.starts.get(piece)?);
        (at < of.to).then_some(Place { piece, take: of.take, at })
    }

    /// Where a piece begins in the talk.
    pub fn start(&self, piece: usize) -> Option<MatchTime> {
        self.starts.get(piece).copied()
    }

    /// What is on the screen at `t`. `None` from the end of the talk on.
    pub fn frame_at(&self, t: MatchTime) -> Option<Scene> {
        let place = self.place(t)?;
        let all = self.anchors.get(place.take)?;
        // Of actions at the same time the last one counts.
        let anchor = all.get(all.partition_point(|a| a.at <= place.at).checked_sub(1)?)?;
        let take = self.talk.takes.get(place.take)?;
        let mut shown = frozen(take, anchor, place.at);
        shown.extend(drawings(take, place.at));
        Some(Scene {
            take: place.take,
            clip: anchor.clip,
            moment: anchor.moment(place.at),
            pace: anchor.pace,
            drawings: shown,
        })
    }

    /// The moments of the talk at which another picture begins by an action or a cut, in order.
    pub fn turns(&self) -> Vec<MatchTime> {
        let mut out = Vec::new();
        for (piece, start) in self.talk.pieces.iter().zip(&self.starts) {
            out.push(*start);
            let within = self.anchors.get(piece.take).into_iter().flatten();
            let within = within.filter(|a| piece.from < a.at && a.at < piece.to);
            out.extend(within.map(|a| start.later(a.at - piece.from)));
        }
        out.dedup();
        out
    }
}

impl Talk {
    /// What is on the screen at `t`: the clip, the moment of its footage, and the drawings. `None` from the end of the talk on.
    /// Use [`Timeline`] for many moments.
    pub fn frame_at(&self, t: MatchTime) -> Option<Scene> {
        Timeline::of(self).frame_at(t)
    }
}

fn anchors(take: &Take) -> Vec<Anchor> {
    let mut out: Vec<Anchor> = Vec::new();
    for Action { at, does } in &take.actions {
        let before = out.last().copied();
        let next = match (does, before) {
            (Deed::Clip { clip, moment }, _) => {
                Anchor { at: *at, clip: *clip, moment: *moment, pace: None, stands: None }
            }
            (Deed::Play { moment, pace }, Some(b)) => {
                Anchor { at: *at, moment: *moment, pace: Some(*pace), stands: None, ..b }
            }
            (Deed::Pause { moment }, Some(b)) => {
                let stands = if b.pace.is_some() { Some(*at) } else { b.stands };
                Anchor { at: *at, moment: *moment, pace: None, stands, ..b }
            }
            (Deed::Step { moment } | Deed::Go { moment }, Some(b)) => {
                let stands = b.stands.filter(|since| *at - *since < LATE);
                Anchor { at: *at, moment: *moment, stands, ..b }
            }
            _ => continue,
        };
        out.push(next);
    }
    out
}

/// What the freeze draws in which the clip stands: it played, and stopped at the frame of the freeze.
fn frozen(take: &Take, anchor: &Anchor, at: MatchTime) -> Vec<Drawing> {
    let Some(since) = anchor.stands.map(|since| MatchTime::ZERO.later(at - since)) else { return Vec::new() };
    let Some(clip) = take.clips.get(anchor.clip).map(|shown| &shown.clip) else { return Vec::new() };
    let lasts = clip.footage.rate.map_or(FRAME, FrameRate::frame_length);
    let here = clip.freezes.iter().find(|f| anchor.moment <= f.at && f.at - anchor.moment < lasts);
    let freeze = here.filter(|freeze| since < freeze.lasts);
    freeze.into_iter().flat_map(|f| &f.drawings).filter(|d| d.seen_at(since)).cloned().collect()
}

/// What is drawn at a moment of a take, as much of it as was drawn by then.
fn drawings(take: &Take, at: MatchTime) -> Vec<Drawing> {
    let mut out: Vec<Drawing> = Vec::new();
    for action in take.actions.iter().take_while(|a| a.at <= at) {
        match &action.does {
            Deed::Draw { shape, colour, took } => {
                let shape = drawn(shape, action.at, *took, at);
                out.push(Drawing { shape, colour: *colour, from: MatchTime::ZERO, to: END });
            }
            Deed::Clip { .. } | Deed::Wipe => out.clear(),
            _ => {}
        }
    }
    out
}

/// A free line as far as it was drawn; other shapes are there at once.
fn drawn(shape: &Shape, from: MatchTime, took: MatchTime, at: MatchTime) -> Shape {
    let since = at.nanos() - from.nanos();
    match shape {
        Shape::Line(places) if since < took.nanos() && places.len() > 1 => {
            let n = (places.len() as u128 * u128::from(since) / u128::from(took.nanos())) as usize;
            Shape::Line(places[..n.max(1)].to_vec())
        }
        whole => whole.clone(),
    }
}
