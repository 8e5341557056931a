//! Clips: points turned into spans of the footage, with lead-in and lead-out.
//!
//! [`clip_list`] widens each point, keeps inside the files and away from the points before and after it, and cuts at the borders
//! of files. Each point is a clip of its own, unless joined clips are asked for. A point that cannot be shown is listed with the
//! reason, never dropped. Where the cuts of the footage are known, [`clip_list_uncut`] also stops at them.

use std::time::Duration;

use schemars::JsonSchema;
use serde::Serialize;

use crate::facts::{PointFacts, PointRef, facts, heading_of, words_of};
use crate::record::{Footage, Record, Shared};
use crate::time::{FrameRate, MatchTime, Span};

/// Footage kept before and after a point, as far as it does not reach into another point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lead {
    /// Before its start: the lead-in.
    pub before: Duration,
    /// After its end: the lead-out.
    pub after: Duration,
    /// Whether clips of one file that overlap or touch become one.
    pub merge: bool,
}

impl Default for Lead {
    /// Two seconds before and one after; each point is a separate clip.
    fn default() -> Self {
        Self { before: Duration::from_secs(2), after: Duration::from_secs(1), merge: false }
    }
}

/// A span of one media file that shows one point or several.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Clip {
    /// Place of the record among those asked about, from 0.
    pub record: usize,
    /// Places of the points in the record, from 0, in their order.
    pub points: Vec<usize>,
    /// The span on the match clock.
    pub span: Span,
    /// Where in the match this is: server and score of each point.
    pub label: String,
    /// Each point in words.
    pub about: String,
    /// The media file, as the record names it.
    pub file: String,
    /// The span counted from the file's own first moment.
    pub file_span: Span,
    /// The file's frame rate; absent when it varies.
    #[serde(skip)]
    pub rate: Option<FrameRate>,
    /// How long the file plays.
    #[serde(skip)]
    pub duration: MatchTime,
}

/// Why a point has no clip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Why {
    /// It has no start, or no end.
    NoTimes,
    /// No file of the record covers it.
    NoFootage,
    /// The record has no such point.
    NoPoint,
}

impl Why {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NoTimes => "no start or end was stamped",
            Self::NoFootage => "no footage covers it",
            Self::NoPoint => "the record has no such point",
        }
    }
}

/// A point without a clip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct Unreachable {
    /// The point.
    pub point: PointRef,
    /// Why it has none.
    pub why: Why,
}

/// Clips in the order of the records and of their time, and the points that have none.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, JsonSchema)]
pub struct ClipList {
    /// The clips. If joined clips were asked for, clips of one file never overlap or touch.
    pub clips: Vec<Clip>,
    /// The points that no clip shows.
    pub unreachable: Vec<Unreachable>,
}

/// A piece of one file that shows one point, before joining.
struct Piece {
    file: usize,
    span: Span,
    points: Vec<usize>,
}

/// The clips that show these points. Points are taken once each, in any order.
pub fn clip_list(records: &[&Record], points: &[PointRef], lead: Lead) -> ClipList {
    clip_list_uncut(records, points, lead, &|_| Vec::new())
}

/// What knows the cuts of a file of footage: the times of the first frames after them, in order, on the file's own clock.
pub type CutsOf<'a> = dyn Fn(&Footage) -> Vec<MatchTime> + 'a;

/// As [`clip_list`]: lead-in and lead-out also stop at the cuts of the footage, and clips on both sides of one are not joined.
pub fn clip_list_uncut(records: &[&Record], points: &[PointRef], lead: Lead, cuts: &CutsOf<'_>) -> ClipList {
    let mut wanted = points.to_vec();
    wanted.sort_unstable();
    wanted.dedup();
    let mut list = ClipList::default();
    for of_record in wanted.chunk_by(|x, y| x.record == y.record) {
        match of_record.first().and_then(|p| records.get(p.record)) {
            Some(record) => clips_of(record, of_record, lead, &cuts_on_clock(record, cuts), &mut list),
            None => list
                .unreachable
                .extend(of_record.iter().map(|point| Unreachable { point: *point, why: Why::NoPoint })),
        }
    }
    list
}

/// The cuts of all files of a record, in order, on the match clock.
pub fn cuts_on_clock(record: &Record, cuts: &CutsOf<'_>) -> Vec<MatchTime> {
    let on_clock = |f: &Footage| {
        let by = f.start - MatchTime::ZERO;
        cuts(f).into_iter().map(move |t| t.later(by))
    };
    let mut all: Vec<MatchTime> = record.footage.iter().flat_map(on_clock).collect();
    all.sort_unstable();
    all
}

