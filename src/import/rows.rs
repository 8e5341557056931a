//! Rows of CSV as in RFC 4180, read strictly. Lines end with CR LF, LF or CR, and empty lines are ignored. Errors that other
//! readers correct silently (a quote in the middle of a cell, a quote that is never closed) are reported.

use std::io::{BufRead, BufReader, Chain, Cursor, Read};

use super::error::ImportError;
use super::sniff::beginning;
use crate::exchange::tidy;

/// No row of points is longer, in bytes.
const MOST_BYTES: usize = 1 << 20;

const STRAY: &str =
    "a quote within a cell; put the whole cell in quotes, and write each quote within it twice";

/// One row: its cells without their quotes.
#[derive(Debug, Default)]
pub(super) struct Row {
    bytes: Vec<u8>,
    ends: Vec<usize>,
    /// The line that it begins in, from 1.
    pub line: u64,
    /// What is wrong with its quotes.
    pub mended: Option<&'static str>,
    quoted: bool,
}

impl Row {
    /// The number of cells.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// A cell, from 0.
    pub fn cell(&self, n: usize) -> Option<&[u8]> {
        let start = if n == 0 { 0 } else { *self.ends.get(n - 1)? };
        self.bytes.get(start..*self.ends.get(n)?)
    }

    /// The number of cells up to the last one that holds more than blanks.
    pub fn len_without_blanks(&self) -> usize {
        let is_blank = |n: &usize| {
            let cell = self.cell(*n).unwrap_or_default();
            tidy(&String::from_utf8_lossy(cell)).is_empty()
        };
        self.len() - (0..self.len()).rev().take_while(is_blank).count()
    }

    fn begin(&mut self, line: u64) {
        self.bytes.clear();
        self.ends.clear();
        (self.line, self.mended, self.quoted) = (line, None, false);
    }

    fn is_blank(&self) -> bool {
        self.ends == [0] && !self.quoted
    }
}

/// Where in a row the reader is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum At {
    CellStart,
    Plain,
    Quoted,
    /// After a quote within quotes: the end of the cell, or the first of two.
    Quote,
    RowEnd,
}

/// Reads rows.
#[derive(Debug)]
pub(super) struct Rows<R> {
    from: Option<R>,
    text: Option<BufReader<Chain<Cursor<Vec<u8>>, R>>>,
    line: u64,
    /// A line feed that comes now belongs to the line end before it.
    after_cr: bool,
    quote_line: u64,
    /// What stands between cells.
    separator: u8,
}

impl<R: Read> Rows<R> {
    pub fn new(from: R) -> Self {
        Self { from: Some(from), text: None, line: 1, after_cr: false, quote_line: 0, separator: b',' }
    }

    /// Reads the next row; false when there is none. An error is the end of the file.
    pub fn read(&mut self, row: &mut Row) -> Result<bool, ImportError> {
        self.begin()?;
        loop {
            row.begin(self.line);
            if !self.one(row)? {
                return Ok(false);
            }
            if !row.is_blank() {
                return Ok(true);
            }
        }
    }

    /// Looks at the first line, which says what stands between cells.
    fn begin(&mut self) -> Result<(), ImportError> {
        let Some(mut from) = self.from.take() else { return Ok(()) };
        let begun = beginning(&mut from)?;
        self.separator = begun.separator;
        self.line += begun.lines;
        self.text = Some(BufReader::with_capacity(1 << 16, Cursor::new(begun.bytes).chain(from)));
        Ok(())
    }

    fn one(&mut self, row: &mut Row) -> Result<bool, ImportError> {
        let Some(mut text) = self.text.take() else { return Ok(false) };
        let mut at = At::CellStart;
        loop {
            let bytes = match text.fill_buf() {
                Err(e) if e.kind() == std::io::ErrorKind::Interrupted => continue,
                other => other?,
            };
            if bytes.is_empty() {
                self.text = Some(text);
                return self.end(row, at);
            }
            let mut used = 0;
            while at != At::RowEnd && used < bytes.len() {
                used += self.take(&bytes[used..], row, &mut at);
            }
            text.consume(used);
            if row.bytes.len() > MOST_BYTES || row.ends.len() > MOST_BYTES {
                return Err(ImportError::Long { line: row.line });
            }
            if at == At::RowEnd {
                self.text = Some(text);
                return Ok(true);
            }
        }
    }

    fn end(&self, row: &mut Row, at: At) -> Result<bool, ImportError> {
        match at {
            At::Quoted => Err(ImportError::Open { line: self.quote_line }),
            At::CellStart if row.ends.is_empty() => Ok(false),
            _ => {
                row.ends.push(row.bytes.len());
                Ok(true)
            }
        }
    }

