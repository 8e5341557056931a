//! The facts of a point, and how they are derived from its record.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::balls::Balls;
use super::call::Call;
use super::hands::{Who, hands};
use super::metres::Lengths;
use super::shot::{ServeFacts, ShotFacts};
use crate::record::{Cameras, Finish, Hand, Logged, MatchInfo, Point, Whose};
use crate::tennis::count::Before;
use crate::tennis::odds::Odds;
#[cfg(doc)]
use crate::tennis::odds::USUAL;
use crate::tennis::pair::{Partner, Server};
use crate::tennis::score::{Called, PointState};
use crate::tennis::stroke::{Miss, Stance};
use crate::tennis::{CourtSide, End, Side};
use crate::time::Span;

/// A point of one of several records.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
pub struct PointRef {
    /// Place of the record among those asked about, from 0.
    pub record: usize,
    /// Place of the point in its record, from 0.
    pub point: usize,
}

/// How a point was logged: by its shots or by tags.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToldBy {
    /// By its shots, as far as they were logged; a double fault has none.
    Shots,
    /// By its tags and its ending: no shot was logged.
    Tags,
}

impl ToldBy {
    fn of(point: &Point) -> Self {
        let by_shots = !point.shots.is_empty() || point.finish == Some(Finish::DoubleFault);
        if by_shots { Self::Shots } else { Self::Tags }
    }
}

/// All that is derived about one point. `None` is "not known", never "no".
#[expect(clippy::struct_excessive_bools, reason = "each is a fact by itself")]
#[derive(Debug, Clone, PartialEq)]
pub struct PointFacts {
    /// Its place in the record, from 0.
    pub number: usize,
    /// Whether it was replayed (a let) and so does not count.
    pub replayed: bool,
    /// When it was played, if both its start and its end were stamped.
    pub span: Option<Span>,
    /// The score before it: the certain score, else the score counted from the known winners.
    pub state: PointState,
    /// Whether that score is certain: false when an earlier winner is unknown and it matters.
    pub score_known: bool,
    /// The score of the game before it, server first, if certain.
    pub called: Option<Call>,
    /// The server's points in the game against the receiver's: ahead is `Greater`.
    pub standing: Option<Ordering>,
    /// Number of the set, from 1.
    pub set: Option<usize>,
    /// Whether it was played in a tie-break.
    pub tie_break: Option<bool>,
    /// Who served.
    pub server: Option<Side>,
    /// Who of the pair served, in doubles.
    pub server_partner: Option<Partner>,
    /// The court that it was served from.
    pub court: Option<CourtSide>,
    /// The end that it was served from.
    pub server_end: Option<End>,
    /// The hands of A and B; in doubles of those who serve and receive.
    pub hands: [Option<Hand>; 2],
    /// The serve that started the rally, or the last fault: 1 or 2.
    pub serve: Option<u8>,
    /// The first and the second serve that were tried. `None` means unknown or not tried: `serve` tells which.
    pub serves: [Option<ServeFacts>; 2],
    /// Where the server stood.
    pub stance: Option<Stance>,
    /// The name of the planned pattern; empty if there was no plan.
    pub plan: String,
    /// The shots that were logged; shot 1 is the serve in play.
    pub shots: Vec<ShotFacts>,
    /// What was measured of each shot, in metres; empty if nothing was.
    pub lengths_of: Vec<Lengths>,
    /// How it was logged.
    pub told_by: ToldBy,
    /// How many shots were struck: 0 in a double fault and for a point penalty. Unknown unless every shot was
    /// logged, or the finish tells; see [`PointFacts::lengths`].
    pub length: Option<usize>,
    /// Who won it.
    pub winner: Option<Side>,
    /// How it ended.
    pub finish: Option<Finish>,
    /// Who struck the ace or winner, or made the error. If every shot was logged, who struck the last shot.
    pub finish_by: Option<Side>,
    /// Where the last shot went, when it was missed.
    pub miss: Option<Miss>,
    /// Whether the last shot, which went long, went wide too.
    pub also_wide: bool,
    /// Whether the serve in play was not returned: an ace, or a missed return.
    pub unreturned: Option<bool>,
    /// Whether that was noted, not concluded from the shots.
    pub unreturned_noted: bool,
    /// Serves that were served again after a let.
    pub lets: Option<u8>,
    /// The side that a point penalty was given against.
    pub penalty: Option<Side>,
    /// The side that was called for a time violation.
    pub time_violation: Option<Side>,
    /// Its tags.
    pub tags: BTreeSet<String>,
    /// Whose each tag is, of those of which that was said.
    pub tags_by: BTreeMap<String, Whose>,
    /// Whether shots before the first one in `shots` were not seen. That shot is then not the serve, and no shot has a known
    /// number.
    pub joined_late: bool,
    /// Whether every shot is logged, of a point joined late every one from there on.
    pub every_shot: bool,
    /// Whether shots after the last of `shots` were not seen.
    pub left_early: bool,
    /// Whether the receiver could win the game with it.
    pub break_point: Option<bool>,
    /// Whether the server could win the game with it (not in a tie-break).
    pub game_point: Option<bool>,
    /// Whether either side could win the set with it.
    pub set_point: Option<bool>,
    /// Whether either side could win the match with it.
    pub match_point: Option<bool>,
    /// What it meant to the match, from 0 to 1: the chance of winning it after the point is won less that after it is
    /// lost, with [`USUAL`] for either serve. Unknown in a drill, and where the score is not known well enough.
    pub importance: Option<f64>,
    /// Whether it is a big point: one of the quarter of the record's points with the highest importance, and
    /// those that are as important as the last of them. Unknown where the importance is.
    pub important: Option<bool>,
}

