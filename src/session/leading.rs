//! The footage leads: the current point follows the frame that is shown. Between points no key changes a finished point,
//! unless that point was chosen.

use std::time::Duration;

use super::following::{Whereabouts, whereabouts};
use super::keeper::Ask;
use super::state::Session;
use crate::logging::action::{ACTIONS, Group};
use crate::logging::ball::PadKey;
use crate::logging::{Action, FrameClock, Meaning};
use crate::time::{MatchTime, Span};

impl Session {
    /// The footage shows `at`: makes the point of that moment current. Returns whether the current point changed.
    pub fn follow(&mut self, at: MatchTime) -> bool {
        // A key that is on its way to the disk decides first.
        if self.waits() || self.attaching.is_some() {
            return false;
        }
        let points = &self.view.record.points;
        self.held = self.held.and_then(|held| held.after(points, at));
        let here = whereabouts(points, at);
        let current = match (self.held, here) {
            (Some(held), _) => Some(held.point()),
            (None, Whereabouts::In(point)) => Some(point),
            (None, Whereabouts::Between(..)) => None,
        };
        let moved = self.here != here && current.is_none();
        self.here = here;
        if current == self.view.current {
            return moved;
        }
        self.view.current = current;
        self.chosen = self.keeper.ask(Ask::Choose(current));
        true
    }

    /// Releases a point that was chosen or logged, because the user moves the footage.
    pub const fn let_go(&mut self) {
        self.held = None;
    }

    /// The points before and after the moment shown, if no point is current.
    pub const fn between(&self) -> Option<(Option<usize>, Option<usize>)> {
        match (self.view.current, self.here) {
            (None, Whereabouts::Between(before, after)) => Some((before, after)),
            _ => None,
        }
    }

    /// The point from which a step along the score starts: the current point, or the last one before the moment shown.
    pub fn stands_after(&self) -> Option<usize> {
        self.current().or_else(|| self.between()?.0)
    }

    /// Where a jump to a point begins: a lead-in before its start, but never in the point before it, nor before a cut of the footage.
    pub fn lead_in_of(&self, point: usize, lead: Duration) -> Option<MatchTime> {
        let points = &self.view.record.points;
        let start = points.get(point)?.start?;
        let begin = start.earlier(lead);
        let ends = points.iter().take(point).filter_map(|p| p.end.or(p.start)).filter(|end| *end < start);
        let free = ends.max().and_then(|end| self.parts.after(end)).unwrap_or_default();
        // Where nothing was filmed so early, the jump goes to the start itself.
        let cut = self.cuts.partition_point(|t| *t <= start).checked_sub(1).map(|n| self.cuts[n]);
        let at = begin.max(free).max(cut.unwrap_or_default()).min(start);
        Some(if self.parts.showing(at).is_some() { at } else { start })
    }

    /// The span that is repeated for a point: from its lead-in to its end.
    pub fn loop_of(&self, point: usize, lead: Duration) -> Option<Span> {
        let span = self.facts().get(point)?.span?;
        let from = self.lead_in_of(point, lead)?;
        // A player loops in one file: a lead-in that lies in the file before is left out.
        let file = |t: MatchTime| self.parts.showing(t).map(|place| place.part);
        let from = if file(from) == file(span.start()) { from } else { span.start() };
        Span::new(from, span.end()).ok()
    }

    /// Why a key does nothing between two points: it would change a finished point. `None` if it may act.
    pub fn refuses(&self, meaning: &Meaning) -> Option<String> {
        let (before, after) = self.between()?;
        if self.is_in_a_point() || !changes_a_point(meaning) {
            return None;
        }
        let point = before.or(after)? + 1;
        Some(format!(
            "This would change point {point}, which is not shown. Choose point {point} to change it."
        ))
    }
}

/// Whether a key changes the current point, and starts none.
fn changes_a_point(meaning: &Meaning) -> bool {
    let Meaning::Do(action) = meaning else { return true };
    let starts = [
        Action::PointStart,
        Action::Fault,
        Action::FootFault,
        Action::PenaltyA,
        Action::PenaltyB,
        Action::UnknownBall,
        Action::JoinedLate,
        Action::Sources,
        Action::Plan,
        Action::Undo,
        Action::Redo,
        Action::PlainForehand,
        Action::PlainGroundstroke,
        Action::PlainMisses,
    ];
    let group = ACTIONS.iter().find(|r| r.action == *action).map(|r| r.group);
    matches!(group, Some(Group::Log | Group::Pad | Group::Balls))
        && !starts.contains(action)
        && PadKey::of(*action).is_none()
}

