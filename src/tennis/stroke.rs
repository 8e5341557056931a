//! The words for a stroke: what was struck, how, and where it went.
//!
//! A cell of the court is what the camera sees: columns from its left to its right, rows away from it. What a cell means to a
//! player (deep, wide, cross-court) depends on the end and is worked out in `facts`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::court::{HALF_LENGTH, Metres, SERVICE_LINE};
use super::{CourtSide, End};

/// The stroke, whichever wing. A serve is shot 1 and has none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Stroke {
    /// After the bounce; none of the other strokes.
    Groundstroke,
    /// Before the bounce; a half volley too.
    Volley,
    /// Above the head, other than a serve.
    Overhead,
    /// High over an opponent.
    Lob,
    /// Just over the net.
    DropShot,
}

impl Stroke {
    /// Each with its word.
    pub const WORDS: [(&'static str, Self); 5] = [
        ("groundstroke", Self::Groundstroke),
        ("volley", Self::Volley),
        ("overhead", Self::Overhead),
        ("lob", Self::Lob),
        ("drop shot", Self::DropShot),
    ];

    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// The kind of volley, if it was not a plain one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum VolleyKind {
    /// Just after the bounce.
    Half,
    /// Before the bounce, with a full swing.
    Swinging,
}

impl VolleyKind {
    /// Each with its words.
    pub const WORDS: [(&'static str, Self); 2] =
        [("half volley", Self::Half), ("swinging volley", Self::Swinging)];

    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// Why a serve was a fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum FaultKind {
    /// Into the net.
    Net,
    /// Beyond the service line.
    Long,
    /// Beside the box.
    Wide,
    /// The server's foot touched what it may not (ITF Rules of Tennis, rule 18).
    Foot,
}

impl FaultKind {
    /// Each with its words.
    pub const WORDS: [(&'static str, Self); 4] =
        [("net", Self::Net), ("long", Self::Long), ("wide", Self::Wide), ("foot fault", Self::Foot)];

    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

impl From<Miss> for FaultKind {
    fn from(miss: Miss) -> Self {
        match miss {
            Miss::Net => Self::Net,
            Miss::Long => Self::Long,
            Miss::Wide => Self::Wide,
        }
    }
}

/// How the ball turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Spin {
    /// Little.
    Flat,
    /// Forward; of a serve, a kick serve too.
    Topspin,
    /// Backward or sideways.
    Slice,
}

impl Spin {
    /// Each with its word.
    pub const WORDS: [(&'static str, Self); 3] =
        [("flat", Self::Flat), ("topspin", Self::Topspin), ("slice", Self::Slice)];

    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// The pace of a serve, as a coach sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Pace {
    /// Well under the server's usual pace.
    Slow,
    /// The usual pace.
    Medium,
    /// Well over it.
    Fast,
}

impl Pace {
    /// Each with its word.
    pub const WORDS: [(&'static str, Self); 3] =
        [("slow", Self::Slow), ("medium", Self::Medium), ("fast", Self::Fast)];

    /// In words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// Where the server stands along the baseline.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Stance {
    /// By the centre mark.
    Centre,
    /// Halfway to the sideline.
    Halfway,
    /// By the sideline.
    Wide,
}

impl Stance {
    /// Each with its words.
    pub const WORDS: [(&'static str, Self); 3] = [
        ("by the centre mark", Self::Centre),
        ("halfway to the sideline", Self::Halfway),
        ("by the sideline", Self::Wide),
    ];

    /// In words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// The side of the body that a ball is struck on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Wing {
    /// The racket hand's side.
    Forehand,
    /// The other side.
    Backhand,
}

impl Wing {
    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Forehand => "forehand",
            Self::Backhand => "backhand",
        }
    }

    /// The other wing.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Forehand => Self::Backhand,
            Self::Backhand => Self::Forehand,
        }
    }
}

/// Where a missed ball went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Miss {
    /// Into the net.
    Net,
    /// Beyond the baseline, or of a serve the service line.
    Long,
    /// Beside the sideline.
    Wide,
}

impl Miss {
    /// A shot that went long and wide at once.
    pub const LONG_AND_WIDE: &'static str = "long and wide";

    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Net => "net",
            Self::Long => "long",
            Self::Wide => "wide",
        }
    }

    /// Of the shot that missed: where it went.
    pub const fn of_the_shot(self) -> &'static str {
        match self {
            Self::Net => "into the net",
            Self::Long => "long",
            Self::Wide => "wide",
        }
    }
}

/// A third of the width, as the camera sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Column {
    /// The camera's left.
    Left,
    /// The middle.
    Middle,
    /// The camera's right.
    Right,
}

impl Column {
    /// From left to right.
    pub const ALL: [Self; 3] = [Self::Left, Self::Middle, Self::Right];

    /// As the camera sees it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Middle => "middle",
            Self::Right => "right",
        }
    }

    /// The column across.
    #[must_use]
    pub const fn mirrored(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Middle => Self::Middle,
            Self::Right => Self::Left,
        }
    }
}

/// A part of the length of a half court, as the camera sees it: short, mid or deep.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Row {
    /// Away from the camera.
    Up,
    /// Between.
    Middle,
    /// Toward the camera.
    Down,
}

impl Row {
    /// From the far row to the near one.
    pub const ALL: [Self; 3] = [Self::Up, Self::Middle, Self::Down];
}

/// One of the nine cells of the half court in which a ball landed, as the camera sees it. Of a serve, a third of the box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cell {
    /// The third of the court's width; for a serve, of the box's width.
    pub column: Column,
    /// The part of its length, in the bounds of [`Depth`]; a serve has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row: Option<Row>,
}

