//! How the facts of each shot follow from what was seen of it, from the shots before and after it, and from the score.
//!
//! Measured positions decide. Without them, a player is assumed to be where the shot before their last strike landed: on that
//! side, and as deep. Such a fact is marked as estimated. Where the error of a position reaches over an edge, the fact is unknown. In
//! doubles a fact that depends on which of a pair strikes is known only if it is the same for both (`pairs`).

use std::cmp::Ordering;
use std::time::Duration;

use super::at::{At, bounced};
use super::pairs::Pairs;
use super::place;
use super::shot::{Fact, Goes, Lane, Push, ServeFacts, ShotFacts, Target};
use crate::record::{Cameras, Finish, Hand, Logged, Point, Shot};
use crate::tennis::court::{HALF_LENGTH, HALF_SINGLES, Metres, SERVICE_LINE, Spot};
use crate::tennis::stroke::{Cell, Column, Depth, ServeTo, Stroke, Wing};
use crate::tennis::{CourtSide, End, Side};

/// From here on a change of depth counts (our choice; no source).
pub const CHANGE: Metres = Metres(1.0);
/// From here on a player moves (our choice; no source).
pub const MOVES: Metres = Metres(0.3);
/// A baseliner's usual depth behind the baseline (common practice; no source).
pub const USUAL_DEPTH: Metres = Metres::from_feet(10.0, 0.0);

/// A point's shots, with what the score says of them.
pub(super) struct Balls<'a> {
    pub(super) point: &'a Point,
    pub(super) cameras: &'a Cameras,
    server: Option<Side>,
    server_end: Option<End>,
    court: Option<CourtSide>,
    /// The hands of A and B.
    hands: [Option<Hand>; 2],
    /// In doubles, who serves and who receives.
    pub(super) pairs: Option<Pairs>,
}

impl<'a> Balls<'a> {
    pub(super) const fn new(
        (point, cameras): (&'a Point, &'a Cameras),
        server: Option<Side>,
        server_end: Option<End>,
        court: Option<CourtSide>,
        (hands, pairs): ([Option<Hand>; 2], Option<Pairs>),
    ) -> Self {
        Self { point, cameras, server, server_end, court, hands, pairs }
    }

    /// The facts of all shots. An ace without logged shots has one shot, its serve.
    pub(super) fn all(&self) -> Vec<ShotFacts> {
        (0..self.point.shots.len().max(self.length().unwrap_or(0))).map(|n| self.one(n)).collect()
    }

    fn one(&self, n: usize) -> ShotFacts {
        let end = self.end(n);
        let Some(shot) = self.shot(n) else {
            return ShotFacts { by: self.by(n), end, ..ShotFacts::default() };
        };
        let column = self.column(n);
        ShotFacts {
            by: self.by(n),
            end,
            stroke: shot.stroke,
            volley: shot.volley,
            wing: shot.wing,
            spin: shot.spin,
            pace: shot.pace,
            approach: self.approach(n),
            at_net: self.at_net(n),
            net_cord: self.net_cord(n),
            cell: self.cell(n),
            column: column.zip(end).map(|(c, e)| place::seen_from(c, e)),
            direction: self.direction_of(n).zip(end).map(|(c, e)| place::seen_from(c, e)),
            depth: self.depth(n),
            serve_to: if self.is_serve(n) { self.direction(shot) } else { None },
            target: self.target(n),
            lane: self.lane(n),
            goes: self.goes(n),
            push: self.push(n),
            inside: self.inside(n),
            opponent_deep: self.opponent_deep(n),
            opponent_leaving: self.opponent_leaving(n),
            missed: self.missed(n),
            since: self.since(n),
        }
    }

