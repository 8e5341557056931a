//! The match with its pauses cut out, as edited footage has it: which parts of the match the footage shows, one after another.

use super::play::Match;
use super::truth::Point;
use crate::time::{MatchTime, Span};

/// What is kept before and after each point, nanoseconds.
pub(super) const BEFORE: u64 = 1_200_000_000;
pub(super) const AFTER: u64 = 800_000_000;

/// A part of a match without a cut: of which match, from 0, and where it begins in the footage and in the match, nanoseconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Piece {
    pub game: usize,
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
        pieces.push(Piece { game: 0, shown, played });
        next = moments.partition_point(|m| *m < shown + length).min(moments.len() - 1);
    }
    moments.truncate(next + 1);
    pieces
}

/// A point with its times in the footage.
pub(super) fn moved(point: &Point, by: &Piece) -> Point {
    // A point that is joined late begins before its piece does, perhaps before the footage: such times are cut off with it.
    let moved = |t: MatchTime| MatchTime::from_nanos((t.nanos() + by.shown).saturating_sub(by.played));
    let mut point = point.clone();
    let end = moved(point.span.end());
    let start = moved(point.span.start());
    point.span = Span::lasting(start, end - start);
    for strike in &mut point.strikes {
        (strike.time, strike.fate_time) = (moved(strike.time), moved(strike.fate_time));
    }
    point
}

/// The points with their times in the footage.
pub(super) fn points(game: &Match, pieces: &[Piece]) -> Vec<Point> {
    game.points.iter().zip(pieces).map(|(point, piece)| moved(point, piece)).collect()
}

/// The cuts: where each piece but the first begins in the footage.
pub(super) fn cuts(pieces: &[Piece]) -> Vec<MatchTime> {
    pieces.iter().skip(1).map(|p| MatchTime::from_nanos(p.shown)).collect()
}
