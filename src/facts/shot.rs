//! The facts of one shot: types. `balls` works them out from what was seen.

use std::time::Duration;

use crate::tennis::stroke::{Cell, Column, Depth, FaultKind, Pace, ServeTo, Spin, Stroke, VolleyKind, Wing};
use crate::tennis::{End, Side};

/// A fact that may have been measured or seen, or estimated from the shots before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Fact<T> {
    /// The value.
    pub value: T,
    /// Whether it was estimated, not seen.
    pub estimated: bool,
}

impl<T> Fact<T> {
    /// Seen or measured.
    pub const fn seen(value: T) -> Self {
        Self { value, estimated: false }
    }

    /// Estimated.
    pub const fn estimated(value: T) -> Self {
        Self { value, estimated: true }
    }

    /// The same certainty for another value.
    pub fn map<U>(self, of: impl FnOnce(T) -> U) -> Fact<U> {
        Fact { value: of(self.value), estimated: self.estimated }
    }
}

/// The line on which a shot goes, from where it was struck to where it lands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Lane {
    /// From a side to the other side.
    CrossCourt,
    /// Along the side on which it was struck.
    DownTheLine,
    /// To the middle third, from wherever.
    Middle,
    /// A forehand from the backhand side, across.
    InsideOut,
    /// A forehand from the backhand side, along that side.
    InsideIn,
}

