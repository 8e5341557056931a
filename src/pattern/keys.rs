//! The keys that stand for conditions in a pattern file, and what each takes: tables, from which the reader, its messages,
//! the form of the builder and the guide's list are made.

use std::cmp::Ordering;

use toml::Spanned;
use toml::de::DeValue;

use super::ball::ShotTest;
use super::condition::{Condition, Moment, Plans, ServeTest};
use super::error::PatternError;
use super::reader::{Entry, Key, Reader};
use super::sequence::{Step, Striker};
use super::values::Values;
use super::who::Who;
use crate::facts::{Call, Goes, Lane, Length, Push, Target};
use crate::record::{Finish, Hand};
use crate::tennis::CourtSide;
use crate::tennis::stroke::{Depth, FaultKind, Miss, Pace, ServeTo, Spin, Stance, Stroke, VolleyKind, Wing};

type Result<T> = std::result::Result<T, PatternError>;

/// A key whose value is one of a few words, or a list of them. `r` is the reader, where the meaning needs it.
macro_rules! words {
    ($name:literal, $words:expr; $r:ident => $make:expr) => {
        Key { name: $name, takes: || Values::words(&$words), read: |$r, e| words($r, e, &$words, $make) }
    };
    ($name:literal, $words:expr, $make:expr) => { words!($name, $words; r => $make) };
}

/// A key whose value is true or false.
macro_rules! yes_no {
    ($name:literal, $make:expr) => {
        Key { name: $name, takes: || Values::YesNo, read: |r, e| r.yes_no(e).map($make) }
    };
}

/// A key whose value is a whole number from 1 to `most`.
macro_rules! number {
    ($name:literal, $most:expr, $make:expr) => {
        Key {
            name: $name,
            takes: || Values::Number { most: $most },
            read: |r, e| r.number(e, e.value, $most).map($make),
        }
    };
}

/// Likewise, or a list of numbers.
macro_rules! numbers {
    ($name:literal, $most:expr, $make:expr) => {
        Key {
            name: $name,
            takes: || Values::Number { most: $most },
            read: |r, e| numbers(r, e, $most, $make),
        }
    };
}

/// A key whose value is a length in metres, which is made of millimetres.
macro_rules! metres {
    ($name:literal, $make:expr) => {
        Key { name: $name, takes: || Values::Metres, read: |r, e| r.millimetres(e).map($make) }
    };
}

/// A key whose value is a text or a list of texts, which `read` reads.
macro_rules! texts {
    ($name:literal, $read:expr) => {
        Key { name: $name, takes: || Values::Text, read: $read }
    };
}

/// A key whose value is a table or a list of tables, which `read` reads.
macro_rules! tables {
    ($name:literal, $read:expr) => {
        Key { name: $name, takes: || Values::Tables, read: $read }
    };
}

