//! Why a point shows a pattern, or does not, or why that is not known: a tree with a reason at each leaf.

use schemars::JsonSchema;
use serde::Serialize;

use super::answer::Answer;
use super::ball::{Ball, ShotTest};
use super::condition::{About, Condition, Met, Named};
use super::condition::{Pattern, answer};
use super::partners::UNKNOWN;
use super::say::shots;
use super::sequence::{self, Step};
use super::tag::same_tag;
use crate::facts::PointFacts;

/// One part of an explanation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Explanation {
    /// What is asked, in words.
    pub asks: String,
    /// The answer: for a condition, yes means met and no means missed.
    pub answer: Answer,
    /// What the record says about it; empty if the parts say it.
    pub found: String,
    /// The shots that it is about, from 1; the parts of a shot are about the same shot.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub shots: Vec<usize>,
    /// What it is made of.
    pub parts: Vec<Self>,
}

impl Explanation {
    fn leaf(asks: String, answer: Answer, found: String) -> Self {
        Self { asks, answer, found, shots: Vec::new(), parts: Vec::new() }
    }

    fn node(asks: &str, answer: Answer, parts: Vec<Self>) -> Self {
        Self { parts, ..Self::leaf(asks.into(), answer, String::new()) }
    }
}

/// Why the point shows the pattern or not: the pattern's name, its answer, and each condition with its own.
pub fn explain(pattern: &Pattern, f: &PointFacts) -> Explanation {
    let parts = pattern.among.iter().chain(&pattern.conditions).map(|c| condition(c, f)).collect();
    Explanation::node(&pattern.name, answer(pattern, f), parts)
}

/// The pattern's conditions that have a name, each with its answer for the point.
pub fn named_conditions(pattern: &Pattern, f: &PointFacts) -> Vec<(String, Answer)> {
    pattern.conditions.iter().flat_map(|c| named_in(c, f)).collect()
}

fn named_in(c: &Condition, f: &PointFacts) -> Vec<(String, Answer)> {
    match c {
        Condition::All(all) => all.iter().flat_map(|c| named_in(c, f)).collect(),
        Condition::Named(all, _) => all.iter().map(|n| (n.name.clone(), n.answer(f))).collect(),
        Condition::About(about) => {
            let ball = ball_of(about, f);
            let each = |n: &Named<ShotTest>| {
                let met = ball.map(|b| Answer::all(n.tests.iter().map(|t| t.answer(b))));
                (n.name.clone(), met.unwrap_or(Answer::Unknown))
            };
            about.named.iter().map(each).collect()
        }
        _ => Vec::new(),
    }
}

fn condition(c: &Condition, f: &PointFacts) -> Explanation {
    let (asks, answered) = (c.words(), c.answer(f));
    let parts = |all: &[Condition]| all.iter().map(|c| condition(c, f)).collect();
    match c {
        Condition::All(all) => match &all[..] {
            [only] => condition(only, f),
            _ => Explanation::node("all of these", answered, parts(all)),
        },
        Condition::Any(any) => Explanation::node("one of these", answered, parts(any)),
        Condition::Not(not) => Explanation::node("not this", answered, vec![condition(not, f)]),
        Condition::Named(all, met) => {
            let parts = all.iter().map(|n| named(n, n.answer(f), |t| condition(t, f))).collect();
            Explanation::node(met_words(*met), answered, parts)
        }
        Condition::PlanPlayed(_, plans) => {
            let plan = plans.0.iter().find(|p| same_tag(&p.name, &f.plan));
            let parts = plan.map(|p| explain(p, f)).into_iter().collect();
            Explanation { parts, ..Explanation::leaf(asks, answered, plan_found(c, f, plan.is_some())) }
        }
        Condition::Shot(n, tests) => {
            let found = || match (f.joined_late, f.length) {
                (true, _) => "the point was joined late: the numbers of its shots are not known",
                (false, Some(_)) => "the point ended before this shot",
                (false, None) => "not logged",
            };
            match Ball::logged(f, *n).filter(|_| !f.joined_late) {
                Some(ball) => of_ball(asks, answered, ball, tests, f),
                None => Explanation::leaf(asks, answered, found().into()),
            }
        }
        Condition::SomeShot(tests) => one_ball(asks, answered, tests, f),
        Condition::LastShot(tests) => match sequence::last_ball(f) {
            Some(ball) => of_ball(asks, answered, ball, tests, f),
            None => Explanation::leaf(asks, answered, rest(f)),
        },
        Condition::Sequence(steps) => in_order(asks, answered, steps, f),
        Condition::About(about) => the_ball(asks, answered, about, f),
        _ => Explanation::leaf(asks, answered, c.found(f)),
    }
}

/// A named condition: its name, and its parts if there are several.
fn named<T>(n: &Named<T>, answered: Answer, of: impl Fn(&T) -> Explanation) -> Explanation {
    let mut parts: Vec<_> = n.tests.iter().map(of).collect();
    match (parts.len(), parts.pop()) {
        (1, Some(only)) => Explanation { asks: n.name.clone(), ..only },
        (_, last) => {
            parts.extend(last);
            Explanation::node(&n.name, answered, parts)
        }
    }
}

