//! The facts by which points are told apart.

use std::cmp::Ordering;

use super::facets::standing;
use crate::facts::{Band, Goes, PointFacts, ShotFacts};
use crate::tennis::stroke::{Column, Depth, ServeTo, Stroke, Wing};
use crate::tennis::{CourtSide, Side};

/// A fact that makes rows: one for each of its values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// First or second serve.
    ServeNumber,
    /// Where the serve in play went.
    ServeDirection,
    /// Where a serve that was tried, the first or the second, to this court, went: in or out.
    Tried(u8, CourtSide),
    /// The court served from.
    Court,
    /// How deep the return landed.
    ReturnDepth,
    /// The third of the court in which the return landed, as the receiver sees it.
    ReturnThird,
    /// The wing that played the return.
    ReturnWing,
    /// Where the serve plus one went, seen from the receiver.
    PlusOne,
    /// Shots.
    Rally,
    /// The wing that played the last shot.
    LastWing,
    /// The stroke of the last shot.
    LastStroke,
    /// The set.
    Set,
    /// How one stands in the game.
    Standing,
    /// Whether the point matters.
    Important,
    /// Whether the receiver can win the game.
    BreakPoint,
    /// Whether it is a tie-break.
    TieBreak,
}

/// Which row a point belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Value {
    /// The row at this place.
    Is(usize),
    /// None: it has no such shot.
    Outside,
    /// The record does not say.
    Unknown,
}

impl From<Option<usize>> for Value {
    fn from(value: Option<usize>) -> Self {
        value.map_or(Self::Unknown, Self::Is)
    }
}

impl By {
    /// Each with its words, as in a question file and over a table.
    pub(super) const WORDS: [(&'static str, Self); 19] = [
        ("serve number", Self::ServeNumber),
        ("serve direction", Self::ServeDirection),
        ("first serve, deuce court", Self::Tried(1, CourtSide::Deuce)),
        ("first serve, ad court", Self::Tried(1, CourtSide::Ad)),
        ("second serve, deuce court", Self::Tried(2, CourtSide::Deuce)),
        ("second serve, ad court", Self::Tried(2, CourtSide::Ad)),
        ("court", Self::Court),
        ("return depth", Self::ReturnDepth),
        ("return direction", Self::ReturnThird),
        ("return side", Self::ReturnWing),
        ("serve plus one", Self::PlusOne),
        ("rally length", Self::Rally),
        ("side of the last shot", Self::LastWing),
        ("stroke of the last shot", Self::LastStroke),
        ("set", Self::Set),
        ("score in the game", Self::Standing),
        ("big points", Self::Important),
        ("break point", Self::BreakPoint),
        ("tie-break", Self::TieBreak),
    ];

    /// Words of older question files.
    pub(super) const OLD: [(&'static str, Self); 6] = [
        ("return third", Self::ReturnThird),
        ("return wing", Self::ReturnWing),
        ("last wing", Self::LastWing),
        ("last stroke", Self::LastStroke),
        ("standing", Self::Standing),
        ("important", Self::Important),
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        Self::WORDS.iter().find(|(_, by)| *by == self).map_or("", |(word, _)| word)
    }

    /// What is true of the points in no row, after their number: `ended before shot 3 landed`.
    pub(super) const fn outside_words(self) -> &'static str {
        match self {
            Self::Tried(1, CourtSide::Deuce) => "had no first serve to the deuce court",
            Self::Tried(1, _) => "had no first serve to the ad court",
            Self::Tried(_, CourtSide::Deuce) => "had no second serve to the deuce court",
            Self::Tried(..) => "had no second serve to the ad court",
            Self::ReturnDepth => "had no return in play",
            Self::ReturnThird => "had no return, or a missed return without a known aim",
            Self::ReturnWing => "had no return",
            Self::PlusOne => "had no shot 3, or a missed shot 3 without a known aim",
            Self::LastWing | Self::LastStroke => "ended with the serve",
            _ => "had no serve in play",
        }
    }

    /// What points lack of which the row is not known: `serve direction`.
    pub(super) fn lacking(self) -> &'static str {
        match self {
            Self::Tried(..) => "serve direction",
            Self::ReturnWing => "forehand or backhand for the return",
            Self::LastWing => "forehand or backhand for the last shot",
            Self::LastStroke => "stroke for the last shot",
            Self::PlusOne => "direction for shot 3, or no known open court",
            Self::Court
            | Self::Set
            | Self::Standing
            | Self::Important
            | Self::BreakPoint
            | Self::TieBreak => "known score",
            _ => self.words(),
        }
    }

