//! A pattern, its conditions, and how they are answered for a point.

use std::cmp::Ordering;
use std::ops::RangeInclusive;
use std::sync::Arc;

use super::answer::Answer;
use super::ball::{Ball, ShotTest};
use super::renamed::renamed;
use super::sequence::{self, Step};
use super::tag::{TagTest, has_tag, same_tag, tag_of};
use super::who::Who;
use crate::facts::{Call, PointFacts, ServeFacts, Target, ToldBy};
use crate::record::{Finish, Hand};
use crate::tennis::stroke::{FaultKind, Miss, Pace, ServeTo, Spin, Stance};
use crate::tennis::{CourtSide, Side};

/// A yes-or-no property of a point: a moment of the score, or that its shots were logged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Moment {
    /// The receiver could win the game.
    BreakPoint,
    /// The server could win the game.
    GamePoint,
    /// A side could win the set.
    SetPoint,
    /// A side could win the match.
    MatchPoint,
    /// A point of a tie-break.
    TieBreak,
    /// A point that matters: see [`PointFacts::important`].
    Important,
    /// A point that was logged by its shots, not by tags: see [`PointFacts::told_by`].
    ShotsLogged,
}

/// One condition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Condition {
    /// The point has the tag.
    Tag(TagTest),
    /// The point has the tag: its absence says no.
    HasTag(String),
    /// The tag is there, as this side's: asked where one player's points are looked at.
    TagOf(String, Side),
    /// Who serves.
    Server(Who),
    /// The rally's serve, 1 or 2.
    Serve(u8),
    /// The court served from.
    Court(CourtSide),
    /// The score as called, server first.
    Called(Call),
    /// The server's points in the game against the receiver's.
    Standing(Ordering),
    /// Break point, game point and so on, or not.
    Moment(Moment, bool),
    /// The number of the set, from 1.
    Set(usize),
    /// How the point ended.
    Finish(Finish),
    /// Who struck the ace or winner, or made the error.
    FinishBy(Who),
    /// Who won the point.
    Winner(Who),
    /// Where the last shot went, when it was missed.
    Miss(Miss),
    /// Whether the serve in play did not come back.
    Unreturned(bool),
    /// Whether a serve was a let.
    LetServe(bool),
    /// Who a point penalty was given against.
    Penalty(Who),
    /// Who was called for a time violation.
    TimeViolation(Who),
    /// The hand of the server, or of the receiver.
    Hand(Who, Hand),
    /// Where the server stood.
    Stance(Stance),
    /// A serve that was tried: 1 or 2, and what it must meet.
    Tried(u8, Vec<ServeTest>),
    /// So many shots were struck, at least and at most.
    Rally(RangeInclusive<usize>),
    /// The pattern that was meant to be played, by name.
    Plan(String),
    /// Whether the pattern that was meant was also shown.
    PlanPlayed(bool, Plans),
    /// A certain shot: its number, and what it must meet.
    Shot(usize, Vec<ShotTest>),
    /// Some shot meets all of these.
    SomeShot(Vec<ShotTest>),
    /// The last shot meets all of these.
    LastShot(Vec<ShotTest>),
    /// Shots follow each other like this.
    Sequence(Vec<Step>),
    /// The shot that the pattern is about, and its named conditions.
    About(About),
    /// Named conditions of the point, answered one by one.
    Named(Vec<Named<Self>>, Met),
    /// All of them.
    All(Vec<Self>),
    /// At least one of them.
    Any(Vec<Self>),
    /// Not this.
    Not(Box<Self>),
}

/// A condition with a name of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named<T> {
    /// Its name.
    pub name: String,
    /// What must hold.
    pub tests: Vec<T>,
}

/// How many of the named conditions must be met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Met {
    /// All.
    All,
    /// Not all: at least one is missed.
    NotAll,
}

impl Met {
    pub(super) const WORDS: [(&'static str, Self); 2] = [("all", Self::All), ("not all", Self::NotAll)];

    pub(super) fn of(self, all: Answer) -> Answer {
        if self == Self::All { all } else { !all }
    }
}

/// The shot that a pattern is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct About {
    /// What makes it that shot.
    pub tests: Vec<ShotTest>,
    /// Its conditions, answered one by one.
    pub named: Vec<Named<ShotTest>>,
    /// How many of them must be met.
    pub met: Met,
}

/// One condition on a serve that was tried, in or out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ServeTest {
    /// Where it goes.
    To(ServeTo),
    /// What of the receiver it goes to.
    ToWing(Target),
    /// Its pace.
    Pace(Pace),
    /// Its spin.
    Spin(Spin),
    /// Whether it is a fault.
    Fault(bool),
    /// Why it is a fault.
    Kind(FaultKind),
    /// At least one of them.
    Any(Vec<Self>),
}

