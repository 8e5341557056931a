//! A side of the match, by part or by name.

use crate::facts::PointFacts;
use crate::tennis::Side;

/// A side of the match, by part or by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Who {
    /// Whoever serves the point.
    Server,
    /// Whoever receives it.
    Receiver,
    /// This player, serving or not.
    Player(Side),
    /// Whoever struck the shot that the pattern is about. Only of a win: see [`super::Pattern::won_side`].
    Striker,
}

impl Who {
    /// Whose win can count.
    pub const WINNERS: [(&'static str, Self); 5] = [
        ("server", Self::Server),
        ("receiver", Self::Receiver),
        ("a", Self::Player(Side::A)),
        ("b", Self::Player(Side::B)),
        ("striker", Self::Striker),
    ];
    /// Who can strike, finish or win.
    pub(super) const WORDS: &'static [(&'static str, Self)] = Self::WINNERS.split_at(4).0;
    /// Who can serve.
    pub(super) const SERVERS: &'static [(&'static str, Self)] = Self::WORDS.split_at(2).1;

    /// The side meant in this point, if it is known.
    pub fn side(self, f: &PointFacts) -> Option<Side> {
        match self {
            Self::Server => f.server,
            Self::Receiver => f.server.map(Side::other),
            Self::Player(side) => Some(side),
            Self::Striker => None,
        }
    }

    /// As written in a pattern file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Server => "server",
            Self::Receiver => "receiver",
            Self::Player(Side::A) => "a",
            Self::Player(Side::B) => "b",
            Self::Striker => "striker",
        }
    }
}
