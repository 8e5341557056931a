//! The keys that stand for conditions in a pattern file: tables, from which the messages are made too.

use std::cmp::Ordering;

use toml::Spanned;
use toml::de::DeValue;

use super::ball::ShotTest;
use super::condition::{Condition, Moment, Plans, ServeTest};
use super::error::PatternError;
use super::reader::{Entry, Read, Reader};
use super::sequence::{Step, Striker};
use super::who::Who;
use crate::facts::{Call, Goes, Lane, Push, Target};
use crate::record::{Finish, Hand};
use crate::tennis::CourtSide;
use crate::tennis::stroke::{Depth, FaultKind, Miss, Pace, ServeTo, Spin, Stance, Stroke, VolleyKind, Wing};

type Result<T> = std::result::Result<T, PatternError>;

/// Each key of a point. A list means any of its values, save in `tags` and `shots`, which mean all.
pub(super) const KEYS: [(&str, Read<Condition>); 43] = [
    ("tags", |r, e| tags(r, e).map(Condition::All)),
    ("any_tag", |r, e| tags(r, e).map(any)),
    ("no_tag", |r, e| tags(r, e).map(any).map(not)),
    ("has_tag", |r, e| texts(r, e).map(|all| any(all.into_iter().map(Condition::HasTag).collect()))),
    ("server", |r, e| words(r, e, Who::SERVERS, Condition::Server)),
    ("serve", |r, e| numbers(r, e, 2, |n| Condition::Serve(n as u8))),
    ("court", |r, e| words(r, e, &COURTS, Condition::Court)),
    ("score", |r, e| words(r, e, &CALLS, Condition::Called)),
    ("standing", |r, e| words(r, e, &STANDINGS, Condition::Standing)),
    ("break_point", |r, e| moment(r, e, Moment::BreakPoint)),
    ("game_point", |r, e| moment(r, e, Moment::GamePoint)),
    ("set_point", |r, e| moment(r, e, Moment::SetPoint)),
    ("match_point", |r, e| moment(r, e, Moment::MatchPoint)),
    ("tie_break", |r, e| moment(r, e, Moment::TieBreak)),
    ("important", |r, e| moment(r, e, Moment::Important)),
    ("shots_logged", |r, e| moment(r, e, Moment::ShotsLogged)),
    ("set", |r, e| numbers(r, e, 5, Condition::Set)),
    ("finish", |r, e| words(r, e, &FINISHES, Condition::Finish)),
    ("finish_by", |r, e| words(r, e, Who::WORDS, Condition::FinishBy)),
    ("miss", |r, e| words(r, e, &MISSES, Condition::Miss)),
    ("winner", |r, e| words(r, e, Who::WORDS, Condition::Winner)),
    ("unreturned", |r, e| r.yes_no(e).map(Condition::Unreturned)),
    ("let_serve", |r, e| r.yes_no(e).map(Condition::LetServe)),
    ("penalty", |r, e| words(r, e, Who::WORDS, Condition::Penalty)),
    ("time_violation", |r, e| words(r, e, Who::WORDS, Condition::TimeViolation)),
    ("server_hand", |r, e| words(r, e, &HANDS, |h| Condition::Hand(Who::Server, h))),
    ("receiver_hand", |r, e| words(r, e, &HANDS, |h| Condition::Hand(Who::Receiver, h))),
    ("stance", |r, e| words(r, e, &Stance::WORDS, Condition::Stance)),
    ("first_serve", |r, e| r.each(e.key, e.value, &SERVE_KEYS).map(|t| Condition::Tried(1, t))),
    ("second_serve", |r, e| r.each(e.key, e.value, &SERVE_KEYS).map(|t| Condition::Tried(2, t))),
    ("rally", |r, e| words(r, e, &RALLIES, |(from, to)| Condition::Rally(from..=to))),
    ("rally_at_least", |r, e| r.number(e, e.value, MOST).map(|n| Condition::Rally(n..=usize::MAX))),
    ("rally_at_most", |r, e| r.number(e, e.value, MOST).map(|n| Condition::Rally(1..=n))),
    ("plan", |r, e| texts(r, e).map(|all| any(all.into_iter().map(Condition::Plan).collect()))),
    ("plan_played", |r, e| r.yes_no(e).map(|x| Condition::PlanPlayed(x, Plans::default()))),
    ("shots", |r, e| {
        r.tables(e)?.into_iter().map(|t| shot(r, e, t)).collect::<Result<_>>().map(Condition::All)
    }),
    ("some_shot", |r, e| some_shot(r, e)),
    ("no_shot", |r, e| some_shot(r, e).map(not)),
    ("last_shot", |r, e| ball(r, e.key, e.value).map(Condition::LastShot)),
    ("sequence", sequence),
    ("any", |r, e| points(r, e).map(Condition::Any)),
    ("all", |r, e| points(r, e).map(Condition::All)),
    ("not", |r, e| Ok(not(Condition::All(conditions(r, e.key, e.value)?)))),
];

