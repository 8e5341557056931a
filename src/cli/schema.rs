//! `changeover schema`: the JSON Schema of the program's own files, made from the types that read and write them.

use std::io::Write;
use std::process::ExitCode;

use clap::ValueEnum;
use schemars::{Schema, schema_for};

use super::answer::Answer;
use super::{import, positions};
use crate::export::{Extent, json, score};
use crate::lesson::Lesson;
use crate::record::Record;

const EXAMPLES: &str = "\
Examples:
  changeover schema record > record.schema.json

Exit codes: 0 printed, 1 the answer could not be written, 2 the command line was not understood.";

/// The arguments of `schema`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// Whose schema.
    #[arg(value_enum, default_value_t = Kind::Record)]
    kind: Kind,
}

/// The kinds of file that have a schema.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Kind {
    /// NAME.points.json, the record of a match.
    Record,
    /// NAME.lesson.json, a lesson.
    Lesson,
    /// The clip list that `clips --json` prints.
    Clips,
    /// The table that `summary --json` prints.
    Summary,
    /// The numbers that `numbers --json` prints.
    Numbers,
    /// A line that `positions --json` prints.
    Positions,
    /// The findings that `study --json` prints.
    Study,
    /// The findings that `study --json --all` prints, with their points.
    StudyPoints,
    /// A line that `score --json` prints.
    Score,
    /// A line that `import --json` prints.
    Import,
    /// NAME.truth.json, what happened in an invented match.
    #[cfg(feature = "video")]
    Truth,
    /// many-matches.truth.json, what is seen in points of invented matches.
    #[cfg(feature = "video")]
    TruthOfPoints,
}

impl Kind {
    fn schema(self) -> Schema {
        match self {
            Self::Record => schema_for!(Record),
            Self::Lesson => schema_for!(Lesson),
            Self::Clips => json::clips_schema(),
            Self::Summary => json::summary_schema(),
            Self::Positions => schema_for!(positions::Line),
            Self::Numbers => json::numbers_schema(),
            Self::Study => json::study_schema(Extent::Short),
            Self::StudyPoints => json::study_schema(Extent::Full),
            Self::Score => score::schema(),
            Self::Import => schema_for!(import::Imported),
            #[cfg(feature = "video")]
            Self::Truth => schema_for!(crate::demo::truth::Truth),
            #[cfg(feature = "video")]
            Self::TruthOfPoints => schema_for!(crate::demo::PointsTruth),
        }
    }
}

/// Prints one schema.
///
/// # Errors
/// [`super::CliError::Output`] when it cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    serde_json::to_writer_pretty(&mut *out, &args.kind.schema()).map_err(std::io::Error::from)?;
    writeln!(out)?;
    Ok(ExitCode::SUCCESS)
}
