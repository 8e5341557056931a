//! The input of a replay: how the match began, and what was seen of each point.

use super::mark::Mark;
use super::pair::{Partner, Server, SetOrder};
use super::rules::Rules;
use super::{CourtSide, End, Side};

/// From where on the score is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Counting {
    /// From the first point.
    #[default]
    FromTheStart,
    /// From the first score mark: play before it was not recorded, and its score is not known.
    FromAMark,
    /// Never: each point is of a match of its own.
    PointByPoint,
}

/// How a match began.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Setup {
    /// The rules of the match.
    pub rules: Rules,
    /// Who served the first point.
    pub first_server: Side,
    /// The end at which A started.
    pub a_starts: End,
    /// In doubles, the order in each set, as far as it was noted. A set without an entry keeps the last one noted
    /// before it; with none before it the order is not known.
    pub order: [Option<SetOrder>; 5],
    /// In mixed doubles, who of A's and of B's pair is the woman.
    pub women: [Option<Partner>; 2],
    /// From where on the score is counted.
    pub counting: Counting,
}

impl Setup {
    /// A match of which nothing else is known.
    pub const fn new(rules: Rules, first_server: Side, a_starts: End) -> Self {
        Self {
            rules,
            first_server,
            a_starts,
            order: [None; 5],
            women: [None; 2],
            counting: Counting::FromTheStart,
        }
    }

    /// The order that stands in a set, from 0.
    pub(super) fn order_in(&self, set: usize) -> SetOrder {
        self.order.iter().take(set + 1).rev().copied().flatten().next().unwrap_or_default()
    }
}

/// What was seen of one point, as far as the score needs it. What is `None` follows from the rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Played<'a> {
    /// Who won it.
    pub winner: Option<Side>,
    /// Who served it.
    pub served_by: Option<Server>,
    /// Who of the pair received it.
    pub received_by: Option<Partner>,
    /// The court that it was served from.
    pub side: Option<CourtSide>,
    /// The end that it was served from.
    pub server_end: Option<End>,
    /// Whether it was played again (a let): it then counts nothing.
    pub replayed: bool,
    /// The score just before it, where play before it was not recorded.
    pub score_before: Option<&'a Mark>,
}

impl Played<'_> {
    /// A point of which only the winner is known.
    pub const fn won(winner: Side) -> Self {
        Self {
            winner: Some(winner),
            served_by: None,
            received_by: None,
            side: None,
            server_end: None,
            replayed: false,
            score_before: None,
        }
    }
}
