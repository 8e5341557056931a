//! The score of a match, in words and as JSON.
//!
//! A score is given as far as it is certain. From a point without a known winner to the next score mark, it is not.

use schemars::{JsonSchema, Schema, schema_for};
use serde::Serialize;

use super::columns::{Lean, aligned};
use crate::counted::{Counted, Noun};
use crate::facts::{PointFacts, facts};
use crate::record::{Kind, Outcome, Record, printable};
use crate::tennis::mark::Conflict;
use crate::tennis::pair::Partner;
use crate::tennis::replay::Replay;
use crate::tennis::rules::{Play, Rules};
use crate::tennis::score::{Called, PointState, SetScore};
use crate::tennis::{CourtSide, End, Side};

use Lean::{Left, Right};

/// Something of both sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Both<T> {
    /// Of player A.
    pub a: T,
    /// Of player B.
    pub b: T,
}

impl<T> From<[T; 2]> for Both<T> {
    fn from([a, b]: [T; 2]) -> Self {
        Self { a, b }
    }
}

/// One set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SetLine {
    /// Games of player A; a match tie-break is won 1–0.
    pub a: u16,
    /// Games of player B.
    pub b: u16,
    /// Points of the tie-break, if one was played and they are known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tiebreak: Option<Both<u16>>,
}

impl From<&SetScore> for SetLine {
    fn from(set: &SetScore) -> Self {
        let [a, b] = set.games;
        Self { a, b, tiebreak: set.tie_break.map(Into::into) }
    }
}

/// The rules: by their name, or all of them where they have none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum RulesLine {
    /// As `changeover rules` lists them.
    Name(String),
    /// Rules of their own.
    Own(Rules),
}

/// The score of one record: one line of `changeover score --json`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ScoreLine {
    /// The file of the record, as it was named.
    pub record: String,
    /// The rules of the match.
    pub rules: RulesLine,
    /// The sets, in order. The last may be one in play: it is there once a point of it was played.
    pub sets: Vec<SetLine>,
    /// Who won the match: by its score, or because the other side retired or was defaulted.
    pub winner: Option<Side>,
    /// Whether the score came to the end of the match.
    pub finished: bool,
    /// How many points the record holds.
    pub points: usize,
    /// The score in the game in play, once a point of it was played; not in a tie-break, whose points are with its set.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub game: Option<Both<String>>,
    /// In a drill, the rallies won.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rallies: Option<Both<usize>>,
    /// How the match ended, if not by its score.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outcome: Option<Outcome>,
    /// The point, from 1, whose winner is not known and after which the score is not: `sets` and `game` are those before
    /// it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unknown_from: Option<usize>,
    /// The state before each point, when asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub states: Option<Vec<StateLine>>,
}

/// What the score says just before a point. What is `null` is not known.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StateLine {
    /// Its number, from 1.
    pub point: usize,
    /// The sets finished.
    pub sets: Option<Vec<SetLine>>,
    /// Games in the set being played.
    pub games: Option<Both<u16>>,
    /// The score as called, the server's first: `30–15`, `deuce`, `advantage receiver`.
    pub called: Option<String>,
    /// The same on a score board: `0`, `15`, `30`, `40`, `Ad` (and nothing for the other), or points of the tie-break.
    pub board: Option<Both<String>>,
    /// Whether it is played in a tie-break.
    pub tie_break: Option<bool>,
    /// Who serves.
    pub server: Option<Side>,
    /// Who of the pair serves, in doubles.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub server_partner: Option<Partner>,
    /// Who of the pair receives, in doubles.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub receiver_partner: Option<Partner>,
    /// The court that it is served from.
    pub side: Option<CourtSide>,
    /// The end that the server stands at.
    pub server_end: Option<End>,
    /// The end that A stands at.
    pub a_end: Option<End>,
    /// Whether the receiver can win the game with it; never in a tie-break.
    pub break_point: Option<bool>,
    /// Game points that each side holds: how many the other must win to be level. In a tie-break, points for it.
    pub game_points: Option<Both<u16>>,
    /// Set points, likewise.
    pub set_points: Option<Both<u16>>,
    /// Match points, likewise.
    pub match_points: Option<Both<u16>>,
    /// How much the point means to the match, from 0 to 1: the chance of winning it after the point is won, less that
    /// after it is lost (Morris 1977), with the same usual chances on serve in every match.
    pub importance: Option<f64>,
}

/// The JSON Schema of a line.
pub fn schema() -> Schema {
    schema_for!(ScoreLine)
}

