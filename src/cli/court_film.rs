//! `changeover court` without `--at`: the court followed through footage.

use std::io::Write;
use std::ops::ControlFlow;
use std::path::Path;
use std::process::ExitCode;
use std::sync::atomic::Ordering;

use serde::Serialize;

use super::answer::{Answer, CliError};
use super::reports::with_bar;
use super::working::told_to_stop;
use crate::find::{Belief, FilmFollower, FramePose, Poses, Seen};
use crate::measure::{CLICK, Calibration};
use crate::record::footage::fingerprint;
use crate::record::printable;
use crate::session::followed::{Followed, KeptCourts};
use crate::session::seeing;
use crate::tennis::court::{HALF_LENGTH, LANDMARKS, Spot};
use crate::time::MatchTime;
use crate::video::VideoError;

/// From when to when.
type Part = (Option<MatchTime>, Option<MatchTime>);

/// One frame.
#[derive(Debug, Serialize)]
struct Line {
    time: MatchTime,
    /// Whether the court is held.
    court: bool,
    /// Why it is not.
    why: Option<String>,
    /// `sure` or `proposal`: how far the court was believed where it was found.
    belief: Option<&'static str>,
    landmarks: Vec<Mark>,
    /// The part of the visible lines at which a line was found.
    support: Option<f64>,
    /// How far the lines are off, pixels.
    error_px: Option<f64>,
    /// The longer half axis of the 95 % ellipse in the middle of the baseline, metres.
    near_baseline_error_m: Option<f64>,
    far_baseline_error_m: Option<f64>,
}

/// A landmark and where it is in the picture, perhaps beyond its edges.
#[derive(Debug, Serialize)]
struct Mark {
    name: &'static str,
    x: Option<f64>,
    y: Option<f64>,
}

/// The error of a place in the middle of the near and of the far baseline, in metres.
pub(super) fn errors(calibration: &Calibration) -> [Option<f64>; 2] {
    [-HALF_LENGTH.0, HALF_LENGTH.0].map(|y| {
        let seen = calibration.camera().see_ground(Spot::new(0.0, y))?;
        Some(calibration.place(seen, CLICK)?.spread.ellipse(0.95).long.0)
    })
}

impl Line {
    fn of(poses: &Poses, frame: &FramePose) -> Self {
        let none = Self {
            time: frame.time,
            court: false,
            why: None,
            belief: None,
            landmarks: Vec::new(),
            support: None,
            error_px: None,
            near_baseline_error_m: None,
            far_baseline_error_m: None,
        };
        let (camera, support, rms, start) = match &frame.seen {
            Seen::No(why) => return Self { why: Some(why.to_string()), ..none },
            Seen::Held { camera, support, rms, start } => (camera, *support, *rms, *start),
        };
        let mark = |l: &crate::tennis::court::Landmark| {
            let seen = camera.see_ground(l.spot);
            Mark { name: l.name, x: seen.map(|p| p.x), y: seen.map(|p| p.y) }
        };
        let [near, far] = poses.calibration_of(frame).map_or([None; 2], |c| errors(&c));
        Self {
            court: true,
            belief: poses.starts().get(start).map(|s| word(s.belief)),
            landmarks: LANDMARKS.iter().map(mark).collect(),
            support: Some(support),
            error_px: Some(rms),
            near_baseline_error_m: near,
            far_baseline_error_m: far,
            ..none
        }
    }
}

fn word(belief: Belief) -> &'static str {
    if belief == Belief::Sure { "sure" } else { "proposal" }
}

/// The poses of a part of the footage. `go_on` is asked after each frame.
fn poses(path: &Path, part: Part, least: Belief, go_on: &dyn Fn() -> bool) -> Result<Poses, VideoError> {
    with_bar(path, |watch| {
        let mut read = |part: f64| if go_on() { watch(part * 0.02) } else { ControlFlow::Break(()) };
        let listed = crate::video::probe_watched(path, &mut read)?;
        let mut tell = |done| if go_on() { watch(0.02 + 0.98 * done) } else { ControlFlow::Break(()) };
        seeing::poses(&listed, part, FilmFollower::new(least), &mut tell).map_err(|e| e.of(path))
    })
}

/// Follows the court through the footage and prints what was found.
pub(super) fn film(path: &Path, part: Part, json: bool, out: &mut dyn Write) -> Answer {
    if let (Some(from), Some(to)) = part
        && to < from
    {
        return Err(CliError::Failed(format!("--to {to} is before --from {from}; swap them")));
    }
    let stop = told_to_stop()?;
    let go_on = || !stop.load(Ordering::Relaxed);
    let told = |e: VideoError| CliError::Failed(e.to_string());
    let mut found = poses(path, part, Belief::Sure, &go_on).map_err(told)?;
    if found.starts().is_empty() {
        found = poses(path, part, Belief::Proposal, &go_on).map_err(told)?;
    }
    if part == (None, None) {
        keep(path, &found);
    }
    if json {
        for frame in found.frames() {
            serde_json::to_writer(&mut *out, &Line::of(&found, frame)).map_err(std::io::Error::from)?;
            writeln!(out)?;
        }
    } else {
        print(path, &found, out)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Keeps the cameras of whole footage, so that drawings stay on the ground while the camera moves.
fn keep(path: &Path, found: &Poses) {
    let Ok(print) = fingerprint(path) else { return };
    let kept = KeptCourts::default();
    // What was followed from the marks of a record is better.
    if kept.of(&print).is_none_or(|f| f.is_from(&[])) {
        kept.keep(&print, &Followed::new(found.frames().to_vec(), found.starts().to_vec(), &[]));
    }
}

fn print(path: &Path, found: &Poses, out: &mut dyn Write) -> std::io::Result<()> {
    let held = found.frames().iter().filter(|f| matches!(f.seen, Seen::Held { .. })).count();
    let file = printable(&path.to_string_lossy(), 400);
    writeln!(out, "{file}: the court is held in {held} of {} frames", found.frames().len())?;
    for start in found.starts() {
        writeln!(out, "found at {}: {}", start.time.to_millis(), word(start.belief))?;
    }
    let kind = |f: &FramePose| match &f.seen {
        Seen::Held { .. } => None,
        Seen::No(why) => Some(*why),
    };
    for run in found.frames().chunk_by(|a, b| kind(a).is_none() == kind(b).is_none()) {
        let (Some(first), Some(last)) = (run.first(), run.last()) else { continue };
        let (from, to) = (first.time.to_millis(), last.time.to_millis());
        match kind(first) {
            None => writeln!(out, "{from} to {to}: held")?,
            Some(why) => writeln!(out, "{from} to {to}: not held: {why}")?,
        }
    }
    for bump in found.bumps() {
        writeln!(out, "the camera was bumped at {}; check the places measured around it", bump.to_millis())?;
    }
    Ok(())
}
