//! The media files of a match in their places on the match clock. Pure.
//!
//! If files overlap, the earlier one shows the moment, as in clips. A gap was not filmed.

use std::cmp::Ordering;
use std::sync::Arc;
use std::time::Duration;

use crate::frames::FrameIndex;
use crate::logging::FrameClock;
use crate::time::{MatchTime, Span};

/// One media file: when its frames appear, and where it starts on the match clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// The frames' times, counted from the file's own start.
    pub index: Arc<FrameIndex>,
    /// Where that start lies on the match clock.
    pub start: MatchTime,
}

impl Part {
    /// What it shows of the match clock.
    fn span(&self) -> Span {
        Span::lasting(self.start, self.index.end() - MatchTime::ZERO)
    }

    /// A moment of the match clock as a time in the file; before its start, its start.
    pub fn in_file(&self, t: MatchTime) -> MatchTime {
        MatchTime::from_nanos(t.nanos().saturating_sub(self.start.nanos()))
    }

    /// A time in the file on the match clock.
    pub fn on_clock(&self, t: MatchTime) -> MatchTime {
        t.later(self.start - MatchTime::ZERO)
    }

    fn frame_on_clock(&self, frame: usize) -> MatchTime {
        self.on_clock(self.index.time(frame))
    }
}

/// A frame of one of the files.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Which file, from 0.
    pub part: usize,
    /// Which of its frames, from 0.
    pub frame: usize,
}

/// The files of a match, in the order of their start.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Parts(Vec<Part>);

impl Parts {
    /// The files, put in the order of their start.
    pub fn new(mut parts: Vec<Part>) -> Self {
        parts.sort_by_key(|p| p.start);
        Self(parts)
    }

    /// How many files.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether nothing is filmed.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// From the first frame of the first file to the end of the last, with the gaps. Zero without files.
    pub fn ends(&self) -> (MatchTime, MatchTime) {
        let start = self.0.iter().map(|p| p.start).min().unwrap_or_default();
        let end = self.0.iter().map(|p| p.span().end()).max().unwrap_or_default();
        (start, end)
    }

    /// One of them.
    pub fn get(&self, part: usize) -> Option<&Part> {
        self.0.get(part)
    }

    /// The frame that is on the screen at a moment of the match clock; `None` when nothing was filmed then.
    pub fn showing(&self, t: MatchTime) -> Option<Place> {
        let part = self.0.iter().position(|p| p.span().contains(t))?;
        let of = &self.0[part];
        Some(Place { part, frame: of.index.at(of.in_file(t)) })
    }

    /// When the files before this one end: earlier frames of this file are never shown.
    fn floor(&self, part: usize) -> MatchTime {
        self.0[..part].iter().map(|p| p.span().end()).max().unwrap_or_default()
    }

    /// The first frame that appears at `t` or later.
    fn first_from(&self, t: MatchTime) -> Option<Place> {
        let of = |(part, p): (usize, &Part)| {
            let from = t.max(self.floor(part));
            let at = p.index.at(p.in_file(from));
            let frame = if p.frame_on_clock(at) < from { at + 1 } else { at };
            (frame < p.index.len()).then_some(Place { part, frame })
        };
        self.0.iter().enumerate().filter_map(of).min_by_key(|p| self.moment(*p))
    }

    /// The last frame that appears before `t`.
    fn last_before(&self, t: MatchTime) -> Option<Place> {
        let of = |(part, p): (usize, &Part)| {
            let at = p.index.at(p.in_file(t));
            let frame = if p.frame_on_clock(at) < t { at } else { at.checked_sub(1)? };
            (p.frame_on_clock(frame) >= self.floor(part)).then_some(Place { part, frame })
        };
        self.0.iter().enumerate().filter_map(of).max_by_key(|p| self.moment(*p))
    }

    /// The frame at a moment; in a gap the first one after it (`forward`) or the last one before it, and beyond either
    /// end the nearest there is. `None` without files.
    pub fn nearest(&self, t: MatchTime, forward: bool) -> Option<Place> {
        let (after, before) = (self.first_from(t), self.last_before(t));
        self.showing(t).or(if forward { after.or(before) } else { before.or(after) })
    }

    /// Where playing continues when a file ends: the first frame after its end, in any file.
    pub fn run_on(&self, part: usize) -> Option<Place> {
        self.first_from(self.0.get(part)?.span().end())
    }

    /// Where one frame on or back leads when that is in another file.
    pub fn over_the_border(&self, here: Place, forward: bool) -> Option<Place> {
        let part = self.get(here.part)?;
        let now = part.frame_on_clock(here.frame);
        let next = if forward {
            self.first_from(part.on_clock(part.index.gone(here.frame)))
        } else {
            self.last_before(now)
        };
        next.filter(|p| p.part != here.part)
    }

    /// The moment of a frame on the match clock.
    pub fn moment(&self, place: Place) -> Option<MatchTime> {
        Some(self.0.get(place.part)?.frame_on_clock(place.frame))
    }

