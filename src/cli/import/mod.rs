//! `changeover import`: records from points charted elsewhere.

mod args;
mod many;
mod replacing;
mod told;

use std::io::{Read, Write};
use std::process::ExitCode;

use super::answer::{Answer, CliError, FOUND};
use super::reading::shown;
use crate::exchange::outcome_words;
use crate::import::{Chart, Charts, parse};
use crate::record::{MatchInfo, to_bytes};
use crate::tennis::rules::Sides;
use told::{Look, Written, Wrong, tell, tell_looks};

pub use args::Args;
pub use told::Imported;

/// Reads the points and writes the records, all or none.
///
/// # Errors
/// [`CliError`] when the rules are none, or a file cannot be read or written. What is wrong with the points is
/// complained of and makes the exit code 1.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let about = args.about()?;
    let mut charts = parse(args.open()?)
        .pairs(about.rules.sides != Sides::Singles)
        .named(args.a.as_deref(), args.b.as_deref());
    let several =
        charts.names_matches() && (args.out.is_dir() || args.out.extension().is_none_or(|e| e != "json"));
    let mut wrong = Wrong { source: args.source(), told: Vec::new(), count: 0 };
    if several && args.outcome.is_some() {
        let what = "--outcome is for a single match; for several matches, use the column outcome";
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
                    "line {}, column match: this is a second match; for several matches, --out must be a folder",
                    chart.line
                )
            }),
        }
    }
    if wrong.count == 0 && args.out.is_dir() {
        let what = "is a folder; without a column match the points make one record, so name a file";
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
    replacing::put(&args.out, &text, args)?;
    let imported =
        Imported { name, record: args.out.to_string_lossy().into_owned(), points: record.points.len() };
    Ok((vec![imported], Look::at(0, &record).into_iter().collect()))
}
