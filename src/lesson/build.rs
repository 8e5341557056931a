//! A lesson from a clip list.

use std::path::Path;

use super::model::{Clip, Condition, Footage, Met, OfPoint, Part};
use super::sound::MOST_DRAWINGS;
use crate::clips::{self, ClipList};
use crate::drawing::Drawing;
use crate::facts::{PointFacts, facts, score_of, words_of};
use crate::pattern::{Answer, Pattern, named_conditions};
use crate::record::footage::name_text;
use crate::record::{Record, Shared, relative};
use crate::time::{MatchTime, Span};

/// A record that clips are of. Its path must be absolute and without `..`.
#[derive(Debug, Clone, Copy)]
pub struct Origin<'a> {
    /// Its content.
    pub record: &'a Record,
    /// Its file.
    pub path: &'a Path,
}

/// The clips of a list as parts of a lesson in the folder `home`, which must be absolute and without `..`; each with its score, what
/// it shows in words, what the record has drawn over it, the named conditions of the pattern that was asked for, and its name.
/// `origins` are the records that the list refers to, in their order. A clip whose record or footage is not there is left out.
pub fn parts_of(
    list: &ClipList,
    origins: &[Origin<'_>],
    pattern: Option<&Pattern>,
    home: &Path,
) -> Vec<Part> {
    let all: Vec<Shared<PointFacts>> = origins.iter().map(|o| facts(o.record)).collect();
    let of = |clip: &clips::Clip| {
        let (origin, facts) = origins.get(clip.record).zip(all.get(clip.record))?;
        Some(Part::Clip(Box::new(clip_of(clip, origin, facts, pattern, home)?)))
    };
    list.clips.iter().filter_map(of).collect()
}

fn clip_of(
    clip: &clips::Clip,
    origin: &Origin<'_>,
    all: &Shared<PointFacts>,
    pattern: Option<&Pattern>,
    home: &Path,
) -> Option<Clip> {
    let record = origin.record;
    let starts = |f: &crate::record::Footage| f.start.later(clip.file_span.start() - MatchTime::ZERO);
    let file = record.footage.iter().find(|f| f.file == clip.file && starts(f) == clip.span.start())?;
    let shown: Vec<&PointFacts> = clip.points.iter().filter_map(|n| all.get(*n)).collect();
    let joined = |texts: Vec<String>| texts.join(" | ");
    let folder = origin.path.parent().unwrap_or(Path::new("/"));
    let first = shown.first();
    let of = first.map(|f| OfPoint {
        record: relative(folder, &name_text(origin.path.file_name().unwrap_or_default().as_ref()), home),
        point: f.number,
        start: f.span.map(Span::start),
    });
    // Of several points nobody could tell whose condition it is.
    let conditions = match (&shown[..], pattern) {
        ([only], Some(pattern)) => named_conditions(pattern, only).into_iter().map(condition).collect(),
        _ => Vec::new(),
    };
    Some(Clip {
        footage: Footage {
            file: relative(folder, &file.file, home),
            fingerprint: file.fingerprint.clone(),
            duration: file.duration,
            rate: file.rate,
        },
        from: clip.file_span.start(),
        to: clip.file_span.end(),
        caption: joined(shown.iter().map(|f| words_of(record, f)).collect()),
        score: joined(shown.iter().filter_map(|f| score_of(record, f)).collect()),
        notes: String::new(),
        of,
        pattern: pattern.map_or_else(String::new, |p| p.name.clone()),
        conditions,
        stretches: Vec::new(),
        freezes: Vec::new(),
        drawings: drawings_in(record, file, clip.file_span),
        times: None,
    })
}

/// What the record has drawn within a span of a file, on the file's own clock.
fn drawings_in(record: &Record, file: &crate::record::Footage, span: Span) -> Vec<Drawing> {
    let start = file.start - MatchTime::ZERO;
    let seen = record.drawings.iter().filter(|d| d.to > file.start);
    let moved = seen.map(|d| Drawing { from: d.from.earlier(start), to: d.to.earlier(start), ..d.clone() });
    moved.filter(|d| d.from < span.end() && d.to > span.start()).take(MOST_DRAWINGS).collect()
}

fn condition((words, answer): (String, Answer)) -> Condition {
    let met = match answer {
        Answer::Yes => Met::Met,
        Answer::No => Met::Missed,
        Answer::Unknown => Met::Unknown,
    };
    Condition { words, met }
}
