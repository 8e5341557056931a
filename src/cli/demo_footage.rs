//! `changeover demo-footage`: a simulated match as footage, with its ground truth.

use std::io::Write;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::Ordering;

use indicatif::{ProgressBar, ProgressStyle};

use super::answer::Answer;
use super::reading::shown;
use super::values::whole;
use super::working::told_to_stop;
use crate::demo::truth::File;
use crate::demo::{self, CameraWork, Demo, PointsTruth, Truth};
use crate::record::footage::fingerprint;
use crate::record::{DocumentKind, Footage, Record, RecordError, Store};
use crate::time::{FrameRate, MatchTime};

/// Make footage of an invented match between two invented players, with a list of what happened in every point.
#[derive(Debug, Clone, clap::Args)]
#[command(after_help = "\
Examples: two games to practise on; making them takes about one minute
  changeover demo-footage practice --games 2 --brisk

The same match as a careful coach would log it, for questions and clips
  changeover demo-footage studied --games 2 --brisk --logged

Edited footage: the same points without the pauses between them
  changeover demo-footage edited --games 2 --brisk --cut

Points of five matches in one file, some joined in mid-rally or left early
  changeover demo-footage collected --many 5

Writes DIR/holt-okafor.mp4 (or holt-okafor-1.mp4, -2.mp4 … with --files) and DIR/holt-okafor.truth.json, and with \
--logged DIR/holt-okafor.points.json. With --camera it also writes DIR/holt-okafor.cameras.jsonl: for each frame where the camera is and where \
the 14 landmarks of the court are in the picture. With --many the files are named many-matches, and the truth says nothing of what the \
footage does not show. If one of them exists already, nothing is made. Ctrl C or a signal stops it and \
deletes the unfinished file. A second Ctrl C ends it at once. Then, or if it is killed, a file named .changeover-….part may \
stay; you can delete it.

Exit codes: 0 made, 1 it could not be made or was stopped, 2 the command line was not understood.")]
#[expect(clippy::struct_excessive_bools, reason = "each is a switch on the command line")]
pub struct Args {
    /// Folder to write to; it is made if it does not exist
    #[arg(value_name = "DIR")]
    pub dir: PathBuf,
    /// The match's number: the same number makes the same match
    #[arg(long, default_value_t = 1, value_parser = whole::<u64>(0..=u64::MAX), allow_negative_numbers = true)]
    pub number: u64,
    /// Games at most [default: the whole match]
    #[arg(long, value_parser = whole::<u32>(1..=10_000), allow_negative_numbers = true)]
    pub games: Option<u32>,
    /// Height of the picture in pixels
    #[arg(long, default_value = "720", value_parser = ["720", "1080"])]
    pub size: String,
    /// Frames per second
    #[arg(long, default_value = "30", value_parser = ["25", "30", "30000/1001", "60"])]
    pub rate: String,
    /// Frames at uneven moments, 17 to 100 ms apart, as telephones record
    #[arg(long, conflicts_with = "rate")]
    pub variable_rate: bool,
    /// Store the picture turned, so that a player must turn it clockwise by this many degrees
    #[arg(long, value_name = "DEGREES", default_value = "0", value_parser = ["0", "90", "180", "270"])]
    pub rotate: String,
    /// Cut the match into this many files, between points
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = whole::<u32>(1..=10_000), allow_negative_numbers = true)]
    pub files: u32,
    /// Cut out the pauses between points, as edited footage has it; the truth lists the cuts
    #[arg(long, conflicts_with = "files")]
    pub cut: bool,
    /// Show four points of each of this many matches, 1 to 8, in one file
    #[arg(long, value_name = "N", conflicts_with_all = ["files", "cut", "camera"], value_parser = whole::<u32>(1..=8), allow_negative_numbers = true)]
    pub many: Option<u32>,
    /// Write WebM instead of MP4
    #[arg(long)]
    pub webm: bool,
    /// Show each frame's number, as digits and as 24 blocks, along the top
    #[arg(long)]
    pub frame_numbers: bool,
    /// Shorten the time between points to about six seconds; real matches take thirty
    #[arg(long)]
    pub brisk: bool,
    /// How the camera moves
    #[arg(long, value_enum, default_value_t = Camera::Still)]
    pub camera: Camera,
    /// Also write its record, with every shot logged, to try the questions of Study
    #[arg(long)]
    pub logged: bool,
    /// Also print the truth as JSON on standard output
    #[arg(long)]
    pub json: bool,
}

/// How the camera moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Camera {
    /// It never moves
    Still,
    /// It stands and is bumped now and then
    Tripod,
    /// It turns after the play and zooms
    Pan,
    /// It is held in the hand
    Hand,
    /// It turns and zooms, and other cameras are cut in between points
    Broadcast,
}

impl Camera {
    fn work(self) -> CameraWork {
        match self {
            Self::Still => CameraWork::Still,
            Self::Tripod => CameraWork::Tripod,
            Self::Pan => CameraWork::Pan,
            Self::Hand => CameraWork::Hand,
            Self::Broadcast => CameraWork::Broadcast,
        }
    }
}

