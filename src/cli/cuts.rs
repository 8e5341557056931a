//! `changeover cuts`: where footage was cut.

use std::io::Write;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::answer::Answer;
use super::reports::{self, each, with_bar};
use crate::counted::{Counted, Noun};
use crate::record::footage::fingerprint;
use crate::record::printable;
use crate::session::cuts::KeptCuts;
use crate::time::MatchTime;
use crate::video::{Pace, VideoError, cuts_of, probe};

/// The arguments of `cuts`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  changeover cuts edited.mp4
  changeover cuts --json match-1.mp4 match-2.mp4

Each line gives the time and the number of the first frame after a cut, counted from 0. A cut is where the whole picture \
changes from one frame to the next, or where the camera stood still and a pause was cut out. Of such pauses some are \
missed: a cut is found only if the players stand elsewhere after it, and move a little before it or after it. Dissolves and fades are not found. \
Pans, flashes, steps of the exposure and graphics are not reported. The footage is decoded once; the cuts are kept in the cache folder, and \
clips then stop at them. Cuts that you marked or deleted in the window count too. Ctrl C stops it; nothing is kept then.

Exit codes: 0 all files were looked at (perhaps nothing was found), 1 at least one file cannot be read, 2 the command line was not understood.")]
pub struct Args {
    /// The video files to look at.
    #[arg(required = true, value_name = "FOOTAGE")]
    footage: Vec<PathBuf>,
    /// Answer in JSON: a list with one entry for each file.
    #[arg(long)]
    json: bool,
}

/// One cut.
#[derive(Debug, Serialize)]
struct Cut {
    at: MatchTime,
    frame: usize,
}

/// The report on one file.
#[derive(Debug, Serialize)]
struct Report {
    file: String,
    cuts: Vec<Cut>,
    error: Option<String>,
}

impl reports::Report for Report {
    fn of(path: &Path) -> Self {
        let file = path.to_string_lossy().into_owned();
        match found(path) {
            Ok(cuts) => Self { file, cuts, error: None },
            Err(e) => Self { file, cuts: Vec::new(), error: Some(e.to_string()) },
        }
    }

    fn error(&self) -> Option<&str> {
        self.error.as_deref()
    }

    fn print(&self, out: &mut dyn Write) -> std::io::Result<()> {
        if self.error.is_some() {
            return Ok(());
        }
        writeln!(out, "{}: {}", printable(&self.file, 400), Counted(self.cuts.len(), Noun::Cut))?;
        self.cuts.iter().try_for_each(|c| writeln!(out, "{}  frame {}", c.at, c.frame))
    }
}

fn found(path: &Path) -> Result<Vec<Cut>, VideoError> {
    let media = probe(path)?;
    let at = |t| Cut { at: t, frame: media.index.at(t) };
    Ok(look(path, || with_bar(path, |watch| cuts_of(&media, Pace::Full, watch)))?
        .into_iter()
        .map(at)
        .collect())
}

/// The cuts of a file that are kept, or that `search` finds; then they are kept.
fn look(
    path: &Path,
    search: impl FnOnce() -> Result<Vec<MatchTime>, VideoError>,
) -> Result<Vec<MatchTime>, VideoError> {
    let kept = KeptCuts::default();
    // A file that cannot be read is complained of by the search.
    let print = fingerprint(path).ok();
    if let Some(known) = print.as_deref().filter(|p| kept.are_found(p)) {
        return Ok(kept.of(known));
    }
    let found = search()?;
    let Some(print) = print else { return Ok(found) };
    kept.keep(&print, &found);
    // Where the cache cannot be written, what was found is the answer all the same.
    Ok(if kept.are_found(&print) { kept.of(&print) } else { found })
}

/// Looks for the cuts of a file, with a bar, unless they are kept.
///
/// # Errors
/// [`VideoError`] when the file cannot be read.
pub(super) fn ensure(path: &Path) -> Result<(), VideoError> {
    look(path, || with_bar(path, |watch| crate::video::cuts(path, watch))).map(drop)
}

/// Looks at each file, whatever the ones before it were like.
///
/// # Errors
/// [`super::CliError::Output`] when the answer cannot be written. A file that cannot be read is complained of and
/// makes the exit code 1.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    each::<Report>(&args.footage, args.json, out)
}
