//! `changeover strikes`: when a racket is heard to strike the ball.

use std::io::Write;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::answer::Answer;
use super::reports::{self, each, with_bar};
use crate::counted::{Counted, Noun};
use crate::record::printable;
use crate::video::{Strike, strikes};

/// The arguments of `strikes`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  changeover strikes final.mp4
  changeover strikes --json final-1.mp4 final-2.mp4

Each line gives a time in the file and how far the sound stands out. The sound arrives about 3 ms later than the contact for \
each metre to the microphone. Some strikes are missed, and some other sounds, such as feet and bounces, are taken for \
strikes. Do not rely on them as facts of the match.

Exit codes: 0 all files were listened to (perhaps nothing was heard), 1 at least one file cannot be listened to, 2 the command line was not understood.")]
pub struct Args {
    /// The video files to listen to.
    #[arg(required = true, value_name = "FOOTAGE")]
    footage: Vec<PathBuf>,
    /// Answer in JSON: a list with one entry for each file; strengths are in decibels.
    #[arg(long)]
    json: bool,
}

/// The report on one file.
#[derive(Debug, Serialize)]
struct Report {
    file: String,
    strikes: Vec<Strike>,
    error: Option<String>,
}

impl reports::Report for Report {
    fn of(path: &Path) -> Self {
        let file = path.to_string_lossy().into_owned();
        match with_bar(path, |watch| strikes(path, watch)) {
            Ok(strikes) => Self { file, strikes, error: None },
            Err(e) => Self { file, strikes: Vec::new(), error: Some(e.to_string()) },
        }
    }

    fn error(&self) -> Option<&str> {
        self.error.as_deref()
    }

    fn print(&self, out: &mut dyn Write) -> std::io::Result<()> {
        if self.error.is_some() {
            return Ok(());
        }
        let heard = Counted(self.strikes.len(), Noun::Strike);
        writeln!(out, "{}: {heard} heard", printable(&self.file, 400))?;
        self.strikes.iter().try_for_each(|s| writeln!(out, "{}  {:>7}", s.at, s.strength.to_string()))
    }
}

/// Listens to each file, whatever the ones before it were like.
///
/// # Errors
/// [`super::CliError::Output`] when the answer cannot be written. A file that cannot be listened to is complained of and
/// makes the exit code 1.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    each::<Report>(&args.footage, args.json, out)
}
