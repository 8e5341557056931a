//! Frames of footage as those see them who look for the court and for players: where the camera of a file was, and the players of one
//! stretch.

use std::ops::ControlFlow;

use super::cameras::Cameras;
use super::followed::Followed;
use super::proposing::{Proposal, Stretch, Watcher};
use crate::find::{Belief, Colour, FilmFollower, Grey, Small, marked_court, stands};
use crate::frames::FootageFile;
use crate::measure::{Camera, Size};
use crate::record::CourtMarks;
use crate::time::MatchTime;
use crate::video::{Frame, VideoError, each_frame, these_frames};

/// So many frames tell whether the camera stands still, and this part of the work they are said to be.
const SAMPLES: usize = 40;
const SAMPLING: f64 = 0.1;

/// The size of a frame upright in square pixels, and as it is stored.
fn sizes(frame: &Frame) -> (Size, Size) {
    let (width, height) = frame.display_size();
    (Size::new(width, height), Size::new(frame.width, frame.height))
}

/// A frame upright, in square pixels, in shades of grey. `None` if it is smaller than a court can be found in.
pub fn grey(frame: &Frame) -> Option<Grey> {
    let (shown, stored) = sizes(frame);
    Grey::of_bgra(shown, stored, frame.stride, frame.pixels.as_ref())
}

/// A frame upright, small, in square pixels, in colour.
pub fn colour(frame: &Frame) -> Option<Colour> {
    let (shown, stored) = sizes(frame);
    Colour::of_bgra(shown, stored, frame.stride, frame.pixels.as_ref())
}

/// Looks for the players of a stretch in its file. `go_on` hears how far that is, from 0 to 1, and can stop it.
///
/// # Errors
/// [`VideoError`] when the file cannot be played; [`VideoError::Stopped`] after a break.
pub fn players(
    media: &FootageFile,
    cameras: &Cameras,
    stretch: &Stretch,
    go_on: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<Proposal>, VideoError> {
    let Some(mut watcher) = Watcher::new(cameras, stretch) else { return Ok(Vec::new()) };
    each_frame(media, (Some(stretch.from), Some(stretch.to)), &mut |frame, part| {
        watcher.feed(frame.time, || colour(&frame));
        go_on(part)
    })?;
    Ok(watcher.finish())
}

/// Where the camera of a file is in each frame, from the marks of its court. A camera that stands still is told by some frames. `tell` hears
/// how far that is, from 0 to 1, and can stop it.
///
/// # Errors
/// [`VideoError`] when the file cannot be played; [`VideoError::Stopped`] after a break.
pub fn followed(
    media: &FootageFile,
    marks: &[CourtMarks],
    tell: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Followed, VideoError> {
    if is_still(media, marks, tell)? {
        return Ok(Followed::still(marks));
    }
    let mut follower = FilmFollower::new(Belief::Sure).marked(cameras(marks));
    each_frame(media, (None, None), &mut |frame, part| {
        if let Some(picture) = grey(&frame) {
            follower.feed(frame.time, Small::of(picture));
        }
        tell(SAMPLING + (1.0 - SAMPLING) * part)
    })?;
    let poses = follower.finish();
    Ok(Followed::new(poses.frames().to_vec(), poses.starts().to_vec(), marks))
}

fn cameras(marks: &[CourtMarks]) -> Vec<(MatchTime, Camera)> {
    marks.iter().filter_map(|m| Some((m.at, *m.solve().ok()?.camera()))).collect()
}

/// Whether the camera that is marked in one frame sees the court at the same place in frames from all parts of the file.
///
/// # Errors
/// As [`followed`].
pub fn is_still(
    media: &FootageFile,
    marks: &[CourtMarks],
    tell: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<bool, VideoError> {
    let marked = cameras(marks);
    let [(at, camera)] = &marked[..] else { return Ok(false) };
    let (first, count) = (media.index.at(*at), media.index.len());
    let samples = SAMPLES.min(count);
    let others = (0..samples).map(|n| media.index.key_near((2 * n + 1) * count / (2 * samples)));
    let wanted: Vec<usize> = std::iter::once(first).chain(others).collect();
    let (mut seen, mut still) = (None, true);
    let looked = these_frames(media, &wanted, &mut |frame, part| {
        let small = grey(&frame).map(Small::of);
        still = match (&small, &seen) {
            (None, _) => false,
            (Some(small), None) => {
                seen = marked_court(camera, small).map(|c| *c.calibration.camera());
                seen.is_some()
            }
            (Some(small), Some(camera)) => stands(camera, small) == Some(true),
        };
        if still { tell(SAMPLING * part) } else { ControlFlow::Break(()) }
    });
    match looked {
        Err(VideoError::Stopped { .. }) if !still => Ok(false),
        other => other.map(|()| still),
    }
}
