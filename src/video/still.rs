//! One picture of a file of footage.

use std::ops::ControlFlow;
use std::path::Path;

use super::error::VideoError;
use super::frame::Frame;
use super::probe::probe_watched;
use super::scrub::Scrubber;
use crate::time::MatchTime;

/// The frame a tenth into the footage: by then the camera stands. Waits; `watch` can stop the reading of the file.
///
/// # Errors
/// [`VideoError`] when the file cannot be played.
pub fn still(path: &Path, watch: &mut dyn FnMut(f64) -> ControlFlow<()>) -> Result<Frame, VideoError> {
    frame_at(path, None, watch)
}

/// The frame that is shown at a moment of the file, the last one after its end, or the one a tenth into it. Waits; `watch`
/// can stop the reading of the file.
///
/// # Errors
/// [`VideoError`] when the file cannot be played.
pub fn frame_at(
    path: &Path,
    at: Option<MatchTime>,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Frame, VideoError> {
    let media = probe_watched(path, watch)?;
    let mut scrub = Scrubber::open(&media)?;
    let wanted = at.map_or(media.index.len() / 10, |t| media.index.at(t));
    let frame = scrub.frame(wanted, &|| false)?;
    frame.ok_or_else(|| VideoError::Broken {
        path: path.to_owned(),
        reason: "no frame came out of the decoder".to_owned(),
    })
}
