//! `changeover explain`: why a point shows a pattern or not, or why the record cannot say.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use clap_complete::ArgValueCompleter;

use super::answer::{Answer, CliError};
use super::completed;
use super::summary::{Asked, read};
use super::values::whole;
use crate::facts::{facts, heading_of, rally_of, words_of};
use crate::pattern::{Explanation, explain};
use crate::record::printable;

const EXAMPLES: &str = "\
Examples:
  changeover explain final.points.json --point 37 --pattern \"Drop shot, a condition missed\"
  changeover explain final.points.json --point 37 --pattern \"Plan played\" --patterns ours.toml --json

Each line gives the answer (yes, no or unknown), the condition, and what the record says about it. \"Estimated\" means not \
measured, but worked out from the shots before. The first point is number 1.

Exit codes: 0 answered, 1 a file cannot be read or has no such point or pattern, 2 the command line was not understood.";

/// The arguments of `explain`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The record.
    #[arg(value_name = "RECORD")]
    record: PathBuf,
    /// The number of the point, from 1.
    #[arg(long, value_name = "NUMBER", value_parser = whole::<usize>(1..=20_000), allow_negative_numbers = true)]
    point: usize,
    /// The pattern.
    #[arg(long, value_name = "NAME", add = ArgValueCompleter::new(completed::patterns))]
    pattern: String,
    /// A pattern file; without it, the starter patterns.
    #[arg(long, value_name = "FILE")]
    patterns: Option<PathBuf>,
    /// Answer in JSON: the same tree.
    #[arg(long)]
    json: bool,
}

/// Prints the explanation.
///
/// # Errors
/// [`CliError`] when the record or the pattern file cannot be read, has no such point or pattern, or the answer cannot be
/// written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let file = Asked::of(args.patterns.clone()).file()?;
    let pattern = file.named(&args.pattern).map_err(|e| CliError::Failed(e.to_string()))?;
    let record = read(std::slice::from_ref(&args.record))?.remove(0);
    let all = facts(&record);
    let point = args.point.checked_sub(1).and_then(|n| all.get(n)).ok_or_else(|| {
        let (name, n) = (printable(&args.record.to_string_lossy(), 400), all.len());
        CliError::Failed(format!("{name} has no point {}; allowed: 1 to {n}", args.point))
    })?;
    let why = explain(pattern, point);
    if args.json {
        serde_json::to_writer_pretty(&mut *out, &why).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(ExitCode::SUCCESS);
    }
    writeln!(out, "{}", printable(&heading_of(&record, point), 400))?;
    writeln!(out, "{}", printable(&words_of(&record, point), 2000))?;
    if !point.shots.is_empty() {
        writeln!(out, "{}", printable(&rally_of(&record, point), 4000))?;
    }
    writeln!(out)?;
    tell(&why, 0, out)?;
    Ok(ExitCode::SUCCESS)
}

fn tell(why: &Explanation, depth: usize, out: &mut dyn Write) -> std::io::Result<()> {
    let answer = why.answer.word();
    let found = if why.found.is_empty() { String::new() } else { format!(": {}", why.found) };
    let asks = printable(&format!("{}{found}", why.asks), 1000);
    writeln!(out, "{}{answer:<7}  {asks}", "  ".repeat(depth))?;
    why.parts.iter().try_for_each(|part| tell(part, depth + 1, out))
}