/// Where the footage is when no point is current, in words.
pub fn between_words((before, after): (Option<usize>, Option<usize>)) -> String {
    match (before, after) {
        (Some(a), Some(b)) => format!("Between point {} and point {}", a + 1, b + 1),
        (None, Some(b)) => format!("Before point {}", b + 1),
        (Some(a), None) => format!("After point {}", a + 1),
        (None, None) => "No points yet".into(),
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
    use crate::record::{Point, Record, Store};
    use crate::tennis::Side;

    fn at(seconds: u64) -> MatchTime {
        MatchTime::from_secs(seconds)
    }

    /// Two points, from 10 to 20 s and from 21 to 30 s, and 40 s of film at one frame a second.
    fn session() -> (tempfile::TempDir, Session) {
        let folder = tempfile::tempdir().unwrap();
        let point = |from, to| Point {
            start: Some(at(from)),
            end: Some(at(to)),
            winner: Some(Side::A),
            ..Point::default()
        };
        let record = Record { points: [point(10, 20), point(21, 30)].into(), ..Record::default() };
        let store = Store::create(&folder.path().join("m.points.json"), record).unwrap();
        let clock = RunningClock::set(store.record(), chrono::Local::now().fixed_offset(), steady());
        let (mut session, _told) = Session::new(store, Vec::new(), clock);
        let frames = (0..40).map(|s| (at(s), true)).collect();
        let index = Arc::new(FrameIndex::new(frames, Some(Duration::from_secs(1))).unwrap());
        session.parts = Arc::new(Parts::new(vec![Part { index, start: MatchTime::ZERO }]));
        (folder, session)
    }

    #[test]
    fn the_point_of_the_frame_is_current_and_between_two_none_is() {
        let (_folder, mut s) = session();
        s.let_go();
        let winner = Meaning::Do(Action::WinnerA);
        for (t, current) in [(5, None), (10, Some(0)), (20, Some(0)), (25, Some(1)), (35, None)] {
            // What was asked has been answered.
            s.answered = s.keeper.sent();
            s.follow(at(t));
            assert_eq!(s.current(), current, "at {t} s");
            assert_eq!(s.refuses(&winner).is_some(), current.is_none(), "at {t} s");
        }
        assert_eq!(s.between(), Some((Some(1), None)));
        assert!(s.refuses(&winner).unwrap().contains("point 2"));
        assert_eq!(s.refuses(&Meaning::Do(Action::PointStart)), None);
        assert_eq!(s.refuses(&Meaning::Do(Action::PadLeft)), None);
        assert!(s.refuses(&Meaning::Tag("net".into())).is_some());
    }

    #[test]
    fn a_chosen_point_may_be_changed_from_its_lead_in() {
        let (_folder, mut s) = session();
        s.choose(0);
        assert_eq!((s.waits(), s.saves()), (true, false), "a choice is not written");
        s.answered = s.keeper.sent();
        s.ask(Ask::Note("late".into()));
        assert!(s.saves());
        s.answered = s.keeper.sent();
        assert!(!s.saves());
        s.follow(at(8));
        assert_eq!((s.current(), s.refuses(&Meaning::Do(Action::WinnerB))), (Some(0), None));
        s.let_go();
        s.follow(at(8));
        assert_eq!(s.current(), None);
    }

    #[test]
    fn a_jump_begins_before_the_point_but_not_in_the_one_before() {
        let (_folder, s) = session();
        let lead = Duration::from_secs(2);
        assert_eq!(s.lead_in_of(0, lead), Some(at(8)));
        assert_eq!(s.lead_in_of(1, lead), Some(at(21)), "the frame after the end of point 1 is its start");
        assert_eq!(s.lead_in_of(0, Duration::ZERO), Some(at(10)));
        assert_eq!(s.lead_in_of(0, Duration::from_secs(60)), Some(at(0)));
        assert_eq!(s.lead_in_of(7, lead), None);
        let loops = |point, lead| s.loop_of(point, lead).map(|span| (span.start(), span.end()));
        assert_eq!(loops(0, lead), Some((at(8), at(20))), "a loop begins there too");
        assert_eq!(loops(0, Duration::ZERO), Some((at(10), at(20))));
    }

    #[test]
    fn where_the_film_is_reads_as_a_sentence() {
        let words = [(None, Some(0)), (Some(3), Some(4)), (Some(9), None)].map(between_words);
        assert_eq!(words, ["Before point 1", "Between point 4 and point 5", "After point 10"]);
    }
}