/// The score of a record; with `each_point` also the state before each point.
pub fn line(file: &str, record: &Record, each_point: bool) -> ScoreLine {
    let rules = record.about.rules;
    let replay = record.replay();
    let unknown = unknown_from(record, &replay);
    let stand = unknown.and_then(|at| replay.states.get(at).cloned()).unwrap_or_else(|| replay.end.state());
    let finished = unknown.is_none() && replay.end.finished();
    let drill = record.about.counted_by().play == Play::Drill;
    let won = |side| record.points.iter().filter(|p| p.winner == Some(side) && !p.replayed).count();
    let winner = match record.about.outcome {
        Some(Outcome::Retired(side) | Outcome::Defaulted(side)) => Some(side.other()),
        Some(Outcome::Unfinished) => None,
        None => replay.end.winner().filter(|_| finished),
    };
    ScoreLine {
        record: file.into(),
        rules: rules.name().map_or(RulesLine::Own(rules), RulesLine::Name),
        sets: sets(&stand, drill || finished),
        winner,
        finished,
        points: record.points.len(),
        game: game(&stand).filter(|_| !finished && !drill),
        rallies: (record.about.kind() == Kind::Practice).then(|| Both { a: won(Side::A), b: won(Side::B) }),
        outcome: record.about.outcome,
        unknown_from: unknown.map(|at| at + 1).filter(|_| !drill),
        states: each_point.then(|| facts(record).iter().map(state).collect()),
    }
}

/// The first point, from 0, after which the score is not known and stays so to the end.
fn unknown_from(record: &Record, replay: &Replay) -> Option<usize> {
    let marks = record.points.iter().map(|p| p.score_before.as_ref()).chain([record.closing_score.as_ref()]);
    let passed_over = |at| {
        replay.contradictions.iter().any(|c| c.at == at && matches!(c.what, Conflict::Impossible { .. }))
    };
    let mut from = None;
    for (at, mark) in marks.enumerate() {
        if mark.is_some() && !passed_over(at) {
            from = None;
        }
        let unknown = record.points.get(at).is_some_and(|p| p.winner.is_none() && !p.replayed);
        if unknown && from.is_none() {
            from = Some(at);
        }
    }
    // A point after the end of the match changes nothing.
    let over = |at: &usize| replay.end.finished() && replay.states[*at].sets == replay.end.sets();
    from.filter(|at| !over(at))
}

fn points_of(called: Called) -> [u16; 2] {
    match called {
        Called::Points(p) => p.map(u16::from),
        Called::TieBreak(p) => p,
        Called::Deuce | Called::Deciding => [3, 3],
        Called::Advantage(Side::A) => [4, 3],
        Called::Advantage(Side::B) => [3, 4],
        Called::NoScore => [0, 0],
    }
}

fn sets(stand: &PointState, only_finished: bool) -> Vec<SetLine> {
    let mut sets: Vec<SetLine> = stand.sets.iter().map(Into::into).collect();
    if !only_finished && (stand.games != [0, 0] || points_of(stand.called) != [0, 0]) {
        let [a, b] = stand.games;
        let tiebreak = match stand.called {
            Called::TieBreak(p) if p != [0, 0] => Some(p.into()),
            _ => None,
        };
        sets.push(SetLine { a, b, tiebreak });
    }
    sets
}

fn game(stand: &PointState) -> Option<Both<String>> {
    (!stand.in_tie_break() && points_of(stand.called) != [0, 0]).then(|| board(stand))
}

fn board(state: &PointState) -> Both<String> {
    [Side::A, Side::B].map(|s| state.called.of(s)).into()
}

/// How many such points each side holds: as many as the other must win to be level.
fn held(state: &PointState, chance: [bool; 2]) -> [u16; 2] {
    let points = points_of(state.called);
    [Side::A, Side::B].map(|side| {
        let ahead = points[side.index()].saturating_sub(points[side.other().index()]).max(1);
        if chance[side.index()] { ahead } else { 0 }
    })
}

fn state(facts: &PointFacts) -> StateLine {
    let state = &facts.state;
    let known = facts.score_known.then_some(state);
    let held = |of: fn(&PointState) -> [bool; 2]| known.map(|s| held(s, of(s)).into());
    StateLine {
        point: facts.number + 1,
        sets: known.map(|s| s.sets.iter().map(Into::into).collect()),
        games: known.map(|s| s.games.into()),
        called: facts.called.map(|c| c.to_string()),
        board: known.map(board),
        tie_break: facts.tie_break,
        server: facts.server,
        server_partner: known.and_then(|s| s.server_partner),
        receiver_partner: known.and_then(|s| s.receiver_partner),
        side: facts.court,
        server_end: known.and_then(|s| s.server_end),
        a_end: known.and_then(|s| s.a_end),
        break_point: facts.break_point,
        game_points: held(|s| s.game_point),
        set_points: held(|s| s.set_point),
        match_points: held(|s| s.match_point),
        importance: facts.importance,
    }
}

