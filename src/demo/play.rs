//! The simulated match: points by the rules, and what players do between them. Pure; one number, one match.

use super::dice::Dice;
use super::rally::{self, Played, Setting, clock, own, to_millis};
use super::space::dist;
use super::stage::{Path, Piece, Stage, Track};
use super::truth::{Point, Score};
use crate::tennis::rules::Rules;
use crate::tennis::score::PointState;
use crate::tennis::scorer::Scorer;
use crate::tennis::{CourtSide, End, Side};
use crate::time::Span;

/// How fast a player walks between points, metres a second.
const WALK: f64 = 1.35;
/// How fast a player goes after a ball between points at most, metres a second; a ball further off is left lying.
const JOG: f64 = 3.5;

/// A match as played: the points, everything that moves, and where the footage may be cut.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Match {
    /// The points.
    pub points: Vec<Point>,
    /// What is seen and heard.
    pub stage: Stage,
    /// Middle of the dead time before each point but the first, seconds.
    pub pauses: Vec<f64>,
}

/// What match to play.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted {
    /// The number it is made from.
    pub number: u64,
    /// Games at most; none for the whole match.
    pub games: Option<u32>,
    /// Points at most, for tests.
    pub points: Option<u32>,
    /// Whether dead time is shortened.
    pub brisk: bool,
}

/// The rules of the match.
pub(super) const RULES: Rules = Rules::best_of_three();
/// Who serves first.
pub(super) const FIRST_SERVER: Side = Side::A;
/// Where side A starts.
pub(super) const A_STARTS: End = End::Near;

/// Plays the match.
pub(super) fn play(wanted: &Wanted) -> Match {
    let mut dice = Dice::new(wanted.number, 0);
    let mut stage = Stage::default();
    let mut scorer = Scorer::singles(RULES, FIRST_SERVER, A_STARTS);
    let (mut points, mut pauses) = (Vec::new(), Vec::new());
    let mut start = if wanted.brisk { 5.0 } else { 8.0 };
    let mut games = 0;
    take_places(&mut stage, &setting(&scorer.state(), start, wanted.brisk));
    loop {
        let state = scorer.state();
        let played = rally::play(&mut dice, &mut stage, setting(&state, start, wanted.brisk));
        scorer.award(played.winner);
        let next = scorer.state();
        games += u32::from((next.set, next.game) != (state.set, state.game));
        points.push(point(points.len(), &state, &played, start));
        let full = |n: u32, most: Option<u32>| most.is_some_and(|m| n >= m);
        if scorer.finished() || full(games, wanted.games) || full(points.len() as u32, wanted.points) {
            stage.end = played.end + if wanted.brisk { 3.0 } else { 6.0 };
            stage.noises.sort_by(|a, b| a.t.total_cmp(&b.t));
            return Match { points, stage, pauses };
        }
        let changes = next.a_end != state.a_end;
        let dead = dice.dead_time(played.strikes.len(), changes, wanted.brisk);
        start = to_millis(played.end + dead);
        pauses.push(played.end + dead * 0.45);
        between(&mut stage, &played, &state, &setting(&next, start, wanted.brisk), changes);
    }
}

fn setting(state: &PointState, start: f64, brisk: bool) -> Setting {
    Setting { start, server: state.server, court: court(state), server_end: server_end(state), brisk }
}

/// Under the rules of this match the court always follows from the score.
fn court(state: &PointState) -> CourtSide {
    state.side.unwrap_or(CourtSide::Deuce)
}

/// All of the match is played before us, so that the ends always follow from the score.
fn a_end(state: &PointState) -> End {
    state.a_end.unwrap_or(A_STARTS)
}

fn server_end(state: &PointState) -> End {
    if state.server == Side::A { a_end(state) } else { a_end(state).other() }
}

fn point(before: usize, state: &PointState, played: &Played, start: f64) -> Point {
    Point {
        number: before as u32 + 1,
        span: Span::lasting(clock(start), clock(played.end) - clock(start)),
        server: state.server,
        court_side: court(state),
        server_end: server_end(state),
        score: Score {
            sets: state.sets.iter().map(|s| s.games).collect(),
            games: state.games,
            called: state.called.server_first(state.server),
        },
        strikes: played.strikes.clone(),
        winner: played.winner,
        ending: played.ending,
        tags: played.tags.clone(),
    }
}

