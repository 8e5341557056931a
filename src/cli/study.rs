//! `changeover study`: the questions of the Study page, over many records.

use std::cmp::Ordering;
use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::ValueEnum;

use super::answer::{Answer, CliError};
use super::reading::{settings, shown};
use super::summary::{Asked, named as records_of, read};
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

The first line answers; at most 40 lines a question unless --all. Each row is compared with the other points of its table: ● its rate, ─ the 95 % interval, ┊ the others. A \
difference is said only where its interval leaves out 0 and the number of questions does not explain it; rows \
are ranked only where intervals do not overlap. Points on serve and on return are compared apart, and put together \
after; where a difference of all points is gone, or the other way round, with each kind of serve or in each match, it is \
none of its own, and that is said. \"shrunk\" pulls the rate of few points toward that of all, \
as if 20 points had been seen before. Points that lack the data are counted beside the table, and in no rate; so are \
points without such a shot, as an ace has no return.

What is won or lost by definition, as a double fault, is never a finding. Fewer than ten points that are lopsided are said \
to be so, with the points to watch.

Exit codes: 0 answered, 1 a file cannot be read, 2 the command line was not understood.";

/// What `study` is asked.
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
    /// A file of your own questions, asked in place of those built in.
    #[arg(long, value_name = "FILE")]
    questions: Option<PathBuf>,
    #[command(flatten)]
    facets: Wanted,
    /// Answer in JSON: every count as a number, with --all as the list of its points.
    #[arg(long)]
    json: bool,
    /// All of the answer: every row, the groups, where the shots landed; without it, at most 40 lines a question.
    #[arg(long)]
    all: bool,
    /// Only list the questions, with what they show.
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
    /// Only points at this score: ahead, level or behind, as the player asked about stands (of both players, the server); or as
    /// called, server first: 30-40, deuce, "advantage server".
    #[arg(long, value_name = "SCORE", value_parser = score)]
    score: Option<Score>,
    /// Only points that the player asked about serves, or returns.
    #[arg(long, value_enum, value_name = "ROLE", requires = "player")]
    on: Option<On>,
    /// Only the quarter of a match's points that mean most to it.
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
    let found: Vec<Findings> = chosen.iter().map(|q| ask(&pool, q, &facets)).collect();
    let format = if args.json { AnswerFormat::Json } else { AnswerFormat::Text };
    let extent = if args.all { Extent::Full } else { Extent::Short };
    format.write(records_of(&args.records, &pool.records()), found, extent, out)?;
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