impl ServeTest {
    fn answer(&self, serve: ServeFacts) -> Answer {
        match self {
            Self::To(x) => serve.to.map(|y| y == *x).into(),
            Self::ToWing(x) => serve.target.map(|y| y == *x).into(),
            Self::Pace(x) => serve.pace.map(|y| y == *x).into(),
            Self::Spin(x) => serve.spin.map(|y| y == *x).into(),
            Self::Fault(x) => (serve.fault == *x).into(),
            Self::Kind(_) if !serve.fault => Answer::No,
            Self::Kind(x) => serve.kind.map(|y| y == *x).into(),
            Self::Any(any) => Answer::any(any.iter().map(|t| t.answer(serve))),
        }
    }
}

/// The patterns that a plan can name: those of the same file that ask for no plan themselves.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Plans(pub(super) Arc<[Pattern]>);

/// A named sequence or condition that a point does or does not show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pattern {
    /// Its name.
    pub name: String,
    /// What it means and when to play it; may be empty.
    pub about: String,
    /// Whose win of the point counts as won.
    pub won_by: Who,
    /// The conditions, all of which a point must meet.
    pub conditions: Vec<Condition>,
    /// Which points count for it: points that show the pattern are compared with the others of these. Empty: all points.
    pub among: Vec<Condition>,
}

impl Pattern {
    /// Whether the point counts for the pattern, by `among`.
    pub fn is_among(&self, f: &PointFacts) -> Answer {
        Answer::all(self.among.iter().map(|c| c.answer(f)))
    }

    /// Whether the point, if it counts, meets all the conditions.
    pub fn is_met(&self, f: &PointFacts) -> Answer {
        Answer::all(self.conditions.iter().map(|c| c.answer(f)))
    }
}

/// Whether the point shows the pattern: all conditions met, one missed, or not known.
pub fn answer(pattern: &Pattern, f: &PointFacts) -> Answer {
    pattern.is_among(f).and(pattern.is_met(f))
}

impl Condition {
    /// Whether the point meets the condition.
    pub fn answer(&self, f: &PointFacts) -> Answer {
        match self {
            // For a point penalty nothing was served, and nobody won or lost it by a shot.
            Self::Serve(_) | Self::Stance(_) | Self::Miss(_) | Self::FinishBy(_) if f.penalty.is_some() => {
                Answer::No
            }
            Self::Tag(test) => test.answer(f),
            Self::HasTag(tag) => has_tag(f, tag).into(),
            Self::TagOf(tag, side) => tag_of(f, tag, *side),
            Self::Server(who) => same(f.server, who.side(f)),
            Self::Serve(n) => f.serve.map(|s| s == *n).into(),
            Self::Court(c) => f.court.map(|x| x == *c).into(),
            Self::Called(call) => f.called.map(|x| x == *call).into(),
            Self::Standing(o) => f.standing.map(|x| x == *o).into(),
            Self::Moment(m, wanted) => moment(*m, f).map(|x| x == *wanted).into(),
            Self::Set(n) => f.set.map(|x| x == *n).into(),
            Self::Finish(x) => f.ended(*x).into(),
            Self::FinishBy(who) => same(f.finish_by, who.side(f)),
            Self::Winner(who) => same(f.winner, who.side(f)),
            Self::Miss(x) => miss(f, *x),
            Self::Unreturned(x) => f.unreturned.map(|y| y == *x).into(),
            Self::LetServe(x) => f.lets.map(|n| (n > 0) == *x).into(),
            Self::Penalty(who) => penalty(f, *who),
            Self::TimeViolation(who) => same(f.time_violation, who.side(f)),
            Self::Hand(who, hand) => who.side(f).and_then(|s| f.hands[s.index()]).map(|h| h == *hand).into(),
            Self::Stance(x) => f.stance.map(|y| y == *x).into(),
            Self::Tried(n, tests) => tried(f, *n, tests),
            Self::Rally(range) => rally(f, range),
            Self::Plan(_) if f.plan.is_empty() => Answer::Unknown,
            Self::Plan(name) => same_tag(&f.plan, name).into(),
            Self::PlanPlayed(wanted, plans) => played(f, plans).map(|x| x == *wanted).into(),
            Self::Shot(n, tests) => sequence::numbered(f, *n, tests),
            Self::SomeShot(tests) => sequence::some(f, tests),
            Self::LastShot(tests) => sequence::last(f, tests),
            Self::Sequence(steps) => sequence::sequence(f, steps),
            Self::About(about) => sequence::any(f, |ball| about.of(ball)),
            Self::Named(named, met) => met.of(Answer::all(named.iter().map(|n| n.answer(f)))),
            Self::All(all) => Answer::all(all.iter().map(|c| c.answer(f))),
            Self::Any(any) => Answer::any(any.iter().map(|c| c.answer(f))),
            Self::Not(c) => !c.answer(f),
        }
    }
}

