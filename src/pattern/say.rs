//! Conditions in words, and what the record says about each.

use std::cmp::Ordering;
use std::ops::RangeInclusive;

use super::answer::Answer;
use super::ball::{Ball, ShotTest};
use super::condition::{self, Condition, Moment, ServeTest};
use super::keys;
use super::partners::{UNKNOWN, unknown};
use super::sequence::Striker;
use super::who::Who;
use crate::counted::{Counted, Noun};
use crate::facts::{Band, CHANGE, Fact, Length, MIDDLE, MOVES, PointFacts, Target, USUAL_DEPTH};
use crate::record::Hand;
use crate::tennis::Side;
use crate::tennis::court::SERVICE_LINE;
use crate::tennis::stroke::Column;

impl Condition {
    /// The condition in words: `second serve`, `not break point`.
    pub fn words(&self) -> String {
        match self {
            Self::Tag(test) => test.tag.clone(),
            Self::HasTag(tag) => format!("tagged {tag}"),
            Self::TagOf(tag, side) => format!("tagged {tag}, by {}", Who::Player(*side).word()),
            Self::Server(who) => format!("served by {}", who.word()),
            Self::Serve(1) => "first serve".into(),
            Self::Serve(_) => "second serve".into(),
            Self::Court(court) => court.words().into(),
            Self::Called(call) => format!("at {call}"),
            Self::Standing(o) => format!("server {}", standing_word(*o)),
            Self::Moment(m, true) => moment_word(*m).into(),
            Self::Moment(m, false) => format!("not {}", moment_word(*m)),
            Self::Set(n) => format!("set {n}"),
            Self::Finish(x) => x.words().into(),
            Self::FinishBy(who) => format!("finished by {}", who.word()),
            Self::Winner(who) => format!("won by {}", who.word()),
            Self::Miss(miss) => format!("missed {}", miss.words()),
            Self::Unreturned(x) => if *x { "serve not returned" } else { "serve returned" }.into(),
            Self::LetServe(x) => if *x { "a let serve" } else { "no let serve" }.into(),
            Self::Penalty(who) => format!("point penalty against {}", who.word()),
            Self::TimeViolation(who) => format!("time violation by {}", who.word()),
            Self::Hand(who, hand) => format!("{} {}", who.word(), hand_word(*hand)),
            Self::Stance(stance) => format!("server {}", stance.words()),
            Self::Tried(n, tests) => format!("{} serve tried: {}", ordinal(*n), serves(tests)),
            Self::Rally(range) => rally_words(range),
            Self::Plan(name) => format!("plan: {name}"),
            Self::PlanPlayed(true, _) => "plan played".into(),
            Self::PlanPlayed(false, _) => "plan not played".into(),
            Self::Shot(n, tests) => format!("shot {n}: {}", shots(tests)),
            Self::SomeShot(tests) => format!("some shot: {}", shots(tests)),
            Self::LastShot(tests) => format!("last shot: {}", shots(tests)),
            Self::Sequence(steps) => {
                let each = steps.iter().enumerate().map(|(n, s)| match (n, s.within) {
                    (0, _) => shots(&s.tests),
                    (_, 1) => format!("then {}", shots(&s.tests)),
                    (_, k) => format!("then, within {k} shots{}, {}", striker(s.striker), shots(&s.tests)),
                });
                each.collect::<Vec<_>>().join(", ")
            }
            Self::About(about) => format!("the shot: {}", shots(&about.tests)),
            Self::Named(named, _) => named.iter().map(|n| n.name.as_str()).collect::<Vec<_>>().join(", "),
            Self::All(all) => list(all, " and "),
            Self::Any(any) => list(any, " or "),
            Self::Not(c) => match &**c {
                Self::All(_) | Self::Any(_) => format!("not ({})", c.words()),
                _ => format!("not {}", c.words()),
            },
        }
    }

