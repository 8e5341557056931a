//! `changeover draw`: the frames that a coach drew on, with the drawings, as PNG.

use std::collections::BTreeSet;
use std::io::Write;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::Ordering;

use indicatif::{ProgressBar, ProgressStyle};
use serde::Serialize;

use super::answer::{Answer, CliError, FOUND, complain};
use super::moving;
use super::reading::shown;
use super::values::written;
use super::working::told_to_stop;
use crate::drawing::{Drawing, Units, View, laid};
use crate::measure::{Calibration, Size};
use crate::paint::{self, Canvas};
use crate::record::{Footage, Record, footage_path, load};
use crate::saving::{Replace, allowed, save};
use crate::session::cameras::{Cameras, NoCamera};
use crate::time::MatchTime;
use crate::video::{Frame, frame_at};

/// The arguments of `draw`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  changeover draw final.points.json --out drawn
  changeover draw final.points.json --out drawn --feet --json

Writes a PNG for each moment at which a drawing appears, with all drawings that are seen then, as large as the footage: \
DIR/final-00-12-30.200.png for 0:12:30.2 on the match clock. Nothing is overwritten: if one of the files exists already, \
none is made. What was drawn on the ground needs the marks of the court; where they are missing, or the camera moves and nobody followed the court \
(`changeover court`), it is left out and reported. \
Ctrl C or a signal stops it; the files that are complete stay.

Exit codes: 0 all drawings are in the pictures (perhaps there were none), 1 some could not be drawn or written, or it was stopped, \
2 the command line was not understood.")]
pub struct Args {
    /// The record.
    #[arg(value_name = "RECORD")]
    record: PathBuf,
    /// Folder to write to; it is made if it does not exist.
    #[arg(long, value_name = "DIR", value_parser = written())]
    out: PathBuf,
    /// Write distances in feet, not in metres.
    #[arg(long)]
    feet: bool,
    /// Answer in JSON: a list with one entry for each picture.
    #[arg(long)]
    json: bool,
}

/// What became of one moment.
#[derive(Debug, Serialize)]
struct Report {
    /// The picture.
    file: String,
    /// On the match clock.
    time: MatchTime,
    /// The file of footage, as the record names it.
    footage: Option<String>,
    width: u32,
    height: u32,
    /// Drawings in the picture.
    drawn: usize,
    /// Drawings that are seen at this moment but do not show in the picture.
    left_out: usize,
    /// Why there is no picture, or drawings are left out.
    why: Option<String>,
}

/// The moments at which a drawing appears.
fn moments(record: &Record) -> Vec<MatchTime> {
    let seen = record.drawings.iter().filter(|d| d.from < d.to);
    seen.map(|d| d.from).collect::<BTreeSet<_>>().into_iter().collect()
}

/// The name of a moment's picture: that of the record and the time, without colons.
fn name(record: &Path, at: MatchTime) -> String {
    let stem = record.file_name().unwrap_or_default().to_string_lossy();
    let stem = stem.strip_suffix(".points.json").unwrap_or(&stem);
    format!("{stem}-{}.png", at.to_string().replace(':', "-"))
}

/// Draws on the frames of one record.
struct Maker<'a> {
    args: &'a Args,
    record: &'a Record,
    cameras: Cameras,
}

impl Maker<'_> {
    fn one(&mut self, at: MatchTime) -> Report {
        let path = self.args.out.join(name(&self.args.record, at));
        let file = path.to_string_lossy().into_owned();
        let mut report = Report {
            file,
            time: at,
            footage: None,
            width: 0,
            height: 0,
            drawn: 0,
            left_out: self.record.drawings.iter().filter(|d| d.seen_at(at)).count(),
            why: None,
        };
        if let Err(why) = self.make(at, &path, &mut report) {
            report.why = Some(why.to_string());
        }
        report
    }

    /// Makes the picture of a moment, or says why not.
    fn make(&mut self, at: MatchTime, path: &Path, report: &mut Report) -> Result<(), CliError> {
        let shown = self.record.footage.iter().filter(|f| f.start <= at).max_by_key(|f| f.start);
        let shown = self.record.footage.iter().filter(|f| covers(f, at)).min_by_key(|f| f.start).or(shown);
        let shown = shown.ok_or_else(|| CliError::Failed(format!("no footage shows {at}")))?;
        report.footage = Some(shown.file.clone());
        let footage = footage_path(&self.args.record, shown)?;
        let in_file = at.earlier(shown.start - MatchTime::ZERO);
        let frame =
            frame_at(&footage, Some(in_file), &mut |_| ControlFlow::Continue(())).map_err(|e| failed(&e))?;
        let (width, height) = frame.display_size();
        (report.width, report.height) = (width, height);
        let camera = self.cameras.look(at);
        let view = View::of(camera.as_ref().ok().map(Calibration::camera), Size::new(width, height));
        let units = if self.args.feet { Units::Feet } else { Units::Metres };
        let (drawn, lost): (Vec<&Drawing>, Vec<&Drawing>) = (self.record.drawings.iter())
            .filter(|d| d.seen_at(at))
            .partition(|d| !laid(d, &view, units).is_empty());
        let png = picture(&frame, &drawn, &view, units).map_err(|e| failed(&e))?;
        save(path, &png, Replace::Nothing, &[&self.args.record])?;
        (report.drawn, report.left_out) = (drawn.len(), lost.len());
        report.why = (!lost.is_empty()).then(|| left_out(&lost, camera.err()));
        Ok(())
    }
}