impl Named<Condition> {
    pub(super) fn answer(&self, f: &PointFacts) -> Answer {
        Answer::all(self.tests.iter().map(|t| t.answer(f)))
    }
}

impl About {
    /// Whether the shot meets what makes it that shot, and as many of the named conditions as it must.
    pub(super) fn of(&self, ball: Ball<'_>) -> Answer {
        let made = ball.meets(&self.tests);
        if made == Answer::No || self.named.is_empty() {
            return made;
        }
        let named = Answer::all(self.named.iter().flat_map(|n| &n.tests).map(|t| t.answer(ball)));
        made.and(self.met.of(named))
    }
}

fn same(a: Option<Side>, b: Option<Side>) -> Answer {
    a.zip(b).map(|(a, b)| a == b).into()
}

pub(super) const fn moment(m: Moment, f: &PointFacts) -> Option<bool> {
    match m {
        Moment::BreakPoint => f.break_point,
        Moment::GamePoint => f.game_point,
        Moment::SetPoint => f.set_point,
        Moment::MatchPoint => f.match_point,
        Moment::TieBreak => f.tie_break,
        Moment::Important => f.important,
        Moment::ShotsLogged => Some(matches!(f.told_by, ToldBy::Shots)),
    }
}

/// Whether the last shot went there: nowhere when the point did not end with an error.
fn miss(f: &PointFacts, wanted: Miss) -> Answer {
    match (f.miss, f.finish) {
        (Some(miss), _) => (miss == wanted || f.also_wide && wanted == Miss::Wide).into(),
        (None, Some(Finish::Ace | Finish::Winner | Finish::DoubleFault)) => Answer::No,
        _ => Answer::Unknown,
    }
}

/// If any part of the point was played, there was no penalty unless one was logged.
fn penalty(f: &PointFacts, who: Who) -> Answer {
    match f.penalty {
        None if f.finish.is_some() || !f.shots.is_empty() => Answer::No,
        penalty => same(penalty, who.side(f)),
    }
}

/// Whether a serve was tried and meets the tests. A second serve is not tried when the first is in.
fn tried(f: &PointFacts, n: u8, tests: &[ServeTest]) -> Answer {
    if n == 2 && f.serve == Some(1) {
        return Answer::No;
    }
    match f.serves[usize::from(n == 2)] {
        Some(serve) => Answer::all(tests.iter().map(|t| t.answer(serve))),
        None if f.penalty.is_some() => Answer::No,
        None => Answer::Unknown,
    }
}

fn rally(f: &PointFacts, range: &RangeInclusive<usize>) -> Answer {
    let can = f.lengths();
    if can.end() < range.start() || can.start() > range.end() {
        return Answer::No;
    }
    let sure = range.contains(can.start()) && range.contains(can.end());
    if sure { Answer::Yes } else { Answer::Unknown }
}

fn played(f: &PointFacts, plans: &Plans) -> Option<bool> {
    if f.plan.is_empty() {
        return None;
    }
    let of = |name: &str| plans.0.iter().find(|p| same_tag(&p.name, name));
    let plan = of(&f.plan).or_else(|| of(renamed(&f.plan)?))?;
    match answer(plan, f) {
        Answer::Yes => Some(true),
        Answer::No => Some(false),
        Answer::Unknown => None,
    }
}