impl Args {
    fn demo(&self) -> Demo {
        let height = if self.size == "1080" { 1080 } else { 720 };
        Demo {
            number: self.number,
            games: self.games,
            points: None,
            brisk: self.brisk,
            width: height * 16 / 9,
            height,
            rate: if self.variable_rate { None } else { self.rate.parse::<FrameRate>().ok() },
            rotation: self.rotate.parse().unwrap_or(0),
            files: self.files,
            cut: self.cut,
            webm: self.webm,
            frame_numbers: self.frame_numbers,
            camera: self.camera.work(),
        }
    }
}

/// What was made.
enum Made {
    Match(Box<Truth>),
    Points(Box<PointsTruth>),
}

impl Made {
    fn make(args: &Args, progress: &mut demo::Progress<'_>) -> Result<Self, demo::DemoError> {
        let demo = args.demo();
        Ok(match args.many {
            Some(n) => Self::Points(Box::new(demo::make_points(&demo, n, &args.dir, progress)?)),
            None => Self::Match(Box::new(demo::make_unless_stopped(&demo, &args.dir, progress)?)),
        })
    }

    const fn name(many: bool) -> &'static str {
        if many { "many-matches" } else { "holt-okafor" }
    }

    fn files(&self) -> &[File] {
        match self {
            Self::Match(truth) => &truth.files,
            Self::Points(truth) => &truth.files,
        }
    }

    fn points(&self) -> usize {
        match self {
            Self::Match(truth) => truth.points.len(),
            Self::Points(truth) => truth.points.len(),
        }
    }

    fn json(&self, out: &mut dyn Write) -> std::io::Result<()> {
        match self {
            Self::Match(truth) => serde_json::to_writer_pretty(&mut *out, truth)?,
            Self::Points(truth) => serde_json::to_writer_pretty(&mut *out, truth)?,
        }
        writeln!(out)
    }

    /// The points as logged, with the files, which are beside the record.
    fn record(&self, dir: &Path) -> Record {
        let mut record = match self {
            Self::Match(truth) => demo::logged(truth, false),
            Self::Points(truth) => demo::logged_points(truth),
        };
        record.footage = self.files().iter().map(|f| footage(f, dir)).collect();
        record
    }
}

/// Makes the footage and says where it is.
///
/// # Errors
/// [`super::CliError::Demo`] when the wish cannot be met or the files cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let name = Made::name(args.many.is_some());
    let record = args.dir.join(format!("{name}.points.json"));
    if args.logged && record.exists() {
        return Err(RecordError::Exists { path: record, kind: DocumentKind::Record }.into());
    }
    let bar = ProgressBar::new(0);
    if let Ok(style) =
        ProgressStyle::with_template("{bar:40} {percent:>3} %  {pos} of {len} frames, {eta} left")
    {
        bar.set_style(style);
    }
    let stop = told_to_stop()?;
    let made = Made::make(args, &mut |done, all| {
        bar.set_length(all);
        bar.set_position(done);
        if stop.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    bar.finish_and_clear();
    let made = made?;
    if args.logged {
        drop(Store::create(&record, made.record(&args.dir))?);
    }
    if args.json {
        made.json(out)?;
        return Ok(ExitCode::SUCCESS);
    }
    for file in made.files() {
        writeln!(out, "{}: {} frames from {}", shown(&args.dir.join(&file.name)), file.frames, file.start)?;
    }
    let truth = args.dir.join(format!("{name}.truth.json"));
    writeln!(out, "{}: {} points", shown(&truth), made.points())?;
    if args.logged {
        writeln!(out, "{}: every shot logged", shown(&record))?;
    }
    Ok(ExitCode::SUCCESS)
}

fn footage(file: &File, dir: &Path) -> Footage {
    Footage {
        file: file.name.clone(),
        fingerprint: fingerprint(&dir.join(&file.name)).ok(),
        duration: MatchTime::ZERO.later(file.end - file.start),
        rate: file.rate,
        rotation: file.rotation,
        start: file.start,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::footage::footage_path;

    #[test]
    fn the_record_names_the_film_beside_it() {
        let dir = tempfile::tempdir().unwrap();
        let demo = Demo { points: Some(2), brisk: true, width: 160, height: 90, files: 2, ..Demo::default() };
        let truth = demo::make(&demo, dir.path(), &mut |_, _| {}).unwrap();
        let record = Made::Match(Box::new(truth.clone())).record(dir.path());
        assert_eq!((record.points.len(), record.footage.len()), (2, 2));
        assert!(record.points.iter().all(|p| p.shots.len() + p.serves_out.len() > 0));
        for (named, made) in record.footage.iter().zip(&truth.files) {
            let path = footage_path(&dir.path().join("m.points.json"), named).unwrap();
            let media = crate::video::probe(&path).unwrap();
            assert_eq!(named.fingerprint, fingerprint(&path).ok());
            assert_eq!((named.start, named.rate, named.rotation), (made.start, media.rate, media.rotation));
            assert!(named.duration.nanos().abs_diff(media.duration.nanos()) < 40_000_000);
        }
    }

    #[test]
    fn a_record_that_is_there_is_told_before_anything_is_made() {
        #[derive(clap::Parser)]
        struct Line {
            #[command(flatten)]
            args: Args,
        }
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join("holt-okafor.points.json"), "mine").unwrap();
        let line = ["demo-footage", dir.path().to_str().unwrap(), "--logged"];
        let args = <Line as clap::Parser>::try_parse_from(line).unwrap().args;
        let said = run(&args, &mut Vec::new()).unwrap_err().to_string();
        assert!(said.contains("a record is already there"), "{said}");
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
    }
}
