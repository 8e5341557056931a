//! `changeover court`: where the court is in one frame of footage. `court_film` follows it through all frames.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use serde::Serialize;

use super::answer::{Answer, CliError};
use super::court_film::{errors, film};
use super::reports::with_bar;
use crate::find::{Belief, Court, advice, find_court};
use crate::measure::Pixel;
use crate::record::printable;
use crate::session::seeing::grey;
use crate::tennis::court::{HALF_LENGTH, LANDMARKS};
use crate::time::MatchTime;
use crate::video::{Frame, frame_at};

/// The arguments of `court`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  changeover court final.mp4 --at 12:30
  changeover court final.mp4 --from 10:00 --to 12:00 --json

Without --at it finds the court and follows it from frame to frame while the camera turns and zooms, finds it again after a cut, and \
prints from when to when it is held and why it is not. With --json it prints a line for each frame: its time, whether the court is held, \
why not, where the 14 landmarks are, how far the lines are off (pixels), and the error of a place at both baselines (metres). \
Of whole footage the cameras are kept in your cache folder: where the camera moves and the court is marked, `changeover draw`, \
`changeover reel`, `changeover page` and `changeover positions` then use \
the camera of each frame. In the window the court is followed from the marks of the record, by itself. While the court is not held, nothing can be measured and nothing is drawn on the ground. The camera must stand in one place. The court is searched until it is sure; if it is \
sure in no frame, proposals are followed.

With --at it looks for the court in one frame. \"sure\" means that at least three lines along the court and three across fit, and that it is in the \
middle of the picture. \"proposal\" means that fewer fit: compare the far baseline with the picture before you rely on it.

The error at a baseline is that of a place on the ground that is clicked with an error of one pixel: in 95 of 100 cases it is smaller. \
Pixels are counted from the left and top edge of the upright picture. The picture must not be cropped: its middle must be the \
middle of the lens's picture. Ctrl C stops it; nothing is printed then.

Exit codes: 0 the footage was searched (perhaps no court was found), 1 the footage cannot be read or it was stopped, 2 the command line \
was not understood.")]
pub struct Args {
    /// The video file.
    #[arg(value_name = "FOOTAGE")]
    footage: PathBuf,
    /// Only the frame at this time: seconds, or HH:MM:SS from the start of the file.
    #[arg(long, value_name = "TIME", allow_negative_numbers = true, conflicts_with_all = ["from", "to"])]
    at: Option<MatchTime>,
    /// From this time on [default: the start].
    #[arg(long, value_name = "TIME", allow_negative_numbers = true)]
    from: Option<MatchTime>,
    /// Up to this time [default: the end].
    #[arg(long, value_name = "TIME", allow_negative_numbers = true)]
    to: Option<MatchTime>,
    /// Answer in JSON: one object for each frame, each on a line.
    #[arg(long)]
    json: bool,
}

/// What was found in one frame.
#[derive(Debug, Serialize)]
struct Report {
    file: String,
    /// The time of the frame.
    time: MatchTime,
    width: u32,
    height: u32,
    /// `sure`, `proposal` or `not found`.
    court: &'static str,
    /// Why no court was found.
    why: Option<String>,
    found: Option<Found>,
    /// What would make the camera see more.
    advice: Vec<String>,
}

/// A court that was found.
#[derive(Debug, Serialize)]
struct Found {
    landmarks: Vec<Seen>,
    /// The part of the visible lines at which a line was found.
    support: f64,
    /// How far the lines are off, pixels.
    line_error_px: f64,
    /// The longer half axis of the 95 % ellipse in the middle of the baseline, metres.
    near_baseline_error_m: Option<f64>,
    far_baseline_error_m: Option<f64>,
    camera_height_m: f64,
    /// From the camera to the near baseline, metres.
    camera_behind_m: f64,
    /// From the middle line to the camera, to the right, metres.
    camera_right_m: f64,
}

