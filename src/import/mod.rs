//! Points charted elsewhere, as CSV: from the text to records, and from records to files.
//!
//! The first row names the columns, in any order; only `winner` is required. One row is one point:
//!
//! | column | holds | if empty |
//! |---|---|---|
//! | `match` | the name of the match; the rows of one match are together | not allowed |
//! | `start`, `end` | times on the match clock: seconds, or `H:MM:SS.mmm` | no times |
//! | `server` | who served: `a`, `b`; in doubles also `a1`, `a2`, `b1`, `b2` | by the rules |
//! | `serve` | the serve that started the rally, or the last fault: `1`, `2` | not known |
//! | `winner` | `a`, `b`; `?` if not known; `let` if it was replayed | not allowed |
//! | `finish` | `ace`, `double fault`, `winner`, `forced error`, `unforced error` | not known |
//! | `tags` | separated by `;`; `\;` is a semicolon within a tag | none |
//! | `note` | any text | none |
//! | `court`, `served from` | where it was seen to be served from: `deuce`, `ad`; `near`, `far` | by the score |
//! | `joined late`, `left early` | whether its first or last shots were not seen: `yes`, `no` | no |
//! | `first by` | who struck the first shot seen: `a`, `b` | not known |
//! | `tag of` | whose tags are: `a:drop shot;both:lob` | not known |
//! | `player a`, `player b`, `score`, `event`, `source` | of points of many matches: who plays, and what was seen of their match | one match |
//! | `outcome` | in one row of a match: `a retired`, `b retired`, `a defaulted`, `b defaulted`, `unfinished` | it ended by its score |
//!
//! Cells are separated by commas, semicolons or tabs, as a line `sep=;` or the header shows. Empty cells and rows at the end are
//! ignored. Upper and lower case, and blanks around a cell, do not matter, except in the note, which is kept as it is. The text
//! is UTF-8, with or without a byte order mark, with rows as in RFC 4180. It is read strictly: errors are reported, never
//! corrected. An apostrophe that keeps a spreadsheet from running a text as a formula is removed; the export adds it.
//!
//! [`parse`] gives one [`Chart`] for each match, one after another, so that memory holds only one at a time.

mod broken;
mod chart;
mod error;
mod head;
mod names;
mod rows;
mod sniff;
mod stage;

use std::collections::{HashMap, VecDeque};
use std::io::Read;

use crate::exchange::{Column, outcome_words, tidy};
use crate::record::{MOST_POINTS, Outcome, Point};

pub use broken::Broken;
pub use chart::Chart;
pub use error::ImportError;
pub use names::FileNames;
pub use stage::Stage;

use chart::Players;
use head::Head;
use rows::{Row, Rows};

/// Reads points, match after match. After an error it continues with the next row, so that all errors are reported. It stops
/// only if the rest cannot be read. After an error, do not use the charts.
pub fn parse<R: Read>(from: R) -> Charts<R> {
    Charts {
        rows: Rows::new(from),
        row: Row::default(),
        head: None,
        players: Players::default(),
        current: None,
        cell: Vec::new(),
        begun: HashMap::new(),
        any: false,
        waiting: VecDeque::new(),
        over: false,
    }
}

/// The matches of a file, as they are read; see [`parse`].
#[derive(Debug)]
pub struct Charts<R> {
    rows: Rows<R>,
    row: Row,
    head: Option<Head>,
    players: Players,
    current: Option<Chart>,
    /// The cell that named the current match, as it stands in the file.
    cell: Vec<u8>,
    /// Where each match began.
    begun: HashMap<String, u64>,
    /// Whether there was a row under the header, right or wrong.
    any: bool,
    waiting: VecDeque<ImportError>,
    over: bool,
}

impl<R: Read> Charts<R> {
    /// Whether a server may be one of a pair, as `a1`.
    #[must_use]
    pub fn pairs(mut self, pairs: bool) -> Self {
        self.players.pairs = pairs;
        self
    }

    /// The names by which a cell may say who won or served, in place of `a` and `b`.
    #[must_use]
    pub fn named(mut self, a: Option<&str>, b: Option<&str>) -> Self {
        self.players.shown = [a, b].map(|name| name.map(|n| tidy(n).into_owned()));
        self.players.names = self.players.shown.clone().map(|name| name.map(|n| n.to_lowercase()));
        self
    }

    /// Whether the file names its matches. Reads the header.
    pub fn names_matches(&mut self) -> bool {
        self.read_head();
        self.head.as_ref().is_some_and(|h| h.has(Column::Match))
    }

