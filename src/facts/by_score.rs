//! What the score before a point says of it, and what was seen or heard of it in the score's place.

use std::cmp::Ordering;

use super::call::Call;
use super::hands::{Who, hands};
use super::pairs::Pairs;
use crate::record::{Hand, MatchInfo, Point, Position};
use crate::tennis::count::Before;
use crate::tennis::odds::Odds;
use crate::tennis::pair::{Partner, Server};
use crate::tennis::rules::Sides;
use crate::tennis::score::{Called, PointState};
use crate::tennis::{CourtSide, End, Side};

/// The facts of a point that the score before it decides: see [`super::PointFacts`] for each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ByScore<'a> {
    pub(super) state: &'a PointState,
    pub(super) score_known: bool,
    pub(super) called: Option<Call>,
    pub(super) standing: Option<Ordering>,
    pub(super) set: Option<usize>,
    pub(super) tie_break: Option<bool>,
    pub(super) server: Option<Side>,
    pub(super) server_partner: Option<Partner>,
    pub(super) court: Option<CourtSide>,
    pub(super) server_end: Option<End>,
    pub(super) hands: [Option<Hand>; 2],
    pub(super) pairs: Option<Pairs>,
    pub(super) break_point: Option<bool>,
    pub(super) game_point: Option<bool>,
    pub(super) set_point: Option<bool>,
    pub(super) match_point: Option<bool>,
    pub(super) importance: Option<f64>,
}

impl<'a> ByScore<'a> {
    /// Of a point played by `about`.
    pub(super) fn of(about: &MatchInfo, point: &Point, score: &'a Before, odds: Option<&Odds>) -> Self {
        let before = score.states();
        let certain = before.split_first().is_some_and(|(first, rest)| rest.iter().all(|s| s == first));
        let seen = Seen::of(point);
        let who = agreed(before, |s| (s.server, s.server_partner, s.receiver_partner)).or(seen.who);
        Self {
            state: before.first().filter(|_| certain).unwrap_or(&score.counted),
            score_known: certain,
            called: agreed(before, Call::in_state).or(seen.called),
            standing: agreed(before, standing).flatten().or(seen.called.and_then(Call::standing)),
            set: agreed(before, |s| s.set + 1),
            tie_break: agreed(before, PointState::in_tie_break),
            server: agreed(before, |s| s.server).or(seen.server),
            server_partner: agreed(before, |s| s.server_partner).flatten().or(seen.who.and_then(|w| w.1)),
            court: agreed(before, |s| s.side).flatten().or(point.side),
            server_end: agreed(before, |s| s.server_end).flatten().or(point.server_end),
            hands: hands(about, who),
            pairs: pairs(about, point, who),
            break_point: agreed(before, PointState::break_point).or(seen.game_point(Side::B)),
            game_point: agreed(before, |s| !s.in_tie_break() && s.game_point[s.server.index()])
                .or(seen.game_point(Side::A)),
            set_point: agreed(before, |s| s.set_point != [false; 2]),
            match_point: agreed(before, |s| s.match_point != [false; 2]),
            importance: odds.and_then(|o| agreed(before, |s| o.importance(s)).flatten()),
        }
    }

    /// Whether what is known of a point's shots is the same after both scores.
    pub(super) fn tells_the_same_of_shots(&self, other: &Self) -> bool {
        let of = |s: &Self| (s.server, s.server_end, s.court, s.hands, s.pairs);
        of(self) == of(other)
    }
}

/// The value on which all possible scores agree; unknown if they differ or there are none.
pub(super) fn agreed<T: PartialEq>(states: &[PointState], of: impl Fn(&PointState) -> T) -> Option<T> {
    let mut said = states.iter().map(of);
    let first = said.next()?;
    said.all(|x| x == first).then_some(first)
}

/// Who serves and receives in doubles: by the rules, or as the positions of four players tell.
fn pairs(about: &MatchInfo, point: &Point, who: Option<Who>) -> Option<Pairs> {
    let of_a_pair = |p: &Position| p.of.player().is_some_and(|p| p.partner().is_some());
    let four = || point.shots.iter().flat_map(|s| &s.positions).any(of_a_pair);
    let (_, server, receiver) = who.unwrap_or((Side::A, None, None));
    (about.rules.sides != Sides::Singles || four()).then_some(Pairs { server, receiver })
}

/// What was seen or heard of a point itself, for where the score is not counted.
struct Seen {
    server: Option<Side>,
    who: Option<Who>,
    called: Option<Call>,
}

impl Seen {
    fn of(point: &Point) -> Self {
        let partner = point.served_by.and_then(Server::partner);
        Self {
            server: point.served_by.map(Server::side),
            who: point.served_by.map(|s| (s.side(), partner, point.received_by)),
            called: point.source.as_ref().and_then(|s| s.score.parse().ok()),
        }
    }

    /// Whether the server, as A, or the receiver can win the game with it.
    fn game_point(&self, side: Side) -> Option<bool> {
        self.called?.game_point(side)
    }
}

fn standing(state: &PointState) -> Option<Ordering> {
    let (s, r) = (state.server.index(), state.server.other().index());
    Some(match state.called {
        Called::Points(p) => p[s].cmp(&p[r]),
        Called::TieBreak(p) => p[s].cmp(&p[r]),
        Called::Deuce | Called::Deciding => Ordering::Equal,
        Called::Advantage(side) if side == state.server => Ordering::Greater,
        Called::Advantage(_) => Ordering::Less,
        Called::NoScore => return None,
    })
}