    /// Its rows.
    pub(super) fn rows(self) -> Vec<&'static str> {
        match self {
            Self::ServeNumber => vec!["first serve", "second serve"],
            Self::ServeDirection | Self::Tried(..) => ServeTo::WORDS.map(|w| w.0).to_vec(),
            Self::Court => [CourtSide::Deuce, CourtSide::Ad].map(CourtSide::words).to_vec(),
            Self::ReturnDepth => Depth::WORDS.map(|w| w.0).to_vec(),
            Self::ReturnThird => vec!["left", "middle", "right"],
            Self::ReturnWing | Self::LastWing => vec!["forehand", "backhand"],
            Self::PlusOne => Goes::WORDS.map(|w| w.0).to_vec(),
            Self::Rally => Band::WORDS.map(|w| w.1.words()).to_vec(),
            Self::LastStroke => Stroke::WORDS.map(|w| w.0).to_vec(),
            Self::Set => vec!["set 1", "set 2", "set 3", "set 4", "set 5"],
            Self::Standing => vec!["behind", "level", "ahead"],
            Self::Important => vec!["big points", "other points"],
            Self::BreakPoint => {
                vec![
                    "break points to save",
                    "other points served",
                    "break points to convert",
                    "other points returned",
                ]
            }
            Self::TieBreak => vec!["tie-break", "no tie-break"],
        }
    }

    /// Whether the players choose it, as they do a direction, and not the score.
    pub(super) const fn chosen(self) -> bool {
        !matches!(
            self,
            Self::ServeNumber
                | Self::Court
                | Self::Set
                | Self::Standing
                | Self::Important
                | Self::BreakPoint
                | Self::TieBreak
        )
    }

    /// Whether its rows are told by where a shot went, which is that shot's number from 0; and whether it has to land for that.
    const fn goes_by(self) -> Option<(usize, bool)> {
        match self {
            Self::ReturnDepth => Some((1, true)),
            Self::ReturnThird => Some((1, false)),
            Self::PlusOne => Some((2, false)),
            _ => None,
        }
    }

    /// Whether the point is in no row because the shot missed, and where it was aimed is not known or does not tell.
    pub(super) fn is_missed(self, f: &PointFacts) -> bool {
        let Some((n, lands)) = self.goes_by().filter(|_| !f.joined_late) else { return false };
        f.shots.get(n).is_some_and(|s| s.missed == Some(true) && (lands || s.direction.is_none()))
    }

    /// Whether the point's row is known by where a missed shot was aimed.
    pub(super) fn is_aimed(self, f: &PointFacts) -> bool {
        self.goes_by()
            .is_some_and(|(n, lands)| !lands && f.shots.get(n).is_some_and(|s| s.missed == Some(true)))
    }

    /// Whether the row of a point was not seen, but follows from the shots before.
    pub(super) fn is_estimated(self, f: &PointFacts) -> bool {
        self == Self::PlusOne && f.shots.get(2).and_then(|s| s.goes).is_some_and(|g| g.estimated)
    }

    /// Whether the score makes it, which the points before have made: in a match in which a player happens to win much there are
    /// more points ahead, and fewer wins are left for them. Compared match by match, a score seems to matter less than it does, or
    /// the other way round (as after streaks: Miller & Sanjurjo 2018, *Econometrica* 86:2019).
    pub(super) const fn is_score(self) -> bool {
        matches!(self, Self::Standing | Self::Important | Self::BreakPoint | Self::TieBreak | Self::Set)
    }

    /// Whether the points of one row are among the others of another: break points to save are compared with points served.
    pub(super) fn is_compared(self, row: usize, with: usize) -> bool {
        self != Self::BreakPoint || row / 2 == with / 2
    }

    /// The row of a point, as this side sees it.
    pub(super) fn of(self, f: &PointFacts, side: Option<Side>) -> Value {
        let yes_no = |x: Option<bool>| x.map(|x| usize::from(!x)).into();
        // A fault before a penalty was served all the same: `tried` looks for it.
        let played = (self.chosen() || self == Self::ServeNumber) && !matches!(self, Self::Tried(..));
        if f.penalty.is_some() && played {
            return Value::Outside;
        }
        match self {
            Self::ServeNumber => f.serve.map(|n| usize::from(n == 2)).into(),
            Self::ServeDirection => shot(f, 0, |s| s.serve_to.map(|to| to as usize)),
            Self::Tried(serve, court) => tried(f, serve, court),
            Self::Court => f.court.map(|c| c as usize).into(),
            Self::ReturnDepth => landed(f, 1, |s| s.depth.map(|d| d as usize)),
            Self::ReturnThird => went(f, 1, |s| s.direction.map(|c: Column| c as usize)),
            Self::ReturnWing => shot(f, 1, |s| s.wing.map(wing)),
            Self::PlusOne => went(f, 2, |s| s.goes.map(|g| g.value as usize)),
            Self::Rally => rally(f),
            Self::LastWing => last(f).map_or_else(|v| v, |n| shot(f, n, |s| s.wing.map(wing))),
            Self::LastStroke => last(f).map_or_else(|v| v, |n| shot(f, n, |s| s.stroke.map(|x| x as usize))),
            Self::Set => f.set.map(|n| n.clamp(1, 5) - 1).into(),
            Self::Standing => standing(f.standing, f.server, side).map(place).into(),
            Self::Important => yes_no(f.important),
            // Saved and converted are two things: put together they would say who serves better.
            Self::BreakPoint => f
                .break_point
                .zip(f.server)
                .map(|(is, server)| 2 * usize::from(side.is_some_and(|s| s != server)) + usize::from(!is))
                .into(),
            Self::TieBreak => yes_no(f.tie_break),
        }
    }
}