/// The score in a line of words, the winner's part first, as the trade writes it: `Holt d. Okafor 6–4, 6–7(5), 7–5`. In
/// brackets after a tie-break set are the points of who lost the tie-break, in square ones those of a match tie-break.
pub fn words(record: &Record, line: &ScoreLine) -> String {
    if record.about.kind() == Kind::Points {
        return format!("points of many matches: {}, no score in common", Counted(line.points, Noun::Point));
    }
    let first = line.winner.unwrap_or(Side::A);
    let names = [first, first.other()].map(|s| name(record, s));
    let verb = if line.winner.is_some() { "d." } else { "v." };
    if record.is_unscored() {
        return format!(
            "{} v. {}, part of a match: the score is not known; say it at a point",
            names[0], names[1]
        );
    }
    let score = so_far(line);
    let score = if score.is_empty() { String::new() } else { format!(" {score}") };
    format!("{} {verb} {}{score}{}", names[0], names[1], ending(line))
}

/// The sets and the game in play without names, the winner's first; of A where nobody has won. Empty before the first point.
pub fn so_far(line: &ScoreLine) -> String {
    let first = line.winner.unwrap_or(Side::A);
    let mut parts: Vec<String> = line.sets.iter().map(|s| set_words(s, first)).collect();
    if let Some(game) = &line.game {
        parts.push(game_words(game, first));
    }
    if let Some(Both { a, b }) = line.rallies {
        parts.push(format!("{a}–{b} in {} rallies", line.points));
    }
    parts.join(", ")
}

fn ending(line: &ScoreLine) -> String {
    let how = match line.outcome {
        Some(Outcome::Retired(_)) => " ret.".into(),
        Some(Outcome::Defaulted(_)) => " def.".into(),
        Some(Outcome::Unfinished) => ", unfinished".into(),
        None if line.finished || line.rallies.is_some() || line.unknown_from.is_some() => String::new(),
        None => ", not finished".to_owned(),
    };
    match line.unknown_from {
        Some(at) => format!("{how}; not known from there: point {at} of {} has no winner", line.points),
        None => how,
    }
}

fn name(record: &Record, side: Side) -> String {
    let one = |p: &crate::record::Player| printable(p.name.trim(), 80);
    let partner = record.about.partner(side).map(one);
    let name = one(record.about.player(side));
    partner.map_or(name.clone(), |p| format!("{name}/{p}"))
}

fn set_words(set: &SetLine, first: Side) -> String {
    let turned = |a: u16, b: u16| if first == Side::A { (a, b) } else { (b, a) };
    let (mine, theirs) = turned(set.a, set.b);
    let Some(tie_break) = set.tiebreak else { return format!("{mine}–{theirs}") };
    let (points, against) = turned(tie_break.a, tie_break.b);
    match (mine, theirs) {
        (0 | 1, 0 | 1) => format!("[{points}–{against}]"),
        _ if mine == theirs => format!("{mine}–{theirs}({points}–{against})"),
        _ => format!("{mine}–{theirs}({})", points.min(against)),
    }
}

fn game_words(game: &Both<String>, first: Side) -> String {
    let (mine, theirs) = if first == Side::A { (&game.a, &game.b) } else { (&game.b, &game.a) };
    let shown = |s: &str| if s.is_empty() { "40".to_owned() } else { s.to_owned() };
    format!("{}–{}", shown(mine), shown(theirs))
}

/// The states before each point as a table for people.
pub fn states(record: &Record, states: &[StateLine]) -> String {
    const UNKNOWN: &str = "?";
    let head = ["point", "sets", "games", "called", "serves", "court", "from", "at stake"];
    let mut rows = vec![head.map(String::from)];
    for state in states {
        let sets =
            |all: &Vec<SetLine>| all.iter().map(|s| set_words(s, Side::A)).collect::<Vec<_>>().join(" ");
        let or = |text: Option<String>| text.unwrap_or_else(|| UNKNOWN.into());
        rows.push([
            state.point.to_string(),
            or(state.sets.as_ref().map(sets)),
            or(state.games.map(|g| format!("{}–{}", g.a, g.b))),
            or(state.called.clone()),
            or(state.server.map(|s| name(record, s))),
            or(state.side.map(|s| if s == CourtSide::Deuce { "deuce" } else { "ad" }.into())),
            or(state.server_end.map(|e| if e == End::Near { "near" } else { "far" }.into())),
            at_stake(record, state),
        ]);
    }
    aligned(&rows, [Right, Left, Left, Left, Left, Left, Left, Left])
}

/// The most that a side can win with the point: `2 set points Holt`.
fn at_stake(record: &Record, state: &StateLine) -> String {
    let of = |both: Option<Both<u16>>, side| both.map_or(0, |b| if side == Side::A { b.a } else { b.b });
    let one = |side: Side| {
        let game = if state.server == Some(side) { "game point" } else { "break point" };
        let kinds =
            [(state.match_points, "match point"), (state.set_points, "set point"), (state.game_points, game)];
        let (n, what) = kinds.into_iter().map(|(both, what)| (of(both, side), what)).find(|(n, _)| *n > 0)?;
        let name = name(record, side);
        Some(if n == 1 { format!("{what} {name}") } else { format!("{n} {what}s {name}") })
    };
    [Side::A, Side::B].into_iter().filter_map(one).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
#[path = "score_tests.rs"]
mod tests;
