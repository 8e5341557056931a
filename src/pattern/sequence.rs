//! Questions about the balls of a point: a certain one, any one, the last, one after another.
//!
//! A ball that was not logged may have been anything: where it could decide, the answer is unknown.

use super::answer::Answer;
use super::ball::{Ball, ShotTest};
use crate::facts::PointFacts;

/// One step of a sequence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// At most so many balls after the step before; 1 is the next ball. Of the first step, nothing.
    pub within: usize,
    /// Who strikes it, after the step before.
    pub striker: Option<Striker>,
    /// What the ball must meet.
    pub tests: Vec<ShotTest>,
}

/// Who strikes a ball of a sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Striker {
    /// Whoever struck the ball of the step before.
    Same,
    /// The opponent.
    Other,
}

impl Striker {
    /// Whether a ball so many after another is struck like this: strokes alternate.
    const fn fits(self, after: usize) -> bool {
        after.is_multiple_of(2) == matches!(self, Self::Same)
    }
}

/// What may have come before the balls that were logged, each of these, and what may have followed them.
fn balls(f: &PointFacts) -> impl Iterator<Item = Ball<'_>> {
    let logged = (1..=f.shots.len()).filter_map(|n| Ball::logged(f, n));
    Ball::earlier(f).into_iter().chain(logged).chain(Ball::rest(f))
}

/// Whether ball `number` meets the tests: no where the point was over before. Of a point joined late nobody knows which ball
/// that is, only that the serve was not among those logged.
pub(super) fn numbered(f: &PointFacts, number: usize, tests: &[ShotTest]) -> Answer {
    if f.joined_late {
        return any(f, |b| ShotTest::Number(number).answer(b).and(b.meets(tests)));
    }
    match Ball::logged(f, number).or_else(|| Ball::rest(f)) {
        Some(ball) => ball.meets(tests),
        None => Answer::No,
    }
}

/// Whether some ball meets them.
pub(super) fn some(f: &PointFacts, tests: &[ShotTest]) -> Answer {
    any(f, |b| b.meets(tests))
}

/// Whether the last ball meets them. No ball was struck in a double fault.
pub(super) fn last(f: &PointFacts, tests: &[ShotTest]) -> Answer {
    match last_ball(f) {
        Some(ball) => ball.meets(tests),
        None if f.length == Some(0) => Answer::No,
        None => Answer::Unknown,
    }
}

/// The last ball of the point, where it was logged.
pub(super) fn last_ball(f: &PointFacts) -> Option<Ball<'_>> {
    let all_seen = f.length.is_some() || Ball::rest(f).is_none();
    Ball::logged(f, f.length.unwrap_or(f.shots.len())).filter(|_| all_seen)
}

/// For each ball from which the steps could start, whether they all follow. Worked out from the last step back, so that
/// no file can make it slow.
fn starts(f: &PointFacts, steps: &[Step]) -> Vec<Answer> {
    let all: Vec<Ball<'_>> = balls(f).collect();
    let unseen = |n: usize| all.get(n).is_some_and(|b| b.shot.is_none());
    let mut follow: Option<(&Step, Vec<Answer>)> = None;
    for step in steps.iter().rev() {
        let here = |(n, ball): (usize, &Ball<'_>)| {
            let Some((next, after)) = &follow else { return ball.meets(&step.tests) };
            // What is not logged may be several balls, one after another.
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

/// Whether balls follow each other as the steps say.
pub(super) fn sequence(f: &PointFacts, steps: &[Step]) -> Answer {
    Answer::any(starts(f, steps))
}

/// The ball at which the steps start: the first for which that is sure.
pub(super) fn first<'a>(f: &'a PointFacts, steps: &[Step]) -> Option<Ball<'a>> {
    let at = starts(f, steps).into_iter().position(|a| a == Answer::Yes)?;
    balls(f).nth(at).filter(|b| b.shot.is_some())
}

/// Whether the answer is yes for some ball.
pub(super) fn any(f: &PointFacts, of: impl Fn(Ball<'_>) -> Answer) -> Answer {
    Answer::any(balls(f).map(of))
}

/// The first logged ball for which the answer is yes; with `unsure` the first for which it is not no, if there is none.
pub(super) fn likely(f: &PointFacts, unsure: bool, of: impl Fn(Ball<'_>) -> Answer) -> Option<Ball<'_>> {
    let find = |wanted| (1..=f.shots.len()).filter_map(|n| Ball::logged(f, n)).find(|b| of(*b) == wanted);
    find(Answer::Yes).or_else(|| find(Answer::Unknown).filter(|_| unsure))
}
