//! JSON, and the JSON Schema of it.

use std::io::{self, Write};

use schemars::{JsonSchema, Schema, schema_for};
use serde::Serialize;

use super::error::ExportError;
use super::extent::Extent;
use super::sheet::{Of, Sheet};
use crate::facts::PointRef;
use crate::summary::Table;
use crate::summary::numbers::Numbers;
use crate::summary::study::Findings;

/// A summary as it is written.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SummaryFile {
    /// Always `changeover-summary`.
    pub format: String,
    /// Version of the form, now 1.
    pub version: u32,
    /// The records, in the order that the points refer to.
    pub records: Vec<Of>,
    /// The table.
    #[serde(flatten)]
    pub table: Table,
}

/// The findings of several questions as they are written.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "StudyFile")]
pub struct StudyFile<P = Vec<PointRef>> {
    /// Always `changeover-study`.
    pub format: String,
    /// Version of the form: 1 with lists of points, 2 with their counts.
    pub version: u32,
    /// The records, in the order that the points refer to.
    pub records: Vec<Of>,
    /// What each question found.
    pub questions: Vec<Findings<P>>,
}

/// A match in numbers as it is written.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NumbersFile {
    /// Always `changeover-numbers`.
    pub format: String,
    /// Version of the form, now 1.
    pub version: u32,
    /// The records, in the order that the points refer to.
    pub records: Vec<Of>,
    /// The numbers.
    #[serde(flatten)]
    pub numbers: Numbers,
}

/// A clip list as JSON.
///
/// # Errors
/// [`ExportError::Make`] when it cannot be made.
pub fn clips(sheet: &Sheet) -> Result<String, ExportError> {
    text(sheet)
}

/// A summary as JSON.
///
/// # Errors
/// [`ExportError::Make`] when it cannot be made.
pub fn summary(records: Vec<Of>, table: Table) -> Result<String, ExportError> {
    text(&SummaryFile { format: "changeover-summary".into(), version: 1, records, table })
}

/// Findings as JSON, in one line: every count as a number, or, in full, as the list of its points, which is long for many
/// matches.
///
/// # Errors
/// What the writer says.
pub fn study(
    records: Vec<Of>,
    questions: Vec<Findings>,
    extent: Extent,
    out: &mut dyn Write,
) -> io::Result<()> {
    let format = "changeover-study".to_owned();
    match extent {
        Extent::Full => {
            let file = StudyFile { format, version: 1, records, questions };
            serde_json::to_writer(&mut *out, &file)?;
        }
        Extent::Short => {
            let questions = questions.iter().map(Findings::counted).collect();
            serde_json::to_writer(&mut *out, &StudyFile { format, version: 2, records, questions })?;
        }
    }
    writeln!(out)
}

/// A match in numbers as JSON.
///
/// # Errors
/// [`ExportError::Make`] when it cannot be made.
pub fn numbers(records: Vec<Of>, numbers: Numbers) -> Result<String, ExportError> {
    text(&NumbersFile { format: "changeover-numbers".into(), version: 1, records, numbers })
}

/// The JSON Schema of [`numbers`].
pub fn numbers_schema() -> Schema {
    schema_for!(NumbersFile)
}

/// The JSON Schema of [`study`].
pub fn study_schema(extent: Extent) -> Schema {
    match extent {
        Extent::Full => schema_for!(StudyFile<Vec<PointRef>>),
        Extent::Short => schema_for!(StudyFile<usize>),
    }
}

/// The JSON Schema of [`clips`].
pub fn clips_schema() -> Schema {
    schema_for!(Sheet)
}

/// The JSON Schema of [`summary`].
pub fn summary_schema() -> Schema {
    schema_for!(SummaryFile)
}

fn text(value: &impl Serialize) -> Result<String, ExportError> {
    serde_json::to_string_pretty(value)
        .map(|s| s + "\n")
        .map_err(|e| ExportError::Make { format: "JSON", why: e.to_string() })
}
