//! The film along the ribbon: which moment a hand that drags over it means. Pure.
//!
//! A point's mark stands for its play, from start to end; what lies between two marks for the time between them. Where marks
//! touch, the time between them has no room, and a drag goes from play to play.

use super::layout::{Layout, POINT};
use crate::time::MatchTime;

/// The moment at a place; `played` says when a point starts and ends. `None` when no point has a time.
pub fn moment_at(
    layout: &Layout,
    x: f64,
    played: impl Fn(usize) -> Option<(MatchTime, MatchTime)>,
) -> Option<MatchTime> {
    let next = layout.begun(x);
    let timed = |i: usize| Some((layout.place(i)? - POINT / 2.0, played(i)?));
    let before = (0..next).rev().find_map(timed);
    let after = (next..layout.len()).find_map(timed);
    match (before, after) {
        (Some((left, (start, end))), _) if x <= left + POINT => Some(between(start, end, (x - left) / POINT)),
        (Some((left, (_, end))), Some((next_left, (start, _)))) => {
            let right = left + POINT;
            Some(between(end, start, (x - right) / (next_left - right)))
        }
        (Some((_, (_, end))), None) => Some(end),
        (None, after) => after.map(|(_, (start, _))| start),
    }
}

/// So much of the way from one moment to another.
fn between(from: MatchTime, to: MatchTime, part: f64) -> MatchTime {
    let (a, b) = (from.nanos() as f64, to.nanos() as f64);
    MatchTime::from_nanos((b - a).mul_add(part.clamp(0.0, 1.0), a).round() as u64)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::session::sheet::{Game, Set};

    fn layout(games: &[usize]) -> Layout {
        let game = |n: &usize| Game { points: *n, below: String::new(), broken_by: None };
        Layout::new(&[Set {
            title: "Set 1".into(),
            score: "6–3".into(),
            games: games.iter().map(game).collect(),
        }])
    }

    fn at(seconds: u64) -> MatchTime {
        MatchTime::from_secs(seconds)
    }

    #[test]
    fn a_mark_stands_for_its_play_and_a_gap_for_the_pause() {
        let layout = layout(&[2, 1]);
        let played = |i: usize| Some((at(100 * i as u64), at(100 * i as u64 + 10)));
        let left = |i: usize| layout.place(i).unwrap() - POINT / 2.0;
        let found = |x: f64| moment_at(&layout, x, played).unwrap();
        assert_eq!(found(-5.0), at(0), "before all");
        assert_eq!(found(left(0) + POINT / 2.0), at(5));
        assert_eq!(
            found(left(1) + 0.001).nanos() / 1_000_000_000,
            100,
            "marks that touch: from play to play"
        );
        let (right, next) = (left(1) + POINT, left(2));
        assert_eq!(found(f64::midpoint(right, next)), at(155), "between two games");
        assert_eq!(found(9_999.0), at(210), "after all");
    }

    #[test]
    fn points_without_a_time_are_passed_over() {
        let layout = layout(&[3]);
        let only_ends = |i: usize| (i != 1).then(|| (at(10 * i as u64), at(10 * i as u64 + 2)));
        assert_eq!(moment_at(&layout, layout.place(1).unwrap(), only_ends), Some(at(11)));
        assert_eq!(moment_at(&layout, 30.0, |_| None), None);
        assert_eq!(moment_at(&Layout::default(), 30.0, only_ends), None);
    }

    proptest! {
        /// A drag to the right never goes back in the film.
        #[test]
        fn the_film_runs_from_left_to_right(
            games in prop::collection::vec(1usize..9, 1..9),
            lengths in prop::collection::vec((0u64..30, 0u64..60, any::<bool>()), 72),
            steps in prop::collection::vec(0.0..9.0f64, 1..200),
        ) {
            let layout = layout(&games);
            let mut clock = 0;
            let times: Vec<_> = lengths.iter().map(|(play, pause, timed)| {
                let start = clock + pause;
                clock = start + play;
                timed.then(|| (at(start), at(clock)))
            }).collect();
            let (mut x, mut last) = (0.0, MatchTime::ZERO);
            for step in steps {
                x += step;
                if let Some(now) = moment_at(&layout, x, |i| times[i]) {
                    prop_assert!(now >= last, "{} before {} at {}", now, last, x);
                    last = now;
                }
            }
        }
    }
}
