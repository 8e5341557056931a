//! What the court pad shows, worked out from the record and the logger: whose shot the next pad key logs, in which half or box
//! it lands, and what each key means. The window only draws it.

use super::action::Action;
use super::ball::PAD;
use super::log::open_point;
use super::log::{Logger, Plain};
use crate::facts::PointFacts;
use crate::record::{Kind, Point, Record, Shared};
use crate::tennis::score::PointState;
use crate::tennis::stroke::{Cell, Column, Depth, Row, ServeTo};
use crate::tennis::{CourtSide, End, Side};

/// Where things stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// No point is open: the next pad key starts one with its serve.
    Idle,
    /// The serve of the open point comes next, or is the chosen shot.
    Serve,
    /// Another shot comes next, or is the chosen shot.
    Rally,
    /// A shot of a point that has ended is chosen, to correct where it landed.
    Ended,
}

/// Where the shot lands that the next pad key is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lands {
    /// In a service box.
    Box {
        /// The end at which the server stands; the box is in the other half.
        from: Option<End>,
        /// The court that is served to.
        court: Option<CourtSide>,
        /// The box's half of the court's width, as the camera sees it: left or right.
        column: Option<Column>,
    },
    /// In the half at this end.
    Half(Option<End>),
}

/// One of the nine keys.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PadCell {
    /// The plain key.
    pub action: Action,
    /// The key for a backhand.
    pub backhand: Action,
    /// The cell that the key logs; for a serve, a third of the box.
    pub cell: Cell,
    /// What the key means: `wide`, `body`, `T`; else `short`, `mid`, `deep`. Empty if that is not known.
    pub word: &'static str,
    /// Whether the shot that the next key replaces, or the last shot in this half, landed here.
    pub marked: bool,
}

/// The court pad.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PadView {
    /// Where things stand.
    pub phase: Phase,
    /// The shot that the next pad key is about, from 0.
    pub ball: usize,
    /// Whether it is logged already, so that the key corrects where it landed.
    pub chosen: bool,
    /// Who strikes it.
    pub striker: Option<Side>,
    /// The first serve or the second; none when that is not known, and for other shots.
    pub serve: Option<u8>,
    /// Where it lands.
    pub lands: Lands,
    /// The keys, row by row from the far one.
    pub cells: [PadCell; 9],
    /// The shot of the current point that other keys go to, from 0.
    pub goes_to: Option<usize>,
    /// What a plain key means for wing, stroke and misses.
    pub plain: Plain,
    /// Who serves the point.
    pub server: Option<Side>,
    /// Whether the point was joined in mid-rally: no shot has a known number, and none of them is the serve.
    pub joined: bool,
    /// The tag of which the next key of a winner says whose it is.
    pub whose: Option<String>,
}

/// Who serves from where to where.
#[derive(Clone, Copy, Default)]
struct From {
    server: Option<Side>,
    end: Option<End>,
    court: Option<CourtSide>,
    /// Who struck the first logged shot.
    first: Option<Side>,
    /// Whether the point was joined in mid-rally.
    joined: bool,
}

impl PadView {
    /// The pad for a record, its facts, and the score after its last point.
    pub fn of(record: &Record, facts: &Shared<PointFacts>, after: &PointState, logger: &Logger) -> Self {
        let current = logger.current().filter(|i| *i < record.points.len());
        let point = current.map(|i| &record.points[i]);
        let open = current.is_some() && open_point(record) == current;
        let chosen = logger.chosen(record);
        let (phase, ball) = match (chosen, open, point) {
            (Some(n), true, Some(p)) if p.is_serve(n) => (Phase::Serve, n),
            (Some(n), true, _) => (Phase::Rally, n),
            (Some(n), false, _) => (Phase::Ended, n),
            (None, true, Some(p)) if !p.shots.is_empty() => (Phase::Rally, p.shots.len()),
            (None, true, Some(p)) if p.joined_late => (Phase::Rally, 0),
            (None, true, _) => (Phase::Serve, 0),
            (None, false, _) => (Phase::Idle, 0),
        };
        let from = match current.filter(|_| phase != Phase::Idle) {
            Some(i) => facts.get(i).zip(point).map(|(f, p)| From::of_point(f, p)),
            None => Some(From::of_next(record, facts, after)),
        };
        let from = from.unwrap_or(From::default());
        let seen = point.filter(|_| phase != Phase::Idle);
        let lands = from.lands(ball);
        Self {
            phase,
            ball,
            chosen: chosen.is_some(),
            striker: from.striker(ball),
            serve: serve(phase, ball, seen),
            lands,
            cells: cells(from, lands, mark(seen, ball, chosen.is_some())),
            goes_to: chosen.or_else(|| point.and_then(|p| p.shots.len().checked_sub(1))),
            plain: logger.plain(),
            server: from.server,
            joined: from.joined,
            whose: logger.asks_whose().map(str::to_owned),
        }
    }
}

