//! Edit decision list by the structure of SMPTE 258M: one event a clip, cuts only.

use std::fmt::Write;

use super::error::ExportError;
use super::sheet::{Sheet, plain_line};
use super::timecode::{Label, Labels, TimecodeError};

/// Events are numbered with three digits.
const MOST: usize = 999;

/// A clip list as an edit decision list: the clips one after another, from 01:00:00:00 on.
///
/// # Errors
/// [`ExportError`] when the clips have several rates or none, or a label does not exist.
pub fn clips(sheet: &Sheet) -> Result<String, ExportError> {
    let labels = labels(sheet)?;
    let first = sheet.start_timecode.map_or(Ok(0), |label| labels.frame(label))?;
    let hour: Label = if labels_drop(sheet) { "01:00:00;00" } else { "01:00:00:00" }.parse()?;
    let mut at = labels.frame(hour)?;
    if sheet.clips.len() > MOST {
        return Err(ExportError::TooMany { found: sheet.clips.len(), most: MOST });
    }
    let mode = if labels_drop(sheet) { "DROP FRAME" } else { "NON-DROP FRAME" };
    let mut out = format!("TITLE: {}\r\nFCM: {mode}\r\n", plain_line(&sheet.title));
    for (n, clip) in sheet.clips.iter().enumerate() {
        let Some(rate) = clip.rate else { continue };
        let [from, to] = [clip.file_span.start(), clip.file_span.end()].map(|t| rate.nearest(t));
        let to = to.max(from + 1);
        let source = [labels.label(first + from)?, labels.label(first + to)?];
        let record = [labels.label(at)?, labels.label(at + to - from)?];
        at += to - from;
        let reel = reel(sheet, &clip.file);
        // Writing to a text cannot fail.
        let _ = write!(
            out,
            "\r\n{:03}  {reel:<8} V     C        {} {} {} {}\r\n",
            n + 1,
            source[0],
            source[1],
            record[0],
            record[1]
        );
        let notes = [("FROM CLIP NAME", &clip.label), ("SOURCE FILE", &clip.file), ("COMMENT", &clip.about)];
        for (what, text) in notes {
            let line = plain_line(text);
            if !line.is_empty() {
                let _ = write!(out, "* {what}: {line}\r\n");
            }
        }
    }
    Ok(out)
}

fn labels_drop(sheet: &Sheet) -> bool {
    sheet.start_timecode.is_some_and(Label::is_drop)
}

/// The labels of the one rate of all clips.
fn labels(sheet: &Sheet) -> Result<Labels, ExportError> {
    let mut rates = sheet.clips.iter().map(|c| c.rate.ok_or_else(|| no_rate(&c.file)));
    let Some(first) = rates.next().transpose()? else { return Err(ExportError::NoClips) };
    for rate in rates {
        let rate = rate?;
        if rate != first {
            return Err(ExportError::SeveralRates { rates: format!("{first}, {rate}") });
        }
    }
    Ok(Labels::new(first, labels_drop(sheet))?)
}

pub(super) fn no_rate(file: &str) -> ExportError {
    ExportError::NoRate { file: plain_line(file) }
}

impl From<TimecodeError> for ExportError {
    fn from(why: TimecodeError) -> Self {
        Self::Timecode(why)
    }
}

/// A file's reel name: letters and digits of its name, at most eight; with a number where two files would have the same.
fn reel(sheet: &Sheet, file: &str) -> String {
    let plain = |file: &str| {
        let name = file.rsplit('/').next().unwrap_or(file);
        let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
        let name: String = stem.chars().filter(char::is_ascii_alphanumeric).take(8).collect();
        // BL and AX are words of the format.
        if matches!(name.to_ascii_uppercase().as_str(), "" | "BL" | "AX") {
            "REEL".into()
        } else {
            name.to_ascii_uppercase()
        }
    };
    let own = plain(file);
    let same: Vec<&str> = sheet.files().into_iter().filter(|f| plain(f) == own).collect();
    match same.iter().position(|f| *f == file) {
        Some(n) if same.len() > 1 => {
            let number = (n + 1).to_string();
            let kept: String = own.chars().take(8 - number.len().min(7)).collect();
            format!("{kept}{number}")
        }
        _ => own,
    }
}
