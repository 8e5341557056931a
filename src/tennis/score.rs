//! The score just before a point: the call, who serves, and what each side can win with the point.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::pair::Partner;
use super::{CourtSide, End, Side};

/// Games and tie-break points of one set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetScore {
    /// Games of A and B; a match tie-break counts as 1–0.
    pub games: [u16; 2],
    /// Points of A and B in the tie-break, if one was played and they are known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tie_break: Option<[u16; 2]>,
}

impl SetScore {
    /// Who won it.
    pub const fn winner(self) -> Side {
        if self.games[0] > self.games[1] { Side::A } else { Side::B }
    }
}

/// What the umpire would call.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Called {
    /// Points of a game, each 0 to 3: love, 15, 30, 40. Never 3–3, which is [`Called::Deuce`].
    Points([u8; 2]),
    /// Forty all or level after it.
    Deuce,
    /// Forty all where one point decides the game.
    Deciding,
    /// Advantage to this side.
    Advantage(Side),
    /// Points in a tie-break.
    TieBreak([u16; 2]),
    /// Nothing: a drill has no score.
    NoScore,
}

impl Called {
    /// As called with the server's score first: `30–15`, `deuce`, `deuce, deciding point`, `advantage server`, `3–2 in
    /// the tie-break`, `no score`.
    pub fn server_first(self, server: Side) -> String {
        const WORDS: [&str; 4] = ["0", "15", "30", "40"];
        let word = |n: u8| WORDS[usize::from(n.min(3))];
        let (s, r) = (server.index(), server.other().index());
        match self {
            Self::Points(p) => format!("{}–{}", word(p[s]), word(p[r])),
            Self::Deuce => "deuce".into(),
            Self::Deciding => "deuce, deciding point".into(),
            Self::Advantage(side) if side == server => "advantage server".into(),
            Self::Advantage(_) => "advantage receiver".into(),
            Self::TieBreak(p) => format!("{}–{} in the tie-break", p[s], p[r]),
            Self::NoScore => "no score".into(),
        }
    }

    /// One side's part of a score board: `40`, `Ad`, `6`, and `40` for both at deuce; nothing in a drill.
    pub fn of(self, side: Side) -> String {
        match self {
            Self::Points(p) => ["0", "15", "30", "40"][usize::from(p[side.index()].min(3))].into(),
            Self::Deuce | Self::Deciding => "40".into(),
            Self::Advantage(a) => if a == side { "Ad" } else { "" }.into(),
            Self::TieBreak(p) => p[side.index()].to_string(),
            Self::NoScore => String::new(),
        }
    }
}

/// All that the score says just before a point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PointState {
    /// Sets finished before this point.
    pub sets: Vec<SetScore>,
    /// Games of A and B in the set being played.
    pub games: [u16; 2],
    /// The score in the game, as called.
    pub called: Called,
    /// Who serves.
    pub server: Side,
    /// Who of the pair serves, in doubles where the order is known.
    pub server_partner: Option<Partner>,
    /// Who of the pair receives, in doubles where the order is known.
    pub receiver_partner: Option<Partner>,
    /// The court that the point is served from; unknown in a drill, and where the receivers choose it, unless it was
    /// seen.
    pub side: Option<CourtSide>,
    /// The end where the server stands; unknown after unrecorded play of unknown length.
    pub server_end: Option<End>,
    /// The end A stands at; unknown like [`Self::server_end`].
    pub a_end: Option<End>,
    /// Whether the next point could win the game for A, for B. Both, where one point decides it.
    pub game_point: [bool; 2],
    /// Whether the next point could win the set for A, for B.
    pub set_point: [bool; 2],
    /// Whether the next point could win the match for A, for B.
    pub match_point: [bool; 2],
    /// Number of the set, from 0.
    pub set: usize,
    /// Number of the game in its set, from 0; the tie-break counts as one.
    pub game: usize,
    /// Number of the point in its game, from 0; in a drill, of the rally.
    pub point: u16,
}

impl PointState {
    /// Whether the point is played in a tie-break or a match tie-break.
    pub const fn in_tie_break(&self) -> bool {
        matches!(self.called, Called::TieBreak(_))
    }

    /// Whether the receiver can win the game with this point; never in a tie-break.
    pub const fn break_point(&self) -> bool {
        !self.in_tie_break() && self.game_point[self.server.other().index()]
    }
}