    /// What the record says about this condition at this point, in words.
    pub(super) fn found(&self, f: &PointFacts) -> String {
        let said = match self {
            Self::Tag(_) | Self::HasTag(_) | Self::TagOf(..) => return tags(f),
            Self::Server(_) => f.server.map(|s| format!("{} serves", Who::Player(s).word())),
            Self::Serve(_) => f.serve.map(|n| format!("{} serve", ordinal(n))),
            Self::Court(_) => f.court.map(|c| c.words().into()),
            Self::Called(_) => f.called.map(|c| c.to_string()),
            Self::Standing(_) => f.standing.map(|o| format!("server {}", standing_word(o))),
            Self::Moment(m, _) => condition::moment(*m, f)
                .map(|yes| format!("{}{}", if yes { "" } else { "not " }, moment_word(*m))),
            Self::Set(_) => f.set.map(|n| format!("set {n}")),
            Self::Finish(_) => f.finish.map(|x| x.words().into()),
            Self::FinishBy(_) => f.finish_by.map(|s| part(s, f)),
            Self::Winner(_) => f.winner.map(|s| part(s, f)),
            Self::Miss(_) if f.also_wide => Some("long and wide".into()),
            Self::Miss(_) => f.miss.map(|m| m.words().into()),
            Self::Unreturned(_) => {
                f.unreturned.map(|x| if x { "serve not returned" } else { "serve returned" }.into())
            }
            Self::LetServe(_) => f.lets.map(|n| Counted(n.into(), Noun::Let).to_string()),
            Self::Penalty(_) => f.penalty.map(|s| part(s, f)),
            Self::TimeViolation(_) => f.time_violation.map(|s| part(s, f)),
            Self::Hand(who, _) => who.side(f).and_then(|s| f.hands[s.index()]).map(|h| hand_word(h).into()),
            Self::Stance(_) => f.stance.map(|s| s.words().into()),
            Self::Tried(n, _) => f.serves[usize::from(*n == 2)].and_then(|s| s.to).map(|t| t.words().into()),
            Self::Rally(_) => f.length.map(length_words),
            Self::Plan(_) | Self::PlanPlayed(..) => Some(f.plan.clone()).filter(|p| !p.is_empty()),
            Self::Shot(..)
            | Self::SomeShot(_)
            | Self::LastShot(_)
            | Self::Sequence(_)
            | Self::About(_)
            | Self::Named(..)
            | Self::All(_)
            | Self::Any(_)
            | Self::Not(_) => return String::new(),
        };
        said.unwrap_or_else(|| UNKNOWN.into())
    }
}

impl ShotTest {
    /// The condition of a shot in words.
    pub fn words(&self) -> String {
        match self {
            Self::By(who) => format!("by {}", who.word()),
            Self::Number(n) => format!("that is shot {n}"),
            Self::From(n) => format!("that is shot {n} or later"),
            Self::Stroke(x) => x.words().into(),
            Self::Volley(x) => x.words().into(),
            Self::Wing(x) => x.words().into(),
            Self::Spin(x) => x.words().into(),
            Self::Pace(x) => x.words().into(),
            Self::To(x) => format!("served {}", to_words(x.words())),
            Self::ToWing(x) => format!("to the {}", x.words()),
            Self::ToWeaker(_) => "to the weaker wing".into(),
            Self::Depth(x) => x.words().into(),
            Self::Lane(x) => x.words().into(),
            Self::Goes(x) => format!("going {}", goes_words(x.words())),
            Self::Push(x) => format!("that {}", x.words()),
            Self::Inside(x) => inside_words(*x).into(),
            Self::OpponentDeep(x) => deep_words(*x).into(),
            Self::OpponentLeaving(x) => leaving_words(*x).into(),
            Self::Approach(x) => if *x { "with an approach" } else { "without an approach" }.into(),
            Self::AtNet(x) => net_words(*x).into(),
            Self::NetCord(x) => cord_words(*x).into(),
            Self::Missed(x) => if *x { "missed" } else { "in" }.into(),
            Self::Middle(x) => middle_words(*x).into(),
            Self::AtLeast(length, mm) => length.said(&format!("at least {}", metres(*mm))),
            Self::AtMost(length, mm) => length.said(&format!("at most {}", metres(*mm))),
            Self::Tagged(tag) => format!("in a point tagged {tag}"),
            Self::All(all) => shots(all),
            Self::Any(any) => any.iter().map(Self::words).collect::<Vec<_>>().join(" or "),
            Self::Not(t) => format!("not ({})", t.words()),
        }
    }

