//! Conditions on one shot, and how they are answered.

use super::answer::Answer;
use super::tag::has_tag;
use super::who::Who;
use crate::facts::{Fact, Goes, Lane, Length, Metric, PointFacts, Push, ShotFacts, Target};
use crate::tennis::Side;
use crate::tennis::stroke::{Column, Depth, Pace, ServeTo, Spin, Stroke, VolleyKind, Wing};

/// One condition on a shot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ShotTest {
    /// Who struck it.
    By(Who),
    /// Its number: 1 is the serve in play, 2 the return.
    Number(usize),
    /// Its number or a later one.
    From(usize),
    /// The stroke.
    Stroke(Stroke),
    /// The kind of volley.
    Volley(VolleyKind),
    /// The wing.
    Wing(Wing),
    /// The spin.
    Spin(Spin),
    /// The pace of a serve.
    Pace(Pace),
    /// Where a serve goes in its box.
    To(ServeTo),
    /// The part of the opponent that it goes to.
    ToWing(Target),
    /// It goes to the opponent's weaker wing, which the file names for A and for B.
    ToWeaker([Option<Wing>; 2]),
    /// How deep it lands.
    Depth(Depth),
    /// Its line.
    Lane(Lane),
    /// Open court, behind or middle.
    Goes(Goes),
    /// What it does to the opponent's depth.
    Push(Push),
    /// Whether it is struck from inside the baseline.
    Inside(bool),
    /// Whether the opponent is deep.
    OpponentDeep(bool),
    /// Whether the opponent moves away from where it lands.
    OpponentLeaving(bool),
    /// Whether the striker comes to the net behind it.
    Approach(bool),
    /// Whether it is struck at the net.
    AtNet(bool),
    /// Whether it touches the net and goes over.
    NetCord(bool),
    /// Whether it misses.
    Missed(bool),
    /// Whether it goes to the middle third of the court's width: lands there, or, missed, was aimed there.
    Middle(bool),
    /// Something that was measured is so long or longer, in millimetres.
    AtLeast(Length, u32),
    /// Something that was measured is so long or shorter, in millimetres.
    AtMost(Length, u32),
    /// The point has the tag.
    Tagged(String),
    /// All of them.
    All(Vec<Self>),
    /// At least one of them.
    Any(Vec<Self>),
    /// Not this.
    Not(Box<Self>),
}

/// A shot that may meet conditions.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ball<'a> {
    point: &'a PointFacts,
    /// From 1; of the unlogged rest, the first it can have.
    pub(super) number: usize,
    /// `None` for the shots that were not logged, of which it is not known whether there are any.
    pub(super) shot: Option<&'a ShotFacts>,
}

impl<'a> Ball<'a> {
    /// The shot logged at place `number`, from 1. That is its number, unless the point was joined late.
    pub(super) fn logged(point: &'a PointFacts, number: usize) -> Option<Self> {
        Some(Self { point, number, shot: Some(point.shots.get(number.checked_sub(1)?)?) })
    }

    /// Whatever was struck before the logged shots; `None` unless the point was joined late.
    pub(super) fn earlier(point: &'a PointFacts) -> Option<Self> {
        point.joined_late.then_some(Self { point, number: 0, shot: None })
    }

    /// Whether it is the serve in play.
    pub(super) const fn is_serve(self) -> bool {
        self.number == 1 && !self.point.joined_late
    }

    /// In words: `shot 3`. For a point joined late, whose shots have no known number: `shot 3 of those seen`.
    pub(super) fn words(self) -> String {
        let seen = if self.point.joined_late { " of those seen" } else { "" };
        format!("shot {}{seen}", self.number)
    }

    /// The lowest number that it can have, and whether that is its number.
    const fn least(self) -> (usize, bool) {
        match (self.point.joined_late, self.number) {
            (false, n) => (n, self.shot.is_some()),
            (true, 0) => (1, false),
            // At least the serve came before.
            (true, n) => (n + 1, false),
        }
    }

    /// Whatever was struck after the logged shots; `None` if every shot was logged.
    pub(super) fn rest(point: &'a PointFacts) -> Option<Self> {
        let number = point.shots.len() + 1;
        let to_the_end = point.joined_late && !point.left_early && point.every_shot;
        (point.length.is_none() && !to_the_end).then_some(Self { point, number, shot: None })
    }

    /// Who struck it.
    pub(super) fn by(self) -> Option<Side> {
        self.shot?.by
    }

    /// What was measured of it.
    pub(super) fn metric(self, length: Length) -> Option<Metric> {
        self.shot?;
        self.point.lengths_of.get(self.number.checked_sub(1)?)?.of(length)
    }

    /// Whether it meets them all. For shots that were not logged the answer is never yes.
    pub(super) fn meets(self, tests: &[ShotTest]) -> Answer {
        let sure = if self.shot.is_some() { Answer::Yes } else { Answer::Unknown };
        Answer::all(tests.iter().map(|t| t.answer(self))).and(sure)
    }
}