impl PointFacts {
    /// Whether it ended so. Of a finish that was not noted, what the shots rule out is known.
    pub fn ended(&self, finish: Finish) -> Option<bool> {
        if self.penalty.is_some() {
            return Some(false);
        }
        if let Some(noted) = self.finish {
            return Some(noted == finish);
        }
        let last = self.length.and_then(|n| self.shots.get(n.checked_sub(1)?));
        let (unreturned, missed) = (self.unreturned, last.and_then(|s| s.missed));
        let struck = *self.lengths().start();
        let ruled_out = match finish {
            Finish::DoubleFault => struck > 0 || unreturned == Some(true) || self.serve == Some(1),
            Finish::Ace => struck > 1 || unreturned == Some(false),
            Finish::Winner => unreturned == Some(true) || missed == Some(true),
            // The return of a serve that did not come back may be one of the shots that were not logged.
            Finish::ForcedError | Finish::UnforcedError => missed == Some(false) && unreturned != Some(true),
        };
        ruled_out.then_some(false)
    }

    /// How many balls were struck, at least and at most. Where not every ball was logged, there were at least those that were, and
    /// before those of a point joined late the serve; after a serve that did not come back there was at most the return.
    pub fn lengths(&self) -> RangeInclusive<usize> {
        let logged = self.shots.len() + usize::from(self.joined_late);
        match self.length {
            Some(n) => n..=n,
            None if self.unreturned == Some(true) && logged <= 2 => logged.max(1)..=2,
            None => logged..=usize::MAX,
        }
    }
}

/// The value on which all possible scores agree; unknown if they differ or there are none.
pub(super) fn agreed<T: PartialEq>(states: &[PointState], of: impl Fn(&PointState) -> T) -> Option<T> {
    let mut said = states.iter().map(of);
    let first = said.next()?;
    said.all(|x| x == first).then_some(first)
}

/// The facts of one point from the score before it. Whether it matters more than others is found later, in `tally`.
pub(super) fn one(
    about: &MatchInfo,
    number: usize,
    (point, cameras): (&Point, &Cameras),
    score: &Before,
    odds: Option<&Odds>,
) -> PointFacts {
    let before = score.states();
    let certain = before.split_first().is_some_and(|(first, rest)| rest.iter().all(|s| s == first));
    let seen = Seen::of(point);
    let server = agreed(before, |s| s.server).or(seen.server);
    let server_end = agreed(before, |s| s.server_end).flatten().or(point.server_end);
    let court = agreed(before, |s| s.side).flatten().or(point.side);
    let hands =
        hands(about, agreed(before, |s| (s.server, s.server_partner, s.receiver_partner)).or(seen.who));
    let balls = Balls::new((point, cameras), server, server_end, court, hands);
    let span = match (point.start, point.end) {
        (Some(start), Some(end)) => Span::new(start, end).ok(),
        _ => None,
    };
    let shots = balls.all();
    PointFacts {
        number,
        replayed: point.replayed,
        span,
        score_known: certain,
        called: agreed(before, Call::in_state).or(seen.called),
        standing: agreed(before, standing).flatten().or(seen.called.and_then(Call::standing)),
        set: agreed(before, |s| s.set + 1),
        tie_break: agreed(before, PointState::in_tie_break),
        server,
        server_partner: agreed(before, |s| s.server_partner).flatten().or(seen.who.and_then(|w| w.1)),
        court,
        server_end,
        hands,
        serves: balls.serves(),
        stance: point.stance,
        plan: point.plan.clone(),
        lengths_of: balls.lengths(shots.len()),
        shots,
        told_by: ToldBy::of(point),
        length: balls.length(),
        serve: serve(point),
        winner: point.winner,
        finish: point.finish,
        finish_by: finish_by(point, server, balls.last_by()),
        miss: point.miss,
        also_wide: point.also_wide,
        unreturned: balls.unreturned(),
        unreturned_noted: point.unreturned,
        lets: point.lets,
        penalty: point.penalty,
        time_violation: point.time_violation,
        tags: point.tags.clone(),
        tags_by: point.tags_by.clone(),
        joined_late: point.joined_late,
        every_shot: point.logged == Some(Logged::Every),
        left_early: point.left_early,
        break_point: agreed(before, PointState::break_point).or(seen.game_point(Side::B)),
        game_point: agreed(before, |s| !s.in_tie_break() && s.game_point[s.server.index()])
            .or(seen.game_point(Side::A)),
        set_point: agreed(before, |s| s.set_point != [false; 2]),
        match_point: agreed(before, |s| s.match_point != [false; 2]),
        importance: odds.and_then(|o| agreed(before, |s| o.importance(s)).flatten()),
        important: None,
        state: before.first().filter(|_| certain).unwrap_or(&score.counted).clone(),
    }
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

const fn serve(point: &Point) -> Option<u8> {
    match (point.faults, point.finish) {
        (Some(0), _) => Some(1),
        (Some(_), _) | (None, Some(Finish::DoubleFault)) => Some(2),
        (None, _) => None,
    }
}

fn finish_by(point: &Point, server: Option<Side>, last: Option<Side>) -> Option<Side> {
    match point.finish {
        None => last,
        Some(Finish::Ace | Finish::DoubleFault) => server,
        Some(Finish::Winner) => point.winner.or(last),
        Some(Finish::ForcedError | Finish::UnforcedError) => point.winner.map(Side::other).or(last),
    }
}
