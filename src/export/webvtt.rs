//! WebVTT chapters (W3C WebVTT, chapter cues) of one media file.

use std::fmt::Write;

use super::error::ExportError;
use super::sheet::{Sheet, one_line};
use crate::time::MatchTime;

/// A clip list as WebVTT chapters: one cue a clip, at the times of the file.
///
/// # Errors
/// [`ExportError::SeveralFiles`] when the clips are of more than one file: chapters belong to one.
pub fn clips(sheet: &Sheet) -> Result<String, ExportError> {
    sheet.one_file("a WebVTT file has the chapters")?;
    let mut out = String::from("WEBVTT\n");
    for (n, clip) in sheet.clips.iter().enumerate() {
        let start = millis_up(clip.file_span.start());
        let end = millis_up(clip.file_span.end()).max(start + 1);
        let label = escaped(&clip.label);
        // Writing to a text cannot fail.
        let _ = write!(out, "\nclip-{}\n{} --> {}\n{label}\n", n + 1, stamp(start), stamp(end));
    }
    Ok(out)
}

/// Milliseconds, rounded up: a start rounded down would show the frame before it. Rounding both the same way keeps
/// cues from overlapping.
fn millis_up(t: MatchTime) -> u64 {
    t.nanos().div_ceil(1_000_000)
}

fn stamp(millis: u64) -> String {
    let s = millis / 1000;
    format!("{:02}:{:02}:{:02}.{:03}", s / 3600, s / 60 % 60, s % 60, millis % 1000)
}

/// Cue text: on one line, so without blank lines; `-->` cannot be in it, since `>` is escaped.
fn escaped(text: &str) -> String {
    one_line(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
