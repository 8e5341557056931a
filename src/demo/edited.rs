//! The match with its pauses cut out, as edited footage has it: which parts of the match the footage shows, one after another.

use super::play::Match;
use super::truth::Point;
use crate::time::{MatchTime, Span};

/// What is kept before and after each point, nanoseconds.
const BEFORE: u64 = 1_200_000_000;
const AFTER: u64 = 800_000_000;

/// A part of the match without a cut: where it begins in the footage, and in the match, nanoseconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Piece {
    pub shown: u64,
    pub played: u64,
}

/// The pieces of a match, one for each point, of footage with frames at these moments; the frames that are not needed are taken
/// away. A piece begins with a frame.
pub(super) fn pieces(game: &Match, moments: &mut Vec<u64>) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut next = 0;
    for point in &game.points {
        let played = point.span.start().nanos().saturating_sub(BEFORE);
        let length = point.span.end().nanos() + AFTER - played;
        let shown = moments[next];
        pieces.push(Piece { shown, played });
        next = moments.partition_point(|m| *m < shown + length).min(moments.len() - 1);
    }
    moments.truncate(next + 1);
    pieces
}

/// When a moment of the footage was played.
pub(super) fn played(pieces: &[Piece], shown: u64) -> u64 {
    let n = pieces.partition_point(|p| p.shown <= shown).saturating_sub(1);
    pieces.get(n).map_or(shown, |p| p.played + (shown - p.shown))
}

/// The points with their times in the footage.
pub(super) fn points(game: &Match, pieces: &[Piece]) -> Vec<Point> {
    let moved = |t: MatchTime, by: &Piece| MatchTime::from_nanos(t.nanos() - by.played + by.shown);
    let point = |(point, by): (&Point, &Piece)| {
        let mut point = point.clone();
        point.span = Span::lasting(moved(point.span.start(), by), point.span.length());
        for strike in &mut point.strikes {
            (strike.time, strike.fate_time) = (moved(strike.time, by), moved(strike.fate_time, by));
        }
        point
    };
    game.points.iter().zip(pieces).map(point).collect()
}

/// The cuts: where each piece but the first begins in the footage.
pub(super) fn cuts(pieces: &[Piece]) -> Vec<MatchTime> {
    pieces.iter().skip(1).map(|p| MatchTime::from_nanos(p.shown)).collect()
}
