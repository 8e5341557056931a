//! Walking along the score by key: which point a key leads to, and which frames the next key can show.

use std::collections::BTreeSet;
use std::time::Duration;

use super::parts::Place;
use super::state::Session;
use crate::clips::Lead;
use crate::facts::PointRef;
use crate::logging::Action;
use crate::session::cuts;

/// The keys that walk along the score, the likeliest first.
const WALKS: [Action; 10] = [
    Action::PointForward,
    Action::PointBack,
    Action::MatchForward,
    Action::GameForward,
    Action::MatchBack,
    Action::GameBack,
    Action::SetForward,
    Action::SetBack,
    Action::LastPoint,
    Action::FirstPoint,
];

impl Session {
    /// The point that a key of the score leads to; `None` where there is none, and for any other key.
    pub fn led_to(&self, action: Action) -> Option<usize> {
        let last = self.facts().len().checked_sub(1)?;
        match action {
            Action::PointBack => match self.between() {
                Some((before, _)) => before,
                None => self.current()?.checked_sub(1),
            },
            Action::PointForward => match self.between() {
                Some((_, after)) => after,
                None => Some(self.current()? + 1).filter(|point| *point <= last),
            },
            Action::GameBack => self.part_from(false, |state| (state.set, state.game)),
            Action::GameForward => self.part_from(true, |state| (state.set, state.game)),
            Action::SetBack => self.part_from(false, |state| state.set),
            Action::SetForward => self.part_from(true, |state| state.set),
            Action::FirstPoint => Some(0),
            Action::LastPoint => Some(last),
            Action::MatchBack => self.kept_from(false),
            Action::MatchForward => self.kept_from(true),
            _ => None,
        }
    }

    /// The frames that the next key can show, the likeliest first, each once: where the points next to this one begin, then
    /// games, sets and the filter's clips. Points begin so much of the footage before their start.
    pub fn next_places(&self, lead: Duration) -> Vec<Place> {
        if self.attaching.is_some() {
            return Vec::new();
        }
        let place = |point| self.lead_in_of(point, lead).and_then(|at| self.parts.showing(at));
        let mut walks = WALKS.iter().map(|key| self.led_to(*key));
        let near: Vec<_> = walks.by_ref().take(2).collect();
        // Who pressed the key once presses it again.
        let again = near[0].map(|point| point + 1);
        let points = near.into_iter().chain([self.current(), again]).chain(walks).flatten();
        let clip = self.first_clip();
        let mut seen = BTreeSet::new();
        points.filter_map(place).chain(clip).filter(|place| seen.insert((place.part, place.frame))).collect()
    }

    /// Where the first clip of the filter begins.
    fn first_clip(&self) -> Option<Place> {
        let point = (0..self.facts().len()).find(|point| self.keeps(*point))?;
        let of = [PointRef { record: 0, point }];
        let clip = cuts::clips(&[&*self.view.record], &of, Lead::default()).clips.into_iter().next()?;
        self.parts.showing(clip.span.start())
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::super::parts::{Part, Parts};
    use super::*;
    use crate::frames::FrameIndex;
    use crate::logging::RunningClock;
    use crate::logging::clock::steady;
    use crate::record::{Footage, Point, Record, Store};
    use crate::session::filter::Filter;
    use crate::tennis::Side;
    use crate::time::MatchTime;

    fn at(seconds: u64) -> MatchTime {
        MatchTime::from_secs(seconds)
    }

    /// Ten points, each 10 s long with 10 s between, and footage of one frame a second. A wins all of them, so that games
    /// have four points; points 2, 5 and 8 are tagged.
    fn session() -> (tempfile::TempDir, Session) {
        let folder = tempfile::tempdir().unwrap();
        let points = (0..10).map(|n| Point {
            start: Some(at(20 * n + 10)),
            end: Some(at(20 * n + 20)),
            winner: Some(Side::A),
            tags: (n % 3 == 2).then(|| "show".into()).into_iter().collect(),
            ..Point::default()
        });
        let footage = Footage {
            file: "m.mp4".into(),
            fingerprint: None,
            duration: at(220),
            rate: None,
            rotation: 0,
            start: MatchTime::ZERO,
        };
        let record = Record { points: points.collect(), footage: vec![footage], ..Record::default() };
        let store = Store::create(&folder.path().join("m.points.json"), record).unwrap();
        let clock = RunningClock::set(store.record(), chrono::Local::now().fixed_offset(), steady());
        let (mut session, _told) = Session::new(store, Vec::new(), clock);
        let frames = (0..220).map(|s| (at(s), true)).collect();
        let index = Arc::new(FrameIndex::new(frames, Some(Duration::from_secs(1))).unwrap());
        session.parts = Arc::new(Parts::new(vec![Part { index, start: MatchTime::ZERO }]));
        (folder, session)
    }

    fn frames(s: &Session, lead: u64) -> Vec<usize> {
        s.next_places(Duration::from_secs(lead)).into_iter().map(|p| p.frame).collect()
    }

    #[test]
    fn the_next_key_shows_one_of_the_places() {
        let (_folder, mut s) = session();
        s.choose(5);
        let found = frames(&s, 2);
        let start_of = |point: usize| 20 * point + 8;
        assert_eq!(
            found[..4],
            [6, 4, 5, 7].map(start_of),
            "next, previous, this one, the one after the next"
        );
        for key in WALKS {
            let point = s.led_to(key).unwrap_or_else(|| s.current().unwrap());
            let frame =
                s.lead_in_of(point, Duration::from_secs(2)).and_then(|t| s.parts.showing(t)).unwrap().frame;
            assert!(found.contains(&frame), "{key:?} leads to point {point}");
        }
        assert_eq!(s.led_to(Action::GameForward), Some(8));
        assert_eq!(s.led_to(Action::Undo), None);
        let once: BTreeSet<_> = found.iter().collect();
        assert_eq!(once.len(), found.len());
        assert_eq!(frames(&s, 0)[..2], [130, 90], "without a lead-in the starts themselves");
    }

    #[test]
    fn a_filter_is_looked_ahead_to() {
        let (_folder, mut s) = session();
        s.choose(0);
        s.filter = Filter::tag("show");
        assert!(frames(&s, 3).contains(&(20 * 2 + 7)), "the next point of the filter");
        assert!(frames(&s, 3).contains(&(20 * 2 + 8)), "the first clip, which has a lead of its own");
    }

    #[test]
    fn between_points_and_at_the_ends_the_places_are_those_of_the_keys() {
        let (_folder, mut s) = session();
        s.let_go();
        s.answered = s.keeper.sent();
        s.follow(at(25));
        assert_eq!((s.led_to(Action::PointBack), s.led_to(Action::PointForward)), (Some(0), Some(1)));
        assert_eq!(frames(&s, 2)[..3], [28, 8, 48]);
        s.choose(9);
        assert_eq!(s.led_to(Action::PointForward), None);
        assert_eq!(frames(&s, 2)[..2], [168, 188], "the previous one and this one");
    }
}
