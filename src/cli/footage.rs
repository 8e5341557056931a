//! `changeover footage`: what video files hold, and whether they can be played.

use std::io::Write;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::answer::Answer;
use super::reports::{self, each, with_bar};
use crate::frames::FootageFile;
use crate::record::printable;
use crate::time::{FrameRate, MatchTime};
use crate::video::probe_watched;

/// The arguments of `footage`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  changeover footage final.mp4
  changeover footage --json *.mp4

The time of every frame is read, as when the window opens the file.

Exit codes: 0 all files can be played (perhaps with a note), 1 at least one file cannot be played, 2 the command line was not understood.")]
pub struct Args {
    /// The video files to look at.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Answer in JSON: a list with one entry for each file.
    #[arg(long)]
    json: bool,
}

/// The report on one file.
#[derive(Debug, Serialize)]
struct Report {
    file: String,
    film: Option<Film>,
    error: Option<String>,
    notes: Vec<String>,
}

/// A file that can be played.
#[derive(Debug, Serialize)]
struct Film {
    width: u32,
    height: u32,
    /// Nothing where the rate varies.
    rate: Option<FrameRate>,
    frames: usize,
    start: MatchTime,
    duration: MatchTime,
    rotation: u16,
    sound: bool,
}

impl reports::Report for Report {
    fn of(path: &Path) -> Self {
        let file = path.to_string_lossy().into_owned();
        match with_bar(path, |watch| probe_watched(path, watch)) {
            Ok(media) => Self { file, film: Some(Film::of(&media)), error: None, notes: media.warnings },
            Err(e) => Self { file, film: None, error: Some(e.to_string()), notes: Vec::new() },
        }
    }

    fn error(&self) -> Option<&str> {
        self.error.as_deref()
    }

    fn print(&self, out: &mut dyn Write) -> std::io::Result<()> {
        if let Some(film) = &self.film {
            writeln!(out, "{}: {film}", printable(&self.file, 400))?;
        }
        // A note names its file.
        self.notes.iter().try_for_each(|note| writeln!(out, "note: {}", printable(note, 1000)))
    }
}

impl Film {
    fn of(media: &FootageFile) -> Self {
        Self {
            width: media.width,
            height: media.height,
            rate: media.rate,
            frames: media.index.len(),
            start: media.index.time(0),
            duration: media.duration,
            rotation: media.rotation,
            sound: media.has_audio,
        }
    }
}

impl std::fmt::Display for Film {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} × {}, ", self.width, self.height)?;
        match self.rate {
            Some(rate) => write!(f, "{rate} frames per second")?,
            None => write!(f, "a varying frame rate")?,
        }
        let end = MatchTime::from_millis((self.duration.nanos() + 500_000) / 1_000_000);
        write!(f, ", {} frames until {end}", self.frames)?;
        if self.rotation != 0 {
            write!(f, ", turned by {}°", self.rotation)?;
        }
        f.write_str(if self.sound { ", with sound" } else { ", without sound" })
    }
}

/// Looks at each file, whatever the ones before it were like.
///
/// # Errors
/// [`super::CliError::Output`] when the answer cannot be written. A file that cannot be played is complained of and
/// makes the exit code 1.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    each::<Report>(&args.files, args.json, out)
}
