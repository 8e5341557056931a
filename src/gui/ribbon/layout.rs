//! Where everything stands on the score ribbon, worked out once for each change of the match. No widgets.
//!
//! Lengths are pixels at the usual text size, from the ribbon's left.

use std::ops::Range;

use crate::session::sheet::{Game, Set};

/// Width of a point.
pub const POINT: f64 = 13.0;
const GAME_GAP: f64 = 8.0;
const SET_GAP: f64 = 26.0;
const MARGIN: f64 = 20.0;
/// About the width of a letter: what stands below a game or above a set never runs into its neighbour.
const LETTER: f64 = 6.8;

/// A part of the ribbon: a game's bed, or a set.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Left.
    pub from: f64,
    /// Right.
    pub to: f64,
    /// Its points.
    pub points: Range<usize>,
}

impl Part {
    fn overlaps(&self, from: f64, to: f64) -> bool {
        self.from <= to && from <= self.to
    }
}

/// The places of all points, games and sets.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Layout {
    /// The middle of each point.
    points: Vec<f64>,
    /// The beds of the games, set after set.
    pub games: Vec<Part>,
    /// The sets.
    pub sets: Vec<Part>,
}

impl Layout {
    /// Lays a match out.
    pub fn new(sets: &[Set]) -> Self {
        let (mut made, mut x) = (Self::default(), MARGIN);
        for set in sets {
            if !made.sets.is_empty() {
                x += SET_GAP;
            }
            let (from, first) = (x, made.points.len());
            for (n, game) in set.games.iter().enumerate() {
                x = made.game(game, if n == 0 { x } else { x + GAME_GAP });
            }
            x = x.max(from + heading_width(set));
            made.sets.push(Part { from, to: x, points: first..made.points.len() });
        }
        made
    }

    /// Adds a game that starts at `from`; says where it ends.
    fn game(&mut self, game: &Game, from: f64) -> f64 {
        let first = self.points.len();
        self.points.extend((0..game.points).map(|n| POINT.mul_add(n as f64 + 0.5, from)));
        let sign = if game.broken_by.is_some() { 2.0 } else { 0.0 };
        let below = (game.below.chars().count() as f64 + sign) * LETTER - GAME_GAP / 2.0;
        let to = from + (game.points as f64 * POINT).max(below);
        self.games.push(Part { from, to, points: first..self.points.len() });
        to
    }

    /// The whole width.
    pub fn width(&self) -> f64 {
        self.sets.last().map_or(0.0, |s| s.to + MARGIN)
    }

    /// The middle of a point.
    pub fn place(&self, point: usize) -> Option<f64> {
        self.points.get(point).copied()
    }

    /// How many points there are.
    pub const fn len(&self) -> usize {
        self.points.len()
    }

    /// How many marks begin at this place or left of it.
    pub fn begun(&self, x: f64) -> usize {
        self.points.partition_point(|p| p - POINT / 2.0 <= x)
    }

    /// The point whose mark covers this place.
    pub fn hit(&self, x: f64) -> Option<usize> {
        let at = self.points.partition_point(|p| p + POINT / 2.0 < x);
        self.points.get(at).filter(|p| (**p - x).abs() <= POINT / 2.0).map(|_| at)
    }

    /// The set that stands at this place.
    pub fn set_at(&self, x: f64) -> Option<usize> {
        self.sets.iter().position(|s| s.overlaps(x, x))
    }

    /// The game that a point is in.
    pub fn game_of(&self, point: usize) -> Option<&Part> {
        self.games.get(self.games.partition_point(|g| g.points.end <= point))
    }

    /// The games of which something is to be seen between two places.
    pub fn seen(&self, from: f64, to: f64) -> Range<usize> {
        let first = self.games.partition_point(|g| g.to < from);
        first..self.games.partition_point(|g| g.from <= to).max(first)
    }
}

/// The room that the heading of a set takes.
pub fn heading_width(set: &Set) -> f64 {
    (set.title.chars().count() + set.score.chars().count() + 2) as f64 * LETTER
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn set(points: &[usize]) -> Set {
        let game = |n: &usize| Game { points: *n, below: "3–1".into(), broken_by: None };
        Set { title: "Set 1".into(), score: "6–3".into(), games: points.iter().map(game).collect() }
    }

    #[test]
    fn games_and_sets_stand_apart() {
        let at = Layout::new(&[set(&[8, 4, 6]), set(&[4])]).points;
        assert!((at[1] - at[0] - POINT).abs() < 1e-9);
        assert!((at[8] - at[7] - POINT - GAME_GAP).abs() < 1e-9);
        assert!((at[18] - at[17] - POINT - SET_GAP).abs() < 1e-9);
    }

    #[test]
    fn a_short_set_leaves_room_for_its_heading() {
        let sets = [set(&[1]), set(&[1])];
        let layout = Layout::new(&sets);
        assert!(layout.sets[0].to - layout.sets[0].from >= heading_width(&sets[0]));
        assert!(layout.sets[1].from > layout.sets[0].to);
        assert!((Layout::default().width()).abs() < 1e-9);
    }

    proptest! {
        /// Every point is hit over its whole mark and nowhere else; all that is seen is drawn.
        #[test]
        fn a_hit_is_the_inverse_of_the_layout(
            sets in prop::collection::vec(prop::collection::vec(1usize..14, 1..13), 1..6),
            x in -50.0..7000.0f64,
            wide in 0.0..2000.0f64,
            off in -0.49..0.49f64,
        ) {
            let layout = Layout::new(&sets.iter().map(|s| set(s)).collect::<Vec<_>>());
            prop_assert_eq!(layout.points.len(), sets.iter().flatten().sum::<usize>());
            for (n, at) in layout.points.iter().enumerate() {
                prop_assert_eq!(layout.hit(at + off * POINT), Some(n));
                prop_assert!(layout.game_of(n).unwrap().points.contains(&n));
                let set = layout.set_at(*at).unwrap();
                prop_assert!(layout.sets[set].points.contains(&n));
            }
            for pair in layout.points.windows(2) {
                prop_assert!(pair[1] - pair[0] >= POINT - 1e-9);
            }
            let covers = |p: &f64| (p - x).abs() <= POINT / 2.0;
            prop_assert_eq!(layout.hit(x).is_some(), layout.points.iter().any(covers));
            let seen = layout.seen(x, x + wide);
            for (n, game) in layout.games.iter().enumerate() {
                prop_assert_eq!(seen.contains(&n), game.overlaps(x, x + wide));
            }
        }
    }
}
