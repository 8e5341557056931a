//! `changeover clips`: the clip list of a pattern, for people and for other programs.

use std::io::Write;
use std::process::ExitCode;

use super::answer::{Answer, CliError, FOUND, complain};
use super::archive::Archive;
use super::output::Output;
use super::selected::{Selected, Selection};
use super::summary::named;
use crate::export::timecode::Label;
use crate::export::{Format, Sheet, name_from, table};
use crate::record::Record;

const EXAMPLES: &str = "\
Examples:
  changeover clips final.points.json --pattern \"Drop shot\"
  changeover clips final.points.json --pattern \"Drop shot\" --format xspf --out drops.xspf
  changeover clips *.points.json --pattern \"Wide serve, open court\" --for Holt --json
  changeover clips matches/ --where \"Holt drop shot behind break point clay\"
  changeover clips matches/ --player Holt --tag \"good choice\" --format csv

Each point is a separate clip; lead-in and lead-out stop at the points before and after it, and at the cuts of the footage that were \
found: by the window, by `changeover cuts`, or with --cuts. With --merge, clips of one file that overlap or touch become one, \
unless the footage was cut there. File names are relative to the folder of --out, or to the current folder. Points that \
cannot be shown are counted on standard error.

--where takes words that the window uses: \"Holt backhand winner deuce court\", \"drop shot answered by lob\", \"9+ shots set 2 \
since May 2026\", \"no ace\", \"clay or hard\", or text of a note in quotes. Words about a shot that follow each other mean the \
same shot; a comma starts another. Points that lack the data are left out and counted on standard error.

Exit codes: 0 answered, even when no point is found, 1 a file cannot be read or written (the clips of the other records \
in the folder are still printed) or a word of --where is not understood, 2 the command line was not understood.";

/// What says which points are wanted: at least one of these.
fn asked() -> clap::ArgGroup {
    clap::ArgGroup::new("asked").args(["pattern", "words", "tag", "plays"]).required(true).multiple(true)
}

/// The arguments of `clips`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES, group(asked()))]
pub struct Args {
    #[command(flatten)]
    selection: Selection,
    /// How to write them.
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
    /// The same as --format json.
    #[arg(long, conflicts_with = "format")]
    json: bool,
    /// The timecode of the first frame of the footage, for otio and edl: HH:MM:SS:FF, or HH:MM:SS;FF for drop-frame.
    #[arg(long, value_name = "TIMECODE")]
    start_timecode: Option<Label>,
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
    args.output.write(&text, &args.selection.reads(&archive), out)?;
    Ok(if archive.whole { ExitCode::SUCCESS } else { ExitCode::from(FOUND) })
}

/// The clips, and whether every record was read.
fn sheet(args: &Args) -> Result<(Sheet, Archive), CliError> {
    let Selected { archive, title, lead, list, .. } = args.selection.select()?;
    let records: Vec<&Record> = archive.records.iter().collect();
    let mut sheet = Sheet::new(&title, named(&archive.paths, &records), lead, list);
    sheet.start_timecode = args.start_timecode;
    // The file may be meant as the record names it, or as it is printed.
    let by_record = args.file.as_deref().filter(|f| sheet.keep_file(f).is_ok());
    name_from(&mut sheet, &archive.paths, args.output.file()).map_err(failed)?;
    if let (Some(file), None) = (&args.file, by_record) {
        sheet.keep_file(file).map_err(failed)?;
    }
    Ok((sheet, archive))
}

fn failed(e: impl std::fmt::Display) -> CliError {
    CliError::Failed(e.to_string())
}
