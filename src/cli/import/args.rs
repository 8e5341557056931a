//! The arguments of `import`.

use std::io::{self, Read};
use std::path::PathBuf;

use chrono::NaiveDate;
use clap::ValueEnum;
use clap_complete::ArgValueCompleter;

use crate::cli::answer::CliError;
use crate::cli::reading::{shown, unread};
use crate::cli::values::{day, written};
use crate::cli::{completed, rules};
use crate::exchange::outcome;
use crate::record::{MatchInfo, Outcome, Player};
use crate::tennis::{End, Side};
use crate::textfile::{self, Bounded, Limit};

const EXAMPLES: &str = "\
Examples:
  changeover import final.csv --rules best-of-3 --out final.points.json --a Holt --b Okafor
  changeover import season.csv --rules club.toml --out season/
  zcat season.csv.gz | changeover import - --rules no-ad-short-sets --out season/

Cells are separated by commas, semicolons or tabs. The first row names the columns, in any order. Only winner is \
required:
  match       the name of the match; keep the rows of one match together
  start, end  times: seconds, or H:MM:SS.mmm; without them, the record has no footage
  server      a or b; in doubles also a1, a2, b1, b2; if empty, by the rules, and a serves first
  serve       1 or 2: the serve that started the rally
  winner      a or b, or the name given with --a or --b; ? if not known; let if replayed
  finish      ace, double fault, winner, forced error, unforced error
  tags        separated by ; (\\; is a semicolon within a tag)
  note        any text
  outcome     how the match ended, if not by its score; in one of its rows:
              a retired, b retired, a defaulted, b defaulted, unfinished
  miss        where the last shot went: net, long, wide, long and wide
  unreturned  yes if the serve in play was not returned
  lets        how many serves were lets
  penalty     a or b: who a point penalty was given against
  time violation  a or b: who it was given against
  faults      the serves that were faults
  shots       the shots: \"left-third / backhand down-left / forehand aim:up-right\"
  logged      every if shots holds every shot, opening if there may be more

With a column match, --out is a folder, and each match becomes a record in it, named after the match. Without it, --out is \
the record. Every error is reported with its line, and then nothing is written. A match that can be read but looks wrong \
(points after its end, times out of order) is imported, with a warning. If an import is killed, the next import into the \
same folder undoes it first.

Exit codes: 0 imported, 1 something is wrong with the points, or a file cannot be read or written, 2 the command line \
was not understood.";

/// The arguments of `import`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The points: a CSV file, or - for standard input.
    #[arg(value_name = "POINTS.csv")]
    pub(super) points: PathBuf,
    /// The rules of the match: a name (see changeover rules) or a file.
    #[arg(long, value_name = "NAME-OR-FILE", add = ArgValueCompleter::new(completed::rules))]
    pub(super) rules: String,
    /// The record to write, or the folder for the records of several matches.
    #[arg(long, value_name = "RECORD", value_parser = written())]
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
    /// Who served the first point, if the column server does not say it.
    #[arg(long, value_enum, value_name = "SIDE")]
    pub(super) first_server: Option<Who>,
    /// The end where player a started.
    #[arg(long, value_enum, value_name = "END", default_value_t = Where::Near)]
    pub(super) a_starts: Where,
    /// How the match ended, if not by its score: a retired, b retired, a defaulted, b defaulted, unfinished. For
    /// several matches, use the column outcome.
    #[arg(long, value_name = "WORDS", value_parser = outcome)]
    pub(super) outcome: Option<Outcome>,
    /// Replace existing records and keep the old ones under another name. A record that is open in a window, or that holds
    /// shots, footage or score marks, is never replaced. Nor is any other file of yours.
    #[arg(long)]
    pub(super) force: bool,
    /// Report in JSON what was written: one object per line, one for each record.
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