fn failed(e: &dyn std::fmt::Display) -> CliError {
    CliError::Failed(e.to_string())
}

/// Whether a file of footage plays at this moment.
fn covers(footage: &Footage, at: MatchTime) -> bool {
    footage.start <= at && at < footage.start.later(footage.duration - MatchTime::ZERO)
}

fn left_out(lost: &[&Drawing], no_camera: Option<NoCamera>) -> String {
    match no_camera.filter(|_| lost.iter().any(|d| d.is_on_ground())) {
        Some(why) => format!("what was drawn on the ground is left out: {why}"),
        None => "what was drawn lies outside of the picture".into(),
    }
}

fn picture(
    frame: &Frame,
    drawn: &[&Drawing],
    view: &View,
    units: Units,
) -> Result<Vec<u8>, paint::PaintError> {
    let raw = Size::new(frame.width, frame.height);
    let mut canvas = Canvas::over(frame.pixels.as_ref(), frame.stride, raw, view.size())?;
    canvas.paint(|cr| paint::drawings(cr, drawn.iter().copied(), view, units))?;
    canvas.png()
}

/// Writes the pictures, and says what is in each.
///
/// # Errors
/// [`CliError`] when the record cannot be read, a picture is there already, or the folder cannot be made.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let (record, _) = load(&args.record)?;
    let moments = moments(&record);
    for at in &moments {
        allowed(&args.out.join(name(&args.record, *at)), Replace::Nothing, &[&args.record])?;
    }
    let folder = |e| {
        CliError::Failed(format!(
            "{}: the folder cannot be made: {}",
            shown(&args.out),
            crate::system::writing(&e)
        ))
    };
    if !moments.is_empty() {
        std::fs::create_dir_all(&args.out).map_err(folder)?;
    }
    let bar = ProgressBar::new(moments.len() as u64);
    if let Ok(style) = ProgressStyle::with_template("{bar:40} {pos} of {len} pictures, {eta} left") {
        bar.set_style(style);
    }
    let stop = told_to_stop()?;
    let mut maker = Maker { args, record: &record, cameras: cameras(&args.record, &record) };
    let mut reports = Vec::new();
    for at in &moments {
        if stop.load(Ordering::Relaxed) {
            break;
        }
        reports.push(maker.one(*at));
        bar.inc(1);
    }
    bar.finish_and_clear();
    tell(args, &reports, out)?;
    if reports.len() < moments.len() {
        complain(&format!("stopped after {} of {} pictures", reports.len(), moments.len()));
    }
    let whole = reports.len() == moments.len() && reports.iter().all(|r| r.why.is_none());
    Ok(if whole { ExitCode::SUCCESS } else { ExitCode::from(FOUND) })
}

/// The cameras, if anything lies on the ground.
fn cameras(path: &Path, record: &Record) -> Cameras {
    let on_ground = record.drawings.iter().any(Drawing::is_on_ground);
    if on_ground { moving::cameras(path, record) } else { Cameras::default() }
}

fn tell(args: &Args, reports: &[Report], out: &mut dyn Write) -> Result<(), CliError> {
    if args.json {
        serde_json::to_writer_pretty(&mut *out, reports).map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else if reports.is_empty() {
        writeln!(out, "nothing is drawn in this record")?;
    }
    for r in reports {
        if let Some(why) = &r.why {
            complain(&format!("{}: {why}", r.time));
        }
        if !args.json && r.drawn > 0 {
            let drawings =
                if r.drawn == 1 { "1 drawing".to_owned() } else { format!("{} drawings", r.drawn) };
            writeln!(out, "{}: {drawings}", r.file)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Anchor, Colour, Shape};

    #[test]
    fn one_picture_for_each_moment_at_which_something_appears() {
        let at = |from: u64, to: u64| Drawing {
            shape: Shape::Line(vec![Anchor::Picture(0, 0)]),
            colour: Colour::Yellow,
            from: MatchTime::from_secs(from),
            to: MatchTime::from_secs(to),
        };
        let record = Record { drawings: vec![at(9, 12), at(3, 6), at(9, 10), at(5, 5)], ..Record::default() };
        assert_eq!(moments(&record), [MatchTime::from_secs(3), MatchTime::from_secs(9)]);
        assert_eq!(
            name(Path::new("a/final.points.json"), MatchTime::from_millis(28_200)),
            "final-00-00-28.200.png"
        );
    }
}