fn clips_of(record: &Record, points: &[PointRef], lead: Lead, cuts: &[MatchTime], list: &mut ClipList) {
    let all = facts(record);
    let mut pieces = Vec::new();
    for point in points {
        match pieces_of(record, &all, point.point, lead, cuts) {
            Ok(more) => pieces.extend(more),
            Err(why) => list.unreachable.push(Unreachable { point: *point, why }),
        }
    }
    let index = points.first().map_or(0, |p| p.record);
    let from = list.clips.len();
    let pieces = if lead.merge { joined(pieces, cuts) } else { pieces };
    list.clips.extend(pieces.into_iter().map(|p| clip(record, index, &all, p)));
    list.clips[from..].sort_by_key(|c| (c.span.start(), c.span.end()));
}

/// The parts of the files that show a point, in the order of time. Where files overlap, the earlier one shows it.
fn pieces_of(
    record: &Record,
    all: &Shared<PointFacts>,
    n: usize,
    lead: Lead,
    cuts: &[MatchTime],
) -> Result<Vec<Piece>, Why> {
    let f = all.get(n).ok_or(Why::NoPoint)?;
    let point = f.span.ok_or(Why::NoTimes)?;
    let mut left = uncut(room(all, n, point, lead), point, cuts);
    let mut files: Vec<_> = record.footage.iter().enumerate().collect();
    files.sort_by_key(|(_, file)| file.start);
    let mut pieces = Vec::new();
    for (file, footage) in files {
        let Some(span) = left.within(span_of(footage)) else { continue };
        // A file that holds only lead-in or lead-out shows nothing of the point.
        if point.within(span).is_some() || span.contains(point.start()) {
            pieces.push(Piece { file, span, points: vec![f.number] });
        }
        let Ok(rest) = Span::new(span.end(), left.end().max(span.end())) else { break };
        left = rest;
    }
    if pieces.is_empty() { Err(Why::NoFootage) } else { Ok(pieces) }
}

/// A point with its lead-in and lead-out. Neither reaches into the point before or after it, which may be of another match in
/// edited footage.
fn room(all: &Shared<PointFacts>, n: usize, point: Span, lead: Lead) -> Span {
    let wide = point.widened(lead.before, lead.after);
    let before = n.checked_sub(1).and_then(|n| all.get(n)?.span).map(Span::end);
    let after = all.get(n + 1).and_then(|f| f.span).map(Span::start);
    let start = before.filter(|t| *t <= point.start()).map_or(wide.start(), |t| t.max(wide.start()));
    let end = after.filter(|t| *t >= point.end()).map_or(wide.end(), |t| t.min(wide.end()));
    Span::new(start, end).unwrap_or(wide)
}

/// That room as far as there is no cut in it: neither lead reaches over one. A point in which the footage was cut is shown whole.
pub fn uncut(room: Span, point: Span, cuts: &[MatchTime]) -> Span {
    let before = cuts.partition_point(|t| *t <= point.start()).checked_sub(1).map(|n| cuts[n]);
    let after = cuts.get(cuts.partition_point(|t| *t < point.end()));
    let start = before.map_or(room.start(), |t| t.max(room.start()));
    let end = after.map_or(room.end(), |t| room.end().min(*t));
    Span::new(start, end).unwrap_or(room)
}

/// A file's place on the match clock.
fn span_of(footage: &Footage) -> Span {
    Span::lasting(footage.start, footage.duration - MatchTime::ZERO)
}

/// Joins pieces of one file that overlap or touch, unless the footage was cut there.
fn joined(mut pieces: Vec<Piece>, cuts: &[MatchTime]) -> Vec<Piece> {
    let is_cut = |before: Span, after: Span| {
        cuts.get(cuts.partition_point(|t| *t < after.start())).is_some_and(|t| *t <= before.end())
    };
    pieces.sort_by_key(|p| (p.file, p.span.start(), p.span.end()));
    let mut out: Vec<Piece> = Vec::new();
    for piece in pieces {
        if let Some(last) = out.last_mut()
            && last.file == piece.file
            && !is_cut(last.span, piece.span)
            && let Some(span) = last.span.joined(piece.span)
        {
            last.span = span;
            last.points.extend(piece.points);
        } else {
            out.push(piece);
        }
    }
    out
}

fn clip(record: &Record, index: usize, all: &Shared<PointFacts>, mut piece: Piece) -> Clip {
    piece.points.sort_unstable();
    let footage = &record.footage[piece.file];
    let text = |of: fn(&Record, &PointFacts) -> String| {
        let each: Vec<_> = piece.points.iter().filter_map(|n| all.get(*n)).map(|f| of(record, f)).collect();
        each.join(" | ")
    };
    let start = piece.span.start() - footage.start;
    Clip {
        record: index,
        label: text(heading_of),
        about: text(words_of),
        span: piece.span,
        file: footage.file.clone(),
        file_span: Span::lasting(MatchTime::ZERO.later(start), piece.span.length()),
        points: piece.points,
        rate: footage.rate,
        duration: footage.duration,
    }
}

#[cfg(test)]
mod tests;
