//! Questions about the shots of a point: a certain one, any one, the last, one after another.
//!
//! A shot that was not logged may have been anything: where it could decide, the answer is unknown.

use super::answer::Answer;
use super::ball::{Ball, ShotTest};
use crate::facts::PointFacts;

/// One step of a sequence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// At most this many shots after the step before; 1 is the next shot. Not used for the first step.
    pub within: usize,
    /// Who strikes it, after the step before.
    pub striker: Option<Striker>,
    /// What the shot must meet.
    pub tests: Vec<ShotTest>,
}

/// Who strikes a shot of a sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Striker {
    /// Whoever struck the shot of the step before.
    Same,
    /// The opponent.
    Other,
}

impl Striker {
    /// Whether a shot this many shots after another has this striker: the players alternate.
    const fn fits(self, after: usize) -> bool {
        after.is_multiple_of(2) == matches!(self, Self::Same)
    }
}

/// What may have come before the logged shots, each of these, and what may have followed them.
fn balls(f: &PointFacts) -> impl Iterator<Item = Ball<'_>> {
    let logged = (1..=f.shots.len()).filter_map(|n| Ball::logged(f, n));
    Ball::earlier(f).into_iter().chain(logged).chain(Ball::rest(f))
}

/// Whether shot `number` meets the tests: no if the point ended before it. For a point joined late, it is not known which shot
/// that is, only that the serve is not among the logged ones.
pub(super) fn numbered(f: &PointFacts, number: usize, tests: &[ShotTest]) -> Answer {
    if f.joined_late {
        return any(f, |b| ShotTest::Number(number).answer(b).and(b.meets(tests)));
    }
    match Ball::logged(f, number).or_else(|| Ball::rest(f)) {
        Some(ball) => ball.meets(tests),
        None => Answer::No,
    }
}

/// Whether some shot meets them.
pub(super) fn some(f: &PointFacts, tests: &[ShotTest]) -> Answer {
    any(f, |b| b.meets(tests))
}

/// Whether the last shot meets them. No shot was struck in a double fault.
pub(super) fn last(f: &PointFacts, tests: &[ShotTest]) -> Answer {
    match last_ball(f) {
        Some(ball) => ball.meets(tests),
        None if f.length == Some(0) => Answer::No,
        None => Answer::Unknown,
    }
}

/// The last shot of the point, if it was logged.
pub(super) fn last_ball(f: &PointFacts) -> Option<Ball<'_>> {
    let all_seen = f.length.is_some() || Ball::rest(f).is_none();
    Ball::logged(f, f.length.unwrap_or(f.shots.len())).filter(|_| all_seen)
}

/// For each shot at which the steps could start, whether all of them follow. Computed from the last step backwards, so that no
/// file can make it slow.
fn starts(f: &PointFacts, steps: &[Step]) -> Vec<Answer> {
    let all: Vec<Ball<'_>> = balls(f).collect();
    let unseen = |n: usize| all.get(n).is_some_and(|b| b.shot.is_none());
    let mut follow: Option<(&Step, Vec<Answer>)> = None;
    for step in steps.iter().rev() {
        let here = |(n, ball): (usize, &Ball<'_>)| {
            let Some((next, after)) = &follow else { return ball.meets(&step.tests) };
            // What is not logged may be several shots, one after another.
            let from = if unseen(n) { n } else { n + 1 };
            let until = n.saturating_add(next.within).min(after.len().saturating_sub(1));
            let fits = |m: &usize| unseen(n) || unseen(*m) || next.striker.is_none_or(|s| s.fits(*m - n));
            let then = (from..=until).filter(fits).filter_map(|m| after.get(m).copied());
            ball.meets(&step.tests).and(Answer::any(then))
        };
        let here = all.iter().enumerate().map(here).collect();
        follow = Some((step, here));
    }
    follow.map(|(_, all)| all).unwrap_or_default()
}

/// Whether shots follow each other as the steps say.
pub(super) fn sequence(f: &PointFacts, steps: &[Step]) -> Answer {
    Answer::any(starts(f, steps))
}

/// The shot at which the steps start: the first for which that is sure.
pub(super) fn first<'a>(f: &'a PointFacts, steps: &[Step]) -> Option<Ball<'a>> {
    let at = starts(f, steps).into_iter().position(|a| a == Answer::Yes)?;
    balls(f).nth(at).filter(|b| b.shot.is_some())
}

/// Whether the answer is yes for some shot.
pub(super) fn any(f: &PointFacts, of: impl Fn(Ball<'_>) -> Answer) -> Answer {
    Answer::any(balls(f).map(of))
}

/// The first logged shot for which the answer is yes; with `unsure` the first for which it is not no, if there is none.
pub(super) fn likely(f: &PointFacts, unsure: bool, of: impl Fn(Ball<'_>) -> Answer) -> Option<Ball<'_>> {
    let find = |wanted| (1..=f.shots.len()).filter_map(|n| Ball::logged(f, n)).find(|b| of(*b) == wanted);
    find(Answer::Yes).or_else(|| find(Answer::Unknown).filter(|_| unsure))
}