    /// What the record says about this condition at this shot, in words.
    pub(super) fn found(&self, ball: Ball<'_>, f: &PointFacts) -> String {
        let Some(shot) = ball.shot else { return "not logged".into() };
        let said = match self {
            Self::By(_) => shot.by.map(|s| format!("by {}", part(s, f))),
            Self::Number(_) | Self::From(_) => Some(ball.words()),
            Self::Stroke(_) if ball.is_serve() => Some("a serve".into()),
            Self::Stroke(_) => shot.stroke.map(|x| x.words().into()),
            Self::Volley(_) => {
                shot.volley.map(|x| x.words().into()).or_else(|| shot.stroke.map(|x| x.words().into()))
            }
            Self::Wing(_) => shot.wing.map(|x| x.words().into()),
            Self::Spin(_) => shot.spin.map(|x| x.words().into()),
            Self::Pace(_) => shot.pace.map(|x| x.words().into()),
            Self::To(_) => shot.serve_to.map(|x| x.words().into()),
            Self::ToWing(_) | Self::ToWeaker(_) => fact(shot.target, Target::words),
            Self::Depth(_) => shot.depth.map(|x| x.words().into()),
            Self::Lane(_) => fact(shot.lane, crate::facts::Lane::words),
            Self::Goes(_) => near(fact(shot.goes, crate::facts::Goes::words), ball, self),
            Self::Push(_) => near(fact(shot.push, crate::facts::Push::words), ball, self)
                .or_else(|| shot.missed.filter(|m| *m).map(|_| "missed".into())),
            Self::Inside(_) => near(fact(shot.inside, inside_words), ball, self),
            Self::OpponentDeep(_) => near(fact(shot.opponent_deep, deep_words), ball, self),
            Self::OpponentLeaving(_) => near(fact(shot.opponent_leaving, leaving_words), ball, self),
            Self::AtLeast(length, mm) | Self::AtMost(length, mm) => ball.metric(*length).map(|m| {
                let sure = if self.answer(ball) == Answer::Unknown { "uncertain: " } else { "" };
                format!("{sure}measured: {}; threshold {}", length.measured(m), metres(*mm))
            }),
            Self::Approach(_) => shot.approach.map(|x| if x { "approach" } else { "no approach" }.into()),
            Self::AtNet(_) => near(shot.at_net.map(|x| net_words(x).into()), ball, self),
            Self::NetCord(_) => shot.net_cord.map(|x| cord_words(x).into()),
            Self::Missed(_) => shot.missed.map(|x| if x { "missed" } else { "in" }.into()),
            Self::Middle(_) => shot.direction.map(|c| middle_words(c == Column::Middle).into()),
            Self::Tagged(_) => return tags(f),
            Self::All(_) | Self::Any(_) | Self::Not(_) => return String::new(),
        };
        said.unwrap_or_else(|| unknown(self, ball, f))
    }
}

/// The conditions of one shot in words, one after another.
pub(super) fn shots(tests: &[ShotTest]) -> String {
    if tests.is_empty() {
        return "any".into();
    }
    tests.iter().map(ShotTest::words).collect::<Vec<_>>().join(", ")
}

fn serves(tests: &[ServeTest]) -> String {
    let word = |t: &ServeTest| match t {
        ServeTest::To(x) => x.words().into(),
        ServeTest::ToWing(x) => format!("to the {}", x.words()),
        ServeTest::Pace(x) => x.words().into(),
        ServeTest::Spin(x) => x.words().into(),
        ServeTest::Kind(x) => format!("fault: {}", x.words()),
        ServeTest::Fault(x) => if *x { "fault" } else { "in" }.into(),
        ServeTest::Any(any) => {
            any.iter().map(|t| serves(std::slice::from_ref(t))).collect::<Vec<_>>().join(" or ")
        }
    };
    tests.iter().map(word).collect::<Vec<_>>().join(", ")
}

const fn striker(who: Option<Striker>) -> &'static str {
    match who {
        Some(Striker::Same) => " and by the same player",
        Some(Striker::Other) => " and by the opponent",
        None => "",
    }
}

fn list(all: &[Condition], word: &str) -> String {
    all.iter().map(Condition::words).collect::<Vec<_>>().join(word)
}

fn fact<T>(fact: Option<Fact<T>>, words: impl Fn(T) -> &'static str) -> Option<String> {
    let fact = fact?;
    let how = if fact.estimated { ", estimated" } else { "" };
    Some(format!("{}{how}", words(fact.value)))
}

