//! Frames of footage as those see them who look for the court and for players: where the camera of a file was, and the players of one
//! stretch.

use std::ops::{ControlFlow, Range};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::sync_channel;
use std::thread;

use super::cameras::Cameras;
use super::followed::Followed;
use super::pass::{Fed, Pass};
use super::proposing::{Proposal, Stretch};
use super::standing::Stands;
use crate::find::{
    Belief, Colour, FilmFollower, Grey, Planar, Poses, Small, marked_court, stands as stands_in,
};
use crate::frames::FootageFile;
use crate::measure::{Camera, Size};
use crate::record::CourtMarks;
use crate::time::MatchTime;
use crate::video::{Frame, Planes, VideoError, each_planes, these_planes};

/// So many small pictures of frames wait at most for who looks for players in them.
const AHEAD: usize = 8;
/// So many frames tell whether the camera stands still, and this part of the work they are said to be.
const SAMPLES: usize = 40;
const SAMPLING: f64 = 0.1;

/// A frame upright, in square pixels, in shades of grey. `None` if it is smaller than a court can be found in.
pub fn grey(frame: &Frame) -> Option<Grey> {
    let (width, height) = frame.display_size();
    let (shown, stored) = (Size::new(width, height), Size::new(frame.width, frame.height));
    Grey::of_bgra(shown, stored, frame.stride, frame.pixels.as_ref())
}

/// A frame upright, in square pixels, as its decoder gave it. `None` if it has other planes.
fn planar(frame: &Planes) -> Option<Planar<'_>> {
    let size = |(width, height)| Size::new(width, height);
    let (shown, stored) = (size(frame.display_size()), size(frame.stored_size()));
    Some(Planar { shown, stored, planes: frame.planes()? })
}

/// A frame small enough to follow the court in. `None` if it is smaller than a court can be found in.
pub fn small(frame: &Planes) -> Option<Small> {
    Small::of_planar(&planar(frame)?)
}

/// A frame upright, small, in square pixels, in colour.
pub fn colour(frame: &Planes) -> Option<Colour> {
    Colour::of_planar(&planar(frame)?)
}