/// Each key of a point. A list means any of its values, save in `tags` and `shots`, which mean all.
pub(super) const KEYS: [Key<Condition>; 43] = [
    texts!("tags", |r, e| tags(r, e).map(Condition::All)),
    texts!("any_tag", |r, e| tags(r, e).map(any)),
    texts!("no_tag", |r, e| tags(r, e).map(any).map(not)),
    texts!("has_tag", |r, e| texts(r, e).map(|all| any(all.into_iter().map(Condition::HasTag).collect()))),
    words!("server", Who::SERVERS, Condition::Server),
    numbers!("serve", 2, |n| Condition::Serve(n as u8)),
    words!("court", COURTS, Condition::Court),
    words!("score", CALLS, Condition::Called),
    words!("standing", STANDINGS, Condition::Standing),
    yes_no!("break_point", |yes| Condition::Moment(Moment::BreakPoint, yes)),
    yes_no!("game_point", |yes| Condition::Moment(Moment::GamePoint, yes)),
    yes_no!("set_point", |yes| Condition::Moment(Moment::SetPoint, yes)),
    yes_no!("match_point", |yes| Condition::Moment(Moment::MatchPoint, yes)),
    yes_no!("tie_break", |yes| Condition::Moment(Moment::TieBreak, yes)),
    yes_no!("important", |yes| Condition::Moment(Moment::Important, yes)),
    yes_no!("shots_logged", |yes| Condition::Moment(Moment::ShotsLogged, yes)),
    numbers!("set", 5, Condition::Set),
    words!("finish", FINISHES, Condition::Finish),
    words!("finish_by", Who::WORDS, Condition::FinishBy),
    words!("miss", MISSES, Condition::Miss),
    words!("winner", Who::WORDS, Condition::Winner),
    yes_no!("unreturned", Condition::Unreturned),
    yes_no!("let_serve", Condition::LetServe),
    words!("penalty", Who::WORDS, Condition::Penalty),
    words!("time_violation", Who::WORDS, Condition::TimeViolation),
    words!("server_hand", HANDS, |h| Condition::Hand(Who::Server, h)),
    words!("receiver_hand", HANDS, |h| Condition::Hand(Who::Receiver, h)),
    words!("stance", Stance::WORDS, Condition::Stance),
    tables!("first_serve", |r, e| r.each(e.key, e.value, &SERVE_KEYS).map(|t| Condition::Tried(1, t))),
    tables!("second_serve", |r, e| r.each(e.key, e.value, &SERVE_KEYS).map(|t| Condition::Tried(2, t))),
    words!("rally", RALLIES, |(from, to)| Condition::Rally(from..=to)),
    number!("rally_at_least", MOST, |n| Condition::Rally(n..=usize::MAX)),
    number!("rally_at_most", MOST, |n| Condition::Rally(1..=n)),
    texts!("plan", |r, e| texts(r, e).map(|all| any(all.into_iter().map(Condition::Plan).collect()))),
    yes_no!("plan_played", |x| Condition::PlanPlayed(x, Plans::default())),
    tables!("shots", |r, e| {
        r.tables(e)?.into_iter().map(|t| shot(r, e, t)).collect::<Result<_>>().map(Condition::All)
    }),
    tables!("some_shot", |r, e| some_shot(r, e)),
    tables!("no_shot", |r, e| some_shot(r, e).map(not)),
    tables!("last_shot", |r, e| ball(r, e.key, e.value).map(Condition::LastShot)),
    tables!("sequence", sequence),
    tables!("any", |r, e| points(r, e).map(Condition::Any)),
    tables!("all", |r, e| points(r, e).map(Condition::All)),
    tables!("not", |r, e| Ok(not(Condition::All(conditions(r, e.key, e.value)?)))),
];