/// A landmark and where it is in the picture; nothing if it is behind the camera.
#[derive(Debug, Serialize)]
struct Seen {
    name: &'static str,
    x: Option<f64>,
    y: Option<f64>,
}

impl Found {
    fn of(court: &Court) -> Self {
        let camera = court.calibration.camera();
        let [x, y, height] = camera.position();
        let [near, far] = errors(&court.calibration);
        let landmarks = LANDMARKS.iter().map(|l| {
            let seen: Option<Pixel> = camera.see_ground(l.spot);
            Seen { name: l.name, x: seen.map(|p| p.x), y: seen.map(|p| p.y) }
        });
        Self {
            landmarks: landmarks.collect(),
            support: court.support,
            line_error_px: court.rms,
            near_baseline_error_m: near,
            far_baseline_error_m: far,
            camera_height_m: height,
            camera_behind_m: -y - HALF_LENGTH.0,
            camera_right_m: x,
        }
    }

    fn print(&self, out: &mut dyn Write) -> std::io::Result<()> {
        writeln!(
            out,
            "camera: {:.1} m high, {:.1} m behind the near baseline, {:.1} m to the right of the middle",
            self.camera_height_m, self.camera_behind_m, self.camera_right_m
        )?;
        if let (Some(near), Some(far)) = (self.near_baseline_error_m, self.far_baseline_error_m) {
            writeln!(
                out,
                "error of a place: {near:.2} m at the near baseline, {far:.2} m at the far baseline"
            )?;
        }
        for seen in &self.landmarks {
            if let (Some(x), Some(y)) = (seen.x, seen.y) {
                writeln!(out, "{:<36} {x:>8.1} {y:>8.1}", seen.name)?;
            }
        }
        Ok(())
    }
}

impl Report {
    fn of(file: String, frame: &Frame) -> Self {
        let (width, height) = frame.display_size();
        let empty = Self {
            file,
            time: frame.time,
            width,
            height,
            court: "not found",
            why: None,
            found: None,
            advice: Vec::new(),
        };
        let Some(picture) = grey(frame) else {
            return Self { why: Some("the picture is smaller than 32 pixels".to_owned()), ..empty };
        };
        match find_court(&picture) {
            Ok(court) => Self {
                court: if court.belief == Belief::Sure { "sure" } else { "proposal" },
                advice: advice(court.calibration.camera()).iter().map(ToString::to_string).collect(),
                found: Some(Found::of(&court)),
                ..empty
            },
            Err(why) => Self {
                why: Some(why.to_string()),
                advice: vec![
                    "put the camera behind the middle of a baseline, at least 4 m high, so that all corners are in the picture".to_owned(),
                ],
                ..empty
            },
        }
    }

    fn print(&self, out: &mut dyn Write) -> std::io::Result<()> {
        write!(out, "{} at {}: {}", printable(&self.file, 400), self.time.to_millis(), self.court)?;
        match (&self.why, self.court) {
            (Some(why), _) => writeln!(out, ": {why}")?,
            (None, "proposal") => writeln!(out, "; compare the far baseline with the picture")?,
            _ => writeln!(out)?,
        }
        if let Some(found) = &self.found {
            found.print(out)?;
        }
        self.advice.iter().try_for_each(|a| writeln!(out, "advice: {a}"))
    }
}

/// Looks for the court in one frame, or follows it through the footage.
///
/// # Errors
/// [`CliError`] when the footage cannot be read or the answer cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let Some(at) = args.at else { return film(&args.footage, (args.from, args.to), args.json, out) };
    let frame = with_bar(&args.footage, |watch| frame_at(&args.footage, Some(at), watch))
        .map_err(|e| CliError::Failed(e.to_string()))?;
    let report = Report::of(args.footage.to_string_lossy().into_owned(), &frame);
    if args.json {
        serde_json::to_writer(&mut *out, &report).map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else {
        report.print(out)?;
    }
    Ok(ExitCode::SUCCESS)
}
