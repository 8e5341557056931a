//! `changeover clips`: the clip list of a pattern, for people and for other programs.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::answer::{Answer, CliError, complain};
use super::output::Output;
use super::reading::shown;
use super::summary::{Asked, named, read};
use crate::clips::{Clip, Lead, clip_list};
use crate::export::{Format, Sheet, name_from, table};
use crate::record::footage::astray;
use crate::record::{Record, printable};
use crate::summary::summarise;
use crate::time::MatchTime;

const EXAMPLES: &str = "\
Examples:
  changeover clips final.points.json --pattern \"Drop shot\"
  changeover clips final.points.json --pattern \"Drop shot\" --format xspf --out drops.xspf
  changeover clips *.points.json --pattern \"Wide serve, open court\" --for Holt --json

Clips of one file that overlap or touch are joined. Files are named relative to the folder of --out, or to the
current one. Points that cannot be shown are counted on standard error.

Exit codes: 0 answered, even when no point shows the pattern, 1 a file cannot be read or written, 2 the command
line was not understood.";

/// What `clips` is asked.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The records to ask.
    #[arg(required = true, value_name = "RECORD")]
    records: Vec<PathBuf>,
    /// The pattern whose points are wanted; `changeover summary --list` names them.
    #[arg(long, value_name = "NAME")]
    pattern: String,
    #[command(flatten)]
    asked: Asked,
    /// Footage kept before each point: seconds, or HH:MM:SS.
    #[arg(long, value_name = "TIME", default_value = "2", allow_negative_numbers = true)]
    lead_in: MatchTime,
    /// Footage kept after each point: seconds, or HH:MM:SS.
    #[arg(long, value_name = "TIME", default_value = "1", allow_negative_numbers = true)]
    lead_out: MatchTime,
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
    let sheet = sheet(args)?;
    let format = if args.json { Format::Json } else { args.format };
    let text = format.text(&sheet).map_err(failed)?;
    if format != Format::Table || args.output.file().is_some() {
        for line in table::unreachable(&sheet).lines() {
            complain(&line);
        }
    }
    let reads: Vec<&Path> = args.records.iter().map(PathBuf::as_path).chain(args.asked.patterns()).collect();
    args.output.write(&text, &reads, out)?;
    Ok(ExitCode::SUCCESS)
}

fn sheet(args: &Args) -> Result<Sheet, CliError> {
    let file = args.asked.file()?;
    let pattern = file.named(&args.pattern).map_err(failed)?;
    let loaded = read(&args.records)?;
    let records: Vec<&Record> = loaded.iter().collect();
    let whose = args.asked.whose(&records)?;
    let points: Vec<_> = (summarise(&records, std::slice::from_ref(pattern), &whose).rows.into_iter())
        .flat_map(|row| row.happened.points)
        .collect();
    let lead = Lead { before: args.lead_in - MatchTime::ZERO, after: args.lead_out - MatchTime::ZERO };
    let list = clip_list(&records, &points, lead);
    tell_astray(args, &records, &list.clips);
    let mut sheet = Sheet::new(&pattern.name, named(&args.records, &records), lead, list);
    // The file may be meant as the record names it, or as it is printed.
    let by_record = args.file.as_deref().filter(|f| sheet.keep_file(f).is_ok());
    name_from(&mut sheet, &args.records, args.output.file()).map_err(failed)?;
    if let (Some(file), None) = (&args.file, by_record) {
        sheet.keep_file(file).map_err(failed)?;
    }
    Ok(sheet)
}

/// Says which footage of the clips is not where its record says.
fn tell_astray(args: &Args, records: &[&Record], clips: &[Clip]) {
    let wanted: BTreeSet<(usize, &str)> = clips.iter().map(|c| (c.record, c.file.as_str())).collect();
    for (n, name) in wanted {
        let file = records.get(n).and_then(|r| r.footage.iter().find(|f| f.file == name));
        let Some((path, file)) = args.records.get(n).zip(file) else { continue };
        if let Some(why) = astray(path, file) {
            complain(&format!("{}: footage \"{}\" {why}", shown(path), printable(name, 120)));
        }
    }
}

fn failed(e: impl std::fmt::Display) -> CliError {
    CliError::Failed(e.to_string())
}