impl Lane {
    /// Each with its words.
    pub const WORDS: [(&'static str, Self); 5] = [
        ("cross-court", Self::CrossCourt),
        ("down the line", Self::DownTheLine),
        ("middle", Self::Middle),
        ("inside-out", Self::InsideOut),
        ("inside-in", Self::InsideIn),
    ];

    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// Where a shot goes, seen from the opponent's place when it is struck.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Goes {
    /// The opponent is on one side, it lands in the other side's third.
    OpenCourt,
    /// The opponent is on one side, it lands in that side's third: back where they came from.
    Behind,
    /// It lands in the middle third.
    Middle,
}

impl Goes {
    /// Each with its words.
    pub const WORDS: [(&'static str, Self); 3] =
        [("open court", Self::OpenCourt), ("behind", Self::Behind), ("middle", Self::Middle)];

    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// The part of the opponent that a shot goes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Target {
    /// The forehand.
    Forehand,
    /// The backhand.
    Backhand,
    /// The body: a serve into the middle third of the box.
    Body,
}

impl Target {
    /// Each with its word.
    pub const WORDS: [(&'static str, Self); 3] =
        [("forehand", Self::Forehand), ("backhand", Self::Backhand), ("body", Self::Body)];

    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

impl From<Wing> for Target {
    fn from(wing: Wing) -> Self {
        match wing {
            Wing::Forehand => Self::Forehand,
            Wing::Backhand => Self::Backhand,
        }
    }
}

/// What a shot does to the opponent's depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Push {
    /// Brought in: the opponent strikes it a metre or more nearer the net than their strike before. Estimated: it is less deep
    /// than the shot that the opponent had to play before.
    In,
    /// Pushed back: a metre or more farther. Estimated: it is deeper.
    Back,
    /// Neither.
    Held,
}

impl Push {
    /// Each with its word.
    pub const WORDS: [(&'static str, Self); 3] =
        [("in", Self::In), ("back", Self::Back), ("held", Self::Held)];

    /// In words, of the opponent.
    pub const fn words(self) -> &'static str {
        match self {
            Self::In => "brings the opponent in",
            Self::Back => "pushes the opponent back",
            Self::Held => "leaves the opponent's depth as it was",
        }
    }
}

/// What is known of one shot. `None` is "not known", never "no".
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ShotFacts {
    /// Who struck it.
    pub by: Option<Side>,
    /// The end from which it was struck; it lands in the other half.
    pub end: Option<End>,
    /// The stroke. A serve has none; for a shot that was not seen it is unknown.
    pub stroke: Option<Stroke>,
    /// The kind of volley, if it was not a plain one.
    pub volley: Option<VolleyKind>,
    /// The wing.
    pub wing: Option<Wing>,
    /// The spin.
    pub spin: Option<Spin>,
    /// The pace of a serve.
    pub pace: Option<Pace>,
    /// Whether the striker came to the net behind it. It is no only if the stroke, or the direction of the serve, was logged:
    /// then the coach could have pressed the approach key.
    pub approach: Option<bool>,
    /// Whether the striker stood at the net: noted, or measured to be nearer to it than the service line. Without either it is no only
    /// if the stroke was logged.
    pub at_net: Option<bool>,
    /// Whether it touched the net and went over. It is no only if the stroke, or the direction of the serve, was logged.
    pub net_cord: Option<bool>,
    /// The cell in which it landed, as the camera sees it: seen, or worked out from a measured landing.
    pub cell: Option<Cell>,
    /// The third of the court's width in which it landed, as its striker sees it.
    pub column: Option<Column>,
    /// The third toward which it went, as its striker sees it: where it landed or, for a missed shot, where it was aimed.
    pub direction: Option<Column>,
    /// How deep it landed.
    pub depth: Option<Depth>,
    /// Where a serve went in its box.
    pub serve_to: Option<ServeTo>,
    /// Which wing of the opponent, or the body, it went to. For a serve, by its direction, the court and the hand. For another
    /// shot, the wing that played it, else estimated by the side on which it landed.
    pub target: Option<Fact<Target>>,
    /// Its line; for a missed shot, the line on which it was aimed. A serve has none.
    pub lane: Option<Fact<Lane>>,
    /// Where it went, as the opponent sees it; for a missed shot, where it was aimed. A serve has none.
    pub goes: Option<Fact<Goes>>,
    /// What it did to the opponent's depth.
    pub push: Option<Fact<Push>>,
    /// Whether it was struck from inside the baseline. Estimated: yes if the shot that it answers was short, no if
    /// it was deep.
    pub inside: Option<Fact<bool>>,
    /// Whether the opponent was deep when it was struck: 10 ft or more behind the baseline, a baseliner's usual depth
    /// (common practice; no source). Estimated: no if the last shot that the opponent had to play was short.
    pub opponent_deep: Option<Fact<bool>>,
    /// Whether the opponent was moving away from where it lands: known with measured positions only, and estimated where
    /// the landing is a cell.
    pub opponent_leaving: Option<Fact<bool>>,
    /// Whether it missed.
    pub missed: Option<bool>,
    /// Time since the strike before.
    pub since: Option<Duration>,
}

/// A serve that was tried, in or out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ServeFacts {
    /// Where it went.
    pub to: Option<ServeTo>,
    /// Which wing of the receiver, or the body, it went to.
    pub target: Option<Target>,
    /// Its pace.
    pub pace: Option<Pace>,
    /// Its spin.
    pub spin: Option<Spin>,
    /// Whether it was a fault.
    pub fault: bool,
    /// Why.
    pub kind: Option<FaultKind>,
}

/// Bands of rally length in shots (PMC10538650, PMC11235650).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Band {
    /// 1 to 4.
    Short,
    /// 5 to 8.
    Medium,
    /// 9 and more.
    Long,
}

impl Band {
    /// Each with its word.
    pub const WORDS: [(&'static str, Self); 3] =
        [("1-4", Self::Short), ("5-8", Self::Medium), ("9+", Self::Long)];

    /// The band of a length; `None` for a double fault, which has no shot.
    pub const fn of(length: usize) -> Option<Self> {
        match length {
            0 => None,
            1..=4 => Some(Self::Short),
            5..=8 => Some(Self::Medium),
            _ => Some(Self::Long),
        }
    }

    /// The band of a length that is known to lie between these two; none where it may be in another.
    pub fn within(lengths: &std::ops::RangeInclusive<usize>) -> Option<Self> {
        Self::of(*lengths.start()).filter(|band| Self::of(*lengths.end()) == Some(*band))
    }

    /// The number of shots: `5–8`.
    pub const fn range(self) -> &'static str {
        match self {
            Self::Short => "1–4",
            Self::Medium => "5–8",
            Self::Long => "9+",
        }
    }

    /// As read out.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Short => "1–4 shots",
            Self::Medium => "5–8 shots",
            Self::Long => "9 shots or more",
        }
    }
}