impl ShotTest {
    /// Whether a shot meets the condition.
    pub(super) fn answer(&self, ball: Ball<'_>) -> Answer {
        let Some(shot) = ball.shot else { return self.of_rest(ball) };
        let serve = ball.is_serve();
        match self {
            Self::By(who) => shot.by.zip(who.side(ball.point)).map(|(a, b)| a == b).into(),
            Self::Number(n) => number(ball, *n),
            Self::From(n) => from(ball, *n),
            Self::Stroke(s) => no_serve(serve, shot.stroke, *s),
            // A volley without further detail is a plain one.
            Self::Volley(v) if shot.stroke.is_some() => (shot.volley == Some(*v)).into(),
            Self::Volley(v) => no_serve(serve, shot.volley, *v),
            Self::Wing(w) => no_serve(serve, shot.wing, *w),
            Self::Spin(s) => shot.spin.map(|x| x == *s).into(),
            Self::Pace(p) => only_serve(serve, shot.pace, *p),
            Self::To(t) => only_serve(serve, shot.serve_to, *t),
            Self::ToWing(t) => said(shot.target, *t),
            Self::ToWeaker(weaker) => to_weaker(shot, *weaker),
            Self::Depth(d) => no_serve(serve, shot.depth, *d),
            Self::Lane(l) => no_serve(serve, value(shot.lane), *l),
            Self::Goes(g) => no_serve(serve, value(shot.goes), *g),
            // A missed shot pushes nobody, wherever it was aimed.
            Self::Push(_) if shot.push.is_none() && shot.missed == Some(true) => Answer::No,
            Self::Push(p) => no_serve(serve, value(shot.push), *p),
            Self::Inside(x) => said(shot.inside, *x),
            Self::OpponentDeep(x) => said(shot.opponent_deep, *x),
            Self::OpponentLeaving(x) => said(shot.opponent_leaving, *x),
            Self::Approach(x) => shot.approach.map(|y| y == *x).into(),
            Self::AtNet(x) => shot.at_net.map(|y| y == *x).into(),
            Self::NetCord(x) => shot.net_cord.map(|y| y == *x).into(),
            Self::Missed(x) => shot.missed.map(|y| y == *x).into(),
            Self::Middle(x) => shot.direction.map(|c| (c == Column::Middle) == *x).into(),
            Self::AtLeast(length, mm) => long(ball, *length, *mm).into(),
            Self::AtMost(length, mm) => !Answer::from(long(ball, *length, *mm + 1)),
            Self::Tagged(tag) => has_tag(ball.point, tag).into(),
            Self::All(all) => Answer::all(all.iter().map(|t| t.answer(ball))),
            Self::Any(any) => Answer::any(any.iter().map(|t| t.answer(ball))),
            Self::Not(t) => !t.answer(ball),
        }
    }

    /// Of a shot that was not logged, only the lowest possible number is known.
    fn of_rest(&self, ball: Ball<'_>) -> Answer {
        match self {
            Self::Number(n) => number(ball, *n),
            Self::From(n) => from(ball, *n),
            Self::To(_) | Self::Pace(_) if ball.least().0 > 1 => Answer::No,
            Self::Tagged(tag) => has_tag(ball.point, tag).into(),
            Self::All(all) => Answer::all(all.iter().map(|t| t.answer(ball))),
            Self::Any(any) => Answer::any(any.iter().map(|t| t.answer(ball))),
            Self::Not(t) => !t.answer(ball),
            _ => Answer::Unknown,
        }
    }
}

/// Whether something that was measured is so many millimetres or longer; unknown within its error.
fn long(ball: Ball<'_>, length: Length, mm: u32) -> Option<bool> {
    ball.metric(length)?.at_least(mm as f32 / 1000.0)
}

/// Whether the shot has this number.
fn number(ball: Ball<'_>, wanted: usize) -> Answer {
    match ball.least() {
        (least, true) => (least == wanted).into(),
        (least, false) if wanted < least => Answer::No,
        _ => Answer::Unknown,
    }
}

/// Whether the shot has this number or a later one.
fn from(ball: Ball<'_>, wanted: usize) -> Answer {
    match ball.least() {
        (least, _) if wanted <= least => Answer::Yes,
        (_, true) => Answer::No,
        _ => Answer::Unknown,
    }
}

fn value<T>(fact: Option<Fact<T>>) -> Option<T> {
    fact.map(|f| f.value)
}

fn said<T: PartialEq + Copy>(fact: Option<Fact<T>>, wanted: T) -> Answer {
    fact.map(|f| f.value == wanted).into()
}

/// A serve has no such fact, so the answer is no.
fn no_serve<T: PartialEq + Copy>(serve: bool, fact: Option<T>, wanted: T) -> Answer {
    match fact {
        None if serve => Answer::No,
        fact => fact.map(|x| x == wanted).into(),
    }
}

fn only_serve<T: PartialEq + Copy>(serve: bool, fact: Option<T>, wanted: T) -> Answer {
    if serve { fact.map(|x| x == wanted).into() } else { Answer::No }
}

fn to_weaker(shot: &ShotFacts, weaker: [Option<Wing>; 2]) -> Answer {
    let wing = match shot.by {
        Some(side) => weaker[side.other().index()],
        None => weaker[0].filter(|w| weaker[1] == Some(*w)),
    };
    let Some(wing) = wing else { return Answer::Unknown };
    said(shot.target, wing.into())
}