/// Each key of a shot. A list means any of its values.
pub(super) const SHOT_KEYS: [Key<ShotTest>; 44] = [
    words!("by", Who::WORDS, ShotTest::By),
    numbers!("number", MOST, ShotTest::Number),
    number!("from_number", MOST, ShotTest::From),
    words!("stroke", Stroke::WORDS, ShotTest::Stroke),
    words!("volley", VolleyKind::WORDS, ShotTest::Volley),
    words!("wing", WINGS, ShotTest::Wing),
    words!("spin", Spin::WORDS, ShotTest::Spin),
    words!("pace", Pace::WORDS, ShotTest::Pace),
    words!("to", ServeTo::WORDS, ShotTest::To),
    words!("to_wing", TARGETS; r => |t| t.map_or(ShotTest::ToWeaker(r.weaker), ShotTest::ToWing)),
    words!("depth", Depth::WORDS, ShotTest::Depth),
    words!("lane", Lane::WORDS, ShotTest::Lane),
    words!("goes", Goes::WORDS, ShotTest::Goes),
    words!("pushes", Push::WORDS, ShotTest::Push),
    yes_no!("inside_baseline", ShotTest::Inside),
    yes_no!("opponent_deep", ShotTest::OpponentDeep),
    yes_no!("opponent_leaving", ShotTest::OpponentLeaving),
    yes_no!("approach", ShotTest::Approach),
    yes_no!("at_net", ShotTest::AtNet),
    yes_no!("net_cord", ShotTest::NetCord),
    yes_no!("missed", ShotTest::Missed),
    yes_no!("middle_third", ShotTest::Middle),
    metres!("behind_baseline_at_least", |mm| ShotTest::AtLeast(Length::Behind, mm)),
    metres!("behind_baseline_at_most", |mm| ShotTest::AtMost(Length::Behind, mm)),
    metres!("opponent_behind_at_least", |mm| ShotTest::AtLeast(Length::OpponentBehind, mm)),
    metres!("opponent_behind_at_most", |mm| ShotTest::AtMost(Length::OpponentBehind, mm)),
    metres!("from_net_at_least", |mm| ShotTest::AtLeast(Length::FromNet, mm)),
    metres!("from_net_at_most", |mm| ShotTest::AtMost(Length::FromNet, mm)),
    metres!("opponent_from_middle_at_least", |mm| ShotTest::AtLeast(Length::OpponentFromMiddle, mm)),
    metres!("opponent_from_middle_at_most", |mm| ShotTest::AtMost(Length::OpponentFromMiddle, mm)),
    metres!("opponent_away_at_least", |mm| ShotTest::AtLeast(Length::OpponentAway, mm)),
    metres!("opponent_away_at_most", |mm| ShotTest::AtMost(Length::OpponentAway, mm)),
    metres!("lands_from_net_at_least", |mm| ShotTest::AtLeast(Length::Lands, mm)),
    metres!("lands_from_net_at_most", |mm| ShotTest::AtMost(Length::Lands, mm)),
    metres!("displaces_at_least", |mm| ShotTest::AtLeast(Length::Displaces, mm)),
    metres!("displaces_at_most", |mm| ShotTest::AtMost(Length::Displaces, mm)),
    metres!("pushes_back_at_least", |mm| ShotTest::AtLeast(Length::PushesBack, mm)),
    metres!("pushes_back_at_most", |mm| ShotTest::AtMost(Length::PushesBack, mm)),
    metres!("recovers_from_middle_at_least", |mm| ShotTest::AtLeast(Length::Recovers, mm)),
    metres!("recovers_from_middle_at_most", |mm| ShotTest::AtMost(Length::Recovers, mm)),
    texts!("tagged", |r, e| texts(r, e).map(|all| any(all.into_iter().map(ShotTest::Tagged).collect()))),
    tables!("any", |r, e| balls(r, e).map(ShotTest::Any)),
    tables!("all", |r, e| balls(r, e).map(ShotTest::All)),
    tables!("not", |r, e| Ok(ShotTest::Not(Box::new(ShotTest::All(ball(r, e.key, e.value)?))))),
];

/// Each key of a serve that was tried.
pub(super) const SERVE_KEYS: [Key<ServeTest>; 6] = [
    words!("to", ServeTo::WORDS, ServeTest::To),
    words!("to_wing", Target::WORDS, ServeTest::ToWing),
    words!("pace", Pace::WORDS, ServeTest::Pace),
    words!("spin", Spin::WORDS, ServeTest::Spin),
    yes_no!("fault", ServeTest::Fault),
    words!("fault_kind", FaultKind::WORDS, ServeTest::Kind),
];

/// More shots than any rally has.
const MOST: usize = 10_000;

pub(super) const HANDS: [(&str, Hand); 2] = [("right", Hand::Right), ("left", Hand::Left)];

pub(super) const WINGS: [(&str, Wing); 2] = [("forehand", Wing::Forehand), ("backhand", Wing::Backhand)];

pub(super) const MISSES: [(&str, Miss); 3] = [("net", Miss::Net), ("long", Miss::Long), ("wide", Miss::Wide)];

