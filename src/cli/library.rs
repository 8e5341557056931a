//! `changeover library`: what there is in folders of records, and what is missing.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use serde::Serialize;

use super::answer::{Answer, CliError, FOUND, complain};
use super::reading::shown;
use crate::library::{Cache, Known, Listed, Listing, Missing, list};
use crate::record::consent::today;
use crate::record::printable;
use crate::system::reading;

const EXAMPLES: &str = "\
Examples:
  changeover library matches/
  changeover library matches/ --find \"Holt clay\"
  changeover library matches/ --find \"footage missing\"
  changeover library matches/ old/ --json

Lists all records in the folders and their subfolders, the newest match first: players, date, surface, venue, score, what is \
logged, and what is missing. --find keeps the records that have all of its words in their players, date, surface, venue, score, \
file name, or what is missing. Nothing is changed, and no footage is opened.

Exit codes: 0 listed, even when there is nothing to list, 1 a record or a folder cannot be read (it is named on standard \
error, and the others are listed), 2 the command line was not understood.";

/// The arguments of `library`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// Folders with records.
    #[arg(required = true, value_name = "FOLDER")]
    folders: Vec<PathBuf>,
    /// Only records with all of these words.
    #[arg(long, value_name = "WORDS")]
    find: Option<String>,
    /// Answer in JSON: a list with one entry for each record.
    #[arg(long)]
    json: bool,
}

/// A record, for another program.
#[derive(Serialize)]
struct Line<'l> {
    record: String,
    #[serde(flatten)]
    known: &'l Known,
    missing: &'l [Missing],
}

/// Lists the records.
///
/// # Errors
/// [`CliError`] when a path is no folder, or the answer cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    if let Some(other) = args.folders.iter().find(|f| !f.is_dir()) {
        let what = if other.exists() { "is no folder" } else { "is not there" };
        return Err(CliError::Failed(format!("{} {what}: name folders with records", shown(other))));
    }
    let listing = list(&args.folders, &Cache::default(), today(), &|_, _| true).unwrap_or_default();
    let fine = complaints(&listing);
    let typed = args.find.as_deref().unwrap_or_default();
    let lines: Vec<(&Listed, &Known)> =
        (listing.records.iter()).filter(|l| l.has(typed)).filter_map(|l| Some((l, l.known()?))).collect();
    if args.json {
        let line = |(l, known): &(&'_ Listed, &'_ Known)| {
            serde_json::to_value(Line {
                record: l.entry.path.to_string_lossy().into_owned(),
                known,
                missing: &l.missing,
            })
        };
        let all: Result<Vec<_>, _> = lines.iter().map(line).collect();
        serde_json::to_writer_pretty(&mut *out, &all.map_err(std::io::Error::from)?)
            .map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else {
        for (listed, known) in lines {
            print(listed, known, out)?;
        }
    }
    Ok(if fine { ExitCode::SUCCESS } else { ExitCode::from(FOUND) })
}

fn print(listed: &Listed, known: &Known, out: &mut dyn Write) -> std::io::Result<()> {
    writeln!(out, "{}", shown(&listed.entry.path))?;
    let parts = [known.players.clone(), known.place(), known.score.clone(), known.logged()];
    let parts: Vec<String> = parts.iter().filter(|p| !p.is_empty()).map(|p| printable(p, 400)).collect();
    writeln!(out, "  {}", parts.join(" · "))?;
    listed.missing.iter().try_for_each(|m| writeln!(out, "  {}", printable(&m.words(), 400)))
}

/// Names what could not be read; says whether everything could.
fn complaints(listing: &Listing) -> bool {
    for (folder, why) in &listing.failed {
        complain(&format!("{}: the folder cannot be listed: {}", shown(folder), reading(why)));
    }
    let broken = listing.records.iter().filter_map(|l| l.entry.content.broken());
    let mut fine = listing.failed.is_empty();
    for why in broken {
        complain(&why);
        fine = false;
    }
    fine
}