/// Both players are near their places when the footage begins.
fn take_places(stage: &mut Stage, set: &Setting) {
    let places = rally::serve_places(set, false);
    for (side, at) in [(set.server, places[0]), (set.server.other(), places[1])] {
        stage.players[side.index()].go(0.0, [at[0] * 0.5, at[1] * 1.08], true);
    }
}

/// What both do from the end of a point to the next: rest, fetch the ball, walk to their places, change ends.
fn between(stage: &mut Stage, played: &Played, before: &PointState, next: &Setting, changes: bool) {
    let (rest, still) = played.rest;
    let lead = if next.brisk { 3.3 } else { 5.0 };
    let fetcher_is_near = rest[1] < 0.0;
    let places = rally::serve_places(next, false);
    let mut fetched = None;
    for (side, place) in [(next.server, places[0]), (next.server.other(), places[1])] {
        let end = if side == Side::A { a_end(before) } else { a_end(before).other() };
        let ready = next.start - lead + if side == next.server { 0.0 } else { 1.2 };
        let track = &mut stage.players[side.index()];
        let from = track.last().1.max(played.end + 0.3);
        let ball = rest_beside(rest);
        let detour = dist(track.last().0, ball) + dist(ball, place);
        let fetches = (end == End::Near) == fetcher_is_near && (changes || detour < JOG * (ready - from));
        let mut way = Vec::new();
        if fetches {
            way.push((ball, 0.6));
        }
        if changes {
            way.extend(round_the_post(end, side));
        } else if !fetches && !next.brisk {
            way.push((own(end, [own(end, place)[0] * 0.4, -14.2]), 1.0));
        }
        way.push((place, 0.0));
        let first = walk(track, &way, from, ready);
        if fetches {
            fetched = Some(first.max(still.min(ready)));
        }
    }
    let taken = fetched.unwrap_or(still).min(next.start - lead);
    take_away(&mut stage.ball, rest, taken);
}

/// The ball lies at rest until it is taken, and is gone from then on.
fn take_away(ball: &mut Vec<Piece>, rest: [f64; 3], taken: f64) {
    ball.retain(|p| p.t0 < taken);
    if let Some(last) = ball.last_mut() {
        if last.t1 < taken && !matches!(last.path, Path::Fly(_)) {
            let t0 = last.t1;
            ball.push(Piece { t0, t1: taken, path: Path::Hand(rest, rest) });
        } else {
            last.t1 = last.t1.min(taken);
        }
    }
}

/// A step short of the ball, on the court side.
fn rest_beside(rest: [f64; 3]) -> [f64; 2] {
    [rest[0] - 0.35 * rest[0].signum(), (rest[1] - 0.3 * rest[1].signum()).clamp(-14.8, 16.8)]
}

/// Past the net post with a rest at the bench; the two keep out of each other's way.
fn round_the_post(from: End, side: Side) -> [([f64; 2], f64); 3] {
    let x = if side == Side::A { -7.4 } else { -8.1 };
    let y = if from == End::Near { -1.8 } else { 1.8 };
    [([x, y], 30.0), ([x, 0.0], 0.0), ([x, -y], 0.0)]
}

/// Walks through places, resting at each as its weight says with the time that is left; says when the first place
/// is reached.
fn walk(track: &mut Track, way: &[([f64; 2], f64)], from: f64, ready: f64) -> f64 {
    let mut here = track.last().0;
    let mut length = 0.0;
    for (place, _) in way {
        length += dist(here, *place);
        here = *place;
    }
    let time = (ready - from).max(0.5);
    let speed = (length / (time * 0.85)).max(WALK);
    let spare = (time - length / speed).max(0.0);
    let first_pause = spare.min(1.2);
    let weights: f64 = way.iter().map(|w| w.1).sum::<f64>() + 0.5;
    let mut t = from + first_pause;
    track.stay(t);
    let mut first = None;
    for (place, weight) in way {
        t += dist(track.last().0, *place) / speed + 0.01;
        track.go(t, *place, true);
        first.get_or_insert(t);
        t += (spare - first_pause) * weight / weights;
        track.stay(t);
    }
    track.stay(ready);
    first.unwrap_or(t)
}

#[cfg(test)]
#[path = "play_tests.rs"]
mod tests;
