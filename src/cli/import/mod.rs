//! `changeover import`: records from points charted elsewhere.

mod many;

use std::fs::File;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use chrono::NaiveDate;
use clap::ValueEnum;
use schemars::JsonSchema;
use serde::Serialize;

use super::{Answer, CliError, FOUND, complain, rules};
use crate::export::write_file;
use crate::import::{Chart, Charts, outcome, outcome_words, parse};
use crate::record::check::check;
use crate::record::{MatchInfo, Outcome, Player, Record, hold, printable, to_bytes};
use crate::tennis::rules::Sides;
use crate::tennis::{End, Side};

const EXAMPLES: &str = "\
Examples:
  changeover import final.csv --rules best-of-3 --out final.points.json --a Holt --b Okafor
  changeover import season.csv --rules club.toml --out season/
  zcat season.csv.gz | changeover import - --rules no-ad-short-sets --out season/

The first row names the columns, in any order; only winner must be there:
  match       which match it is of; the rows of one match stand together
  start, end  when: seconds, or H:MM:SS.mmm; without them, a record without footage
  server      a or b; in doubles also a1, a2, b1, b2; a served first unless this says otherwise
  serve       1 or 2: the serve that started the rally
  winner      a or b; ? when not known; let when the point was played again
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

/// Bad cells that are told one by one.
const MOST_TOLD: usize = 100;
/// Records with something to look at that are told one by one.
const MOST_LOOKS: usize = 20;

/// What `import` is asked.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The points: a CSV file, or - for standard input.
    #[arg(value_name = "POINTS.csv")]
    points: PathBuf,
    /// The rules of the match: a name (see changeover rules) or a file.
    #[arg(long, value_name = "NAME-OR-FILE")]
    rules: String,
    /// The record to write, or the folder for the records of several matches.
    #[arg(long, value_name = "RECORD")]
    out: PathBuf,
    /// The name of player a.
    #[arg(long, value_name = "NAME")]
    a: Option<String>,
    /// The name of player b.
    #[arg(long, value_name = "NAME")]
    b: Option<String>,
    /// The day of the match, as 2026-05-31.
    #[arg(long, value_name = "DATE")]
    date: Option<NaiveDate>,
    /// Who served the first point, when the column server does not say so.
    #[arg(long, value_enum, value_name = "SIDE")]
    first_server: Option<Who>,
    /// The end at which a started.
    #[arg(long, value_enum, value_name = "END", default_value_t = Where::Near)]
    a_starts: Where,
    /// How the match ended, if not by its score: a retired, b retired, a defaulted, b defaulted, unfinished. For
    /// several matches there is the column outcome.
    #[arg(long, value_name = "WORDS", value_parser = outcome)]
    outcome: Option<Outcome>,
    /// Replace records that are there already; not those that are open in a window.
    #[arg(long)]
    force: bool,
    /// Say in JSON what was written: one object a line for each record.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Who {
    A,
    B,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Where {
    Near,
    Far,
}

impl Args {
    fn about(&self) -> Result<MatchInfo, CliError> {
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

    fn first_server(&self) -> Option<Side> {
        self.first_server.map(|who| match who {
            Who::A => Side::A,
            Who::B => Side::B,
        })
    }

    /// What the points are called in messages.
    fn source(&self) -> String {
        if self.is_stdin() { "standard input".into() } else { shown(&self.points) }
    }

    fn is_stdin(&self) -> bool {
        self.points.as_os_str() == "-"
    }

    fn open(&self) -> Result<Box<dyn Read>, CliError> {
        if self.is_stdin() {
            return Ok(Box::new(io::stdin().lock()));
        }
        let file = File::open(&self.points);
        Ok(Box::new(file.map_err(|e| CliError::Failed(format!("{}: cannot open it: {e}", self.source())))?))
    }
}

/// A record that was written, as `import --json` tells it: one object a line.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Imported {
    /// The match, as the column `match` names it.
    #[serde(rename = "match")]
    pub name: Option<String>,
    /// The file of its record.
    pub record: String,
    /// Its points.
    pub points: usize,
}

/// All that is wrong, told in the end; more than can be read is only counted.
struct Wrong {
    source: String,
    told: Vec<String>,
    count: usize,
}

impl Wrong {
    fn add(&mut self, what: impl FnOnce() -> String) {
        self.count += 1;
        if self.told.len() < MOST_TOLD {
            self.told.push(what());
        }
    }

    fn tell(&self) {
        for what in &self.told {
            complain(&format!("{}: {what}", self.source));
        }
        let more = match self.count - self.told.len() {
            0 => String::new(),
            n => format!("and {n} more like these; "),
        };
        complain(&format!("{}: {more}nothing is imported", self.source));
    }
}

