//! Which point the footage is at: the point of the frame that is shown, or the two points around it.

use crate::record::{Point, Shared};
use crate::time::MatchTime;

/// Where a moment lies among the points of a match.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whereabouts {
    /// In a point: from its start to its end, both included. A point whose end is not known lasts until the next start.
    In(usize),
    /// After the first point and before the second; `None` stands for the beginning or the end.
    Between(Option<usize>, Option<usize>),
}

impl Default for Whereabouts {
    fn default() -> Self {
        Self::Between(None, None)
    }
}

/// Where `at` lies. Points without a start are nowhere.
pub fn whereabouts(points: &Shared<Point>, at: MatchTime) -> Whereabouts {
    let started = |(i, p): (usize, &Point)| p.start.map(|start| (i, start));
    let before = points.iter().enumerate().rev().filter_map(started).find(|(_, start)| *start <= at);
    let after = points.iter().enumerate().filter_map(started).find(|(_, start)| *start > at).map(|(i, _)| i);
    match before {
        Some((i, _)) if points[i].end.is_none_or(|end| at <= end) => Whereabouts::In(i),
        _ => Whereabouts::Between(before.map(|(i, _)| i), after),
    }
}

/// A point that stays current although the footage is elsewhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Held {
    /// It was chosen. It stays until the footage has been at it or before it, and then goes past its end.
    Chosen {
        /// Which.
        point: usize,
        /// Whether the footage has been at it or before it since.
        reached: bool,
    },
    /// It was just logged or corrected. It stays until another point is reached.
    Logged(usize),
}

impl Held {
    /// The point.
    pub const fn point(self) -> usize {
        match self {
            Self::Chosen { point, .. } | Self::Logged(point) => point,
        }
    }

    /// What stays current when the footage shows `at`; `None` if the footage leads again.
    pub fn after(self, points: &Shared<Point>, at: MatchTime) -> Option<Self> {
        let here = whereabouts(points, at);
        match self {
            Self::Logged(point) => match here {
                Whereabouts::In(other) if other != point => None,
                _ => Some(self),
            },
            Self::Chosen { point, reached } => {
                let p = points.get(point)?;
                let past = p.end.or(p.start).is_some_and(|end| at > end);
                if past && reached { None } else { Some(Self::Chosen { point, reached: reached || !past }) }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Whereabouts::{Between, In};
    use super::*;

    fn at(seconds: u64) -> MatchTime {
        MatchTime::from_secs(seconds)
    }

    /// Points from 10 to 20, without times, from 40 to 50, and one being played from 70 on.
    fn points() -> Shared<Point> {
        let point = |start: Option<u64>, end: Option<u64>| Point {
            start: start.map(at),
            end: end.map(at),
            ..Point::default()
        };
        [point(Some(10), Some(20)), point(None, None), point(Some(40), Some(50)), point(Some(70), None)]
            .into()
    }

    #[test]
    fn a_moment_is_in_a_point_or_between_two() {
        let all = points();
        let found: Vec<_> = [5, 10, 20, 21, 40, 60, 70, 900].map(|s| whereabouts(&all, at(s))).into();
        assert_eq!(
            found,
            [
                Between(None, Some(0)),
                In(0),
                In(0),
                Between(Some(0), Some(2)),
                In(2),
                Between(Some(2), Some(3)),
                In(3),
                In(3)
            ]
        );
        assert_eq!(whereabouts(&Shared::default(), at(3)), Between(None, None));
    }

    #[test]
    fn a_chosen_point_is_held_until_it_was_played() {
        let all = points();
        let chosen = Held::Chosen { point: 0, reached: false };
        // The frame from which the footage jumps to it is after it; that does not release it.
        let held = chosen.after(&all, at(60)).unwrap();
        assert_eq!(held, chosen);
        let held = held.after(&all, at(8)).unwrap();
        assert_eq!(held, Held::Chosen { point: 0, reached: true });
        assert!(held.after(&all, at(20)).is_some());
        assert_eq!(held.after(&all, at(21)), None);
    }

    #[test]
    fn a_logged_point_is_held_until_another_is_reached() {
        let all = points();
        let held = Held::Logged(0);
        assert_eq!(held.after(&all, at(30)), Some(held));
        assert_eq!(held.after(&all, at(45)), None);
    }
}
