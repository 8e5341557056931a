//! What patterns did: how often they happened, what they won, and how the other points went.
//!
//! Every cell is a list of points, so that every number opens its clips; a count is the length of its list. [`study`] asks
//! wider questions of many matches, and compares; [`numbers`] are those that every coach asks first.

pub mod numbers;
pub mod plans;
pub mod study;

use std::sync::Arc;

use schemars::JsonSchema;
use serde::Serialize;

use crate::evidence::{FEW, Interval, Percent, wilson};
use crate::facts::{Fact, PointFacts, PointRef, Push, ShotFacts, facts};
use crate::pattern::{Aim, Answer, Pattern, Who, same_tag};
use crate::record::{MatchInfo, Record};
use crate::tennis::Side;
use crate::tennis::stroke::Depth;

/// Whose points are asked about, where a pattern is about the server or the receiver.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Whose {
    /// Both players'.
    #[default]
    Both,
    /// Those of one side, in every record.
    Side(Side),
    /// Those of the player of this name, on whichever side; records without that player are left out.
    Named(String),
}

impl Whose {
    /// The side of the player asked about, when one is asked about and plays in the record.
    pub fn side(&self, record: &Record) -> Option<Side> {
        self.side_of(&record.about)
    }

    /// As [`Self::side`], of who plays: in points of many matches each point has its own players.
    pub fn side_of(&self, about: &MatchInfo) -> Option<Side> {
        match self {
            Self::Both => None,
            Self::Side(side) => Some(*side),
            Self::Named(name) => {
                [Side::A, Side::B].into_iter().find(|s| same_tag(&about.player(*s).name, name))
            }
        }
    }

    /// Whether the record has points of whoever is asked about.
    pub fn is_in(&self, record: &Record) -> bool {
        *self == Self::Both || self.side(record).is_some()
    }

    /// As [`Self::is_in`], of who plays.
    pub fn plays(&self, about: &MatchInfo) -> bool {
        match self {
            Self::Both | Self::Side(_) => true,
            Self::Named(name) => [Side::A, Side::B].iter().any(|s| same_tag(&about.player(*s).name, name)),
        }
    }
}

/// A rate, and how sure one can be of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Rate {
    /// Won.
    pub won: usize,
    /// Won or lost.
    pub of: usize,
    /// The one by the other, 0 to 1.
    pub rate: f64,
    /// 95 % interval (Wilson 1927).
    pub interval: Interval,
    /// Whether there are too few points to tell (fewer than 10).
    pub too_few: bool,
}

impl Rate {
    fn of(won: usize, of: usize) -> Option<Self> {
        let interval = wilson(won, of)?;
        Some(Self { won, of, rate: won as f64 / of as f64, interval, too_few: of < FEW })
    }

    /// In whole per cent.
    pub fn percent(&self) -> Percent {
        Percent::of(self.rate)
    }

    /// The ends of the interval in whole per cent.
    pub fn range(&self) -> [Percent; 2] {
        [self.interval.low, self.interval.high].map(Percent::of)
    }
}

/// Some points and how they went.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(rename = "Tally")]
pub struct Tally<P = Vec<PointRef>> {
    /// All of them.
    pub points: P,
    /// Those won by the side that the pattern counts for.
    pub won: P,
    /// Those lost.
    pub lost: P,
    /// Those of which that is not known.
    pub unknown: P,
    /// Won of won and lost; absent when there are none.
    pub rate: Option<Rate>,
}

impl Tally {
    fn add(&mut self, at: PointRef, won: Answer) {
        self.points.push(at);
        match won {
            Answer::Yes => self.won.push(at),
            Answer::No => self.lost.push(at),
            Answer::Unknown => self.unknown.push(at),
        }
    }

    fn close(&mut self) {
        self.rate = Rate::of(self.won.len(), self.won.len() + self.lost.len());
    }

    /// The counts alone.
    pub fn counted(&self) -> Tally<usize> {
        let [points, won, lost, unknown] = [&self.points, &self.won, &self.lost, &self.unknown].map(Vec::len);
        Tally { points, won, lost, unknown, rate: self.rate }
    }
}

/// One pattern's row.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Row {
    /// Name of the pattern.
    pub pattern: String,
    /// What it means.
    pub about: String,
    /// Whether the pattern itself says who won, as a double fault does: the rate is then no finding.
    pub by_definition: bool,
    /// Whose win counts: `server`, `receiver`, `a`, `b` or `striker`.
    pub won_by: String,
    /// The points that show it.
    pub happened: Tally,
    /// The other points among which it was looked for, for comparison.
    pub others: Tally,
    /// Points of which the record does not say whether they show it. They count in no rate.
    pub cannot_tell: Vec<PointRef>,
    /// Points that do not show it, but may not belong among the others either. They count in no rate.
    pub unplaced: Vec<PointRef>,
    /// Points that might show it, had their last shot not missed: where the pattern asks for a direction, those whose shot has no known
    /// aim; where it asks for a depth, all of them. The rate is of shots that landed.
    pub missed: Tally,
    /// Whether points count that are known by where a missed shot was aimed.
    pub aimed: bool,
}

/// The patterns of a summary, in the order asked.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Table {
    /// How many points were looked at.
    pub points: usize,
    /// A row for each pattern.
    pub rows: Vec<Row>,
}