    /// How a file continues what was filmed before it, in words; `None` if nothing is missing or double.
    pub fn border(&self, part: usize) -> Option<String> {
        let start = self.0.get(part)?.start;
        let before = self.0[..part].iter().map(|p| p.span().end()).max()?;
        match start.cmp(&before) {
            Ordering::Greater => Some(format!("nothing filmed from {} to {}", before.short(), start.short())),
            Ordering::Less => Some(format!("overlaps the file before it until {}", before.short())),
            Ordering::Equal => None,
        }
    }
}

/// Where nothing is filmed, a frame is a hundredth of a second.
const HUNDREDTH: u64 = 10_000_000;

impl FrameClock for Parts {
    fn after(&self, t: MatchTime) -> Option<MatchTime> {
        if self.0.is_empty() {
            return Some(MatchTime::from_nanos(
                (t.nanos() / HUNDREDTH).checked_add(1)?.checked_mul(HUNDREDTH)?,
            ));
        }
        self.moment(self.first_from(t.later(Duration::from_nanos(1)))?)
    }

    fn before(&self, t: MatchTime) -> Option<MatchTime> {
        if self.0.is_empty() {
            return Some(MatchTime::from_nanos(t.nanos().div_ceil(HUNDREDTH).checked_sub(1)? * HUNDREDTH));
        }
        self.moment(self.last_before(t)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn part(start: u64, gaps: &[u64]) -> Part {
        let mut t = 0;
        let mut frames = Vec::new();
        for gap in gaps {
            frames.push((MatchTime::from_millis(t), true));
            t += gap;
        }
        let last = gaps.last().map(|g| std::time::Duration::from_millis(*g));
        Part { index: Arc::new(FrameIndex::new(frames, last).unwrap()), start: MatchTime::from_millis(start) }
    }

    /// 25 frames per second from 0 to 1 s, ten a second from `start` for one second.
    fn two(start: u64) -> Parts {
        Parts::new(vec![part(start, &[100; 10]), part(0, &[40; 25])])
    }

    fn at(ms: u64) -> MatchTime {
        MatchTime::from_millis(ms)
    }

    #[test]
    fn a_moment_is_a_frame_of_one_file() {
        let parts = two(1500);
        assert_eq!(parts.showing(at(999)), Some(Place { part: 0, frame: 24 }));
        assert_eq!(parts.showing(at(1000)), None);
        assert_eq!(parts.showing(at(1650)), Some(Place { part: 1, frame: 1 }));
        assert_eq!(parts.nearest(at(1200), true), Some(Place { part: 1, frame: 0 }));
        assert_eq!(parts.nearest(at(1200), false), Some(Place { part: 0, frame: 24 }));
        assert_eq!(parts.nearest(at(9000), true), Some(Place { part: 1, frame: 9 }));
        assert_eq!(parts.border(1).as_deref(), Some("nothing filmed from 0:00:01 to 0:00:01"));
        assert_eq!((parts.border(0), two(1000).border(1)), (None, None));
    }

    #[test]
    fn an_overlap_belongs_to_the_earlier_file() {
        let parts = two(750);
        assert_eq!(parts.showing(at(960)), Some(Place { part: 0, frame: 24 }));
        assert_eq!(parts.run_on(0), Some(Place { part: 1, frame: 3 }), "its frame at 1,050 ms");
        assert_eq!(parts.after(at(960)), Some(at(1050)));
        assert_eq!(parts.before(at(1050)), Some(at(960)));
        assert!(parts.border(1).unwrap().starts_with("overlaps"));
        assert_eq!(parts.run_on(1), None);
    }

    #[test]
    fn frames_are_counted_across_a_gap() {
        let parts = two(1500);
        assert_eq!((parts.after(at(960)), parts.before(at(1500))), (Some(at(1500)), Some(at(960))));
        assert_eq!((parts.after(at(1200)), parts.before(at(1200))), (Some(at(1500)), Some(at(960))));
        assert_eq!((parts.after(at(2400)), parts.before(at(0))), (None, None));
    }

    #[test]
    fn without_footage_a_step_is_a_hundredth_of_a_second() {
        let none = Parts::default();
        assert_eq!((none.after(at(120)), none.before(at(120))), (Some(at(130)), Some(at(110))));
        assert_eq!((none.after(at(123)), none.before(at(123))), (Some(at(130)), Some(at(120))));
        assert_eq!((none.after(at(0)), none.before(at(0))), (Some(at(10)), None));
    }

    proptest! {
        /// Going on frame by frame from the start and back from the end visits the same frames.
        #[test]
        fn forth_and_back_are_one_way(
            starts in proptest::collection::vec(0u64..4000, 1..4),
            gaps in proptest::collection::vec(1u64..400, 1..12),
        ) {
            let parts = Parts::new(starts.into_iter().map(|s| part(s, &gaps)).collect());
            let first = parts.moment(Place { part: 0, frame: 0 }).unwrap();
            let forth: Vec<_> = std::iter::successors(Some(first), |t| parts.after(*t)).take(200).collect();
            let last = *forth.last().unwrap();
            let mut back: Vec<_> = std::iter::successors(Some(last), |t| parts.before(*t)).take(200).collect();
            back.reverse();
            prop_assert_eq!(forth, back);
        }
    }
}
