//! `changeover summary`: how often each pattern happened and what it won.

use std::collections::HashMap;
use std::collections::hash_map::Entry;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap_complete::ArgValueCompleter;

use super::answer::{Answer, CliError, complain};
use super::archive::nothing_logged;
use super::completed;
use super::reading::{settings, shown};
use crate::export::{Of, json, table};
use crate::near::{Hint, nearest};
use crate::pattern::{Pattern, PatternFile, parse};
use crate::record::{Record, load_whole, printable};
use crate::summary::study::Pool;
use crate::summary::{Whose, summarise};
use crate::tennis::Side;

const EXAMPLES: &str = "\
Examples:
  changeover summary final.points.json
  changeover summary --for Holt --patterns ours.toml *.points.json
  changeover summary --json final.points.json

A rate is the points won, divided by the points won or lost. Points that lack the data are in no rate. \"Other points\" are \
those that do not show the pattern. Without --patterns, the starter patterns are used; --list shows them.

Exit codes: 0 answered, 1 a file cannot be read, 2 the command line was not understood.";

/// The arguments of `summary`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The records to ask.
    #[arg(required_unless_present = "list", value_name = "RECORD")]
    records: Vec<PathBuf>,
    #[command(flatten)]
    asked: Asked,
    /// Only this pattern; may be given again.
    #[arg(long = "pattern", value_name = "NAME", add = ArgValueCompleter::new(completed::patterns))]
    only: Vec<String>,
    /// Answer in JSON: every count is the list of its points.
    #[arg(long)]
    json: bool,
    /// Only list the patterns and what they mean.
    #[arg(long)]
    list: bool,
}

/// Which patterns are asked, and about whom: shared with `clips`.
#[derive(Debug, clap::Args)]
pub(super) struct Asked {
    /// A pattern file; without it, the starter patterns.
    #[arg(long, value_name = "FILE")]
    patterns: Option<PathBuf>,
    /// Only points in which this player is the one that the pattern is about: a, b or a name.
    #[arg(long = "for", value_name = "PLAYER")]
    player: Option<String>,
}

impl Asked {
    /// A pattern file, about everybody.
    pub(super) const fn of(patterns: Option<PathBuf>) -> Self {
        Self { patterns, player: None }
    }

    /// The patterns of the file given, or the starter patterns.
    pub(super) fn file(&self) -> Result<PatternFile, CliError> {
        let failed = |e: &dyn std::fmt::Display| CliError::Failed(e.to_string());
        let Some(path) = &self.patterns else { return PatternFile::starter().map_err(|e| failed(&e)) };
        parse(&settings(path)?, &shown(path)).map_err(|e| failed(&e))
    }

    /// The pattern file, if one was given.
    pub(super) fn patterns(&self) -> Option<&Path> {
        self.patterns.as_deref()
    }

    /// Whose points are asked about.
    pub(super) fn whose(&self, records: &[&Record]) -> Result<Whose, CliError> {
        whose_of(self.player.as_deref(), records)
    }
}

/// Whom a name, `a` or `b` means in these records; both when nobody is named.
pub(super) fn whose_of(player: Option<&str>, records: &[&Record]) -> Result<Whose, CliError> {
    let Some(player) = player else { return Ok(Whose::Both) };
    let whose = Whose::Named(player.into());
    if records.iter().flat_map(|r| r.matches()).any(|about| whose.plays(&about)) {
        return Ok(whose);
    }
    match player.trim().to_lowercase().as_str() {
        "a" => Ok(Whose::Side(Side::A)),
        "b" => Ok(Whose::Side(Side::B)),
        _ => Err(nobody(player, records)),
    }
}

fn nobody(player: &str, records: &[&Record]) -> CliError {
    let all: Vec<_> = records.iter().flat_map(|r| r.matches()).collect();
    let names: Vec<&str> =
        all.iter().flat_map(|about| [Side::A, Side::B].map(|s| about.player(s).name.as_str())).collect();
    let mut allowed: Vec<String> = names.iter().map(|n| format!("\"{}\"", printable(n, 60))).collect();
    allowed.sort_unstable();
    allowed.dedup();
    let hint = Hint(nearest(player, names).map(|n| printable(n, 60).into()));
    CliError::Failed(format!(
        "no player is called \"{}\" in these records; allowed: a, b, {}{hint}",
        printable(player, 60),
        allowed.join(", ")
    ))
}

