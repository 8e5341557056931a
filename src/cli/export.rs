//! `changeover export`: the points of records as CSV.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::answer::{Answer, CliError, complain};
use super::output::Output;
use super::summary::read;
use crate::export::{PointFormat, points};
use crate::record::{Record, printable};

const EXAMPLES: &str = "\
Examples:
  changeover export final.points.json --format csv --out final.csv
  changeover export season/*.points.json --format csv > season.csv

The columns are those that changeover import reads: start, end, server, serve, winner, finish, tags, note. With several \
records, match comes first. If a match did not end by its score, outcome comes next. Shots, faults, misses, lets and \
penalties have columns if they were logged. Standard error lists what has no column. \
A text that a spreadsheet would run as a formula gets an apostrophe before it; the import removes it.

Exit codes: 0 written, 1 a file cannot be read or written, 2 the command line was not understood.";

/// The arguments of `export`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The records to export.
    #[arg(required = true, value_name = "RECORD")]
    records: Vec<PathBuf>,
    /// How to write them.
    #[arg(long, value_enum, default_value_t = PointFormat::Csv)]
    format: PointFormat,
    #[command(flatten)]
    output: Output,
}

/// Prints or writes the points.
///
/// # Errors
/// [`CliError`] when a file cannot be read or written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let failed = |e: crate::export::ExportError| CliError::Failed(e.to_string());
    let records = read(&args.records)?;
    let names = distinct(&args.records);
    let named: Vec<(&str, &Record)> = names.iter().map(String::as_str).zip(&records).collect();
    let text = args.format.text(&named).map_err(failed)?;
    for (path, record) in args.records.iter().zip(&records) {
        let left = points::left_out(record);
        if !left.is_empty() {
            let path = printable(&path.to_string_lossy(), 400);
            complain(&format!("{path}: CSV has no column for this, so it is left out: {}", left.join(", ")));
        }
    }
    let reads: Vec<&Path> = args.records.iter().map(PathBuf::as_path).collect();
    args.output.write(&text, &reads, out)?;
    Ok(ExitCode::SUCCESS)
}

/// What each record is called in the column `match`: its file name, with a number where two are the same.
fn distinct(paths: &[PathBuf]) -> Vec<String> {
    let mut taken = std::collections::HashSet::new();
    paths
        .iter()
        .map(|path| {
            let name = stem(path);
            let more = (2u32..).map(|n| format!("{name} ({n})"));
            let free = std::iter::once(name.clone()).chain(more).find(|n| !taken.contains(n));
            let name = free.unwrap_or(name);
            taken.insert(name.clone());
            name
        })
        .collect()
}

fn stem(path: &Path) -> String {
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let short = name.strip_suffix(".points.json").map(|s| s.trim().to_owned());
    short.filter(|s| !s.is_empty()).unwrap_or(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn records_of_one_name_are_told_apart() {
        let paths = ["a/x.points.json", "b/x.points.json", "y.json", "x.points.json"].map(PathBuf::from);
        assert_eq!(distinct(&paths), ["x", "x (2)", "y.json", "x (3)"]);
    }
}
