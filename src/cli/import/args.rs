//! What `import` is asked.

use std::io::{self, Read};
use std::path::PathBuf;

use chrono::NaiveDate;
use clap::ValueEnum;

use crate::cli::answer::CliError;
use crate::cli::reading::{shown, unread};
use crate::cli::rules;
use crate::cli::values::day;
use crate::exchange::outcome;
use crate::record::{MatchInfo, Outcome, Player};
use crate::tennis::{End, Side};
use crate::textfile::{self, Bounded, Limit};

const EXAMPLES: &str = "\
Examples:
  changeover import final.csv --rules best-of-3 --out final.points.json --a Holt --b Okafor
  changeover import season.csv --rules club.toml --out season/
  zcat season.csv.gz | changeover import - --rules no-ad-short-sets --out season/

Between the cells stand commas, semicolons or tabs. The first row names the columns, in any order; only winner must be
there:
  match       which match it is of; the rows of one match stand together
  start, end  when: seconds, or H:MM:SS.mmm; without them, a record without footage
  server      a or b; in doubles also a1, a2, b1, b2; a served first unless this says otherwise
  serve       1 or 2: the serve that started the rally
  winner      a or b, or the name given with --a or --b; ? when not known; let when the point was played again
  finish      ace, double fault, winner, forced error, unforced error
  tags        with ; between them (\\; is a semicolon within one)
  note        anything
  outcome     how the match ended, if not by its score, in one row of it: a retired, b retired, a defaulted,
              b defaulted, unfinished

With a column match, --out names a folder, and each match becomes a record in it, named after the match; else it names
the record. Everything wrong is told by its line, and then nothing is written. What looks wrong with a match but can be
read (points after its end, times out of order) is imported and told. Of an import that is killed nothing stays: the next
one into the same folder takes back what it had put there.

Exit codes: 0 imported, 1 something is wrong with the points, or a file cannot be read or written, 2 the command line
was not understood.";

/// What `import` is asked.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The points: a CSV file, or - for standard input.
    #[arg(value_name = "POINTS.csv")]
    pub(super) points: PathBuf,
    /// The rules of the match: a name (see changeover rules) or a file.
    #[arg(long, value_name = "NAME-OR-FILE")]
    pub(super) rules: String,
    /// The record to write, or the folder for the records of several matches.
    #[arg(long, value_name = "RECORD")]
    pub(super) out: PathBuf,
    /// The name of player a.
    #[arg(long, value_name = "NAME")]
    pub(super) a: Option<String>,
    /// The name of player b.
    #[arg(long, value_name = "NAME")]
    pub(super) b: Option<String>,
    /// The day of the match, as 2026-05-31.
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(super) date: Option<NaiveDate>,
    /// Who served the first point, when the column server does not say so.
    #[arg(long, value_enum, value_name = "SIDE")]
    pub(super) first_server: Option<Who>,
    /// The end at which a started.
    #[arg(long, value_enum, value_name = "END", default_value_t = Where::Near)]
    pub(super) a_starts: Where,
    /// How the match ended, if not by its score: a retired, b retired, a defaulted, b defaulted, unfinished. For
    /// several matches there is the column outcome.
    #[arg(long, value_name = "WORDS", value_parser = outcome)]
    pub(super) outcome: Option<Outcome>,
    /// Replace records that are there already, and keep them under another name. A record that is open in a window, or
    /// holds what a table cannot (shots, footage, score marks), is not replaced, nor is anything else of yours.
    #[arg(long)]
    pub(super) force: bool,
    /// Say in JSON what was written: one object a line for each record.
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Who {
    A,
    B,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Where {
    Near,
    Far,
}

impl Args {
    pub(super) fn about(&self) -> Result<MatchInfo, CliError> {
        let player = |name: &Option<String>, usual: Player| name.as_deref().map_or(usual, Player::named);
        let usual = MatchInfo::default();
        Ok(MatchInfo {
            rules: rules::named(&self.rules)?,
            a: player(&self.a, usual.a),
            b: player(&self.b, usual.b),
            date: self.date,
            outcome: self.outcome,
            a_starts: match self.a_starts {
                Where::Near => End::Near,
                Where::Far => End::Far,
            },
            ..MatchInfo::default()
        })
    }

    pub(super) fn first_server(&self) -> Option<Side> {
        self.first_server.map(|who| match who {
            Who::A => Side::A,
            Who::B => Side::B,
        })
    }

    /// What the points are called in messages.
    pub(super) fn source(&self) -> String {
        if self.is_stdin() { "standard input".into() } else { shown(&self.points) }
    }

    pub(super) fn is_stdin(&self) -> bool {
        self.points.as_os_str() == "-"
    }

    pub(super) fn open(&self) -> Result<Box<dyn Read>, CliError> {
        if self.is_stdin() {
            return Ok(Box::new(Bounded::new(io::stdin().lock(), Limit::TABLE)));
        }
        let file = textfile::open(&self.points).map_err(|e| unread(&self.points, &e))?;
        Ok(Box::new(Bounded::new(file, Limit::TABLE)))
    }
}
