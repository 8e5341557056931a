//! JSON, and the JSON Schema of it.

use std::io::{self, Write};

use schemars::{JsonSchema, Schema, schema_for};
use serde::Serialize;

use super::error::ExportError;
use super::sheet::{Of, Sheet};
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
pub struct StudyFile {
    /// Always `changeover-study`.
    pub format: String,
    /// Version of the form, now 1.
    pub version: u32,
    /// The records, in the order that the points refer to.
    pub records: Vec<Of>,
    /// What each question found.
    pub questions: Vec<Findings>,
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

/// Findings as JSON, written as they are made and in one line: the clip lists of many matches are long.
///
/// # Errors
/// What the writer says.
pub fn study(records: Vec<Of>, questions: Vec<Findings>, out: &mut dyn Write) -> io::Result<()> {
    let file = StudyFile { format: "changeover-study".into(), version: 1, records, questions };
    serde_json::to_writer(&mut *out, &file)?;
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
pub fn study_schema() -> Schema {
    schema_for!(StudyFile)
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
