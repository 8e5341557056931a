//! `changeover check`: what looks wrong with records and lessons.

use std::io::Write;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::answer::Answer;
use super::check_lesson::found as lesson_found;
use super::lesson::is_lesson;
use super::reports::{self, each};
use crate::counted::{Counted, Noun};
use crate::record::check::{Finding, Place, Severity, check};
use crate::record::consent::{overdue, today};
use crate::record::footage::{Astray, OTHER, astray, others};
use crate::record::{Footage, Loaded, Record, load_closely, printable};

const EXAMPLES: &str = "\
Examples:
  changeover check final.points.json
  changeover check --json *.points.json
  changeover check drops.lesson.json

Nothing is changed.

Exit codes: 0 no file has an error or a warning (notes do not count), 1 at least one file has, or cannot be read, 2 the command line was not understood.";

/// The arguments of `check`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The records (NAME.points.json) and lessons (NAME.lesson.json) to look at.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Answer in JSON: a list with one entry for each file.
    #[arg(long)]
    json: bool,
}

/// The report on one file.
#[derive(Serialize)]
struct Report {
    file: String,
    points: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    parts: Option<usize>,
    error: Option<String>,
    notices: Vec<String>,
    findings: Vec<Finding>,
}

impl reports::Report for Report {
    fn of(path: &Path) -> Self {
        let file = path.to_string_lossy().into_owned();
        if is_lesson(path) {
            return Self::of_lesson(file, path);
        }
        match load_closely(path) {
            Ok(Loaded { record, read_only, notices }) => {
                let message = read_only.map(|why| format!("it can be read but not changed: {why}"));
                let locked = message.map(|message| of_the_match(message, Severity::Warning));
                let points = Some(record.points.len());
                let findings = locked.into_iter().chain(found(path, &record)).collect();
                Self { file, points, parts: None, error: None, notices, findings }
            }
            Err(e) => Self {
                file,
                points: None,
                parts: None,
                error: Some(e.to_string()),
                notices: Vec::new(),
                findings: Vec::new(),
            },
        }
    }

    fn error(&self) -> Option<&str> {
        self.error.as_deref()
    }

    fn is_fine(&self) -> bool {
        self.error.is_none() && self.findings.iter().all(|f| f.severity == Severity::Note)
    }

    fn print(&self, out: &mut dyn Write) -> std::io::Result<()> {
        let file = printable(&self.file, 400);
        for notice in &self.notices {
            writeln!(out, "{file}: note: {notice}")?;
        }
        for finding in &self.findings {
            writeln!(out, "{file}: {finding}")?;
        }
        if let (true, Some(n)) = (self.is_fine(), self.points) {
            writeln!(out, "{file}: {}, nothing wrong", Counted(n, Noun::Point))?;
        }
        if let (true, Some(n)) = (self.is_fine(), self.parts) {
            writeln!(out, "{file}: {}, nothing wrong", Counted(n, Noun::Part))?;
        }
        Ok(())
    }
}

impl Report {
    fn of_lesson(file: String, path: &Path) -> Self {
        let (parts, error, notices, findings) = match crate::lesson::load(path) {
            Ok((lesson, notices)) => (Some(lesson.parts.len()), None, notices, lesson_found(path, &lesson)),
            Err(e) => (None, Some(e.to_string()), Vec::new(), Vec::new()),
        };
        Self { file, points: None, parts, error, notices, findings }
    }
}

/// What is wrong with the record itself, then what today's date makes wrong with it.
fn found(path: &Path, record: &Record) -> Vec<Finding> {
    let late = overdue(record, today()).into_iter();
    let late = late.map(|message| of_the_match(message, Severity::Warning));
    let mut all: Vec<Finding> = check(record).into_iter().chain(late).collect();
    // With what else is said of the footage, before the points.
    let at = all.iter().position(|f| f.point().is_some()).unwrap_or(all.len());
    all.splice(at..at, astray_footage(path, record));
    all
}

/// Footage that is not where the record says. That a name leads out of the folder is found in the record itself.
fn astray_footage(path: &Path, record: &Record) -> Vec<Finding> {
    let told = |(n, file): (usize, &Footage)| {
        let why = astray(path, file).filter(|why| *why != Astray::Outside)?;
        let message = format!("\"{}\" {why}", printable(&file.file, 120));
        Some(Finding { place: Place::Footage(n), message, severity: Severity::Note })
    };
    let other = others(path, &record.footage).map(|(n, file)| Finding {
        place: Place::Footage(n),
        message: format!("\"{}\" {OTHER}", printable(&file.file, 120)),
        severity: Severity::Warning,
    });
    record.footage.iter().enumerate().filter_map(told).chain(other).collect()
}

fn of_the_match(message: String, severity: Severity) -> Finding {
    Finding { place: Place::Match, message, severity }
}

/// Looks at each file, whatever the ones before it were like.
///
/// # Errors
/// [`super::CliError::Output`] when the answer cannot be written. A file that cannot be read is complained of and
/// makes the exit code 1.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    each::<Report>(&args.files, args.json, out)
}
