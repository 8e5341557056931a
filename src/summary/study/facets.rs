//! Which points a question uses.

use std::cmp::Ordering;
use std::fmt;

use crate::facts::{Call, PointFacts};
use crate::pattern::Answer;
use crate::record::printable;
use crate::summary::Whose;
use crate::tennis::{CourtSide, Side};

/// Which points a question uses: those that meet all the given facets. A point for which a facet is not known is left out, and
/// counted as left out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Facets {
    /// Whose points.
    pub whose: Whose,
    /// One match alone, by its place in the pool.
    pub record: Option<usize>,
    /// The number of the set, from 1.
    pub set: Option<usize>,
    /// The court served from.
    pub court: Option<CourtSide>,
    /// The serve that started the rally, or the last fault: 1 or 2.
    pub serve: Option<u8>,
    /// The standing in the game of the player asked about; for both players, of the server.
    pub standing: Option<Ordering>,
    /// The score as called, server first.
    pub score: Option<Call>,
    /// Whether it is a big point: see [`PointFacts::important`].
    pub important: Option<bool>,
    /// Whether the player asked about serves; of both players every point is served by one.
    pub role: Option<Role>,
}

/// What the player asked about does first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Serves.
    Serving,
    /// Returns.
    Returning,
}

impl Role {
    /// Each with its words.
    pub const WORDS: [(&'static str, Self); 2] =
        [("on serve", Self::Serving), ("on return", Self::Returning)];

    /// In words, after a name.
    pub const fn words(self) -> &'static str {
        Self::WORDS[self as usize].0
    }

    fn of(server: Option<Side>, asked: Option<Side>) -> Option<Self> {
        let (server, asked) = server.zip(asked)?;
        Some(if server == asked { Self::Serving } else { Self::Returning })
    }
}

impl Facets {
    /// Whether a point of the match at this place meets them, as the side asked about sees it. The question itself decides whose
    /// point it is.
    pub(super) fn hold(&self, record: usize, f: &PointFacts, asked: Option<Side>) -> Answer {
        let is_it = |wanted: bool| Answer::from(wanted);
        Answer::all([
            is_it(self.record.is_none_or(|r| r == record)),
            matches(self.set, f.set),
            matches(self.court, f.court),
            // For a point penalty nothing was served.
            if self.serve.is_some() && f.penalty.is_some() {
                Answer::No
            } else {
                matches(self.serve, f.serve)
            },
            matches(self.standing, standing(f.standing, f.server, asked)),
            matches(self.score, f.called),
            matches(self.important, f.important),
            matches(self.role.filter(|_| asked.is_some()), Role::of(f.server, asked)),
        ])
    }
}

/// How the side asked about stands in the game; without one, how the server does.
pub(super) fn standing(
    of_server: Option<Ordering>,
    server: Option<Side>,
    asked: Option<Side>,
) -> Option<Ordering> {
    match asked {
        None => of_server,
        Some(side) if server? == side => of_server,
        Some(_) => of_server.map(Ordering::reverse),
    }
}

fn matches<T: PartialEq>(wanted: Option<T>, found: Option<T>) -> Answer {
    wanted.map_or(Answer::Yes, |w| found.map(|f| f == w).into())
}

/// Those given, in words; empty when nothing is.
impl fmt::Display for Facets {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = [
            match &self.whose {
                Whose::Both => None,
                Whose::Side(Side::A) => Some("player A".into()),
                Whose::Side(Side::B) => Some("player B".into()),
                Whose::Named(name) => Some(printable(name, 60)),
            },
            self.role.map(|r| r.words().into()),
            self.record.map(|r| format!("match {}", r + 1)),
            self.set.map(|n| format!("set {n}")),
            self.court.map(|c| c.words().into()),
            self.serve.map(|n| if n == 1 { "first serve" } else { "second serve" }.into()),
            self.standing.map(|s| standing_word(s).into()),
            self.score.map(|s| format!("at {s}")),
            self.important.map(|x| if x { "big points" } else { "other points" }.into()),
        ];
        f.write_str(&parts.into_iter().flatten().collect::<Vec<String>>().join(", "))
    }
}

pub(super) const fn standing_word(standing: Ordering) -> &'static str {
    match standing {
        Ordering::Less => "behind in the game",
        Ordering::Equal => "level in the game",
        Ordering::Greater => "ahead in the game",
    }
}
