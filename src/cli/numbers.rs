//! `changeover numbers`: the match in numbers, both players side by side.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use super::answer::{Answer, CliError};
use super::summary::{named, read, whose_of};
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

\"34 of 50 (68 %), 2 unknown\": 34 of the 50 points of which the record says it, and 2 of which it does not. A \
percentage is given from ten points on. Games are those whose last point is in the record; a tie-break is no game \
that is held or broken. A double fault is a lost point on second serve. Winners are without aces, unforced errors \
without double faults. A net point is one in which the player came in behind a shot, struck one at the net, or a volley or an \
overhead, wherever that was struck. Directions count shots that landed: a missed shot has none. Lines to a side are \
shares of the shots to a side, as the line of a shot that was struck from the middle is not known; where positions were not \
measured, a shot is taken to be struck where the shot before landed. Points played again (lets) count nowhere.

As JSON every number has its points: those that count, the others, and the unknown; a game is its last point, a shot \
its point and its place in it from 0.

Exit codes: 0 answered, 1 a record cannot be read or has no such set, 2 the command line was not understood.";

/// What `numbers` is asked.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The record; several only with --for, which puts that player first and all opponents second.
    #[arg(required = true, value_name = "RECORD")]
    records: Vec<PathBuf>,
    /// Put this player first: a, b or a name.
    #[arg(long = "for", value_name = "PLAYER")]
    player: Option<String>,
    /// Only this set, from 1.
    #[arg(long, value_name = "NUMBER", value_parser = whole::<u8>(1..=5), allow_negative_numbers = true)]
    set: Option<u8>,
    /// Answer in JSON: the whole match and each set, every number with its points.
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
            "{} records have no two players in common: say whose numbers with --for PLAYER, or give one record",
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
        let made = json::numbers(named(&args.records, &pool.records()), found);
        made.map_err(|e| CliError::Failed(e.to_string()))?
    } else {
        table::numbers(&found, set)
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
        format!("no point of set {set} is in the record: it has no point whose set is known")
    } else {
        format!("no point of set {set} is in the record; there are points of set {}", sets.join(", "))
    }))
}
