//! The boxes that an MP4 file is made of.

use std::io::{self, Read, Seek, SeekFrom};

/// Where one box of an MP4 file is: its content from `start` to `end`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Atom {
    pub(super) kind: [u8; 4],
    pub(super) start: u64,
    pub(super) end: u64,
}

/// More boxes beside each other than a day of one-second fragments has are not looked at.
const MOST: usize = 200_000;

/// The boxes between two places of a file, up to the first that is not all there (ISO/IEC 14496-12, 4.2).
///
/// # Errors
/// When the file cannot be read.
pub(super) fn children<F: Read + Seek>(file: &mut F, start: u64, end: u64) -> io::Result<Vec<Atom>> {
    let mut found = Vec::new();
    let mut at = start;
    while at + 8 <= end && found.len() < MOST {
        file.seek(SeekFrom::Start(at))?;
        let mut head = [0; 8];
        file.read_exact(&mut head)?;
        let (mut size, mut skip) = (u64::from(u32::from_be_bytes([head[0], head[1], head[2], head[3]])), 8);
        if size == 1 {
            if at + 16 > end {
                break;
            }
            let mut large = [0; 8];
            file.read_exact(&mut large)?;
            (size, skip) = (u64::from_be_bytes(large), 16);
        } else if size == 0 {
            size = end - at;
        }
        if size < skip || at.checked_add(size).is_none_or(|e| e > end) {
            break;
        }
        found.push(Atom { kind: [head[4], head[5], head[6], head[7]], start: at + skip, end: at + size });
        at += size;
    }
    Ok(found)
}

/// Whether a file of boxes has the whole of the one that says where its frames are.
pub(super) fn has_table<F: Read + Seek>(file: &mut F) -> io::Result<bool> {
    let length = file.seek(SeekFrom::End(0))?;
    Ok(children(file, 0, length)?.iter().any(|a| &a.kind == b"moov"))
}

/// Whether a file of boxes ends before its last box does.
pub(super) fn is_cut_off<F: Read + Seek>(file: &mut F) -> io::Result<bool> {
    let length = file.seek(SeekFrom::End(0))?;
    let end = children(file, 0, length)?.last().map_or(0, |a| a.end);
    if end + 8 > length {
        return Ok(false);
    }
    // What follows may be anything; only a box of pictures or of their list that is longer than the file was cut off.
    file.seek(SeekFrom::Start(end))?;
    let mut head = [0; 8];
    file.read_exact(&mut head)?;
    Ok([b"mdat", b"moof", b"moov", b"mfra"].iter().any(|kind| head[4..] == kind[..]))
}

/// The first box of its kind.
pub(super) fn first(atoms: &[Atom], kind: [u8; 4]) -> Option<Atom> {
    atoms.iter().find(|a| a.kind == kind).copied()
}

/// The number of up to eight bytes at a place.
///
/// # Errors
/// When the file cannot be read.
pub(super) fn number<F: Read + Seek>(file: &mut F, at: u64, width: usize) -> io::Result<u64> {
    let mut bytes = [0; 8];
    file.seek(SeekFrom::Start(at))?;
    file.read_exact(&mut bytes[8 - width..])?;
    Ok(u64::from_be_bytes(bytes))
}

/// The number of four bytes at a place of a box.
pub(super) fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..at.checked_add(4)?)?.try_into().ok().map(u32::from_be_bytes)
}

/// The number of eight bytes at a place of a box.
pub(super) fn u64_at(bytes: &[u8], at: usize) -> Option<u64> {
    bytes.get(at..at.checked_add(8)?)?.try_into().ok().map(u64::from_be_bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_table_that_is_cut_off_is_none() {
        let file = b"\0\0\0\x0cftypisom\0\0\0\x09moov1";
        assert!(has_table(&mut io::Cursor::new(file)).unwrap());
        assert!(!has_table(&mut io::Cursor::new(&file[..file.len() - 1])).unwrap());
        assert!(!has_table(&mut io::Cursor::new(&file[..12])).unwrap());
        assert!(!has_table(&mut io::Cursor::new(b"\0\0\0\x01moov\0\0\0\0")).unwrap());
    }

    #[test]
    fn a_last_part_that_is_longer_than_the_file_was_cut_off() {
        let of = |bytes: &[u8]| is_cut_off(&mut io::Cursor::new(bytes)).unwrap();
        let file = b"\0\0\0\x0cftypisom\0\0\0\x0amdat12";
        assert!(!of(file));
        assert!(of(&file[..file.len() - 1]));
        assert!(!of(&file[..file.len() - 3]), "too little is left to tell what it was");
        assert!(!of(&[&file[..], b"words that some program left"].concat()));
        assert!(!of(b"") && !of(b"plain words, no file of boxes"));
    }

    proptest! {
        #[test]
        fn no_bytes_make_it_panic_or_run_on(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
            let _ = (has_table(&mut io::Cursor::new(&bytes)), is_cut_off(&mut io::Cursor::new(&bytes)));
        }
    }
}
