//! One picture of a file of footage, for a list of matches.

use std::ops::ControlFlow;
use std::path::Path;

use super::error::VideoError;
use super::frame::Frame;
use super::probe::probe_watched;
use super::scrub::Scrubber;

/// The frame a tenth into the footage: by then the camera stands. Waits; `watch` can stop the reading of the file.
///
/// # Errors
/// [`VideoError`] when the file cannot be played.
pub fn still(path: &Path, watch: &mut dyn FnMut(f64) -> ControlFlow<()>) -> Result<Frame, VideoError> {
    let media = probe_watched(path, watch)?;
    let mut scrub = Scrubber::open(&media)?;
    let frame = scrub.frame(media.index.len() / 10, &|| false)?;
    frame.ok_or_else(|| VideoError::Broken {
        path: path.to_owned(),
        reason: "no frame came out of the decoder".to_owned(),
    })
}
