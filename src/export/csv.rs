//! CSV (RFC 4180), safe to open in a spreadsheet.

use super::error::ExportError;
use super::sheet::Sheet;
use crate::clips::Clip;
use crate::exchange::guarded;
use crate::time::MatchTime;

const HEADER: [&str; 12] = [
    "clip",
    "record",
    "file",
    "start",
    "end",
    "start_seconds",
    "end_seconds",
    "match_start",
    "match_end",
    "points",
    "label",
    "about",
];

/// A clip list as CSV: times in the file, in `HH:MM:SS.mmm` and in seconds, then on the match clock; points as
/// numbers from 1. Lines end with CR LF.
///
/// A text that a spreadsheet would run as a formula gets an apostrophe before it; see [`guarded`].
///
/// # Errors
/// [`ExportError::Make`] when it cannot be made.
pub fn clips(sheet: &Sheet) -> Result<String, ExportError> {
    let failed = |why: String| ExportError::Make { format: "CSV", why };
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    out.write_record(HEADER).map_err(|e| failed(e.to_string()))?;
    for (n, clip) in sheet.clips.iter().enumerate() {
        out.write_record(fields(sheet, n, clip)).map_err(|e| failed(e.to_string()))?;
    }
    let bytes = out.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}

fn fields(sheet: &Sheet, n: usize, clip: &Clip) -> [String; 12] {
    let points: Vec<String> = clip.points.iter().map(|p| (p + 1).to_string()).collect();
    let record = sheet.records.get(clip.record).map_or("", |r| r.file.as_str());
    [
        (n + 1).to_string(),
        guarded(record),
        guarded(&clip.file),
        clip.file_span.start().to_string(),
        clip.file_span.end().to_string(),
        seconds(clip.file_span.start()),
        seconds(clip.file_span.end()),
        clip.span.start().to_string(),
        clip.span.end().to_string(),
        points.join(" "),
        guarded(&clip.label),
        guarded(&clip.about),
    ]
}

/// Exact seconds, with no more decimals than needed: `12.5`.
pub(super) fn seconds(t: MatchTime) -> String {
    let text = format!("{}.{:09}", t.nanos() / 1_000_000_000, t.nanos() % 1_000_000_000);
    text.trim_end_matches('0').trim_end_matches('.').into()
}