/// Reads the records; what the reader has to say goes to standard error.
pub(super) fn read(paths: &[PathBuf]) -> Result<Vec<Record>, CliError> {
    let mut records = Vec::with_capacity(paths.len());
    for path in paths {
        if path.is_dir() {
            let folder = shown(path);
            let folder = folder.trim_end_matches(['/', '\\']);
            return Err(CliError::Failed(format!(
                "{folder} is a folder; name the records in it: {folder}/*.points.json"
            )));
        }
        let (record, notices) = load_whole(path)?;
        for notice in notices {
            complain(&format!("{}: {notice}", shown(path)));
        }
        records.push(record);
    }
    tell_copies(paths, &records, "are counted twice");
    Ok(records)
}

/// Says which of these records hold the same match; its points come in twice.
pub(super) fn tell_copies(paths: &[PathBuf], records: &[Record], twice: &str) {
    for (first, again) in copies(records) {
        let both = format!("{} and {} hold the same match", shown(&paths[first]), shown(&paths[again]));
        complain(&format!("{both}: its points {twice}; leave one of them out"));
    }
}

/// So many points that begin at the same times and are alike are of one match.
const ALIKE: usize = 5;

/// The records that hold the match of one before them: the same players, and the same first points, with times. Of a copy, points may
/// have been logged or left out since.
fn copies(records: &[Record]) -> Vec<(usize, usize)> {
    let mut seen: HashMap<String, usize> = HashMap::new();
    let key = |r: &Record| {
        let first: Vec<_> = r.points.iter().take(ALIKE).collect();
        let timed = first.len() == ALIKE && first.iter().all(|p| p.start.is_some());
        let of = (r.about.side_name(Side::A), r.about.side_name(Side::B), first);
        timed.then(|| serde_json::to_string(&of).ok()).flatten()
    };
    let keys = records.iter().enumerate().filter_map(|(n, r)| Some((n, key(r)?)));
    keys.filter_map(|(n, key)| match seen.entry(key) {
        Entry::Occupied(first) => Some((*first.get(), n)),
        Entry::Vacant(new) => {
            new.insert(n);
            None
        }
    })
    .collect()
}

/// The file of each match of a pool made of these records.
pub(super) fn files(paths: &[PathBuf], pool: &Pool) -> Vec<PathBuf> {
    pool.matches().iter().filter_map(|m| paths.get(m.file).cloned()).collect()
}

/// What an answer says of each record.
pub(super) fn named(paths: &[PathBuf], records: &[&Record]) -> Vec<Of> {
    let name = |p: &Path| p.to_string_lossy().into_owned();
    paths.iter().zip(records).map(|(p, r)| Of::record(&name(p), r)).collect()
}

/// Prints the summary.
///
/// # Errors
/// [`CliError`] when a record or the pattern file cannot be read, or the answer cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let file = args.asked.file()?;
    if args.list {
        return list(&file, out);
    }
    let loaded = read(&args.records)?;
    let records: Vec<&Record> = loaded.iter().collect();
    let patterns = chosen(&file, &args.only)?;
    let whose = args.asked.whose(&records)?;
    let table = summarise(&records, &patterns, &whose);
    let text = if args.json {
        let made = json::summary(named(&args.records, &records), table);
        made.map_err(|e| CliError::Failed(e.to_string()))?
    } else {
        nothing_logged(records).map_or_else(|| table::summary(&table), |said| format!("{said}\n"))
    };
    out.write_all(text.as_bytes())?;
    Ok(ExitCode::SUCCESS)
}

fn chosen(file: &PatternFile, only: &[String]) -> Result<Vec<Pattern>, CliError> {
    if only.is_empty() {
        return Ok(file.patterns.clone());
    }
    let named = |n: &String| file.named(n).cloned().map_err(|e| CliError::Failed(e.to_string()));
    only.iter().map(named).collect()
}

fn list(file: &PatternFile, out: &mut dyn Write) -> Answer {
    for p in &file.patterns {
        let about = if p.about.is_empty() { String::new() } else { format!(": {}", p.about) };
        writeln!(out, "{}{}", printable(&p.name, 200), printable(&about, 400))?;
    }
    Ok(ExitCode::SUCCESS)
}