/// Reads the points and writes the records, all or none.
///
/// # Errors
/// [`CliError`] when the rules are none, or a file cannot be read or written. What is wrong with the points is
/// complained of and makes the exit code 1.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let about = args.about()?;
    let mut charts = parse(args.open()?).pairs(about.rules.sides != Sides::Singles);
    let several =
        charts.names_matches() && (args.out.is_dir() || args.out.extension().is_none_or(|e| e != "json"));
    let mut wrong = Wrong { source: args.source(), told: Vec::new(), count: 0 };
    if several && args.outcome.is_some() {
        let what = "--outcome is of one match; for several, each says it in the column outcome";
        return Err(CliError::Failed(what.into()));
    }
    let (written, looks) = if several {
        many::many(args, &about, charts, &mut wrong)?
    } else {
        one(args, about, charts, &mut wrong)?
    };
    if wrong.count > 0 {
        wrong.tell();
        return Ok(ExitCode::from(FOUND));
    }
    out.flush()?;
    tell_looks(&looks, &written);
    tell(args, &written, out)?;
    Ok(ExitCode::SUCCESS)
}

fn tell(args: &Args, written: &[Imported], out: &mut dyn Write) -> io::Result<()> {
    if args.json {
        for record in written {
            serde_json::to_writer(&mut *out, record)?;
            writeln!(out)?;
        }
        return Ok(());
    }
    let count = |n: usize, what: &str| if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") };
    let points = count(written.iter().map(|w| w.points).sum(), "point");
    match written {
        [one] => writeln!(out, "{}: {points}", printable(&one.record, 400)),
        all => writeln!(out, "{}: {}, {points}", shown(&args.out), count(all.len(), "record")),
    }
}

/// What looks wrong with a record, for which it is nevertheless one.
struct Look {
    /// Its place among those written.
    at: usize,
    first: String,
    more: usize,
}

impl Look {
    fn at(at: usize, record: &Record) -> Option<Self> {
        let mut found = check(record).into_iter();
        let first = found.next()?.to_string();
        Some(Self { at, first, more: found.count() })
    }
}

fn tell_looks(looks: &[Look], written: &[Imported]) {
    for look in looks.iter().take(MOST_LOOKS) {
        let record = written.get(look.at).map_or("", |w| &w.record);
        let more = if look.more == 0 {
            String::new()
        } else {
            format!("; and {} more (changeover check)", look.more)
        };
        complain(&format!("{}: imported, but: {}{more}", printable(record, 400), look.first));
    }
    let more = looks.len().saturating_sub(MOST_LOOKS);
    if more > 0 {
        complain(&format!("and {more} more records with something to look at; see changeover check"));
    }
}

type Written = (Vec<Imported>, Vec<Look>);

/// One record, in the file named.
fn one(
    args: &Args,
    about: MatchInfo,
    charts: Charts<Box<dyn Read>>,
    wrong: &mut Wrong,
) -> Result<Written, CliError> {
    let mut found: Option<Chart> = None;
    for item in charts {
        match item {
            Err(e) => wrong.add(|| e.to_string()),
            Ok(chart) if found.is_none() => found = Some(chart),
            Ok(chart) => wrong.add(|| {
                format!(
                    "line {}, column match: a second match; for several, --out names a folder",
                    chart.line
                )
            }),
        }
    }
    if wrong.count == 0 && args.out.is_dir() {
        let what = "is a folder; without a column match the points make one record: name its file";
        return Err(CliError::Failed(format!("{} {what}", shown(&args.out))));
    }
    if let Some((told, noted)) =
        args.outcome.zip(found.as_ref().and_then(|c| c.outcome)).filter(|(a, b)| a != b)
    {
        let [told, noted] = [told, noted].map(outcome_words);
        wrong.add(|| format!("column outcome: it says \"{noted}\", but --outcome says \"{told}\""));
    }
    let Some(chart) = found.filter(|_| wrong.count == 0) else { return Ok((Vec::new(), Vec::new())) };
    let name = chart.name.clone();
    let record = chart.record(about, args.first_server());
    let text =
        String::from_utf8(to_bytes(&args.out, &record)?).map_err(|e| CliError::Failed(e.to_string()))?;
    // Nobody may write it while it is replaced.
    let _held = if args.force && args.out.exists() { hold(&args.out)? } else { None };
    write_file(&args.out, &text, args.force).map_err(|e| CliError::Failed(e.to_string()))?;
    let imported =
        Imported { name, record: args.out.to_string_lossy().into_owned(), points: record.points.len() };
    Ok((vec![imported], Look::at(0, &record).into_iter().collect()))
}

fn shown(path: &Path) -> String {
    printable(&path.to_string_lossy(), 400)
}