/// Each key of a shot. A list means any of its values.
pub(super) const SHOT_KEYS: [(&str, Read<ShotTest>); 26] = [
    ("by", |r, e| words(r, e, Who::WORDS, ShotTest::By)),
    ("number", |r, e| numbers(r, e, MOST, ShotTest::Number)),
    ("from_number", |r, e| r.number(e, e.value, MOST).map(ShotTest::From)),
    ("stroke", |r, e| words(r, e, &Stroke::WORDS, ShotTest::Stroke)),
    ("volley", |r, e| words(r, e, &VolleyKind::WORDS, ShotTest::Volley)),
    ("wing", |r, e| words(r, e, &WINGS, ShotTest::Wing)),
    ("spin", |r, e| words(r, e, &Spin::WORDS, ShotTest::Spin)),
    ("pace", |r, e| words(r, e, &Pace::WORDS, ShotTest::Pace)),
    ("to", |r, e| words(r, e, &ServeTo::WORDS, ShotTest::To)),
    ("to_wing", |r, e| {
        let weaker = r.weaker;
        words(r, e, &TARGETS, |t| t.map_or(ShotTest::ToWeaker(weaker), ShotTest::ToWing))
    }),
    ("depth", |r, e| words(r, e, &Depth::WORDS, ShotTest::Depth)),
    ("lane", |r, e| words(r, e, &Lane::WORDS, ShotTest::Lane)),
    ("goes", |r, e| words(r, e, &Goes::WORDS, ShotTest::Goes)),
    ("pushes", |r, e| words(r, e, &Push::WORDS, ShotTest::Push)),
    ("inside_baseline", |r, e| r.yes_no(e).map(ShotTest::Inside)),
    ("opponent_deep", |r, e| r.yes_no(e).map(ShotTest::OpponentDeep)),
    ("opponent_leaving", |r, e| r.yes_no(e).map(ShotTest::OpponentLeaving)),
    ("approach", |r, e| r.yes_no(e).map(ShotTest::Approach)),
    ("at_net", |r, e| r.yes_no(e).map(ShotTest::AtNet)),
    ("net_cord", |r, e| r.yes_no(e).map(ShotTest::NetCord)),
    ("missed", |r, e| r.yes_no(e).map(ShotTest::Missed)),
    ("middle_third", |r, e| r.yes_no(e).map(ShotTest::Middle)),
    ("tagged", |r, e| texts(r, e).map(|all| any(all.into_iter().map(ShotTest::Tagged).collect()))),
    ("any", |r, e| balls(r, e).map(ShotTest::Any)),
    ("all", |r, e| balls(r, e).map(ShotTest::All)),
    ("not", |r, e| Ok(ShotTest::Not(Box::new(ShotTest::All(ball(r, e.key, e.value)?))))),
];

/// Each key of a serve that was tried.
pub(super) const SERVE_KEYS: [(&str, Read<ServeTest>); 6] = [
    ("to", |r, e| words(r, e, &ServeTo::WORDS, ServeTest::To)),
    ("to_wing", |r, e| words(r, e, &Target::WORDS, ServeTest::ToWing)),
    ("pace", |r, e| words(r, e, &Pace::WORDS, ServeTest::Pace)),
    ("spin", |r, e| words(r, e, &Spin::WORDS, ServeTest::Spin)),
    ("fault", |r, e| r.yes_no(e).map(ServeTest::Fault)),
    ("fault_kind", |r, e| words(r, e, &FaultKind::WORDS, ServeTest::Kind)),
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

fn moment<'t>(r: &Reader<'t>, e: &Entry<'t>, m: Moment) -> Result<Condition> {
    r.yes_no(e).map(|wanted| Condition::Moment(m, wanted))
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
        return Err(r.wrong(e, e.value, "at least one value", None));
    }
    Ok(all)
}