    /// Takes some bytes, at least one; says how many.
    fn take(&mut self, bytes: &[u8], row: &mut Row, at: &mut At) -> usize {
        let byte = bytes[0];
        if std::mem::take(&mut self.after_cr) && byte == b'\n' {
            return 1;
        }
        match (*at, byte) {
            (At::Quoted, b'"') => *at = At::Quote,
            (At::Quoted, _) => return self.run(bytes, row, |b| b == b'"'),
            (At::CellStart, b'"') => {
                (*at, row.quoted, self.quote_line) = (At::Quoted, true, self.line);
            }
            (At::Quote, b'"') => {
                row.bytes.push(b'"');
                *at = At::Quoted;
            }
            (_, byte) if byte == self.separator => {
                row.ends.push(row.bytes.len());
                *at = At::CellStart;
            }
            (_, b'\n' | b'\r') => {
                row.ends.push(row.bytes.len());
                self.line += 1;
                self.after_cr = byte == b'\r';
                *at = At::RowEnd;
            }
            (At::Plain, b'"') | (At::Quote, _) => {
                row.mended = Some(STRAY);
                row.bytes.push(byte);
                *at = At::Plain;
            }
            _ => {
                *at = At::Plain;
                let separator = self.separator;
                return self.run(bytes, row, |b| b == separator || matches!(b, b'"' | b'\n' | b'\r'));
            }
        }
        1
    }

    /// Takes all bytes up to one that means something.
    fn run(&mut self, bytes: &[u8], row: &mut Row, means: impl Fn(u8) -> bool) -> usize {
        let n = bytes.iter().position(|b| means(*b)).unwrap_or(bytes.len());
        self.line += bytes[..n].iter().map(|b| u64::from(*b == b'\n')).sum::<u64>();
        row.bytes.extend_from_slice(&bytes[..n]);
        n
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn rows(text: &[u8]) -> Result<Vec<(u64, Vec<String>)>, ImportError> {
        let (mut rows, mut row, mut all) = (Rows::new(text), Row::default(), Vec::new());
        while rows.read(&mut row)? {
            let cell = |n| String::from_utf8_lossy(row.cell(n).unwrap()).into_owned();
            let mended = if row.mended.is_some() { vec!["mended".into()] } else { Vec::new() };
            all.push((row.line, (0..row.len()).map(cell).chain(mended).collect()));
        }
        Ok(all)
    }

    fn shown(text: &str) -> String {
        match rows(text.as_bytes()) {
            Ok(rows) => {
                rows.iter().map(|(n, r)| format!("{n}:{}", r.join("|"))).collect::<Vec<_>>().join(" ")
            }
            Err(e) => e.to_string(),
        }
    }

    #[test]
    fn rows_of_every_kind() {
        assert_eq!(shown("a,b\r\n1,2\n3,4\r5,6"), "1:a|b 2:1|2 3:3|4 4:5|6");
        assert_eq!(shown("\u{feff}\"a\",b\n\n\r\n,\n"), "1:a|b 4:|");
        assert_eq!(shown("a\n\"x, \"\"y\"\"\nz\"\n\"\"\nlast"), "1:a 2:x, \"y\"\nz 4: 5:last");
        assert_eq!(shown(""), "");
        assert_eq!(shown("\u{feff}"), "");
        assert_eq!(shown("a,"), "1:a|");
        assert_eq!(shown("\"\""), "1:");
    }

    #[test]
    fn what_is_not_rfc_4180_is_told() {
        assert_eq!(shown("a\"b,c\n\"d\"e,f\ng\n"), "1:a\"b|c|mended 2:de|f|mended 3:g");
        assert_eq!(shown("a\nb,\"c\nd\n"), "line 2: a quote is opened here and never closed");
        assert!(
            shown(&format!("a\n\"{}", "x\n".repeat(MOST_BYTES))).starts_with("line 2: the row that begins")
        );
        assert!(
            shown(&format!("a\n{}", ",".repeat(MOST_BYTES + 70_000))).starts_with("line 2: the row that")
        );
        assert!(rows(b"\xff\xfea\0").is_err_and(|e| matches!(e, ImportError::Utf16)));
    }

    proptest! {
        /// Reads back what another writer of RFC 4180 (the crate `csv`) has written.
        #[test]
        fn what_others_write_is_read(
            table in proptest::collection::vec(
                proptest::collection::vec("[a,\"\r\n é;]{0,6}", 2..5), 1..6),
        ) {
            let mut out = csv::WriterBuilder::new().flexible(true).terminator(csv::Terminator::CRLF)
                .from_writer(Vec::new());
            for row in &table {
                out.write_record(row).unwrap();
            }
            let read: Vec<_> = rows(&out.into_inner().unwrap()).unwrap().into_iter().map(|(_, r)| r).collect();
            prop_assert_eq!(read, table);
        }

        #[test]
        fn nothing_makes_it_stop_short(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
            let _ = rows(&bytes);
        }
    }
}
