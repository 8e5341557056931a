//! What can be wrong with a file of points.

use thiserror::Error;

use crate::exchange::NAMES;
use crate::record::MOST_POINTS;
use crate::system::reading;

/// What is wrong with a file of points, and where. Lines are counted from 1, as an editor does; a row that goes over
/// several lines is named by its first.
#[derive(Debug, Error)]
pub enum ImportError {
    /// The system does not give it.
    #[error("cannot read it: {}", reading(.0))]
    Read(#[from] std::io::Error),
    /// Nothing is in it.
    #[error("it is empty; its first row must name the columns; allowed: {NAMES}")]
    Empty,
    /// A header and no more.
    #[error("there are no points below its first row")]
    NoPoints,
    /// UTF-16, by its first two bytes.
    #[error("line 1: it is written in UTF-16; save it as CSV in UTF-8")]
    Utf16,
    /// Footage, a picture or the like: it holds a NUL, which no table does.
    #[error("it is not a table, but footage, a picture or the like; name a CSV file")]
    NotText,
    /// A workbook, by its first bytes.
    #[error(
        "it is a workbook (.xlsx, .ods or .xls), not a table; open it and save the sheet as CSV in UTF-8"
    )]
    Workbook,
    /// A column that is not one, is there twice, or is missing.
    #[error("line {line}: {what}")]
    Header {
        /// The line.
        line: u64,
        /// What is wrong.
        what: String,
    },
    /// A quote where RFC 4180 has none.
    #[error("line {line}: {what}")]
    Quote {
        /// The line.
        line: u64,
        /// What is wrong.
        what: &'static str,
    },
    /// A quote that is opened, but not closed before the end.
    #[error("line {line}: a quote is opened here and never closed")]
    Open {
        /// The line with the quote.
        line: u64,
    },
    /// A row that is too long to be one.
    #[error("line {line}: the row that begins here is longer than 1 MiB; is a quote in it never closed?")]
    Long {
        /// The line.
        line: u64,
    },
    /// More or fewer cells than columns.
    #[error("line {line}: {found} cell{s}, but the header has {wanted}", s = if *found == 1 { "" } else { "s" })]
    Width {
        /// The line.
        line: u64,
        /// Cells found.
        found: usize,
        /// Columns of the header.
        wanted: usize,
    },
    /// A cell with what its column does not take.
    #[error("line {line}, column {column}: {found}; {allowed}")]
    Cell {
        /// The line.
        line: u64,
        /// The column.
        column: &'static str,
        /// What was found.
        found: String,
        /// What is allowed.
        allowed: String,
    },
    /// A match that goes on after another one.
    #[error(
        "line {line}, column match: \"{name}\" appears again after line {first}; keep the rows of a match together", name = crate::record::printable(name, 60)
    )]
    Back {
        /// The line.
        line: u64,
        /// The match.
        name: String,
        /// Where it began.
        first: u64,
    },
    /// More points than a record holds.
    #[error("line {line}: this match has more than {MOST_POINTS} points, the most that a record can hold")]
    Many {
        /// The line of the first that is too many.
        line: u64,
    },
}