    pub(super) fn shot(&self, n: usize) -> Option<&'a Shot> {
        self.point.shots.get(n)
    }

    /// Who strikes: the server first, then the players alternate. For a point joined late, they alternate from who was seen to
    /// strike the first logged shot, else from who struck the last one, by how the point ended.
    pub(super) fn by(&self, n: usize) -> Option<Side> {
        let turns =
            |side: Side, from: usize| if n.abs_diff(from).is_multiple_of(2) { side } else { side.other() };
        if !self.point.joined_late {
            return self.server.map(|s| turns(s, 0));
        }
        match self.point.first_by {
            Some(side) => Some(turns(side, 0)),
            None => self.ended_by().map(|(last, side)| turns(side, last)),
        }
    }

    /// The last shot, and who struck it, by how the point ended and who won it.
    fn ended_by(&self) -> Option<(usize, Side)> {
        let p = self.point;
        let last =
            p.shots.len().checked_sub(1).filter(|_| p.logged == Some(Logged::Every) && !p.left_early)?;
        let winner = p.winner?;
        match p.finish? {
            Finish::Winner => Some((last, winner)),
            Finish::ForcedError | Finish::UnforcedError => Some((last, winner.other())),
            Finish::Ace | Finish::DoubleFault => None,
        }
    }

    /// Whether this is the serve in play: of a point joined late it was not seen.
    const fn is_serve(&self, n: usize) -> bool {
        n == 0 && !self.point.joined_late
    }

    /// The end from which it is struck: by the score, else by where its striker stood.
    fn end(&self, n: usize) -> Option<End> {
        let seen = || self.stands(n, n)?.sure(|s| if s.y.0 < 0.0 { End::Near } else { End::Far });
        let by_score = || {
            let end = self.server_end?;
            let serves =
                if self.point.joined_late { self.by(n)? == self.server? } else { n.is_multiple_of(2) };
            Some(if serves { end } else { end.other() })
        };
        by_score().or_else(seen)
    }

    fn hand(&self, n: usize) -> Option<Hand> {
        match self.by(n) {
            Some(side) => self.hands[side.index()],
            None => self.hands[0].filter(|h| self.hands[1] == Some(*h)),
        }
    }

    /// Where shot `n` was measured to bounce.
    pub(super) fn landing(&self, n: usize) -> Option<At> {
        bounced(self.cameras, self.shot(n)?)
    }

    fn cell(&self, n: usize) -> Option<Cell> {
        let shot = self.shot(n)?;
        shot.cell.or_else(|| if self.is_serve(n) { None } else { self.landing(n)?.sure(place::cell) })
    }

    fn approach(&self, n: usize) -> Option<bool> {
        let shot = self.shot(n)?;
        let noted = shot.approach || shot.stroke.is_some() || self.is_serve(n) && shot.cell.is_some();
        noted.then_some(shot.approach)
    }

    fn at_net(&self, n: usize) -> Option<bool> {
        let shot = self.shot(n)?;
        if self.is_serve(n) {
            Some(false)
        } else if let Some(at) = self.stands(n, n).filter(|_| !shot.at_net) {
            at.sure(|s| s.y.abs() < SERVICE_LINE)
        } else {
            (shot.at_net || shot.stroke.is_some()).then_some(shot.at_net)
        }
    }

    fn net_cord(&self, n: usize) -> Option<bool> {
        let shot = self.shot(n)?;
        let noted = shot.net_cord || shot.stroke.is_some() || self.is_serve(n) && shot.cell.is_some();
        noted.then_some(shot.net_cord)
    }

    /// The direction of a serve: by the third of the box that was seen, else by its measured landing.
    fn direction(&self, serve: &Shot) -> Option<ServeTo> {
        let (end, court) = (self.end(0)?, self.court?);
        let third = match serve.cell {
            Some(cell) => cell.column,
            None => bounced(self.cameras, serve)?.sure(|s| place::box_third(s, end, court))?,
        };
        Some(ServeTo::of(third, end, court))
    }

    /// The third of the court in which it lands, as the camera sees it.
    fn column(&self, n: usize) -> Option<Column> {
        let shot = self.shot(n)?;
        // A third that was seen counts where the measurement cannot tell.
        if let Some(column) = self.landing(n).and_then(|at| at.sure(|s| place::column(s.x))) {
            return Some(column);
        }
        if self.is_serve(n) {
            return Some(place::of_serve(self.direction(shot)?, self.end(0)?, self.court?));
        }
        shot.cell.map(|c| c.column)
    }

    /// The third toward which it went, as the camera sees it: in which it landed, or, of a missed shot, at which it was aimed.
    fn direction_of(&self, n: usize) -> Option<Column> {
        let shot = self.shot(n)?;
        let aimed =
            || shot.aim_place.map(|at| place::column(Spot::from(at).x)).or(shot.aim.map(|c| c.column));
        self.column(n).or_else(aimed)
    }

    fn depth(&self, n: usize) -> Option<Depth> {
        if self.is_serve(n) {
            return None;
        }
        if let Some(depth) = self.landing(n).and_then(|at| at.sure(|s| place::depth(s.y))) {
            return depth;
        }
        let shot = self.shot(n)?;
        match shot.cell {
            Some(cell) => Some(Depth::of(cell.row?, self.end(n)?.other())),
            None => shot.depth,
        }
    }

    fn target(&self, n: usize) -> Option<Fact<Target>> {
        if self.is_serve(n) {
            return self.serve_target(self.direction(self.shot(0)?)?).map(Fact::seen);
        }
        if let Some(wing) = self.shot(n + 1).and_then(|s| s.wing) {
            return Some(Fact::seen(wing.into()));
        }
        let column = self.direction_of(n).filter(|c| *c != Column::Middle)?;
        let backhand = place::backhand_side(self.end(n)?.other(), self.hand(n + 1)?) == column;
        Some(Fact::estimated(if backhand { Target::Backhand } else { Target::Forehand }))
    }

    /// Wide in the deuce court is a right-hander's forehand, and so on; the body has no wing.
    fn serve_target(&self, to: ServeTo) -> Option<Target> {
        let wide_deuce = match to {
            ServeTo::Body => return Some(Target::Body),
            ServeTo::Wide => self.court? == CourtSide::Deuce,
            ServeTo::T => self.court? == CourtSide::Ad,
        };
        let forehand = wide_deuce == (self.hand(1)? == Hand::Right);
        Some(if forehand { Target::Forehand } else { Target::Backhand })
    }

    /// The side from which it is struck.
    fn struck(&self, n: usize) -> Option<Fact<Column>> {
        if let Some(at) = self.stands(n, n) {
            return at.sure(|s| place::side(s.x)).map(Fact::seen);
        }
        self.column(n.checked_sub(1)?).map(Fact::estimated)
    }

    fn lane(&self, n: usize) -> Option<Fact<Lane>> {
        let lands = if self.is_serve(n) { None } else { self.direction_of(n) }?;
        if lands == Column::Middle {
            return Some(Fact::seen(Lane::Middle));
        }
        let from = self.struck(n).filter(|f| f.value != Column::Middle)?;
        let across = from.value != lands;
        let inside = self.runs_round(n, from.value)?;
        Some(from.map(|_| match (across, inside) {
            (true, false) => Lane::CrossCourt,
            (false, false) => Lane::DownTheLine,
            (true, true) => Lane::InsideOut,
            (false, true) => Lane::InsideIn,
        }))
    }

    /// Whether it is a forehand struck on the backhand side.
    fn runs_round(&self, n: usize, from: Column) -> Option<bool> {
        let shot = self.shot(n)?;
        if shot.wing == Some(Wing::Backhand) || shot.stroke == Some(Stroke::Overhead) {
            return Some(false);
        }
        let backhand = self.hand(n).zip(self.end(n)).map(|(h, e)| place::backhand_side(e, h) == from)?;
        if backhand { shot.wing.map(|w| w == Wing::Forehand) } else { Some(false) }
    }

    fn goes(&self, n: usize) -> Option<Fact<Goes>> {
        let lands = if self.is_serve(n) { None } else { self.direction_of(n) }?;
        if lands == Column::Middle {
            return Some(Fact::seen(Goes::Middle));
        }
        let opponent = match self.stands(n + 1, n) {
            Some(at) => Fact::seen(at.sure(|s| place::side(s.x))?),
            None if !self.one_opponent(n) => return None,
            None => Fact::estimated(self.column(n.checked_sub(2)?)?),
        };
        match opponent.value {
            Column::Middle => None,
            side if side == lands => Some(opponent.map(|_| Goes::Behind)),
            _ => Some(opponent.map(|_| Goes::OpenCourt)),
        }
    }

    fn push(&self, n: usize) -> Option<Fact<Push>> {
        let before = n.checked_sub(1)?;
        if let Some(moves) = self.moves(n + 1, before, n + 1) {
            return moves.agreed(|(was, is)| pushed(*was, *is)).map(Fact::seen);
        }
        if !self.one_opponent(n) {
            return None;
        }
        Some(Fact::estimated(match self.depth(n)?.cmp(&self.had_to_play(n)?) {
            Ordering::Less => Push::In,
            Ordering::Equal => Push::Held,
            Ordering::Greater => Push::Back,
        }))
    }

    /// How deep the opponent is, judged by the shot that they had to play before shot `n`. A server is at the baseline, between
    /// a mid and a deep shot; a receiver is behind it.
    fn had_to_play(&self, n: usize) -> Option<Depth> {
        match n {
            0 | 1 if self.point.joined_late => None,
            0 => None,
            1 => Some(Depth::Mid),
            2 if !self.point.joined_late => Some(Depth::Deep),
            _ => self.depth(n - 2),
        }
    }

    fn inside(&self, n: usize) -> Option<Fact<bool>> {
        if let Some(at) = self.stands(n, n) {
            return at.sure(|s| s.y.abs() < HALF_LENGTH).map(Fact::seen);
        }
        // A server may not touch the court (ITF Rules of Tennis, rules 16 and 18).
        let Some(before) = n.checked_sub(1) else { return self.is_serve(n).then_some(Fact::seen(false)) };
        if self.shot(n)?.stroke == Some(Stroke::Volley) {
            return Some(Fact::estimated(true));
        }
        match self.depth(before)? {
            Depth::Short => Some(Fact::estimated(true)),
            // From the baseline or from inside it: either is common.
            Depth::Mid => None,
            Depth::Deep => Some(Fact::estimated(false)),
        }
    }

    fn opponent_deep(&self, n: usize) -> Option<Fact<bool>> {
        if let Some(at) = self.stands(n + 1, n) {
            return at.sure(|s| place::behind_baseline(s) >= USUAL_DEPTH).map(Fact::seen);
        }
        if !self.one_opponent(n) {
            return None;
        }
        // A deep shot alone does not say how far behind the baseline it was played.
        (self.depth(n.checked_sub(2)?)? == Depth::Short).then_some(Fact::estimated(false))
    }

    /// Where shot `n` bounced or was aimed; estimated where only the cell is known.
    pub(super) fn lands_near(&self, n: usize) -> Option<Fact<Spot>> {
        let shot = self.shot(n)?;
        let measured = self.landing(n).map(|at| at.spot).or(shot.aim_place.map(Spot::from));
        let cell = || place::centre(shot.cell.or(shot.aim)?, self.end(n)?.other());
        measured.map(Fact::seen).or_else(|| cell().map(Fact::estimated))
    }

    fn opponent_leaving(&self, n: usize) -> Option<Fact<bool>> {
        let (moves, target) = self.before_and_at(n).zip(self.lands_near(n))?;
        let leaves = |was: Spot, is: Spot, to: Spot| {
            let toward = (is.x - was.x).0 * (to.x - is.x).0 + (is.y - was.y).0 * (to.y - is.y).0;
            was.distance(is) >= MOVES && toward < 0.0
        };
        let leaving = |(was, is): &(At, At)| {
            let value = leaves(was.spot, is.spot, target.value);
            let ends = || was.ends().into_iter().flat_map(|w| is.ends().map(move |i| (w, i)));
            ends().all(|(w, i)| leaves(w, i, target.value) == value).then_some(value)
        };
        moves.agreed(leaving).map(|value| target.map(|_| value))
    }

    /// Whether a bounce in the singles court was measured, beyond its error.
    fn bounced_in(&self, n: usize) -> bool {
        let inside = |s: Spot| s.x.abs() <= HALF_SINGLES && s.y.abs() <= HALF_LENGTH;
        self.landing(n).and_then(|at| at.sure(inside)) == Some(true)
    }

    /// Whether shot `n` missed. A shot that was returned was in. The last shot missed if the point ended with an error; if the
    /// ending is not logged, it missed if it was not seen to land and its striker lost. If later shots were not logged, a serve
    /// in play, or a shot that was seen to land, was in.
    fn missed(&self, n: usize) -> Option<bool> {
        if n + 1 < self.point.shots.len() {
            return Some(false);
        }
        let shot = self.shot(n)?;
        if shot.aim.is_some() || shot.aim_place.is_some() {
            return Some(true);
        }
        let landed =
            shot.cell.is_some() || shot.depth.is_some() || shot.landing.is_some() || self.bounced_in(n);
        if self.point.left_early {
            return landed.then_some(false);
        }
        match (self.point.logged?, self.point.finish) {
            (Logged::Opening, _) => (self.is_serve(n) || landed).then_some(false),
            (Logged::Every, Some(finish)) => Some(is_error(finish)),
            (Logged::Every, None) if self.point.miss.is_some() => Some(true),
            (Logged::Every, None) if landed => Some(false),
            (Logged::Every, None) => self.point.winner.zip(self.by(n)).map(|(winner, by)| winner != by),
        }
    }

    /// Whether the serve in play was not returned: an ace, a missed return, or either of them. No for a double fault
    /// or a point penalty.
    pub(super) fn unreturned(&self) -> Option<bool> {
        let p = self.point;
        // A point joined late had at least a serve before what was logged.
        let shots = p.shots.len() + usize::from(p.joined_late);
        match (p.finish, shots) {
            _ if p.unreturned => Some(true),
            _ if p.penalty.is_some() => Some(false),
            (Some(Finish::Ace), _) => Some(true),
            (Some(Finish::DoubleFault), _) | (_, 3..) => Some(false),
            _ if p.joined_late || p.left_early => None,
            (_, 1) if p.logged == Some(Logged::Every) => Some(true),
            (_, 2) if p.logged.is_some() => self.missed(1),
            _ => None,
        }
    }

    fn since(&self, n: usize) -> Option<Duration> {
        let (before, now) = (self.shot(n.checked_sub(1)?)?.at?, self.shot(n)?.at?);
        (now >= before).then(|| now - before)
    }

    /// The number of shots; 0 in a double fault and for a point penalty. Unknown if the finish and the logged shots contradict each other.
    pub(super) fn length(&self) -> Option<usize> {
        let logged = self.point.shots.len();
        if self.point.joined_late || self.point.left_early {
            return None;
        }
        match (self.point.finish, self.point.logged) {
            (Some(Finish::DoubleFault), _) => Some(0).filter(|_| logged == 0),
            (None, _) if self.point.penalty.is_some() => Some(0).filter(|_| logged == 0),
            (Some(Finish::Ace), _) => Some(1).filter(|_| logged <= 1),
            (_, Some(Logged::Every)) => Some(logged).filter(|n| *n > 0),
            _ => None,
        }
    }

    /// Who struck the last shot, if every shot was logged, or every shot from where the point was joined.
    pub(super) fn last_by(&self) -> Option<Side> {
        let p = self.point;
        let to_the_end = p.joined_late && !p.left_early && p.logged == Some(Logged::Every);
        let shots = if to_the_end { p.shots.len() } else { self.length()? };
        self.by(shots.checked_sub(1)?)
    }

    /// The serves that were tried: the first, the second.
    pub(super) fn serves(&self) -> [Option<ServeFacts>; 2] {
        let Some(faults) = self.point.faults.map(usize::from) else { return [None; 2] };
        let placed = self.point.serves_out.len() == faults;
        [0, 1].map(|n| match n.cmp(&faults) {
            Ordering::Less => {
                let seen = self.point.serves_out.get(n).filter(|_| placed);
                let unseen = ServeFacts { fault: true, ..ServeFacts::default() };
                Some(seen.map_or(unseen, |s| self.tried(s, true)))
            }
            Ordering::Equal => self.shot(0).filter(|_| self.is_serve(0)).map(|s| self.tried(s, false)),
            Ordering::Greater => None,
        })
    }

    fn tried(&self, shot: &Shot, fault: bool) -> ServeFacts {
        let to = self.direction(shot);
        let target = to.and_then(|to| self.serve_target(to));
        ServeFacts { to, target, pace: shot.pace, spin: shot.spin, fault, kind: shot.fault.filter(|_| fault) }
    }
}

/// What the way of the opponent from their strike before to their next one says; unknown if the error reaches over an edge.
fn pushed(was: At, is: At) -> Option<Push> {
    let (back, off) = ((is.spot.y.abs() - was.spot.y.abs()).0, is.lengthways().hypot(was.lengthways()));
    let kind = |back: f64| match Metres(back) {
        d if d >= CHANGE => Push::Back,
        d if d <= -CHANGE => Push::In,
        _ => Push::Held,
    };
    (kind(back - off) == kind(back + off)).then(|| kind(back))
}

const fn is_error(finish: Finish) -> bool {
    matches!(finish, Finish::ForcedError | Finish::UnforcedError)
}
