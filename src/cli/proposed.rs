//! `changeover positions --propose`: the players looked for in the footage of a record, at its strikes.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::atomic::Ordering;

use super::answer::CliError;
use super::demo_footage::told_to_stop;
use super::reports::with_bar;
use crate::facts::Tally;
use crate::find::Colour;
use crate::measure::Size;
use crate::record::{Record, footage_path};
use crate::session::cameras::Cameras;
use crate::session::proposing::{Proposal, Stretch, Watcher, stretches};
use crate::video::{Frame, VideoError, each_frame, probe};

/// What is found, in the order of the points.
///
/// # Errors
/// [`CliError`] when the footage cannot be read or the work is stopped.
pub(super) fn proposals(path: &Path, record: &Record, cameras: &Cameras) -> Result<Vec<Proposal>, CliError> {
    let stop = told_to_stop()?;
    let tally = Tally::of(record);
    let all = stretches(record, tally.facts(), cameras);
    let mut found = Vec::new();
    let done = with_bar(path, |watch| {
        for (n, stretch) in all.iter().enumerate() {
            let part = |part: f64| (n as f64 + part) / all.len() as f64;
            let mut go_on = |here| {
                if stop.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { watch(part(here)) }
            };
            found.extend(one(path, stretch, cameras, &mut go_on)?);
        }
        Ok::<(), CliError>(())
    });
    done.map(|()| found)
}

fn one(
    record: &Path,
    stretch: &Stretch,
    cameras: &Cameras,
    go_on: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<Proposal>, CliError> {
    let told = |e: VideoError| CliError::Failed(e.to_string());
    let media = probe(&footage_path(record, &stretch.footage)?).map_err(told)?;
    let Some(mut watcher) = Watcher::new(cameras, stretch) else { return Ok(Vec::new()) };
    each_frame(&media, (Some(stretch.from), Some(stretch.to)), &mut |frame, part| {
        watcher.feed(frame.time, || colour(&frame));
        go_on(part)
    })
    .map_err(told)?;
    Ok(watcher.finish())
}

/// A frame upright, small, in square pixels.
fn colour(frame: &Frame) -> Option<Colour> {
    let (width, height) = frame.display_size();
    let stored = Size::new(frame.width, frame.height);
    Colour::of_bgra(Size::new(width, height), stored, frame.stride, frame.pixels.as_ref())
}
