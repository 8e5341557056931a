//! The score of a game as it is called.

use std::fmt;

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

    /// Of a state: kept as if A served.
    pub(super) fn of(state: &PointState) -> Self {
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

impl fmt::Display for Call {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.server_first(Side::A))
    }
}