/// Looks for the players of stretches of one file: what is found in each. `go_on` hears how far that is, from 0 to 1, and can stop it.
///
/// The file is decoded once, and what nobody asks for is passed over where the format allows that; points with more strikes than there
/// is room for are decoded twice.
///
/// # Errors
/// [`VideoError`] when the file cannot be played; [`VideoError::Stopped`] after a break.
pub fn players(
    media: &FootageFile,
    cameras: &Cameras,
    stretches: &[Stretch],
    go_on: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<Vec<Proposal>>, VideoError> {
    let mut pass = Pass::new(cameras, stretches, &media.index);
    let (frames, waits, mut done) = (pass.frames(), AtomicUsize::new(0), 0.0_f64);
    let (send, receive) = sync_channel::<Fed>(AHEAD);
    thread::scope(|scope| {
        let (looks, waits) = (&mut pass, &waits);
        scope.spawn(move || looks.take(&receive, waits));
        let passed = these_planes(media, &frames, &mut |frame, part| {
            // It takes all that comes.
            let _ = send.send((frame.index(), frame.time(), colour(&frame)));
            let (first, again) = (frames.len() as f64, waits.load(Ordering::Relaxed) as f64);
            done = done.max(part * first / (first + again));
            go_on(done)
        });
        drop(send);
        passed
    })?;
    let again = pass.again();
    let all: usize = again.iter().map(|stretch| pass.wanted_again(*stretch, false).len()).sum();
    let (begun, mut fed) = (done, 0);
    for stretch in again {
        for samples in [true, false] {
            these_planes(media, &pass.wanted_again(stretch, samples), &mut |frame, _| {
                pass.feed_again(stretch, samples, frame.time(), || colour(&frame));
                fed += usize::from(!samples);
                go_on(begun + (1.0 - begun) * fed as f64 / all as f64)
            })?;
        }
        pass.end_again(stretch);
    }
    Ok(pass.finish())
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
    if marks.len() == 1 && is_still(media, marks, tell)? {
        return Ok(Followed::still(marks));
    }
    let follower = FilmFollower::new(Belief::Sure).marked(cameras(marks));
    let mut told = |part: f64| tell(SAMPLING + (1.0 - SAMPLING) * part);
    let poses = poses(media, (None, None), follower, &mut told)?;
    Ok(Followed::new(poses.frames().to_vec(), poses.starts().to_vec(), marks))
}

/// The cameras of a part of a file, as this follower finds them: forward, then backward from where the court was found. `tell` hears how far
/// that is, from 0 to 1, and can stop it.
///
/// # Errors
/// [`VideoError`] when the file cannot be played; [`VideoError::Stopped`] after a break.
pub fn poses(
    media: &FootageFile,
    of: (Option<MatchTime>, Option<MatchTime>),
    mut follower: FilmFollower,
    tell: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Poses, VideoError> {
    let (mut done, mut all) = (0.0_f64, 1.0);
    each_planes(media, of, &mut |frame, part| {
        if let Some(picture) = small(&frame) {
            follower.feed(frame.time(), picture);
        }
        let (fed, back) = follower.counts();
        all = fed as f64 / part.max(1e-9) + back as f64;
        done = done.max(fed as f64 / all);
        tell(done)
    })?;
    let mut back = follower.backward();
    while let Some((first, last)) = back.wants() {
        let mut run = Vec::new();
        done = done.max(1.0 - back.left() as f64 / all);
        each_planes(media, (Some(first), Some(last)), &mut |frame, _| {
            run.extend(small(&frame).map(|picture| (frame.time(), picture.packed())));
            tell(done)
        })?;
        back.feed(&run);
    }
    Ok(back.finish())
}

fn cameras(marks: &[CourtMarks]) -> Vec<(MatchTime, Camera)> {
    marks.iter().filter_map(|m| Some((m.at, *m.solve().ok()?.camera()))).collect()
}

/// Whether the camera stands still wherever the marks are used, as frames from all parts of the file tell.
///
/// # Errors
/// [`VideoError::Stopped`] after a break. A file that cannot be played tells nothing: [`Stands::Unknown`].
pub fn stands(
    media: &FootageFile,
    marks: &[CourtMarks],
    tell: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Stands, VideoError> {
    let mut told = is_still(media, marks, tell);
    if matches!(&told, Err(why) if !matches!(why, VideoError::Stopped { .. })) {
        // A decoder that fails is replaced once, as the player does.
        told = is_still(media, marks, tell);
    }
    match told {
        Ok(true) => Ok(Stands::Yes),
        Ok(false) => Ok(Stands::No),
        Err(stopped @ VideoError::Stopped { .. }) => Err(stopped),
        Err(_) => Ok(Stands::Unknown),
    }
}

/// Whether frames from all parts of the file see the court where the marks have it that hold there: the last ones before, or the first.
fn is_still(
    media: &FootageFile,
    marks: &[CourtMarks],
    tell: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<bool, VideoError> {
    let mut marked = cameras(marks);
    marked.sort_by_key(|(at, _)| *at);
    let count = media.index.len();
    if marked.is_empty() || marked.len() < marks.len() || count == 0 {
        return Ok(false);
    }
    let begins = |n: usize| marked.get(n).map_or(count, |(at, _)| media.index.at(*at));
    for (n, (_, camera)) in marked.iter().enumerate() {
        let (own, from, to) = (begins(n), if n == 0 { 0 } else { begins(n) }, begins(n + 1));
        let part = |done: f64| SAMPLING * (from as f64 + done * (to - from) as f64) / count as f64;
        if !is_still_within(media, (own, camera), from..to, &mut |done| tell(part(done)))? {
            return Ok(false);
        }
    }
    Ok(true)
}

/// Whether the camera that is marked in one frame sees the court at the same place in frames of a part of the file.
fn is_still_within(
    media: &FootageFile,
    (marked, camera): (usize, &Camera),
    part: Range<usize>,
    tell: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<bool, VideoError> {
    let samples = (SAMPLES * part.len()).div_ceil(media.index.len()).min(part.len());
    let within = |n: usize| part.start + (2 * n + 1) * part.len() / (2 * samples);
    // A key frame is decoded sooner, but other marks may hold there, and where key frames are rare it would stand for all of the part.
    let reach = part.len() / (2 * samples.max(1));
    let is_near = |key: &usize, i: usize| part.contains(key) && key.abs_diff(i) <= reach;
    let near = |i: usize| Some(media.index.key_near(i)).filter(|key| is_near(key, i)).unwrap_or(i);
    let wanted: Vec<usize> = std::iter::once(marked).chain((0..samples).map(within).map(near)).collect();
    let (mut seen, mut still) = (None, true);
    let looked = these_planes(media, &wanted, &mut |frame, part| {
        let small = small(&frame);
        still = match (&small, &seen) {
            (None, _) => false,
            (Some(small), None) => {
                seen = marked_court(camera, small).map(|c| *c.calibration.camera());
                seen.is_some()
            }
            (Some(small), Some(camera)) => stands_in(camera, small) == Some(true),
        };
        if still { tell(part) } else { ControlFlow::Break(()) }
    });
    match looked {
        Err(VideoError::Stopped { .. }) if !still => Ok(false),
        other => other.map(|()| still),
    }
}