pub(super) const STRIKERS: [(&str, Striker); 2] = [("same", Striker::Same), ("other", Striker::Other)];

/// None is the weaker wing, whichever that is.
pub(super) const TARGETS: [(&str, Option<Target>); 4] = [
    ("forehand", Some(Target::Forehand)),
    ("backhand", Some(Target::Backhand)),
    ("body", Some(Target::Body)),
    ("weaker", None),
];

/// Bands of rally length in shots (PMC10538650, PMC11235650).
pub(super) const RALLIES: [(&str, (usize, usize)); 3] =
    [("1-4", (1, 4)), ("5-8", (5, 8)), ("9+", (9, usize::MAX))];

pub(super) const COURTS: [(&str, CourtSide); 2] = [("deuce", CourtSide::Deuce), ("ad", CourtSide::Ad)];

pub(super) const STANDINGS: [(&str, Ordering); 3] =
    [("behind", Ordering::Less), ("level", Ordering::Equal), ("ahead", Ordering::Greater)];

pub(super) const FINISHES: [(&str, Finish); 5] = [
    ("ace", Finish::Ace),
    ("double-fault", Finish::DoubleFault),
    ("winner", Finish::Winner),
    ("forced-error", Finish::ForcedError),
    ("unforced-error", Finish::UnforcedError),
];

/// The scores of a game, server first, as a file writes them.
pub const CALLS: [(&str, Call); 18] = [
    ("0-0", Call::points(0, 0)),
    ("15-0", Call::points(1, 0)),
    ("30-0", Call::points(2, 0)),
    ("40-0", Call::points(3, 0)),
    ("0-15", Call::points(0, 1)),
    ("15-15", Call::points(1, 1)),
    ("30-15", Call::points(2, 1)),
    ("40-15", Call::points(3, 1)),
    ("0-30", Call::points(0, 2)),
    ("15-30", Call::points(1, 2)),
    ("30-30", Call::points(2, 2)),
    ("40-30", Call::points(3, 2)),
    ("0-40", Call::points(0, 3)),
    ("15-40", Call::points(1, 3)),
    ("30-40", Call::points(2, 3)),
    ("deuce", Call::DEUCE),
    ("advantage server", Call::ADVANTAGE_SERVER),
    ("advantage receiver", Call::ADVANTAGE_RECEIVER),
];

/// Whether a range of lengths is one of the bands.
pub(super) fn is_band(range: &std::ops::RangeInclusive<usize>) -> bool {
    RALLIES.iter().any(|(_, (from, to))| from == range.start() && to == range.end())
}

/// What several conditions can be made into.
pub(super) trait Group: Sized {
    /// At least one of them.
    fn any(all: Vec<Self>) -> Self;
}

impl Group for Condition {
    fn any(all: Vec<Self>) -> Self {
        Self::Any(all)
    }
}

impl Group for ShotTest {
    fn any(all: Vec<Self>) -> Self {
        Self::Any(all)
    }
}

impl Group for ServeTest {
    fn any(all: Vec<Self>) -> Self {
        Self::Any(all)
    }
}

/// Any of several, which need no list when there is one.
fn any<T: Group>(mut all: Vec<T>) -> T {
    match (all.len(), all.pop()) {
        (1, Some(one)) => one,
        (_, last) => {
            all.extend(last);
            T::any(all)
        }
    }
}

fn not(condition: Condition) -> Condition {
    Condition::Not(Box::new(condition))
}

/// The conditions of a point in a table that holds nothing else.
pub(super) fn conditions<'t>(
    r: &Reader<'t>,
    key: &str,
    value: &'t Spanned<DeValue<'t>>,
) -> Result<Vec<Condition>> {
    r.each(key, value, &KEYS)
}

/// The conditions of a shot, likewise.
pub(super) fn ball<'t>(r: &Reader<'t>, key: &str, value: &'t Spanned<DeValue<'t>>) -> Result<Vec<ShotTest>> {
    r.each(key, value, &SHOT_KEYS)
}

