//! `changeover study`: the questions of the Study page, over many records.

use std::cmp::Ordering;
use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::ValueEnum;

use super::answer::{Answer, CliError};
use super::archive::nothing_logged;
use super::reading::{settings, shown};
use super::summary::{Asked, files, named as records_of, read};
use super::values::whole;
use crate::export::{AnswerFormat, Extent};
use crate::facts::Call;
use crate::near::{Allowed, one_of};
use crate::pattern::{CALLS, PatternFile};
use crate::record::{Record, printable};
use crate::summary::study::{Facets, Findings, Pool, Question, Role, ask, named, questions, starter};
use crate::tennis::CourtSide;

const EXAMPLES: &str = "\
Examples:
  changeover study final.points.json
  changeover study --for Holt --question \"Am I predictable on serve?\" *.points.json
  changeover study --for Holt --on return --score behind *.points.json
  changeover study --for Holt --set 2 --score behind --important *.points.json
  changeover study --questions sample-tags/own-questions.toml --list

The first line is the answer. A question takes at most 40 lines; --all shows everything. Each row is compared with the \
other points of its table: ● is its rate, ─ the 95 % interval, ┊ the rate of the other points. A difference is reported \
only if its interval does not contain 0 and chance does not explain it, given how many rows are compared. Rows are ranked \
only if their ranges do not overlap. Points on serve and points on return are compared separately, then combined. A \
difference that disappears or turns round within each kind of serve, or within each match, is reported as explained by it. \
\"careful\" (--all) is the rate pulled toward the rate of the row and its others together, by the weight of 20 points. Points that lack \
the data are counted beside the table and are in no rate. So are points without the shot asked about: an ace has no return.

A row that is won or lost by definition, such as double faults, or in part by definition, such as the pattern Short rally, is never a finding. If fewer than ten points are nearly \
all won or all lost, the answer says so and names the points to watch.

Exit codes: 0 answered, 1 a file cannot be read, 2 the command line was not understood.";

/// The arguments of `study`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The records to ask.
    #[arg(required_unless_present = "list", value_name = "RECORD")]
    records: Vec<PathBuf>,
    #[command(flatten)]
    asked: Asked,
    /// Only this question; may be given again.
    #[arg(long = "question", value_name = "NAME")]
    only: Vec<String>,
    /// A file of your own questions, in place of the built-in ones.
    #[arg(long, value_name = "FILE")]
    questions: Option<PathBuf>,
    #[command(flatten)]
    facets: Wanted,
    /// Answer in JSON: every count is a number; with --all, the list of its points.
    #[arg(long)]
    json: bool,
    /// Show the whole answer: every row, the groups, and where the shots landed.
    #[arg(long)]
    all: bool,
    /// Only list the questions and what they show.
    #[arg(long)]
    list: bool,
}

/// Which points are looked at.
#[derive(Debug, clap::Args)]
struct Wanted {
    /// Only points of this set, from 1.
    #[arg(long, value_name = "NUMBER", value_parser = whole::<u8>(1..=5), allow_negative_numbers = true)]
    set: Option<u8>,
    /// Only points served from this court.
    #[arg(long, value_enum, value_name = "COURT")]
    side: Option<Court>,
    /// Only points on this serve.
    #[arg(long, value_name = "1|2", value_parser = whole::<u8>(1..=2), allow_negative_numbers = true)]
    serve: Option<u8>,
    /// Only points at this score. Either ahead, level or behind in the game, for the player given with --for, else for the
    /// server; or the score as called, server first: 30-40, deuce, "advantage server".
    #[arg(long, value_name = "SCORE", value_parser = score)]
    score: Option<Score>,
    /// Only points that the player given with --for serves, or returns.
    #[arg(long, value_enum, value_name = "ROLE", requires = "player")]
    on: Option<On>,
    /// Only the big points: the quarter of the points that change the chance to win the match most.
    #[arg(long)]
    important: bool,
}

/// The courts.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Court {
    /// The right-hand court.
    Deuce,
    /// The left-hand court.
    Ad,
}

/// What the player asked about does first.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum On {
    /// Serve.
    Serve,
    /// Return.
    Return,
}

/// A score to look at.
#[derive(Debug, Clone, Copy)]
enum Score {
    Standing(Ordering),
    Called(Call),
}

const STANDINGS: [(&str, Ordering); 3] =
    [("ahead", Ordering::Greater), ("level", Ordering::Equal), ("behind", Ordering::Less)];

fn score(text: &str) -> Result<Score, Allowed> {
    let standings = STANDINGS.map(|(word, s)| (word, Score::Standing(s)));
    let called = CALLS.map(|(word, c)| (word, Score::Called(c)));
    one_of(text, &[&standings[..], &called[..]].concat())
}

/// Prints what the questions find.
///
/// # Errors
/// [`CliError`] when a record, the pattern file or the question file cannot be read, or the answer cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let all = asked(args)?;
    if args.list {
        for q in &all {
            writeln!(out, "{}", printable(&q.name, 200))?;
            if !q.about.is_empty() {
                writeln!(out, "    {}", printable(&q.about, 400))?;
            }
        }
        return Ok(ExitCode::SUCCESS);
    }
    let chosen: Vec<&Question> = if args.only.is_empty() {
        all.iter().collect()
    } else {
        args.only.iter().map(|n| named(&all, n).map_err(|e| failed(&e))).collect::<Result<_, _>>()?
    };
    let pool = Pool::new(read(&args.records)?);
    let facets = facets(args, &pool.records())?;
    if let Some(said) = nothing_logged(pool.records()).filter(|_| !args.json) {
        writeln!(out, "{said}")?;
        return Ok(ExitCode::SUCCESS);
    }
    let found: Vec<Findings> = chosen.iter().map(|q| ask(&pool, q, &facets)).collect();
    let format = if args.json { AnswerFormat::Json } else { AnswerFormat::Text };
    let extent = if args.all { Extent::Full } else { Extent::Short };
    format.write(records_of(&files(&args.records, &pool), &pool.records()), found, extent, out)?;
    Ok(ExitCode::SUCCESS)
}

fn failed(e: &dyn std::fmt::Display) -> CliError {
    CliError::Failed(e.to_string())
}

/// The questions of the file given, or those built in.
fn asked(args: &Args) -> Result<Vec<Question>, CliError> {
    let patterns: PatternFile = args.asked.file()?;
    let Some(path) = &args.questions else { return Ok(starter(&patterns.patterns)) };
    let all = questions(&settings(path)?, &shown(path), &patterns).map_err(|e| failed(&e))?;
    if all.is_empty() {
        Err(failed(&format!("{}: no [[question]] in the file", shown(path))))
    } else {
        Ok(all)
    }
}

fn facets(args: &Args, records: &[&Record]) -> Result<Facets, CliError> {
    let f = &args.facets;
    let (standing, score) = match f.score {
        Some(Score::Standing(s)) => (Some(s), None),
        Some(Score::Called(c)) => (None, Some(c)),
        None => (None, None),
    };
    Ok(Facets {
        whose: args.asked.whose(records)?,
        record: None,
        set: f.set.map(usize::from),
        court: f.side.map(|c| match c {
            Court::Deuce => CourtSide::Deuce,
            Court::Ad => CourtSide::Ad,
        }),
        serve: f.serve,
        standing,
        score,
        important: f.important.then_some(true),
        role: f.on.map(|on| match on {
            On::Serve => Role::Serving,
            On::Return => Role::Returning,
        }),
    })
}
