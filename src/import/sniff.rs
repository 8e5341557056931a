//! What a file of points is, by its beginning: a workbook, a text in UTF-16, a table, and what stands between its cells.

use std::io::Read;

use super::error::ImportError;
use crate::exchange::Column;

const BOM: &[u8] = b"\xef\xbb\xbf";
/// Bytes of the first line that are looked at.
const MOST_HEAD: usize = 1 << 16;

/// The beginning of a table.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Beginning {
    /// What was read of it, from the header row on.
    pub bytes: Vec<u8>,
    /// What stands between the cells.
    pub separator: u8,
    /// Lines before the header row.
    pub lines: u64,
}

/// Reads the first line, or two.
pub(super) fn beginning(from: &mut impl Read) -> Result<Beginning, ImportError> {
    let mut bytes = Vec::new();
    let mut first = line(from, &mut bytes, 0)?;
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        return Err(ImportError::Utf16);
    }
    // The first bytes of what holds .xlsx and .ods, and of .xls.
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        return Err(ImportError::Workbook);
    }
    // One may have slipped into a header: that column is told.
    if bytes[..first].iter().filter(|b| **b == 0).nth(2).is_some() {
        return Err(ImportError::NotText);
    }
    if bytes.starts_with(BOM) {
        bytes.drain(..BOM.len());
        first -= BOM.len();
    }
    if let Some(separator) = told(&bytes[..first]) {
        bytes.drain(..first);
        return Ok(Beginning { bytes, separator, lines: 1 });
    }
    let separator = guessed(&bytes[..first]);
    Ok(Beginning { bytes, separator, lines: 0 })
}

/// Reads on until a line ends after `start`, and says where.
fn line(from: &mut impl Read, bytes: &mut Vec<u8>, start: usize) -> std::io::Result<usize> {
    loop {
        if let Some(n) = bytes[start..].iter().position(|b| *b == b'\n') {
            return Ok(start + n + 1);
        }
        let before = bytes.len();
        from.by_ref().take(4_096).read_to_end(bytes)?;
        if bytes.len() == before || bytes.len() > MOST_HEAD {
            return Ok(bytes.len());
        }
    }
}

/// The separator of a line `sep=;`, which spreadsheets write and read before the header.
fn told(line: &[u8]) -> Option<u8> {
    let line = line
        .trim_ascii_end()
        .strip_prefix(b"\"")
        .map_or(line.trim_ascii_end(), |l| l.strip_suffix(b"\"").unwrap_or(l));
    match line {
        [s, e, p, b'=', separator @ (b',' | b';' | b'|')]
            if [s, e, p].map(u8::to_ascii_lowercase) == *b"sep" =>
        {
            Some(*separator)
        }
        // A tab at the end of the line was taken for a blank.
        [s, e, p, b'='] if [s, e, p].map(u8::to_ascii_lowercase) == *b"sep" => Some(b'\t'),
        _ => None,
    }
}

/// The separator with which the header row names most columns; a comma, if it is not another.
fn guessed(header: &[u8]) -> u8 {
    let text = String::from_utf8_lossy(header);
    let known = |separator: u8| {
        let cells = text.split(separator as char).map(|c| c.trim().trim_matches('"').trim());
        cells.filter(|c| Column::ALL.iter().any(|column| column.name().eq_ignore_ascii_case(c))).count()
    };
    let comma = known(b',');
    [b';', b'\t'].into_iter().filter(|s| known(*s) > comma).max_by_key(|s| known(*s)).unwrap_or(b',')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn separator(text: &str) -> (char, u64) {
        let begun = beginning(&mut text.as_bytes()).unwrap();
        (begun.separator as char, begun.lines)
    }

    #[test]
    fn what_stands_between_cells_is_told_or_guessed() {
        assert_eq!(separator("winner,tags\na,x;y\n"), (',', 0));
        assert_eq!(separator("winner;tags\n"), (';', 0));
        assert_eq!(separator("\u{feff}\"winner\"\t\"tags\"\r\n"), ('\t', 0));
        assert_eq!(separator("sep=;\r\nwinner;tags\r\n"), (';', 1));
        assert_eq!(separator("SEP=,\nwinner\n"), (',', 1));
        assert_eq!(separator("\u{feff}\"sep=;\"\nwinner\n"), (';', 1));
        assert_eq!(separator("sep=\t\nwinner\n"), ('\t', 1));
        assert_eq!(separator("winner"), (',', 0));
        assert_eq!(separator(""), (',', 0));
        let rest = beginning(&mut &b"sep=;\nwinner;x\n"[..]).unwrap().bytes;
        assert_eq!(rest, b"winner;x\n");
    }

    #[test]
    fn what_is_no_text_is_told() {
        for bytes in [&b"PK\x03\x04\x14\0"[..], &[0xd0, 0xcf, 0x11, 0xe0]] {
            assert!(matches!(beginning(&mut &*bytes), Err(ImportError::Workbook)));
        }
        assert!(matches!(beginning(&mut &b"\xff\xfew\0"[..]), Err(ImportError::Utf16)));
    }
}
