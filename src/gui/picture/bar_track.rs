//! The footage as a line from its first frame to its last: where each moment and each point is on it. Pure.

use crate::record::{Point, Shared};
use crate::tennis::Side;
use crate::time::{MatchTime, Span};

/// A point on the bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    /// Where it begins, from 0 to 1.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Who won it.
    pub winner: Option<Side>,
    /// Whether it is among those to be seen.
    pub kept: bool,
    /// Whether it is the current one.
    pub current: bool,
}

/// The line.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Track {
    /// When it begins, and how long it is, in nanoseconds of the match clock.
    pub start: u64,
    /// Its length.
    pub length: u64,
    /// The points.
    pub blocks: Vec<Block>,
    /// Where the footage was cut, from 0 to 1.
    pub cuts: Vec<f64>,
}

impl Track {
    /// A line between two moments with these points; `seen` says whether a point is kept.
    pub fn new(
        (start, end): (MatchTime, MatchTime),
        points: &Shared<Point>,
        current: Option<usize>,
        kept: impl Fn(usize) -> bool,
    ) -> Self {
        let mut track = Self {
            start: start.nanos(),
            length: end.nanos().saturating_sub(start.nanos()),
            ..Self::default()
        };
        track.blocks = points
            .iter()
            .enumerate()
            .filter_map(|(i, p)| {
                let from = p.start?;
                // A point that is being played ends where it begins, as far as is known.
                let to = p.end.unwrap_or(from);
                Some(Block {
                    from: track.place(from),
                    to: track.place(to),
                    winner: p.winner,
                    kept: kept(i),
                    current: Some(i) == current,
                })
            })
            .collect();
        track
    }

    /// A line of a part of footage, without points.
    pub fn of_span(span: Span) -> Self {
        let (start, end) = (span.start().nanos(), span.end().nanos());
        Self { start, length: end.saturating_sub(start), ..Self::default() }
    }

    /// The same line with cuts of the footage.
    #[must_use]
    pub fn with_cuts(mut self, cuts: &[MatchTime]) -> Self {
        self.cuts = cuts.iter().map(|t| self.place(*t)).collect();
        self
    }

    /// Where a moment stands, from 0 to 1.
    pub fn place(&self, t: MatchTime) -> f64 {
        if self.length == 0 {
            return 0.0;
        }
        (t.nanos().saturating_sub(self.start) as f64 / self.length as f64).clamp(0.0, 1.0)
    }

    /// The moment that stands at a place.
    pub fn moment(&self, place: f64) -> MatchTime {
        let into = (place.clamp(0.0, 1.0) * self.length as f64).round() as u64;
        MatchTime::from_nanos(self.start + into.min(self.length))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn at(seconds: u64) -> MatchTime {
        MatchTime::from_secs(seconds)
    }

    #[test]
    fn points_stand_where_they_were_played() {
        let point = |from, to: Option<u64>| Point {
            start: Some(at(from)),
            end: to.map(at),
            winner: Some(Side::B),
            ..Point::default()
        };
        let points = [point(10, Some(20)), Point::default(), point(60, None)].into();
        let track = Track::new((at(0), at(100)), &points, Some(2), |i| i == 0);
        let found: Vec<_> = track.blocks.iter().map(|b| (b.from, b.to, b.kept, b.current)).collect();
        assert_eq!(found, [(0.1, 0.2, true, false), (0.6, 0.6, false, true)]);
    }

    #[test]
    fn cuts_stand_where_they_are() {
        let track = Track::new((at(10), at(30)), &Shared::default(), None, |_| true);
        assert_eq!(track.with_cuts(&[at(10), at(15), at(30)]).cuts, [0.0, 0.25, 1.0]);
    }

    #[test]
    fn a_film_without_length_has_one_place() {
        let track = Track::new((at(5), at(5)), &Shared::default(), None, |_| true);
        assert!(track.place(at(9)).abs() < 1e-12);
        assert_eq!(track.moment(0.7), at(5));
    }

    proptest! {
        /// A moment is found again where it stands, to a nanosecond in 100 hours.
        #[test]
        fn place_and_moment_are_inverse(start in 0u64..1_000_000_000_000, length in 1u64..360_000_000_000_000, part in 0.0..1.0f64) {
            let track = Track { start, length, ..Track::default() };
            let t = track.moment(part);
            let again = track.moment(track.place(t));
            prop_assert!(again.nanos().abs_diff(t.nanos()) <= 64, "{} {}", again.nanos(), t.nanos());
        }
    }
}
