//! `changeover keys`: what each key does.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use super::answer::{Answer, CliError};
use super::reading::{settings, shown};
use crate::logging::KeyCard;
use crate::logging::card::BUILT_IN;

const EXAMPLES: &str = "\
Examples:
  changeover keys                          what each key does
  changeover keys --card > mine.keys.toml  a card of your own to change
  changeover keys mine.keys.toml           check it, and show what it says
  changeover --keys mine.keys.toml final.mp4

Exit codes: 0 all is well, 1 the card cannot be used, 2 the command line was not understood.";

/// Arguments of `changeover keys`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// A key card; without one, the built-in card.
    file: Option<PathBuf>,
    /// Print the card itself, as TOML.
    #[arg(long)]
    card: bool,
}

/// Prints the keys of a card.
///
/// # Errors
/// [`CliError`] when the card cannot be read, with the line in it, or the answer not written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let (text, name) = match &args.file {
        None => (BUILT_IN.to_owned(), "the built-in card".into()),
        Some(file) => (settings(file)?, shown(file)),
    };
    let card = KeyCard::parse(&text).map_err(|e| CliError::Failed(format!("{name}: {e}")))?;
    if args.card {
        out.write_all(text.as_bytes())?;
        return Ok(ExitCode::SUCCESS);
    }
    for (title, rows) in card.help(["Player A", "Player B"]) {
        writeln!(out, "{title}")?;
        for row in rows {
            writeln!(out, "  {:<22} {}", row.keys.join("  or  "), row.what)?;
        }
        writeln!(out)?;
    }
    Ok(ExitCode::SUCCESS)
}
