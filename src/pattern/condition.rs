//! One condition of a pattern, and how it is answered of a point.

use std::cmp::Ordering;
use std::ops::RangeInclusive;
use std::sync::Arc;

use super::Answer;
use super::ball::{Ball, ShotTest};
use super::sequence::{self, Step};
use crate::facts::{Call, PointFacts, ServeFacts, Target};
use crate::record::{Finish, Hand};
use crate::tennis::stroke::{Miss, Pace, ServeTo, Spin, Stance};
use crate::tennis::{CourtSide, Side};

/// A side of the match, by part or by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Who {
    /// Whoever serves the point.
    Server,
    /// Whoever receives it.
    Receiver,
    /// This player, serving or not.
    Player(Side),
    /// Whoever struck the ball that the pattern is about. Only of a win: see [`super::Pattern::won_side`].
    Striker,
}

impl Who {
    /// Whose win can count.
    pub const WINNERS: [(&'static str, Self); 5] = [
        ("server", Self::Server),
        ("receiver", Self::Receiver),
        ("a", Self::Player(Side::A)),
        ("b", Self::Player(Side::B)),
        ("striker", Self::Striker),
    ];
    /// Who can strike, finish or win.
    pub(super) const WORDS: &'static [(&'static str, Self)] = Self::WINNERS.split_at(4).0;
    /// Who can serve.
    pub(super) const SERVERS: &'static [(&'static str, Self)] = Self::WORDS.split_at(2).1;

    /// The side meant in this point, if it is known.
    pub fn side(self, f: &PointFacts) -> Option<Side> {
        match self {
            Self::Server => f.server,
            Self::Receiver => f.server.map(Side::other),
            Self::Player(side) => Some(side),
            Self::Striker => None,
        }
    }

    /// As written in a pattern file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Server => "server",
            Self::Receiver => "receiver",
            Self::Player(Side::A) => "a",
            Self::Player(Side::B) => "b",
            Self::Striker => "striker",
        }
    }
}

/// A moment of the score that a point is or is not.
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
}

/// One condition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Condition {
    /// The point has the tag.
    Tag(TagTest),
    /// The point has the tag: its absence says no.
    HasTag(String),
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
    /// Where the last ball went, when it was missed.
    Miss(Miss),
    /// The hand of the server, or of the receiver.
    Hand(Who, Hand),
    /// Where the server stood.
    Stance(Stance),
    /// A serve that was tried: 1 or 2, and what it must meet.
    Tried(u8, Vec<ServeTest>),
    /// So many balls were struck, at least and at most.
    Rally(RangeInclusive<usize>),
    /// The pattern that was meant to be played, by name.
    Plan(String),
    /// Whether the pattern that was meant was also shown.
    PlanPlayed(bool, Plans),
    /// A certain ball: its number, and what it must meet.
    Shot(usize, Vec<ShotTest>),
    /// Some ball meets all of these.
    SomeShot(Vec<ShotTest>),
    /// The last ball meets all of these.
    LastShot(Vec<ShotTest>),
    /// Balls follow each other like this.
    Sequence(Vec<Step>),
    /// The ball that the pattern is about, and its named conditions.
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

/// The ball that a pattern is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct About {
    /// What makes it that ball.
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
            Self::Any(any) => Answer::any(any.iter().map(|t| t.answer(serve))),
        }
    }
}

/// The patterns that a plan can name: those of the same file that ask for no plan themselves.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Plans(pub(super) Arc<[super::Pattern]>);

/// A tag, and what its absence says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TagTest {
    /// The tag, compared without regard to case.
    pub tag: String,
    /// The other tags of its group, of which a point has only one: any of them says that this one does not hold.
    pub instead: Option<Vec<String>>,
    /// What a point without any tag answers.
    pub untagged: Answer,
}

