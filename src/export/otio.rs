//! OpenTimelineIO: one track with a clip for each of ours, in JSON.

use serde_json::{Value, json};

use super::edl::no_rate;
use super::error::ExportError;
use super::sheet::{Sheet, one_line};
use super::timecode::{Label, Labels};
use super::xspf::uri;
use crate::clips::Clip;
use crate::time::FrameRate;

/// A clip list as a timeline. Times count frames at the rate of the footage, from its start timecode; the exact rate is in the
/// metadata too, since the format holds rates as floating-point numbers.
///
/// # Errors
/// [`ExportError`] when a file has no constant rate, or its start timecode does not exist at its rate.
pub fn clips(sheet: &Sheet) -> Result<String, ExportError> {
    let children = sheet.clips.iter().map(|c| clip(sheet, c)).collect::<Result<Vec<_>, _>>()?;
    let track = json!({
        "OTIO_SCHEMA": "Track.1", "name": "V1", "kind": "Video", "source_range": null, "effects": [], "markers": [],
        "enabled": true, "metadata": {}, "children": children,
    });
    let stack = json!({
        "OTIO_SCHEMA": "Stack.1", "name": "tracks", "source_range": null, "effects": [], "markers": [], "enabled": true,
        "metadata": {}, "children": [track],
    });
    let timeline = json!({
        "OTIO_SCHEMA": "Timeline.1", "name": one_line(&sheet.title), "global_start_time": null, "tracks": stack,
        "metadata": {"changeover": {"format": "changeover-clips", "version": 1}},
    });
    let text = serde_json::to_string_pretty(&timeline);
    text.map(|s| s + "\n").map_err(|e| ExportError::Make { format: "OpenTimelineIO", why: e.to_string() })
}

fn clip(sheet: &Sheet, clip: &Clip) -> Result<Value, ExportError> {
    let rate = clip.rate.ok_or_else(|| no_rate(&clip.file))?;
    let labels = Labels::new(rate, sheet.start_timecode.is_some_and(Label::is_drop))?;
    let first = sheet.start_timecode.map_or(Ok(0), |label| labels.frame(label))?;
    let frame = |t| rate.nearest(t);
    let (from, to) = (frame(clip.file_span.start()), frame(clip.file_span.end()));
    let shown = range(rate, first + from, to.max(from + 1) - from);
    let whole = range(rate, first, frame(clip.duration.max(clip.file_span.end())));
    let points: Vec<usize> = clip.points.iter().map(|p| p + 1).collect();
    let metadata = json!({"changeover": {
        "about": one_line(&clip.about), "points": points, "rate": rate.to_string(), "start": clip.file_span.start().to_string(),
        "end": clip.file_span.end().to_string(), "match_start": clip.span.start().to_string(),
        "record": sheet.records.get(clip.record).map(|r| one_line(&r.file)),
    }});
    let marker = json!({
        "OTIO_SCHEMA": "Marker.2", "name": one_line(&clip.label), "color": "GREEN", "comment": one_line(&clip.about),
        "marked_range": range(rate, first + from, 1), "metadata": {},
    });
    Ok(json!({
        "OTIO_SCHEMA": "Clip.2", "name": one_line(&clip.label), "source_range": shown, "effects": [], "markers": [marker],
        "enabled": true, "metadata": metadata, "active_media_reference_key": "DEFAULT_MEDIA",
        "media_references": {"DEFAULT_MEDIA": {
            "OTIO_SCHEMA": "ExternalReference.1", "name": one_line(&clip.file), "target_url": uri(&clip.file),
            "available_range": whole, "available_image_bounds": null, "metadata": {},
        }},
    }))
}

fn range(rate: FrameRate, from: u64, frames: u64) -> Value {
    let float = f64::from(rate.frames()) / f64::from(rate.per());
    let time = |n: u64| json!({"OTIO_SCHEMA": "RationalTime.1", "rate": float, "value": n as f64});
    json!({"OTIO_SCHEMA": "TimeRange.1", "start_time": time(from), "duration": time(frames)})
}
