//! The score of a game as it is called.

use std::cmp::Ordering;
use std::fmt;
use std::str::FromStr;

use thiserror::Error;

use crate::tennis::Side;
use crate::tennis::score::{Called, PointState};

/// The score of a game as called, the server's first: `30–15`, `deuce`, `advantage server`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Call(Called);

impl Call {
    /// Forty all or level after it, where no single point decides.
    pub const DEUCE: Self = Self(Called::Deuce);
    /// The server's advantage.
    pub const ADVANTAGE_SERVER: Self = Self(Called::Advantage(Side::A));
    /// The receiver's advantage.
    pub const ADVANTAGE_RECEIVER: Self = Self(Called::Advantage(Side::B));

    /// Points of server and receiver, each 0 to 3 for love to forty.
    pub const fn points(server: u8, receiver: u8) -> Self {
        Self(Called::Points([server, receiver]))
    }

    /// What a side has, if `server` served: `30`, `Ad`; as on a score board.
    pub fn of(self, side: Side, server: Side) -> String {
        self.0.of(if side == server { Side::A } else { Side::B })
    }

    /// Of a state: kept as if A served.
    pub(super) fn in_state(state: &PointState) -> Self {
        let (s, r) = (state.server.index(), state.server.other().index());
        Self(match state.called {
            Called::Points(p) => Called::Points([p[s], p[r]]),
            Called::TieBreak(p) => Called::TieBreak([p[s], p[r]]),
            Called::Advantage(side) => {
                Called::Advantage(if side == state.server { Side::A } else { Side::B })
            }
            same @ (Called::Deuce | Called::Deciding | Called::NoScore) => same,
        })
    }
}

/// What a call that was seen or heard says by itself, whatever the rules of its match.
impl Call {
    /// The server's points in the game against the receiver's; nothing where nothing is called.
    pub(super) fn standing(self) -> Option<Ordering> {
        match self.0 {
            Called::Points(p) => Some(p[0].cmp(&p[1])),
            Called::TieBreak(p) => Some(p[0].cmp(&p[1])),
            Called::Deuce | Called::Deciding => Some(Ordering::Equal),
            Called::Advantage(Side::A) => Some(Ordering::Greater),
            Called::Advantage(Side::B) => Some(Ordering::Less),
            Called::NoScore => None,
        }
    }

    /// Whether this side, the server as A, can win the game with the next point. At deuce that depends on the rules.
    pub(super) fn game_point(self, side: Side) -> Option<bool> {
        let (mine, theirs) = (side.index(), side.other().index());
        match self.0 {
            Called::Points(p) => Some(p[mine] == 3 && p[theirs] < 3),
            Called::Advantage(s) => Some(s == side),
            Called::Deciding => Some(true),
            Called::Deuce | Called::TieBreak(_) | Called::NoScore => None,
        }
    }
}

impl FromStr for Call {
    type Err = NotACall;

    /// As people write it, the server's score first: `30-40`, `30:40`, `15 all`, `love-30`, `deuce`, `40-40`, `advantage server`, `ad
    /// out`, `A-40`, `40-Ad`.
    fn from_str(text: &str) -> Result<Self, NotACall> {
        let text = text.trim().to_lowercase();
        match text.as_str() {
            "deuce" | "40 all" => return Ok(Self::DEUCE),
            "advantage server" | "ad server" | "ad in" => return Ok(Self::ADVANTAGE_SERVER),
            "advantage receiver" | "ad receiver" | "ad out" => return Ok(Self::ADVANTAGE_RECEIVER),
            _ => {}
        }
        let dashes = ['-', '–', '—', '−', ':'];
        let (server, receiver) = match (text.split_once(dashes), text.strip_suffix(" all")) {
            (Some(two), _) => two,
            (None, Some(both)) => (both, both),
            (None, None) => return Err(NotACall),
        };
        let points = |word: &str| match word.trim() {
            "0" | "love" => Some(Points::Count(0)),
            "15" => Some(Points::Count(1)),
            "30" => Some(Points::Count(2)),
            "40" => Some(Points::Count(3)),
            "a" | "ad" | "adv" => Some(Points::Advantage),
            _ => None,
        };
        match (points(server), points(receiver)) {
            (Some(Points::Count(3)), Some(Points::Count(3))) => Ok(Self::DEUCE),
            (Some(Points::Count(s)), Some(Points::Count(r))) => Ok(Self::points(s, r)),
            (Some(Points::Advantage), Some(Points::Count(3))) => Ok(Self::ADVANTAGE_SERVER),
            (Some(Points::Count(3)), Some(Points::Advantage)) => Ok(Self::ADVANTAGE_RECEIVER),
            _ => Err(NotACall),
        }
    }
}

/// A word of a call.
enum Points {
    Count(u8),
    Advantage,
}

/// A text that is not the score of a game.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("this is not the score of a game, server first: 30-40, deuce, advantage server")]
pub struct NotACall;

impl fmt::Display for Call {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.server_first(Side::A))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_call_is_read_as_people_write_it() {
        for (text, call) in [
            ("30-40", Call::points(2, 3)),
            ("30–40", Call::points(2, 3)),
            (" 0 : 15 ", Call::points(0, 1)),
            ("Love-30", Call::points(0, 2)),
            ("15 all", Call::points(1, 1)),
            ("40-40", Call::DEUCE),
            ("Deuce", Call::DEUCE),
            ("A-40", Call::ADVANTAGE_SERVER),
            ("40–Ad", Call::ADVANTAGE_RECEIVER),
            ("ad out", Call::ADVANTAGE_RECEIVER),
        ] {
            assert_eq!(text.parse(), Ok(call), "{text}");
            assert_eq!(call.to_string().parse(), Ok(call), "{call}");
        }
        for text in ["", "6-4", "A-30", "40", "5-4 in the tie-break", "second set"] {
            assert_eq!(text.parse::<Call>(), Err(NotACall), "{text}");
        }
    }

    #[test]
    fn a_call_alone_tells_a_break_point() {
        let receiver = |call: Call| call.game_point(Side::B);
        assert_eq!(receiver(Call::points(2, 3)), Some(true));
        assert_eq!(receiver(Call::points(3, 2)), Some(false));
        assert_eq!(receiver(Call::ADVANTAGE_RECEIVER), Some(true));
        assert_eq!(receiver(Call::DEUCE), None, "with no-ad it is one");
    }
}