const fn met_words(met: Met) -> &'static str {
    match met {
        Met::All => "all of its conditions",
        Met::NotAll => "not all of its conditions",
    }
}

fn plan_found(c: &Condition, f: &PointFacts, known: bool) -> String {
    match (f.plan.is_empty(), known) {
        (true, _) => "no plan was chosen".into(),
        (false, true) => format!("the plan was {}", c.found(f)),
        (false, false) => format!("no pattern has the name {}", c.found(f)),
    }
}

/// Why no shot meets the condition, or what was not logged.
fn rest(f: &PointFacts) -> String {
    match (f.length, f.shots.len()) {
        (Some(0), _) => "no serve was in play".into(),
        (Some(1), _) => "not shot 1".into(),
        (Some(n), _) => format!("none of the {n} shots"),
        (None, 0) => "no shot was logged".into(),
        (None, _) if f.joined_late => "the point was joined late: the shots before were not seen".into(),
        (None, n) if f.left_early => format!("the shots after shot {n} were not seen"),
        (None, n) => format!("the shots after shot {n} were not logged"),
    }
}

fn test(t: &ShotTest, ball: Ball<'_>, f: &PointFacts) -> Explanation {
    let answered = t.answer(ball);
    let parts = |all: &[ShotTest]| all.iter().map(|t| test(t, ball, f)).collect();
    match t {
        ShotTest::All(all) => match &all[..] {
            [only] => test(only, ball, f),
            _ => Explanation::node("all of these", answered, parts(all)),
        },
        ShotTest::Any(any) => Explanation::node("one of these", answered, parts(any)),
        ShotTest::Not(not) => Explanation::node("not this", answered, vec![test(not, ball, f)]),
        _ => Explanation::leaf(t.words(), answered, t.found(ball, f)),
    }
}

fn of_ball(
    asks: String,
    answered: Answer,
    ball: Ball<'_>,
    tests: &[ShotTest],
    f: &PointFacts,
) -> Explanation {
    let parts = tests.iter().map(|t| test(t, ball, f)).collect();
    let shots = vec![ball.number];
    Explanation { shots, parts, ..Explanation::leaf(asks, answered, ball.words()) }
}

/// Some shot: the one that meets the tests, or may meet them. If there is none, only the reason is given.
fn one_ball(asks: String, answered: Answer, tests: &[ShotTest], f: &PointFacts) -> Explanation {
    match sequence::likely(f, true, |b| b.meets(tests)) {
        Some(ball) => of_ball(asks, answered, ball, tests, f),
        None => Explanation::leaf(asks, answered, rest(f)),
    }
}

/// The shot that the pattern is about: the one that shows the pattern; if no shot does, one that meets the tests or may meet
/// them.
fn ball_of<'f>(about: &About, f: &'f PointFacts) -> Option<Ball<'f>> {
    sequence::likely(f, false, |b| about.of(b))
        .or_else(|| sequence::likely(f, true, |b| b.meets(&about.tests)))
}

/// The shot that the pattern is about, and its conditions one by one.
fn the_ball(asks: String, answered: Answer, about: &About, f: &PointFacts) -> Explanation {
    let Some(ball) = ball_of(about, f) else { return Explanation::leaf(asks, answered, rest(f)) };
    let mut made = of_ball(asks, answered, ball, &about.tests, f);
    if !about.named.is_empty() {
        let of = |n: &Named<ShotTest>| {
            let each = Answer::all(n.tests.iter().map(|t| t.answer(ball)));
            named(n, each, |t| test(t, ball, f))
        };
        let parts: Vec<_> = about.named.iter().map(of).collect();
        let all = about.met.of(Answer::all(parts.iter().map(|p| p.answer)));
        made.parts.push(Explanation::node(met_words(about.met), all, parts));
    }
    made
}

/// Shots one after another: each step with the shots that meet it.
fn in_order(asks: String, answered: Answer, steps: &[Step], f: &PointFacts) -> Explanation {
    let first = sequence::first(f, steps);
    let found = match first {
        Some(ball) => format!("from {}", ball.words()),
        None if f.length.is_none() => rest(f),
        None => String::new(),
    };
    let parts = steps.iter().map(|s| {
        let met = (1..=f.shots.len()).filter_map(|n| Ball::logged(f, n));
        let shots: Vec<_> = met.filter(|b| b.meets(&s.tests) == Answer::Yes).map(|b| b.number).collect();
        let numbers: Vec<_> = shots.iter().map(ToString::to_string).collect();
        let some = sequence::some(f, &s.tests);
        let found = match (shots.is_empty(), some) {
            (false, _) => format!("shot {}", numbers.join(", ")),
            (true, Answer::Unknown) => UNKNOWN.into(),
            (true, _) => "no such shot".into(),
        };
        Explanation { shots, ..Explanation::leaf(self::shots(&s.tests), some, found) }
    });
    let shots = first.map(|b| b.number).into_iter().collect();
    Explanation { shots, parts: parts.collect(), ..Explanation::leaf(asks, answered, found) }
}
