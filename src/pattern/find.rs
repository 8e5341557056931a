//! The shot that a pattern is about.

use super::answer::Answer;
use super::ball::{Ball, ShotTest};
use super::condition::{Condition, Plans};
use super::sequence;
use super::tag::{side_of, tag_of};
use super::who::Who;
use crate::facts::PointFacts;
use crate::tennis::Side;

impl Condition {
    /// Whether the condition is about a shot. A condition that excludes a shot is not.
    pub(super) fn has_ball(&self) -> bool {
        match self {
            Self::Shot(..) | Self::SomeShot(_) | Self::LastShot(_) | Self::Sequence(_) | Self::About(_) => {
                true
            }
            Self::All(all) | Self::Any(all) => all.iter().any(Self::has_ball),
            _ => false,
        }
    }

    /// The first shot that certainly meets it; for a sequence, the shot of its first step; for several numbered shots, the last.
    pub(super) fn ball<'a>(&self, f: &'a PointFacts) -> Option<Ball<'a>> {
        match self {
            Self::About(about) => sequence::likely(f, false, |b| about.of(b)),
            Self::SomeShot(tests) => sequence::likely(f, false, |b| b.meets(tests)),
            Self::Sequence(steps) => sequence::first(f, steps),
            Self::LastShot(tests) => sequence::last_ball(f).filter(|b| b.meets(tests) == Answer::Yes),
            // Of a point joined late no shot has a number.
            Self::Shot(n, tests) if !f.joined_late => {
                Ball::logged(f, *n).filter(|b| b.meets(tests) == Answer::Yes)
            }
            Self::All(all) => all.iter().rev().find_map(|c| c.ball(f)),
            Self::Any(any) => any.iter().filter(|c| c.answer(f) == Answer::Yes).find_map(|c| c.ball(f)),
            _ => None,
        }
    }

    /// Whose the tag is by which the point meets it, where no shot tells.
    pub(super) fn tagged(&self, f: &PointFacts) -> Option<Side> {
        match self {
            Self::Tag(test) => side_of(f, &test.tag),
            Self::HasTag(tag) => side_of(f, tag),
            Self::TagOf(tag, side) => Some(*side).filter(|s| tag_of(f, tag, *s) == Answer::Yes),
            Self::All(all) => all.iter().find_map(|c| c.tagged(f)),
            Self::Any(any) => any.iter().filter(|c| c.answer(f) == Answer::Yes).find_map(|c| c.tagged(f)),
            _ => None,
        }
    }

    /// Asks that the shot that it is about be struck by this side, or the tag be theirs.
    pub(super) fn struck_by(&mut self, side: Side) {
        let by = ShotTest::By(Who::Player(side));
        match self {
            Self::About(about) => about.tests.push(by),
            Self::SomeShot(tests) | Self::LastShot(tests) | Self::Shot(_, tests) => tests.push(by),
            Self::Sequence(steps) => steps.iter_mut().take(1).for_each(|s| s.tests.push(by.clone())),
            Self::HasTag(tag) => *self = Self::TagOf(tag.clone(), side),
            Self::Tag(test) => {
                let theirs = Self::TagOf(test.tag.clone(), side);
                *self = Self::All(vec![Self::Tag(test.clone()), theirs]);
            }
            // Of several numbered shots the last counts.
            Self::All(all) => match all.iter_mut().rev().find(|c| c.has_ball()) {
                Some(last) => last.struck_by(side),
                None => all.iter_mut().for_each(|c| c.struck_by(side)),
            },
            Self::Any(any) => any.iter_mut().for_each(|c| c.struck_by(side)),
            _ => {}
        }
    }

    /// Whether it asks for the plan to be played.
    pub(super) fn asks_plan(&self) -> bool {
        match self {
            Self::PlanPlayed(..) => true,
            Self::All(all) | Self::Any(all) => all.iter().any(Self::asks_plan),
            Self::Named(named, _) => named.iter().flat_map(|n| &n.tests).any(Self::asks_plan),
            Self::Not(c) => c.asks_plan(),
            _ => false,
        }
    }

    /// Gives it the patterns that a plan can name.
    pub(super) fn link(&mut self, plans: &Plans) {
        match self {
            Self::PlanPlayed(_, mine) => *mine = plans.clone(),
            Self::All(all) | Self::Any(all) => all.iter_mut().for_each(|c| c.link(plans)),
            Self::Named(named, _) => named.iter_mut().flat_map(|n| &mut n.tests).for_each(|c| c.link(plans)),
            Self::Not(c) => c.link(plans),
            _ => {}
        }
    }
}
