//! Where a point comes from, in footage of many matches: who played it, and what was seen or heard of its match.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::tennis::Side;

/// What is known of the match that a point was taken from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize, JsonSchema)]
pub struct Source {
    /// Who is A in this point, by a name of the record's `people`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub a: String,
    /// Who is B in this point.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub b: String,
    /// The score of the game just before it, the server's first, as it was seen or heard: `30–40`. Free text: a call that is
    /// understood counts as the score of the game.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub score: String,
    /// The event: `club championship, semi-final`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub event: String,
    /// Where the footage comes from.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub line: String,
}

impl Source {
    /// Each text with the field of a point that it stands in.
    pub(super) const fn texts(&self) -> [(&'static str, &String); 5] {
        [
            ("source.a", &self.a),
            ("source.b", &self.b),
            ("source.score", &self.score),
            ("source.event", &self.event),
            ("source.line", &self.line),
        ]
    }

    /// As [`Self::texts`], to be changed.
    pub(super) const fn texts_mut(&mut self) -> [(&'static str, &mut String); 5] {
        [
            ("source.a", &mut self.a),
            ("source.b", &mut self.b),
            ("source.score", &mut self.score),
            ("source.event", &mut self.event),
            ("source.line", &mut self.line),
        ]
    }
}

/// Whose a tag is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Whose {
    /// A's.
    A,
    /// B's.
    B,
    /// Of both players.
    Both,
}

impl Whose {
    /// Whether it is this side's.
    pub const fn is(self, side: Side) -> bool {
        matches!((self, side), (Self::Both, _) | (Self::A, Side::A) | (Self::B, Side::B))
    }

    /// With this side's as well.
    #[must_use]
    pub const fn and(self, side: Side) -> Self {
        if self.is(side) { self } else { Self::Both }
    }
}

impl From<Side> for Whose {
    fn from(side: Side) -> Self {
        match side {
            Side::A => Self::A,
            Side::B => Self::B,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tag_can_be_of_both() {
        assert_eq!(Whose::from(Side::A).and(Side::A), Whose::A);
        assert_eq!(Whose::from(Side::A).and(Side::B), Whose::Both);
        assert!(Whose::Both.is(Side::B) && !Whose::A.is(Side::B));
    }
}