const fn wing(wing: Wing) -> usize {
    match wing {
        Wing::Forehand => 0,
        Wing::Backhand => 1,
    }
}

/// Behind, level, ahead.
pub(super) const fn place(standing: Ordering) -> usize {
    match standing {
        Ordering::Less => 0,
        Ordering::Equal => 1,
        Ordering::Greater => 2,
    }
}

/// What is known of a shot, from 0; outside when it was not struck.
pub(super) fn shot(f: &PointFacts, n: usize, of: impl Fn(&ShotFacts) -> Option<usize>) -> Value {
    match (f.shots.get(n), f.length) {
        // Which number a shot had is not known.
        _ if f.joined_late => Value::Unknown,
        (Some(s), _) => of(s).into(),
        (None, Some(length)) if length <= n => Value::Outside,
        (None, _) => Value::Unknown,
    }
}

/// As [`shot`], of where it landed: outside when it missed. Whether the last shot logged missed may not be known.
pub(super) fn landed(f: &PointFacts, n: usize, of: impl Fn(&ShotFacts) -> Option<usize>) -> Value {
    match f.shots.get(n).filter(|_| !f.joined_late).map(|s| s.missed) {
        Some(Some(true)) => Value::Outside,
        Some(None) => Value::Unknown,
        _ => shot(f, n, of),
    }
}

/// As [`shot`], of where it went: landed, or, missed, was aimed. Outside when it missed and where it was aimed is not known.
fn went(f: &PointFacts, n: usize, of: impl Fn(&ShotFacts) -> Option<usize>) -> Value {
    match f.shots.get(n).filter(|_| !f.joined_late) {
        Some(s) if s.missed == Some(true) && s.direction.is_none() => Value::Outside,
        _ => shot(f, n, of),
    }
}

/// The last shot, from 0, when it is known which one that is and that it is no serve alone.
pub(super) fn last(f: &PointFacts) -> Result<usize, Value> {
    match f.length {
        None => Err(Value::Unknown),
        // A serve has no wing; aces and double faults are asked of elsewhere.
        Some(0 | 1) => Err(Value::Outside),
        Some(n) => Ok(n - 1),
    }
}

fn rally(f: &PointFacts) -> Value {
    let of = |lengths| Band::within(&lengths).map(|b| b as usize).into();
    if f.length == Some(0) { Value::Outside } else { of(f.lengths()) }
}

/// The direction of a serve that was tried; a second one is not when the first is in.
pub(super) fn tried(f: &PointFacts, serve: u8, court: CourtSide) -> Value {
    match f.court {
        None => return Value::Unknown,
        Some(c) if c != court => return Value::Outside,
        Some(_) => {}
    }
    if serve == 2 && f.serve == Some(1) {
        return Value::Outside;
    }
    match f.serves[usize::from(serve == 2)] {
        None if f.penalty.is_some() => Value::Outside,
        tried => tried.and_then(|s| s.to).map(|to| to as usize).into(),
    }
}
