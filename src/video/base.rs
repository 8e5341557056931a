//! GStreamer made ready, and its elements made.

use std::sync::OnceLock;

use super::error::{VideoError, missing_element};

/// Makes GStreamer ready. May be called any number of times, from any thread.
///
/// # Errors
/// [`VideoError::Start`] when GStreamer cannot start on this machine.
pub fn init() -> Result<(), VideoError> {
    static STARTED: OnceLock<Result<(), VideoError>> = OnceLock::new();
    STARTED.get_or_init(|| gst::init().map_err(|e| VideoError::Start { reason: e.to_string() })).clone()
}

/// GStreamer's version on this computer.
pub fn version() -> String {
    let (major, minor, micro, _) = gst::version();
    format!("{major}.{minor}.{micro}")
}

/// Makes one element, or says which Debian package holds it.
pub(super) fn make(factory: &str) -> Result<gst::Element, VideoError> {
    gst::ElementFactory::make(factory).build().map_err(|_| missing_element(factory))
}

/// A GStreamer call that failed for a reason no user can act on alone.
pub(super) fn failed(what: &str, why: &impl std::fmt::Display) -> VideoError {
    VideoError::Pipeline { what: what.to_owned(), reason: why.to_string() }
}
