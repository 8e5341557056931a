//! Pictures of a file of footage: one, or each in its order.

use std::ops::{ControlFlow, RangeInclusive};
use std::path::Path;
use std::sync::{Arc, Mutex};

use super::error::VideoError;
use super::frame::{Frame, Ring};
use super::probe::probe_watched;
use super::scrub::Scrubber;
use crate::frames::FootageFile;
use crate::time::MatchTime;

/// The frame a tenth into the footage: by then the camera stands. Waits; `watch` can stop the reading of the file.
///
/// # Errors
/// [`VideoError`] when the file cannot be played.
pub fn still(path: &Path, watch: &mut dyn FnMut(f64) -> ControlFlow<()>) -> Result<Frame, VideoError> {
    frame_at(path, None, watch)
}

/// The frame that is shown at a moment of the file, or the one a tenth into it. Waits; `watch` can stop the reading of the file.
///
/// # Errors
/// [`VideoError`] when the file cannot be played; [`VideoError::PastEnd`] when the moment comes after its end.
pub fn frame_at(
    path: &Path,
    at: Option<MatchTime>,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Frame, VideoError> {
    let media = probe_watched(path, watch)?;
    let wanted = in_it(&media, at).map(|()| at.map_or(media.index.len() / 10, |t| media.index.at(t)));
    wanted.and_then(|n| frame_of(&media, n)).map_err(|e| e.of(path))
}

/// That a moment does not come after the end of the footage.
fn in_it(media: &FootageFile, at: Option<MatchTime>) -> Result<(), VideoError> {
    let end = media.index.end();
    at.filter(|at| *at > end)
        .map_or(Ok(()), |at| Err(VideoError::PastEnd { path: media.path.clone(), at, end }))
}

/// A frame of footage that is open, by its place in the index. Waits.
///
/// # Errors
/// [`VideoError`] when the file cannot be played.
pub fn frame_of(media: &FootageFile, wanted: usize) -> Result<Frame, VideoError> {
    let frame = Scrubber::open(media)?.frame(wanted, &|| false)?;
    frame.ok_or_else(|| VideoError::Broken {
        path: media.path.clone(),
        reason: "no frame came out of the decoder".to_owned(),
    })
}

/// Frames of one file for pictures that nobody waits for: decoding gives way to every player, and to keys.
#[derive(Debug)]
pub struct Stills {
    media: FootageFile,
    scrub: Scrubber,
}

impl Stills {
    /// Opens footage. Waits; `watch` can stop the reading of the file.
    ///
    /// # Errors
    /// [`VideoError`] when the file cannot be played.
    pub fn open(path: &Path, watch: &mut dyn FnMut(f64) -> ControlFlow<()>) -> Result<Self, VideoError> {
        let media = probe_watched(path, watch)?;
        let scrub = Scrubber::with_ring(&media, Arc::new(Mutex::new(Ring::of(2))))?;
        scrub.give_way_to_everything();
        Ok(Self { media, scrub })
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.media.path
    }

    /// The frame that is shown at a moment of the file; the last one after its end. `None` when no frame comes. Waits.
    ///
    /// # Errors
    /// [`VideoError`] when decoding fails.
    pub fn frame(&mut self, at: MatchTime) -> Result<Option<Frame>, VideoError> {
        self.scrub.frame(self.media.index.at(at), &|| false)
    }
}

/// Hands each frame of a file to `each`, in their order, from the one shown at `from` [the first] to the one shown at `to` [the
/// last]. `each` is told how far it is, from 0 to 1, and can stop.
///
/// # Errors
/// [`VideoError`] when the file cannot be played; [`VideoError::PastEnd`] when `from` comes after its end;
/// [`VideoError::Stopped`] after a break.
pub fn each_frame(
    media: &FootageFile,
    (from, to): (Option<MatchTime>, Option<MatchTime>),
    each: &mut dyn FnMut(Frame, f64) -> ControlFlow<()>,
) -> Result<(), VideoError> {
    these_frames(media, &span(media, (from, to))?.collect::<Vec<_>>(), each)
}

/// The frames from the one shown at one moment [the first] to the one shown at another [the last].
pub(super) fn span(
    media: &FootageFile,
    (from, to): (Option<MatchTime>, Option<MatchTime>),
) -> Result<RangeInclusive<usize>, VideoError> {
    in_it(media, from)?;
    let first = from.map_or(0, |t| media.index.at(t));
    let last = to.map_or(media.index.len().saturating_sub(1), |t| media.index.at(t));
    Ok(first..=last)
}

/// The same with some of the frames, by their places in the index.
///
/// # Errors
/// As [`each_frame`].
pub fn these_frames(
    media: &FootageFile,
    wanted: &[usize],
    each: &mut dyn FnMut(Frame, f64) -> ControlFlow<()>,
) -> Result<(), VideoError> {
    hand_over(Scrubber::with_ring(media, Arc::new(Mutex::new(Ring::of(2))))?, media, wanted, each)
}

/// Hands over the frames that a decoder gives; others are not decoded where the format allows that.
pub(super) fn hand_over(
    mut scrub: Scrubber,
    media: &FootageFile,
    wanted: &[usize],
    each: &mut dyn FnMut(Frame, f64) -> ControlFlow<()>,
) -> Result<(), VideoError> {
    let count = wanted.len().max(1) as f64;
    scrub.only(wanted);
    for (n, &i) in wanted.iter().enumerate() {
        let Some(frame) = scrub.frame(i, &|| false)?.filter(|f| f.index == i) else { continue };
        if each(frame, (n + 1) as f64 / count).is_break() {
            return Err(VideoError::Stopped { path: media.path.clone() });
        }
    }
    Ok(())
}