/// How far from the net a shot landed: one definition, of keyed and of measured shots (common practice of charting; no source).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Depth {
    /// Before the service line, 6.40 m from the net.
    Short,
    /// Between.
    Mid,
    /// In the back half between service line and baseline, from 9.14 m on.
    Deep,
}

impl Depth {
    /// Each with its word.
    pub const WORDS: [(&'static str, Self); 3] =
        [("short", Self::Short), ("mid", Self::Mid), ("deep", Self::Deep)];

    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }

    /// The definition, as shown on the screen.
    pub const DEFINITION: &'static str = "Short lands before the service line, deep in the back half from there to the \
        baseline (from 9.14 m from the net), mid between.";

    /// From where to where it reaches, from the net.
    pub fn bounds(self) -> [Metres; 2] {
        let deep = (SERVICE_LINE + HALF_LENGTH) * 0.5;
        match self {
            Self::Short => [Metres(0.0), SERVICE_LINE],
            Self::Mid => [SERVICE_LINE, deep],
            Self::Deep => [deep, HALF_LENGTH],
        }
    }

    /// The depth of a landing so far from the net; beyond the baseline it is the deepest.
    pub fn at(from_net: Metres) -> Self {
        let within = |d: &Self| from_net <= d.bounds()[1];
        [Self::Short, Self::Mid].into_iter().find(within).unwrap_or(Self::Deep)
    }

    /// The row of a depth in the half at `end`.
    pub fn row(self, end: End) -> Row {
        Row::ALL.into_iter().find(|r| Self::of(*r, end) == self).unwrap_or(Row::Middle)
    }

    /// The depth of a row in the half at `end`: at the far end, up is deep.
    pub const fn of(row: Row, end: End) -> Self {
        match (row, end) {
            (Row::Middle, _) => Self::Mid,
            (Row::Up, End::Near) | (Row::Down, End::Far) => Self::Short,
            (Row::Up, End::Far) | (Row::Down, End::Near) => Self::Deep,
        }
    }
}

/// Where a serve goes in its box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
pub enum ServeTo {
    /// The third along the singles sideline.
    #[serde(rename = "wide")]
    Wide,
    /// The middle third.
    #[serde(rename = "body")]
    Body,
    /// The third along the centre line.
    #[serde(rename = "T")]
    T,
}

impl ServeTo {
    /// Each with its word.
    pub const WORDS: [(&'static str, Self); 3] = [("wide", Self::Wide), ("body", Self::Body), ("T", Self::T)];

    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }

    /// What a third of the box means to a server at `end` who serves to `court`. From the near end the deuce court's
    /// box lies on the camera's left, and its left third is the one along the sideline; each other box mirrors that.
    pub const fn of(third: Column, end: End, court: CourtSide) -> Self {
        let box_on_left = matches!((end, court), (End::Near, CourtSide::Deuce) | (End::Far, CourtSide::Ad));
        match (third, box_on_left) {
            (Column::Middle, _) => Self::Body,
            (Column::Left, true) | (Column::Right, false) => Self::Wide,
            (Column::Right, true) | (Column::Left, false) => Self::T,
        }
    }

    /// The third of the box that this direction is, from `end` to `court`.
    pub fn third(self, end: End, court: CourtSide) -> Column {
        Column::ALL.into_iter().find(|c| Self::of(*c, end, court) == self).unwrap_or(Column::Middle)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked out on paper from the court's plan: the receiver's deuce court lies diagonally across the net.
    #[test]
    fn thirds_of_the_box_by_end_and_court() {
        use {Column as C, CourtSide as K, ServeTo as S};
        for (end, court, left, right) in [
            (End::Near, K::Deuce, S::Wide, S::T),
            (End::Near, K::Ad, S::T, S::Wide),
            (End::Far, K::Deuce, S::T, S::Wide),
            (End::Far, K::Ad, S::Wide, S::T),
        ] {
            assert_eq!(S::of(C::Left, end, court), left, "{end:?} {court:?}");
            assert_eq!(S::of(C::Right, end, court), right, "{end:?} {court:?}");
            assert_eq!(S::of(C::Middle, end, court), S::Body);
            for to in [S::Wide, S::Body, S::T] {
                assert_eq!(S::of(to.third(end, court), end, court), to);
            }
        }
    }

    #[test]
    fn rows_by_end() {
        assert_eq!(Depth::of(Row::Up, End::Near), Depth::Short);
        assert_eq!(Depth::of(Row::Up, End::Far), Depth::Deep);
        assert_eq!(Depth::of(Row::Down, End::Near), Depth::Deep);
    }

    #[test]
    fn words_stand_in_the_order_of_their_values() {
        assert!(Stroke::WORDS.iter().all(|(w, s)| s.words() == *w));
        assert!(Spin::WORDS.iter().all(|(w, s)| s.words() == *w));
        assert!(VolleyKind::WORDS.iter().all(|(w, s)| s.words() == *w));
        assert!(FaultKind::WORDS.iter().all(|(w, s)| s.words() == *w));
        assert!(Pace::WORDS.iter().all(|(w, s)| s.words() == *w));
        assert!(Stance::WORDS.iter().all(|(w, s)| s.words() == *w));
        assert!(Depth::WORDS.iter().all(|(w, s)| s.words() == *w));
        assert!(ServeTo::WORDS.iter().all(|(w, s)| s.words() == *w));
    }
}
