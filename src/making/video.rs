//! A lesson as one video.

use std::path::Path;

use super::error::MakingError;
use super::source::Source;
use crate::counted::{Bytes, about};
use crate::reel::{Files, Plan, Wish, estimate, expected};
use crate::time::MatchTime;
use crate::video::Container;

/// What kind of video the name of a file asks for.
///
/// # Errors
/// [`MakingError::Kind`].
pub fn container(path: &Path) -> Result<Container, MakingError> {
    let kind = path.extension().map(|e| e.to_string_lossy().to_lowercase());
    match kind.as_deref() {
        Some("mp4" | "m4v") => Ok(Container::Mp4),
        Some("webm") => Ok(Container::WebM),
        Some("mkv") => Ok(Container::Matroska),
        _ => Err(MakingError::Kind(path.to_owned())),
    }
}

/// What the video shows, of the lesson or of its talk; `files` are those of [`Source::files`].
///
/// # Errors
/// [`MakingError`] when there is nothing to show, or a voice file is away.
pub fn plan_video(of: &Source, files: &Files, talk: bool, wish: Wish) -> Result<Plan, MakingError> {
    Ok(if talk {
        Plan::told(&of.lesson, files, of.voices()?, wish)?
    } else {
        Plan::new(&of.lesson, files, wish)?
    })
}

/// How long and how large a video is, as `0:00:24, 1280 × 720, 25 frames a second, 3.1 MB`.
pub fn video_words(plan: &Plan, bytes: u64) -> String {
    format!("{}, {}", length_words(plan), Bytes(bytes))
}

/// The same before it is made, as `0:00:24, 1280 × 720, 25 frames a second, about 3.1 MB, at most 21 MB`.
pub fn video_expected(plan: &Plan, files: &Files) -> String {
    format!("{}, {}", length_words(plan), about(expected(plan, files), estimate(plan)))
}

fn length_words(plan: &Plan) -> String {
    let ((w, h), lasts) = (plan.size, MatchTime::short(plan.rate.time_of(plan.frames())));
    format!("{lasts}, {w} × {h}, {} frames a second", plan.rate)
}