impl From {
    fn of_point(f: &PointFacts, point: &Point) -> Self {
        // As the facts tell, also where it follows from how the point ended.
        let struck = f.shots.first().and_then(|s| s.by);
        let first = struck.or_else(|| point.first_striker(f.server));
        Self { server: f.server, end: f.server_end, court: f.court, first, joined: point.joined_late }
    }

    /// For the next point: known if the score after the last point is known.
    fn of_next(record: &Record, facts: &Shared<PointFacts>, after: &PointState) -> Self {
        let counted = record.points.last().is_none_or(|p| p.replayed || p.winner.is_some());
        let kind = record.about.kind();
        let scored = kind != Kind::Points && !record.is_unscored();
        let known = scored && counted && facts.last().is_none_or(|f| f.score_known);
        Self {
            server: known.then_some(after.server),
            end: after.server_end.filter(|_| known),
            court: after.side.filter(|_| known),
            first: known.then_some(after.server),
            joined: false,
        }
    }

    /// Who strikes shot `n`.
    fn striker(self, n: usize) -> Option<Side> {
        let first = self.first?;
        Some(if n.is_multiple_of(2) { first } else { first.other() })
    }

    /// Where shot `n` lands.
    fn lands(self, n: usize) -> Lands {
        if self.joined {
            let serves = self.striker(n).zip(self.server).map(|(by, server)| by == server);
            return Lands::Half(
                self.end.zip(serves).map(|(end, serves)| if serves { end.other() } else { end }),
            );
        }
        match n {
            0 => Lands::Box {
                from: self.end,
                court: self.court,
                column: self.end.zip(self.court).map(|(end, court)| ServeTo::Wide.third(end, court)),
            },
            n => Lands::Half(self.end.map(|e| if n.is_multiple_of(2) { e.other() } else { e })),
        }
    }
}

fn serve(phase: Phase, ball: usize, point: Option<&Point>) -> Option<u8> {
    match (phase, ball, point) {
        (Phase::Idle, ..) => Some(1),
        (_, 0, Some(p)) if !p.joined_late => p.faults.map(|f| f.min(1) + 1),
        _ => None,
    }
}

/// Where the chosen shot landed; else the last shot that landed in the same half.
fn mark(point: Option<&Point>, ball: usize, chosen: bool) -> Option<Cell> {
    let point = point?;
    let n = if chosen { ball } else { ball.checked_sub(2).filter(|n| !point.is_serve(*n))? };
    point.shots.get(n)?.cell
}

fn cells(from: From, lands: Lands, mark: Option<Cell>) -> [PadCell; 9] {
    std::array::from_fn(|i| {
        let (column, row) = (Column::ALL[i % 3], Row::ALL[i / 3]);
        let rally = matches!(lands, Lands::Half(_));
        let cell = Cell { column, row: rally.then_some(row) };
        let word = match (lands, from.end, from.court) {
            (Lands::Box { .. }, Some(end), Some(court)) => ServeTo::of(column, end, court).words(),
            // Which third is wide is not known: the line then says left or right, too.
            (Lands::Box { .. }, ..) => column.words(),
            (Lands::Half(Some(end)), ..) => Depth::of(row, end).words(),
            _ => "",
        };
        PadCell { action: PAD[0][i], backhand: PAD[1][i], cell, word, marked: mark == Some(cell) }
    })
}
