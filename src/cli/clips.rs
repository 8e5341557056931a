//! `changeover clips`: the clip list of a pattern, for people and for other programs.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap_complete::ArgValueCompleter;

use super::answer::{Answer, CliError, FOUND, complain};
use super::archive::Archive;
use super::completed;
use super::output::Output;
use super::reading::shown;
use super::searched::Wanted;
use super::summary::{Asked, named};
use crate::clips::{Clip, Lead, clip_list};
use crate::export::{Format, Sheet, name_from, table};
use crate::facts::PointRef;
use crate::pattern::{Pattern, PatternFile};
use crate::record::footage::astray;
use crate::record::{Record, printable};
use crate::summary::summarise;
use crate::time::MatchTime;

const EXAMPLES: &str = "\
Examples:
  changeover clips final.points.json --pattern \"Drop shot\"
  changeover clips final.points.json --pattern \"Drop shot\" --format xspf --out drops.xspf
  changeover clips *.points.json --pattern \"Wide serve, open court\" --for Holt --json
  changeover clips matches/ --where \"Holt drop shot behind break point clay\"
  changeover clips matches/ --player Holt --tag \"good choice\" --format csv

Each point is a separate clip; lead-in and lead-out stop at the points before and after it. With --merge, clips of one \
file that overlap or touch become one. File names are relative to the folder of --out, or to the current folder. Points that \
cannot be shown are counted on standard error.

--where takes words that the window uses: \"Holt backhand winner deuce court\", \"drop shot answered by lob\", \"9+ shots set 2 \
since May 2026\", \"no ace\", \"clay or hard\", or text of a note in quotes. Words about a shot that follow each other mean the \
same shot; a comma starts another. Points that lack the data are left out and counted on standard error.

Exit codes: 0 answered, even when no point is found, 1 a file cannot be read or written (the clips of the other records \
in the folder are still printed) or a word of --where is not understood, 2 the command line was not understood.";

/// The arguments of `clips`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The records to ask, or folders: all records in them and in their subfolders.
    #[arg(required = true, value_name = "RECORD|FOLDER")]
    records: Vec<PathBuf>,
    /// The pattern whose points are wanted; `changeover summary --list` names them.
    #[arg(long, value_name = "NAME", required_unless_present_any = ["words", "tag", "plays"], add = ArgValueCompleter::new(completed::patterns))]
    pattern: Option<String>,
    #[command(flatten)]
    wanted: Wanted,
    #[command(flatten)]
    asked: Asked,
    /// Footage kept before each point: seconds, or HH:MM:SS.
    #[arg(long, value_name = "TIME", default_value = "2", allow_negative_numbers = true)]
    lead_in: MatchTime,
    /// Footage kept after each point: seconds, or HH:MM:SS.
    #[arg(long, value_name = "TIME", default_value = "1", allow_negative_numbers = true)]
    lead_out: MatchTime,
    /// Join clips of one file that overlap or touch.
    #[arg(long)]
    merge: bool,
    /// How to write them.
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
    /// The same as --format json.
    #[arg(long, conflicts_with = "format")]
    json: bool,
    /// Only clips of this media file.
    #[arg(long, value_name = "FOOTAGE")]
    file: Option<String>,
    #[command(flatten)]
    output: Output,
}

/// Prints or writes the clips.
///
/// # Errors
/// [`CliError`] when a file cannot be read or written, or the clips do not fit the format.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let (sheet, archive) = sheet(args)?;
    let format = if args.json { Format::Json } else { args.format };
    let text = format.text(&sheet).map_err(failed)?;
    if format != Format::Table || args.output.file().is_some() {
        for line in table::unreachable(&sheet).lines() {
            complain(&line);
        }
    }
    let reads: Vec<&Path> = archive.paths.iter().map(PathBuf::as_path).chain(args.asked.patterns()).collect();
    args.output.write(&text, &reads, out)?;
    Ok(if archive.whole { ExitCode::SUCCESS } else { ExitCode::from(FOUND) })
}

/// The clips, and whether every record was read.
fn sheet(args: &Args) -> Result<(Sheet, Archive), CliError> {
    let file = args.asked.file()?;
    let pattern = args.pattern.as_ref().map(|name| file.named(name).map_err(failed)).transpose()?;
    let archive = Archive::read(&args.records)?;
    let records: Vec<&Record> = archive.records.iter().collect();
    let (title, points) = points(args, &archive, pattern, &file)?;
    let [before, after] = [args.lead_in, args.lead_out].map(|t| t - MatchTime::ZERO);
    let lead = Lead { before, after, merge: args.merge };
    let list = clip_list(&records, &points, lead);
    tell_astray(&archive.paths, &records, &list.clips);
    let mut sheet = Sheet::new(&title, named(&archive.paths, &records), lead, list);
    // The file may be meant as the record names it, or as it is printed.
    let by_record = args.file.as_deref().filter(|f| sheet.keep_file(f).is_ok());
    name_from(&mut sheet, &archive.paths, args.output.file()).map_err(failed)?;
    if let (Some(file), None) = (&args.file, by_record) {
        sheet.keep_file(file).map_err(failed)?;
    }
    Ok((sheet, archive))
}

/// The points that show the pattern and are found by the search, with what they show.
fn points(
    args: &Args,
    archive: &Archive,
    pattern: Option<&Pattern>,
    file: &PatternFile,
) -> Result<(String, Vec<PointRef>), CliError> {
    let records: Vec<&Record> = archive.records.iter().collect();
    let whose = args.asked.whose(&records)?;
    let shown = pattern.map(|p| {
        let rows = summarise(&records, std::slice::from_ref(p), &whose).rows;
        (p.name.clone(), rows.into_iter().flat_map(|row| row.happened.points).collect::<Vec<_>>())
    });
    if !args.wanted.is_any() {
        return Ok(shown.unwrap_or_default());
    }
    let (words, mut found) = args.wanted.find(archive, &file.patterns)?;
    found.retain(|at| records.get(at.record).is_some_and(|r| whose.plays(&r.about_at(at.point))));
    let Some((name, points)) = shown else { return Ok((words, found)) };
    let both: BTreeSet<PointRef> = points.into_iter().collect();
    found.retain(|at| both.contains(at));
    Ok((format!("{name} · {words}"), found))
}

/// Says which footage of the clips is not where its record says.
fn tell_astray(paths: &[PathBuf], records: &[&Record], clips: &[Clip]) {
    let wanted: BTreeSet<(usize, &str)> = clips.iter().map(|c| (c.record, c.file.as_str())).collect();
    for (n, name) in wanted {
        let file = records.get(n).and_then(|r| r.footage.iter().find(|f| f.file == name));
        let Some((path, file)) = paths.get(n).zip(file) else { continue };
        if let Some(why) = astray(path, file) {
            complain(&format!("{}: footage \"{}\" {why}", shown(path), printable(name, 120)));
        }
    }
}

fn failed(e: impl std::fmt::Display) -> CliError {
    CliError::Failed(e.to_string())
}