/// A list of tables of conditions of a point, each of which means all of its own.
fn points<'t>(r: &Reader<'t>, e: &Entry<'t>) -> Result<Vec<Condition>> {
    r.tables(e)?.into_iter().map(|t| conditions(r, e.key, t).map(Condition::All)).collect()
}

/// A list of tables of conditions of a shot, likewise.
fn balls<'t>(r: &Reader<'t>, e: &Entry<'t>) -> Result<Vec<ShotTest>> {
    r.tables(e)?.into_iter().map(|t| ball(r, e.key, t).map(ShotTest::All)).collect()
}

fn texts<'t>(r: &Reader<'t>, e: &Entry<'t>) -> Result<Vec<String>> {
    some(r, e)?.into_iter().map(|v| r.text(e, v)).collect()
}

fn tags<'t>(r: &Reader<'t>, e: &Entry<'t>) -> Result<Vec<Condition>> {
    Ok(texts(r, e)?.into_iter().map(|t| Condition::Tag(r.tag(t))).collect())
}

fn words<'t, T: Copy, C: Group>(
    r: &Reader<'t>,
    e: &Entry<'t>,
    allowed: &[(&'static str, T)],
    make: impl Fn(T) -> C,
) -> Result<C> {
    some(r, e)?.into_iter().map(|v| r.one_of(e, v, allowed).map(&make)).collect::<Result<_>>().map(any)
}

fn numbers<'t, C: Group>(r: &Reader<'t>, e: &Entry<'t>, most: usize, make: impl Fn(usize) -> C) -> Result<C> {
    some(r, e)?.into_iter().map(|v| r.number(e, v, most).map(&make)).collect::<Result<_>>().map(any)
}

fn some_shot<'t>(r: &Reader<'t>, e: &Entry<'t>) -> Result<Condition> {
    let each = r.tables(e)?.into_iter().map(|t| ball(r, e.key, t).map(Condition::SomeShot));
    each.collect::<Result<_>>().map(any)
}

/// A certain shot: its number, and the rest of its table.
fn shot<'t>(r: &Reader<'t>, e: &Entry<'t>, table: &'t Spanned<DeValue<'t>>) -> Result<Condition> {
    let mut tests = ball(r, e.key, table)?;
    let number = tests.iter().position(|t| matches!(t, ShotTest::Number(_)));
    match number.map(|at| tests.remove(at)) {
        Some(ShotTest::Number(n)) => Ok(Condition::Shot(n, tests)),
        _ => Err(r.missing(
            table,
            "this shot has no number; write number = 1 for the serve in play, 2 for the return",
        )),
    }
}

fn sequence<'t>(r: &Reader<'t>, e: &Entry<'t>) -> Result<Condition> {
    let mut steps: Vec<Step> = Vec::new();
    for table in some(r, e)? {
        let mut step = Step { within: 1, striker: None, tests: Vec::new() };
        let also: &[&str] = if steps.is_empty() { &[] } else { &["within", "striker"] };
        for entry in r.table(e.key, table)? {
            match entry.key {
                "within" if !steps.is_empty() => step.within = r.number(&entry, entry.value, MOST)?,
                "striker" if !steps.is_empty() => step.striker = Some(r.word(&entry, &STRIKERS)?),
                _ => step.tests.push(r.read(&entry, &SHOT_KEYS, also)?),
            }
        }
        steps.push(step);
    }
    Ok(Condition::Sequence(steps))
}

/// The values of a list, at least one.
fn some<'t>(r: &Reader<'t>, e: &Entry<'t>) -> Result<Vec<&'t Spanned<DeValue<'t>>>> {
    let all = Reader::list(e);
    if all.is_empty() {
        return Err(r.wrong(e, e.value, &"at least one value", None));
    }
    Ok(all)
}