    fn read_head(&mut self) {
        if self.head.is_some() || self.over {
            return;
        }
        match self.rows.read(&mut self.row) {
            Ok(true) => match Head::read(&self.row) {
                Ok(head) => self.head = Some(head),
                Err(wrong) => self.end(wrong),
            },
            Ok(false) => self.end(vec![ImportError::Empty]),
            Err(e) => self.end(vec![e]),
        }
    }

    fn end(&mut self, why: Vec<ImportError>) {
        self.waiting.extend(why);
        (self.over, self.current) = (true, None);
    }

    /// Takes one row; gives the match before it when it begins another.
    fn step(&mut self) -> Option<Chart> {
        match self.rows.read(&mut self.row) {
            Ok(true) => {}
            Ok(false) => {
                self.over = true;
                if !self.any {
                    self.waiting.push_back(ImportError::NoPoints);
                }
                return self.current.take();
            }
            Err(e) => {
                self.end(vec![e]);
                return None;
            }
        }
        let head = self.head.take()?;
        let done = self.take_row(&head);
        self.head = Some(head);
        done
    }

    fn take_row(&mut self, head: &Head) -> Option<Chart> {
        let line = self.row.line;
        // Spreadsheets write rows without anything in them, most of all at the end.
        if self.row.mended.is_none() && self.row.len_without_blanks() == 0 {
            return None;
        }
        self.any = true;
        if let Some(what) = self.row.mended {
            self.waiting.push_back(ImportError::Quote { line, what });
        }
        if self.row.len() < head.width || self.row.len_without_blanks() > head.width {
            self.waiting.push_back(ImportError::Width { line, found: self.row.len(), wanted: head.width });
            return None;
        }
        let (done, named) = self.turn(head);
        let (point, outcome) =
            chart::point(head, &self.row, &self.players, &mut |e| self.waiting.push_back(e));
        if named {
            self.add(line, point);
            self.end_by(line, outcome);
        }
        done
    }

    /// Makes the match of this row the current one, and gives the one before it when it is over. The second value says
    /// whether the row has a match at all.
    fn turn(&mut self, head: &Head) -> (Option<Chart>, bool) {
        let line = self.row.line;
        let Some(cell) = head.cell(Column::Match, &self.row) else {
            self.current.get_or_insert_with(|| Chart::new(None, line));
            return (None, true);
        };
        if self.current.is_some() && cell == self.cell {
            return (None, true);
        }
        let name = match chart::name(cell, line) {
            Ok(name) => name,
            Err(e) => {
                self.waiting.push_back(e);
                return (None, false);
            }
        };
        cell.clone_into(&mut self.cell);
        if self.current.as_ref().is_some_and(|c| c.name.as_ref() == Some(&name)) {
            return (None, true);
        }
        if let Some(first) = self.begun.get(&name) {
            self.waiting.push_back(ImportError::Back { line, name: name.clone(), first: *first });
        }
        self.begun.entry(name.clone()).or_insert(line);
        (self.current.replace(Chart::new(Some(name), line)), true)
    }

    /// Takes how the match ended, which only one can be.
    fn end_by(&mut self, line: u64, outcome: Option<Outcome>) {
        let Some((chart, outcome)) = self.current.as_mut().zip(outcome) else { return };
        let before = *chart.outcome.get_or_insert(outcome);
        if before != outcome {
            self.waiting.push_back(ImportError::Cell {
                line,
                column: Column::Outcome.name(),
                found: format!("found \"{}\"", outcome_words(outcome)),
                allowed: format!("a row of this match before it says \"{}\"", outcome_words(before)),
            });
        }
    }

    fn add(&mut self, line: u64, point: Point) {
        let Some(chart) = &mut self.current else { return };
        if chart.points.len() < MOST_POINTS {
            chart.points.push(point);
        } else if chart.points.len() == MOST_POINTS {
            // One point too many, once: it is told of, and no more are kept.
            chart.points.push(point);
            self.waiting.push_back(ImportError::Many { line });
        }
    }
}

impl<R: Read> Iterator for Charts<R> {
    type Item = Result<Chart, ImportError>;

    fn next(&mut self) -> Option<Self::Item> {
        self.read_head();
        loop {
            if let Some(wrong) = self.waiting.pop_front() {
                return Some(Err(wrong));
            }
            if self.over {
                return None;
            }
            if let Some(chart) = self.step() {
                return Some(Ok(chart));
            }
        }
    }
}

#[cfg(test)]
mod tests;
