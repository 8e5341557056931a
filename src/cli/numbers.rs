//! `changeover numbers`: the match in numbers, both players side by side.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use super::answer::{Answer, CliError};
use super::archive::nothing_logged;
use super::summary::{files, named, read, whose_of};
use super::values::whole;
use crate::export::{json, numbers as table};
use crate::summary::numbers::{Numbers, numbers};
use crate::summary::study::Pool;

const EXAMPLES: &str = "\
Examples:
  changeover numbers final.points.json
  changeover numbers --set 2 final.points.json
  changeover numbers --for Holt *.points.json
  changeover numbers --json final.points.json

\"34 of 50 (68 %), 2 unknown\" means 34 of the 50 points for which the record has the data; 2 points lack it. A \
percentage is given from ten points on. \"At least 5\" stands for aces, double faults, winners and errors if the record \
does not say how some points ended. A game counts if its last point is in the record; a tie-break is not a game that is \
held or broken. In points of many matches no games are counted. A double fault counts as a lost point on second serve. Winners do not include aces; unforced errors do not \
include double faults. A net point is one in which the player came in behind a shot, struck a shot at the net, or hit a \
volley or an overhead from anywhere. A shot that went long and wide counts as long. A point penalty is a point won, but not \
on a serve. Directions count a missed shot where it was aimed; if that was not logged, the heading and a note say so. Cross-court and down the line are shares of \
the shots to a side: for a shot struck from the middle they are not known. Unless positions were measured, a shot is assumed \
to be struck where the shot before it landed. Points that were replayed (lets) are not counted.

In JSON every number lists its points: those that count, the others, and the unknown. A game is named by its last point, \
a shot by its point and its place in the point, from 0.

Exit codes: 0 answered, 1 a record cannot be read or has no such set, 2 the command line was not understood.";

/// The arguments of `numbers`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The record. With --for, also several records: that player is the first column, all opponents are the second.
    #[arg(required = true, value_name = "RECORD")]
    records: Vec<PathBuf>,
    /// Put this player first: a, b or a name.
    #[arg(long = "for", value_name = "PLAYER")]
    player: Option<String>,
    /// Only this set, from 1.
    #[arg(long, value_name = "NUMBER", value_parser = whole::<u8>(1..=5), allow_negative_numbers = true)]
    set: Option<u8>,
    /// Answer in JSON: the whole match and each set; every number lists its points.
    #[arg(long)]
    json: bool,
}

/// Prints the numbers.
///
/// # Errors
/// [`CliError`] when a record cannot be read, has no point of the set, or the answer cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    if args.records.len() > 1 && args.player.is_none() {
        return Err(CliError::Failed(format!(
            "these {} records are not all of the same two players: choose a player with --for, or give one record",
            args.records.len()
        )));
    }
    let pool = Pool::new(read(&args.records)?);
    let whose = whose_of(args.player.as_deref(), &pool.records())?;
    let mut found = numbers(&pool, &whose);
    let set = args.set.map(usize::from);
    if let Some(set) = set {
        check(&found, set)?;
    }
    let text = if args.json {
        found.parts.retain(|p| set.is_none() || p.set == set);
        let made = json::numbers(named(&files(&args.records, &pool), &pool.records()), found);
        made.map_err(|e| CliError::Failed(e.to_string()))?
    } else {
        nothing_logged(pool.records()).map_or_else(|| table::numbers(&found, set), |said| format!("{said}\n"))
    };
    out.write_all(text.as_bytes())?;
    Ok(ExitCode::SUCCESS)
}

/// That there is a point of the set.
fn check(found: &Numbers, set: usize) -> Result<(), CliError> {
    let sets: Vec<String> = found.parts.iter().filter_map(|p| Some(p.set?.to_string())).collect();
    if found.parts.iter().any(|p| p.set == Some(set)) {
        return Ok(());
    }
    Err(CliError::Failed(if sets.is_empty() {
        format!("the record has no points of set {set}: the set of its points is not known")
    } else {
        format!("the record has no points of set {set}; it has points of set {}", sets.join(", "))
    }))
}
