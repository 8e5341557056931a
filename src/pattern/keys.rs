//! The keys that stand for conditions in a pattern file: one table, from which the messages are made too.

use std::cmp::Ordering;

use super::condition::{Condition, Moment, Who};
use super::error::PatternError;
use super::parse::{Entry, Reader};
use crate::facts::Call;
use crate::record::Finish;
use crate::tennis::CourtSide;

type Read = for<'t> fn(&Reader<'t>, &Entry<'t>) -> Result<Condition, PatternError>;

/// Each key and how its value is read. A list means any of its values, save in `tags`, which means all.
pub(super) const KEYS: [(&str, Read); 20] = [
    ("tags", |r, e| tags(r, e).map(Condition::All)),
    ("any_tag", |r, e| tags(r, e).map(any)),
    ("no_tag", |r, e| tags(r, e).map(|all| Condition::Not(Box::new(any(all))))),
    ("server", |r, e| words(r, e, &Who::WORDS[2..], Condition::Server)),
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
    ("set", |r, e| numbers(r, e, 5, Condition::Set)),
    ("finish", |r, e| words(r, e, &FINISHES, Condition::Finish)),
    ("finish_by", |r, e| words(r, e, &Who::WORDS, Condition::FinishBy)),
    ("winner", |r, e| words(r, e, &Who::WORDS, Condition::Winner)),
    ("any", |r, e| {
        let each = r.tables(e)?.into_iter().map(|t| r.conditions(e.key, t).map(Condition::All));
        each.collect::<Result<_, _>>().map(any)
    }),
    ("not", |r, e| Ok(Condition::Not(Box::new(Condition::All(r.conditions(e.key, e.value)?))))),
];

const COURTS: [(&str, CourtSide); 2] = [("deuce", CourtSide::Deuce), ("ad", CourtSide::Ad)];

const STANDINGS: [(&str, Ordering); 3] =
    [("behind", Ordering::Less), ("level", Ordering::Equal), ("ahead", Ordering::Greater)];

const FINISHES: [(&str, Finish); 5] = [
    ("ace", Finish::Ace),
    ("double-fault", Finish::DoubleFault),
    ("winner", Finish::Winner),
    ("forced-error", Finish::ForcedError),
    ("unforced-error", Finish::UnforcedError),
];

/// The scores of a game, server first, as a file writes them.
const CALLS: [(&str, Call); 18] = [
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

/// Any of several, which need no list when there is one.
fn any(mut all: Vec<Condition>) -> Condition {
    match (all.len(), all.pop()) {
        (1, Some(one)) => one,
        (_, last) => {
            all.extend(last);
            Condition::Any(all)
        }
    }
}

fn tags<'t>(r: &Reader<'t>, e: &Entry<'t>) -> Result<Vec<Condition>, PatternError> {
    some(r, e)?.into_iter().map(|v| r.text(e, v).map(|t| r.tag(t))).collect()
}

fn words<'t, T: Copy>(
    r: &Reader<'t>,
    e: &Entry<'t>,
    allowed: &[(&'static str, T)],
    make: impl Fn(T) -> Condition,
) -> Result<Condition, PatternError> {
    some(r, e)?.into_iter().map(|v| r.one_of(e, v, allowed).map(&make)).collect::<Result<_, _>>().map(any)
}

fn numbers<'t>(
    r: &Reader<'t>,
    e: &Entry<'t>,
    most: usize,
    make: impl Fn(usize) -> Condition,
) -> Result<Condition, PatternError> {
    some(r, e)?.into_iter().map(|v| r.number(e, v, most).map(&make)).collect::<Result<_, _>>().map(any)
}

fn moment<'t>(r: &Reader<'t>, e: &Entry<'t>, m: Moment) -> Result<Condition, PatternError> {
    r.yes_no(e).map(|wanted| Condition::Moment(m, wanted))
}

/// The values of a list, at least one.
fn some<'t>(
    r: &Reader<'t>,
    e: &Entry<'t>,
) -> Result<Vec<&'t toml::Spanned<toml::de::DeValue<'t>>>, PatternError> {
    let all = Reader::list(e);
    if all.is_empty() {
        return Err(r.wrong(e, e.value, "at least one value", None));
    }
    Ok(all)
}