/// A fact with what was measured, its error and the threshold; where it is unknown within the error, that it is uncertain.
fn near(said: Option<String>, ball: Ball<'_>, test: &ShotTest) -> Option<String> {
    let (length, threshold) = match test {
        ShotTest::Inside(_) => (Length::Behind, 0.0),
        ShotTest::OpponentDeep(_) => (Length::OpponentBehind, USUAL_DEPTH.0),
        ShotTest::OpponentLeaving(_) => (Length::OpponentAway, MOVES.0),
        ShotTest::Goes(_) => (Length::OpponentFromMiddle, MIDDLE.0),
        ShotTest::Push(_) => (Length::PushesBack, CHANGE.0),
        ShotTest::AtNet(_) => (Length::FromNet, SERVICE_LINE.0),
        _ => return said,
    };
    let Some(m) = ball.metric(length) else { return said };
    let said = said.unwrap_or_else(|| "uncertain".into());
    let threshold = match test {
        ShotTest::OpponentLeaving(_) => format!("it must move {threshold:.2} m in all"),
        _ => format!("threshold {threshold:.2} m"),
    };
    Some(format!("{said}; measured: {}; {threshold}", length.measured(m)))
}

fn metres(mm: u32) -> String {
    format!("{:.2} m", f64::from(mm) / 1000.0)
}

fn tags(f: &PointFacts) -> String {
    if f.tags.is_empty() {
        return "no tag".into();
    }
    format!("tagged {}", f.tags.iter().map(String::as_str).collect::<Vec<_>>().join(", "))
}

/// A side by its part, where that is known.
pub(super) fn part(side: Side, f: &PointFacts) -> String {
    match f.server {
        Some(server) if server == side => "server".into(),
        Some(_) => "receiver".into(),
        None => Who::Player(side).word().into(),
    }
}

fn rally_words(range: &RangeInclusive<usize>) -> String {
    for (_, band) in Band::WORDS {
        if Band::of(*range.start()) == Some(band) && keys::is_band(range) {
            return format!("rally of {}", band.words());
        }
    }
    match (*range.start(), *range.end()) {
        (from, usize::MAX) => format!("rally of {from} shots or more"),
        (_, to) => format!("rally of {to} shots or fewer"),
    }
}

fn length_words(n: usize) -> String {
    match n {
        0 => "no rally".into(),
        n => Counted(n, Noun::Shot).to_string(),
    }
}

const fn ordinal(n: u8) -> &'static str {
    if n == 1 { "first" } else { "second" }
}

const fn hand_word(hand: Hand) -> &'static str {
    match hand {
        Hand::Right => "right-handed",
        Hand::Left => "left-handed",
    }
}

fn to_words(to: &str) -> String {
    match to {
        "wide" => to.into(),
        "T" => "down the T".into(),
        to => format!("to the {to}"),
    }
}

const fn goes_words(goes: &str) -> &str {
    match goes.as_bytes() {
        b"open court" => "into the open court",
        b"middle" => "to the middle",
        _ => goes,
    }
}

const fn inside_words(inside: bool) -> &'static str {
    if inside { "inside the baseline" } else { "behind the baseline" }
}

const fn deep_words(deep: bool) -> &'static str {
    if deep { "opponent deep" } else { "opponent not deep" }
}

const fn middle_words(middle: bool) -> &'static str {
    if middle { "into the middle third" } else { "into a side third" }
}

const fn net_words(at_net: bool) -> &'static str {
    if at_net { "struck at the net" } else { "not struck at the net" }
}

const fn cord_words(cord: bool) -> &'static str {
    if cord { "net cord" } else { "no net cord" }
}

const fn leaving_words(leaving: bool) -> &'static str {
    if leaving { "opponent moving away" } else { "opponent not moving away" }
}

const fn moment_word(m: Moment) -> &'static str {
    match m {
        Moment::BreakPoint => "break point",
        Moment::GamePoint => "game point",
        Moment::SetPoint => "set point",
        Moment::MatchPoint => "match point",
        Moment::TieBreak => "tie-break",
        Moment::Important => "important point",
        Moment::ShotsLogged => "shots logged",
    }
}

const fn standing_word(o: Ordering) -> &'static str {
    match o {
        Ordering::Less => "behind",
        Ordering::Equal => "level",
        Ordering::Greater => "ahead",
    }
}
