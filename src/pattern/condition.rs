//! One condition of a pattern, and how it is answered of a point.

use std::cmp::Ordering;

use super::Answer;
use crate::facts::{Call, PointFacts};
use crate::record::Finish;
use crate::tennis::{CourtSide, Side};

/// A side of the match, by part or by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Who {
    /// Whoever serves the point.
    Server,
    /// Whoever receives it.
    Receiver,
    /// This player, serving or not.
    Player(Side),
}

impl Who {
    pub(super) const WORDS: [(&'static str, Self); 4] = [
        ("server", Self::Server),
        ("receiver", Self::Receiver),
        ("a", Self::Player(Side::A)),
        ("b", Self::Player(Side::B)),
    ];

    /// The side meant in this point, if it is known.
    pub fn side(self, f: &PointFacts) -> Option<Side> {
        match self {
            Self::Server => f.server,
            Self::Receiver => f.server.map(Side::other),
            Self::Player(side) => Some(side),
        }
    }

    /// As written in a pattern file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Server => "server",
            Self::Receiver => "receiver",
            Self::Player(Side::A) => "a",
            Self::Player(Side::B) => "b",
        }
    }
}

/// A moment of the score that a point is or is not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Moment {
    /// The receiver could win the game.
    BreakPoint,
    /// The server could win the game.
    GamePoint,
    /// A side could win the set.
    SetPoint,
    /// A side could win the match.
    MatchPoint,
    /// A point of a tie-break.
    TieBreak,
    /// A point that matters: see [`PointFacts::important`].
    Important,
}

/// One condition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Condition {
    /// The point has the tag.
    Tag(TagTest),
    /// Who serves.
    Server(Who),
    /// The rally's serve, 1 or 2.
    Serve(u8),
    /// The court served from.
    Court(CourtSide),
    /// The score as called, server first.
    Called(Call),
    /// The server's points in the game against the receiver's.
    Standing(Ordering),
    /// Break point, game point and so on, or not.
    Moment(Moment, bool),
    /// The number of the set, from 1.
    Set(usize),
    /// How the point ended.
    Finish(Finish),
    /// Who struck the ace or winner, or made the error.
    FinishBy(Who),
    /// Who won the point.
    Winner(Who),
    /// All of them.
    All(Vec<Self>),
    /// At least one of them.
    Any(Vec<Self>),
    /// Not this.
    Not(Box<Self>),
}

/// A tag, and what its absence says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TagTest {
    /// The tag, compared without regard to case.
    pub tag: String,
    /// The other tags of its group, of which a point has only one: any of them says that this one does not hold.
    pub instead: Option<Vec<String>>,
    /// What a point without any tag answers.
    pub untagged: Answer,
}

impl TagTest {
    fn answer(&self, f: &PointFacts) -> Answer {
        let has = |tag: &str| f.tags.iter().any(|t| same_tag(t, tag));
        match &self.instead {
            _ if has(&self.tag) => Answer::Yes,
            Some(others) if others.iter().any(|t| has(t)) => Answer::No,
            Some(_) => self.untagged,
            None if f.tags.is_empty() => self.untagged,
            None => Answer::No,
        }
    }
}

/// Whether two tags are one: case and outer blanks do not count.
pub fn same_tag(a: &str, b: &str) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}

impl Condition {
    /// Whether the point meets the condition.
    pub fn answer(&self, f: &PointFacts) -> Answer {
        match self {
            Self::Tag(test) => test.answer(f),
            Self::Server(who) => same(f.server, who.side(f)),
            Self::Serve(n) => f.serve.map(|s| s == *n).into(),
            Self::Court(c) => f.court.map(|x| x == *c).into(),
            Self::Called(call) => f.called.map(|x| x == *call).into(),
            Self::Standing(o) => f.standing.map(|x| x == *o).into(),
            Self::Moment(m, wanted) => moment(*m, f).map(|x| x == *wanted).into(),
            Self::Set(n) => f.set.map(|x| x == *n).into(),
            Self::Finish(x) => f.finish.map(|y| y == *x).into(),
            Self::FinishBy(who) => same(f.finish_by, who.side(f)),
            Self::Winner(who) => same(f.winner, who.side(f)),
            Self::All(all) => Answer::all(all.iter().map(|c| c.answer(f))),
            Self::Any(any) => Answer::any(any.iter().map(|c| c.answer(f))),
            Self::Not(c) => !c.answer(f),
        }
    }

    /// The condition in words: `second serve`, `not break point`.
    pub fn words(&self) -> String {
        let list = |all: &[Self], word: &str| all.iter().map(Self::words).collect::<Vec<_>>().join(word);
        match self {
            Self::Tag(test) => test.tag.clone(),
            Self::Server(who) => format!("served by {}", who.word()),
            Self::Serve(1) => "first serve".into(),
            Self::Serve(_) => "second serve".into(),
            Self::Court(CourtSide::Deuce) => "deuce court".into(),
            Self::Court(CourtSide::Ad) => "ad court".into(),
            Self::Called(call) => format!("at {call}"),
            Self::Standing(o) => format!("server {}", standing_word(*o)),
            Self::Moment(m, true) => moment_word(*m).into(),
            Self::Moment(m, false) => format!("not {}", moment_word(*m)),
            Self::Set(n) => format!("set {n}"),
            Self::Finish(x) => x.words().into(),
            Self::FinishBy(who) => format!("finished by {}", who.word()),
            Self::Winner(who) => format!("won by {}", who.word()),
            Self::All(all) => list(all, " and "),
            Self::Any(any) => list(any, " or "),
            Self::Not(c) => match &**c {
                Self::All(_) | Self::Any(_) => format!("not ({})", c.words()),
                _ => format!("not {}", c.words()),
            },
        }
    }
}

fn same(a: Option<Side>, b: Option<Side>) -> Answer {
    a.zip(b).map(|(a, b)| a == b).into()
}

const fn moment(m: Moment, f: &PointFacts) -> Option<bool> {
    match m {
        Moment::BreakPoint => f.break_point,
        Moment::GamePoint => f.game_point,
        Moment::SetPoint => f.set_point,
        Moment::MatchPoint => f.match_point,
        Moment::TieBreak => f.tie_break,
        Moment::Important => f.important,
    }
}

const fn moment_word(m: Moment) -> &'static str {
    match m {
        Moment::BreakPoint => "break point",
        Moment::GamePoint => "game point",
        Moment::SetPoint => "set point",
        Moment::MatchPoint => "match point",
        Moment::TieBreak => "tie-break",
        Moment::Important => "important point",
    }
}

const fn standing_word(o: Ordering) -> &'static str {
    match o {
        Ordering::Less => "behind",
        Ordering::Equal => "level",
        Ordering::Greater => "ahead",
    }
}