/// Asks each pattern of each point of the records: all of one point while it is at hand.
pub fn summarise(records: &[&Record], patterns: &[Pattern], whose: &Whose) -> Table {
    let mut asked: Vec<Asked<'_>> = patterns.iter().map(Asked::new).collect();
    let mut points = 0;
    let parts = (records.iter().enumerate())
        .flat_map(|(index, r)| r.by_players().into_iter().map(move |(part, places)| (index, part, places)));
    for (index, record, places) in parts.filter(|(_, part, _)| whose.is_in(part)) {
        let side = whose.side(&record);
        for (f, place) in facts(&record).iter().zip(places).filter(|(f, _)| !f.replayed) {
            points += 1;
            let at = PointRef { record: index, point: place };
            for a in &mut asked {
                a.take(at, f, side);
            }
        }
    }
    Table { points, rows: asked.into_iter().map(Asked::close).collect() }
}

/// A pattern, and its row as far as it has got.
struct Asked<'p> {
    pattern: &'p Pattern,
    /// Where the striker's win counts, one player's points are those with the shot struck by that player: A, B.
    struck_by: [Pattern; 2],
    /// Whether a point that does not show it has no striker whose win would count.
    no_ball: bool,
    /// Where a missed shot may have been aimed; empty unless it asks where a shot went.
    aims: Vec<Aim>,
    /// Whether it asks how deep a shot landed, or what that did to the opponent.
    depth: bool,
    row: Row,
}

impl<'p> Asked<'p> {
    fn new(pattern: &'p Pattern) -> Self {
        let row = Row {
            pattern: pattern.name.clone(),
            about: pattern.about.clone(),
            by_definition: pattern.is_decided(),
            won_by: pattern.won_by.word().into(),
            happened: Tally::default(),
            others: Tally::default(),
            cannot_tell: Vec::new(),
            unplaced: Vec::new(),
            missed: Tally::default(),
            aimed: false,
        };
        let struck_by = [Side::A, Side::B].map(|side| pattern.struck_by(side));
        Self {
            pattern,
            struck_by,
            no_ball: pattern.has_no_ball_unless_shown(),
            aims: pattern.aims(),
            depth: pattern.asks_depth(),
            row,
        }
    }

    fn take(&mut self, at: PointRef, f: &PointFacts, side: Option<Side>) {
        let pattern = side.map_or(self.pattern, |side| &self.struck_by[side.index()]);
        let among = asked_about(pattern, f, side).and(pattern.is_among(f));
        if among == Answer::No {
            return;
        }
        let shows = among.and(pattern.is_met(f));
        if shows != Answer::Yes
            && let Some(shot) = missed(f)
        {
            let no_aim = shows == Answer::Unknown && shot.direction.is_none() && self.aim_matters(pattern, f);
            if no_aim || self.depth && if_landed(pattern, f) {
                let won_by = match pattern.won_by {
                    Who::Striker => side.or(shot.by),
                    who => who.side(f),
                };
                self.row.missed.add(at, won_by.zip(f.winner).map(|(a, b)| a == b).into());
            }
        }
        if shows == Answer::Unknown {
            self.row.cannot_tell.push(at);
            return;
        }
        self.row.aimed |= !self.aims.is_empty() && missed(f).is_some_and(|s| s.direction.is_some());
        let won_by = match (pattern.won_by, side) {
            (Who::Striker, Some(side)) => Some(side),
            // Looking for a shot that is not there takes as long as asking for it did.
            (Who::Striker, None) if shows == Answer::No && self.no_ball => None,
            _ => pattern.won_side(f),
        };
        let won = won_by.zip(f.winner).map(|(a, b)| a == b).into();
        match (shows, among) {
            (Answer::Yes, _) => self.row.happened.add(at, won),
            (_, Answer::Yes) => self.row.others.add(at, won),
            _ => self.row.unplaced.push(at),
        }
    }

    /// Whether it would be known that the point shows it, or does not, if it were known where the missed shot was aimed. Where that
    /// stays unknown, something else is not known: the shots before, or the shot that missed is the other player's.
    fn aim_matters(&self, pattern: &Pattern, f: &PointFacts) -> bool {
        let mut aimed = f.clone();
        self.aims.iter().any(|aim| {
            if let Some((last, seen)) = Arc::make_mut(&mut aimed.shots).last_mut().zip(f.shots.last()) {
                *last = aim.of(*seen);
            }
            pattern.is_met(&aimed) != Answer::Unknown
        })
    }

    fn close(mut self) -> Row {
        self.row.missed.close();
        self.row.happened.close();
        self.row.others.close();
        self.row
    }
}

/// The last shot of the point, if it missed.
fn missed(f: &PointFacts) -> Option<&ShotFacts> {
    f.shots.last().filter(|s| s.missed == Some(true))
}

/// Whether the pattern might be shown, had the last shot landed: short, mid or deep.
fn if_landed(pattern: &Pattern, f: &PointFacts) -> bool {
    let mut landed = f.clone();
    [(Depth::Short, Push::In), (Depth::Mid, Push::Held), (Depth::Deep, Push::Back)].into_iter().any(
        |(depth, push)| {
            if let Some(last) = Arc::make_mut(&mut landed.shots).last_mut() {
                (last.depth, last.push) = (Some(depth), Some(Fact::estimated(push)));
            }
            pattern.is_met(&landed) != Answer::No
        },
    )
}

/// Whether the point is one of the asked player's: as server or receiver, whichever the pattern is about.
fn asked_about(pattern: &Pattern, f: &PointFacts, side: Option<Side>) -> Answer {
    match (side, pattern.won_by) {
        (None, _) | (_, Who::Player(_) | Who::Striker) => Answer::Yes,
        (Some(asked), who) => who.side(f).map(|s| s == asked).into(),
    }
}

#[cfg(test)]
mod seen_tests;
#[cfg(test)]
pub(crate) mod tests;