impl TagTest {
    pub(super) fn answer(&self, f: &PointFacts) -> Answer {
        let has = |tag: &str| has_tag(f, tag);
        match &self.instead {
            _ if has(&self.tag) => Answer::Yes,
            Some(others) if others.iter().any(|t| has(t)) => Answer::No,
            Some(_) => self.untagged,
            None if f.tags.is_empty() => self.untagged,
            None => Answer::No,
        }
    }
}

/// Whether two tags are one: case and outer blanks do not count.
pub fn same_tag(a: &str, b: &str) -> bool {
    if a.eq_ignore_ascii_case(b) {
        return true;
    }
    // Most tags differ and have nothing to trim: asked of every point, that must be quick.
    let plain = |s: &str| {
        s.is_ascii()
            && ![s.as_bytes().first(), s.as_bytes().last()].into_iter().flatten().any(u8::is_ascii_whitespace)
    };
    if plain(a) && plain(b) {
        return false;
    }
    let (a, b) = (a.trim(), b.trim());
    a.eq_ignore_ascii_case(b) || !(a.is_ascii() && b.is_ascii()) && a.to_lowercase() == b.to_lowercase()
}

pub(super) fn has_tag(f: &PointFacts, tag: &str) -> bool {
    f.tags.iter().any(|t| same_tag(t, tag))
}

impl Condition {
    /// Whether the point meets the condition.
    pub fn answer(&self, f: &PointFacts) -> Answer {
        match self {
            Self::Tag(test) => test.answer(f),
            Self::HasTag(tag) => has_tag(f, tag).into(),
            Self::Server(who) => same(f.server, who.side(f)),
            Self::Serve(n) => f.serve.map(|s| s == *n).into(),
            Self::Court(c) => f.court.map(|x| x == *c).into(),
            Self::Called(call) => f.called.map(|x| x == *call).into(),
            Self::Standing(o) => f.standing.map(|x| x == *o).into(),
            Self::Moment(m, wanted) => moment(*m, f).map(|x| x == *wanted).into(),
            Self::Set(n) => f.set.map(|x| x == *n).into(),
            Self::Finish(x) => f.finish.map(|y| y == *x).into(),
            Self::FinishBy(who) => same(f.finish_by, who.side(f)),
            Self::Winner(who) => same(f.winner, who.side(f)),
            Self::Miss(x) => miss(f, *x),
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
            Self::About(about) => sequence::about(f, about),
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
    /// Whether the ball meets what makes it that ball, and as many of the named conditions as it must.
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
    }
}

/// Whether the last ball went there: nowhere when the point did not end with an error.
fn miss(f: &PointFacts, wanted: Miss) -> Answer {
    match (f.miss, f.finish) {
        (Some(miss), _) => (miss == wanted).into(),
        (None, Some(Finish::Ace | Finish::Winner | Finish::DoubleFault)) => Answer::No,
        _ => Answer::Unknown,
    }
}

/// Whether a serve was tried and meets the tests. A second serve is not tried when the first is in.
fn tried(f: &PointFacts, n: u8, tests: &[ServeTest]) -> Answer {
    if n == 2 && f.serve == Some(1) {
        return Answer::No;
    }
    match f.serves[usize::from(n == 2)] {
        Some(serve) => Answer::all(tests.iter().map(|t| t.answer(serve))),
        None => Answer::Unknown,
    }
}

/// Where not every ball was logged, there were at least those that were.
fn rally(f: &PointFacts, range: &RangeInclusive<usize>) -> Answer {
    let least = f.shots.len();
    match f.length {
        Some(n) => range.contains(&n).into(),
        None if least > *range.end() => Answer::No,
        None if least >= *range.start() && *range.end() == usize::MAX => Answer::Yes,
        None => Answer::Unknown,
    }
}

fn played(f: &PointFacts, plans: &Plans) -> Option<bool> {
    if f.plan.is_empty() {
        return None;
    }
    let plan = plans.0.iter().find(|p| same_tag(&p.name, &f.plan))?;
    match super::answer(plan, f) {
        Answer::Yes => Some(true),
        Answer::No => Some(false),
        Answer::Unknown => None,
    }
}
