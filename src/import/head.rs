//! The header row: which column is where.

use super::error::ImportError;
use super::rows::Row;
use crate::exchange::{Column, NAMES, tidy};
use crate::near::{Hint, nearest};
use crate::record::printable;

/// Faults of a header that are told; there may be more.
const MOST_SAID: usize = 10;

/// Where each column stands.
#[derive(Debug)]
pub(super) struct Head {
    places: [Option<usize>; Column::ALL.len()],
    /// Cells that a row has.
    pub width: usize,
}

impl Head {
    /// Reads the header row; gives back all that is wrong with it.
    pub fn read(row: &Row) -> Result<Self, Vec<ImportError>> {
        let line = row.line;
        // Spreadsheets write empty cells after the last column.
        let width = row.len_without_blanks();
        let mut head = Self { places: [None; Column::ALL.len()], width };
        let mut wrong: Vec<String> = row.mended.into_iter().map(Into::into).collect();
        for n in 0..width {
            // A file of another kind may have thousands of columns.
            if wrong.len() >= MOST_SAID {
                break;
            }
            let cell = tidy(&String::from_utf8_lossy(row.cell(n).unwrap_or_default())).into_owned();
            match Column::ALL.iter().find(|c| c.name().eq_ignore_ascii_case(&cell)) {
                None => wrong.push(unknown(n, &cell)),
                Some(column) => {
                    if let Some(first) = head.places[*column as usize].replace(n) {
                        let (first, n) = (first + 1, n + 1);
                        wrong.push(format!("columns {first} and {n} are both named {}", column.name()));
                    }
                }
            }
        }
        if wrong.is_empty() && !head.has(Column::Winner) {
            wrong.push("the first row names no column winner, which is required".into());
        }
        let said = |what| ImportError::Header { line, what };
        if wrong.is_empty() { Ok(head) } else { Err(wrong.into_iter().map(said).collect()) }
    }

    pub fn has(&self, column: Column) -> bool {
        self.places[column as usize].is_some()
    }

    /// The cell of a column, if the file has it.
    pub fn cell<'r>(&self, column: Column, row: &'r Row) -> Option<&'r [u8]> {
        row.cell(self.places[column as usize]?)
    }
}

fn unknown(n: usize, cell: &str) -> String {
    let hint = Hint(nearest(cell, Column::ALL.map(Column::name)).map(Into::into));
    format!("column {} cannot be named \"{}\"; allowed: {NAMES}{hint}", n + 1, printable(cell, 40))
}
