//! The facts of a point, and how they are derived from its record.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;
use std::sync::Arc;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::balls::Balls;
use super::by_score::ByScore;
use super::call::Call;
use super::metres::Lengths;
use super::pairs::Pairs;
use super::shot::{ServeFacts, ShotFacts};
use crate::record::{Cameras, Finish, Hand, Logged, Point, Whose};
#[cfg(doc)]
use crate::tennis::odds::USUAL;
use crate::tennis::pair::Partner;
use crate::tennis::score::PointState;
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
    /// In doubles, who of each pair serves and receives.
    pub pairs: Option<Pairs>,
    /// The serve that started the rally, or the last fault: 1 or 2.
    pub serve: Option<u8>,
    /// The first and the second serve that were tried. `None` means unknown or not tried: `serve` tells which.
    pub serves: [Option<ServeFacts>; 2],
    /// Where the server stood.
    pub stance: Option<Stance>,
    /// The name of the planned pattern; empty if there was no plan.
    pub plan: String,
    /// The shots that were logged; shot 1 is the serve in play.
    pub shots: Arc<Vec<ShotFacts>>,
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
    pub tags: Arc<BTreeSet<String>>,
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
    /// What of it follows from the score.
    fn by_score(&self) -> ByScore<'_> {
        ByScore {
            state: &self.state,
            score_known: self.score_known,
            called: self.called,
            standing: self.standing,
            set: self.set,
            tie_break: self.tie_break,
            server: self.server,
            server_partner: self.server_partner,
            court: self.court,
            server_end: self.server_end,
            hands: self.hands,
            pairs: self.pairs,
            break_point: self.break_point,
            game_point: self.game_point,
            set_point: self.set_point,
            match_point: self.match_point,
            importance: self.importance,
        }
    }

    /// The facts of the same point with another number and after another score; `None` where nothing of them is new.
    pub(super) fn again(
        &self,
        number: usize,
        (point, cameras): (&Point, &Cameras),
        by: ByScore<'_>,
    ) -> Option<Self> {
        let was = self.by_score();
        if was == by {
            return (self.number != number).then(|| Self { number, ..self.clone() });
        }
        if !was.tells_the_same_of_shots(&by) {
            return Some(Self { important: self.important, ..one(number, (point, cameras), by) });
        }
        Some(Self {
            number,
            state: by.state.clone(),
            score_known: by.score_known,
            called: by.called,
            standing: by.standing,
            set: by.set,
            tie_break: by.tie_break,
            server_partner: by.server_partner,
            break_point: by.break_point,
            game_point: by.game_point,
            set_point: by.set_point,
            match_point: by.match_point,
            importance: by.importance,
            ..self.clone()
        })
    }
}

/// The facts of one point from the score before it. Whether it matters more than others is found later, in `tally`.
pub(super) fn one(number: usize, (point, cameras): (&Point, &Cameras), by: ByScore<'_>) -> PointFacts {
    let balls = Balls::new((point, cameras), by.server, by.server_end, by.court, (by.hands, by.pairs));
    let span = match (point.start, point.end) {
        (Some(start), Some(end)) => Span::new(start, end).ok(),
        _ => None,
    };
    let shots = balls.all();
    PointFacts {
        number,
        replayed: point.replayed,
        span,
        serves: balls.serves(),
        stance: point.stance,
        plan: point.plan.clone(),
        lengths_of: balls.lengths(shots.len()),
        shots: Arc::new(shots),
        told_by: ToldBy::of(point),
        length: balls.length(),
        serve: serve(point),
        winner: point.winner,
        finish: point.finish,
        finish_by: finish_by(point, by.server, balls.last_by()),
        miss: point.miss,
        also_wide: point.also_wide,
        unreturned: balls.unreturned(),
        unreturned_noted: point.unreturned,
        lets: point.lets,
        penalty: point.penalty,
        time_violation: point.time_violation,
        tags: Arc::new(point.tags.clone()),
        tags_by: point.tags_by.clone(),
        joined_late: point.joined_late,
        every_shot: point.logged == Some(Logged::Every),
        left_early: point.left_early,
        score_known: by.score_known,
        called: by.called,
        standing: by.standing,
        set: by.set,
        tie_break: by.tie_break,
        server: by.server,
        server_partner: by.server_partner,
        court: by.court,
        server_end: by.server_end,
        hands: by.hands,
        pairs: by.pairs,
        break_point: by.break_point,
        game_point: by.game_point,
        set_point: by.set_point,
        match_point: by.match_point,
        importance: by.importance,
        important: None,
        state: by.state.clone(),
    }
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
