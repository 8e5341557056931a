//! Doubles: who of a pair serves and receives, and in which order (ITF Rules of Tennis, rules 14 and 15).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Side;

/// One of a pair.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Partner {
    /// The first-named.
    First,
    /// The second-named.
    Second,
}

impl Partner {
    /// The other of the pair.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::First => Self::Second,
            Self::Second => Self::First,
        }
    }

    /// The other, if `swap`.
    #[must_use]
    pub(super) const fn swapped(self, swap: bool) -> Self {
        if swap { self.other() } else { self }
    }
}

/// Who was seen to serve: a side, and in doubles, if it was seen, which of the pair.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Server {
    /// Side A; in doubles, one of the pair.
    A,
    /// Side B; in doubles, one of the pair.
    B,
    /// The first-named of A's pair.
    A1,
    /// The second-named of A's pair.
    A2,
    /// The first-named of B's pair.
    B1,
    /// The second-named of B's pair.
    B2,
}

impl Server {
    /// A side and, if known, which of its pair.
    pub const fn new(side: Side, partner: Option<Partner>) -> Self {
        match (side, partner) {
            (Side::A, None) => Self::A,
            (Side::B, None) => Self::B,
            (Side::A, Some(Partner::First)) => Self::A1,
            (Side::A, Some(Partner::Second)) => Self::A2,
            (Side::B, Some(Partner::First)) => Self::B1,
            (Side::B, Some(Partner::Second)) => Self::B2,
        }
    }

    /// The side.
    pub const fn side(self) -> Side {
        match self {
            Self::A | Self::A1 | Self::A2 => Side::A,
            Self::B | Self::B1 | Self::B2 => Side::B,
        }
    }

    /// Which of the pair, if that was seen.
    pub const fn partner(self) -> Option<Partner> {
        match self {
            Self::A | Self::B => None,
            Self::A1 | Self::B1 => Some(Partner::First),
            Self::A2 | Self::B2 => Some(Partner::Second),
        }
    }
}

/// How one pair shares serving and receiving in a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PairOrder {
    /// Who of the pair serves their first service game of the set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serves_first: Option<Partner>,
    /// Who of the pair receives in the deuce court.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub receives_deuce: Option<Partner>,
}

/// How both pairs share serving and receiving in a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetOrder {
    /// The first-named pair.
    #[serde(default)]
    pub a: PairOrder,
    /// The second-named pair.
    #[serde(default)]
    pub b: PairOrder,
}

impl SetOrder {
    /// The order of one side.
    pub const fn of(self, side: Side) -> PairOrder {
        match side {
            Side::A => self.a,
            Side::B => self.b,
        }
    }
}
