//! The display rotation of an MP4 file, which mp4mux does not write: set in the finished file's track header.

use std::io::{self, Read, Seek, SeekFrom, Write};

use super::atoms::{Atom, children};

const UNIT: u32 = 0x0001_0000;
const MINUS: u32 = 0xFFFF_0000;
const LAST: u32 = 0x4000_0000;

/// Sets the rotation of the first video track, in degrees clockwise, of pictures stored as `width × height`.
///
/// The nine numbers are the transformation matrix of ISO/IEC 14496-12, 8.3.2 (track header).
///
/// # Errors
/// When the file cannot be read or written, or has no video track.
pub(super) fn set<F: Read + Write + Seek>(file: &mut F, degrees: u16, w: u32, h: u32) -> io::Result<()> {
    let Some(at) = matrix_position(file)? else {
        return Err(io::Error::new(io::ErrorKind::InvalidData, "the file has no video track"));
    };
    let matrix: [u32; 9] = match degrees {
        90 => [0, UNIT, 0, MINUS, 0, 0, h << 16, 0, LAST],
        180 => [MINUS, 0, 0, 0, MINUS, 0, w << 16, h << 16, LAST],
        270 => [0, MINUS, 0, UNIT, 0, 0, 0, w << 16, LAST],
        _ => [UNIT, 0, 0, 0, UNIT, 0, 0, 0, LAST],
    };
    file.seek(SeekFrom::Start(at))?;
    for number in matrix {
        file.write_all(&number.to_be_bytes())?;
    }
    file.flush()
}

fn matrix_position<F: Read + Seek>(file: &mut F) -> io::Result<Option<u64>> {
    let length = file.seek(SeekFrom::End(0))?;
    let moov = children(file, 0, length)?.into_iter().filter(|a| &a.kind == b"moov");
    for trak in moov.map(|m| children(file, m.start, m.end)).collect::<io::Result<Vec<_>>>()?.concat() {
        if &trak.kind != b"trak" || !is_video(file, trak)? {
            continue;
        }
        if let Some(head) = children(file, trak.start, trak.end)?.iter().find(|a| &a.kind == b"tkhd") {
            file.seek(SeekFrom::Start(head.start))?;
            let mut version = [0];
            file.read_exact(&mut version)?;
            return Ok(Some(head.start + if version[0] == 1 { 52 } else { 40 }));
        }
    }
    Ok(None)
}

fn is_video<F: Read + Seek>(file: &mut F, trak: Atom) -> io::Result<bool> {
    let first = |atoms: Vec<Atom>, kind: &[u8]| atoms.into_iter().find(|a| a.kind == kind);
    let Some(mdia) = first(children(file, trak.start, trak.end)?, b"mdia") else { return Ok(false) };
    let Some(handler) = first(children(file, mdia.start, mdia.end)?, b"hdlr") else { return Ok(false) };
    file.seek(SeekFrom::Start(handler.start + 8))?;
    let mut kind = [0; 4];
    file.read_exact(&mut kind)?;
    Ok(&kind == b"vide")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn atom(kind: &[u8], content: &[u8]) -> Vec<u8> {
        let mut a = (content.len() as u32 + 8).to_be_bytes().to_vec();
        a.extend(kind);
        a.extend(content);
        a
    }

    #[test]
    fn finds_the_video_track_behind_the_sound() {
        let track = |kind: &[u8], version: u8| {
            let mut head = vec![0; 96];
            head[0] = version;
            let handler = [&[0; 8], kind, &[0; 12]].concat();
            atom(b"trak", &[atom(b"tkhd", &head), atom(b"mdia", &atom(b"hdlr", &handler))].concat())
        };
        let moov = atom(b"moov", &[track(b"soun", 0), track(b"vide", 1)].concat());
        let before = [atom(b"ftyp", b"isom"), moov].concat();
        let mut file = io::Cursor::new(before.clone());
        set(&mut file, 90, 320, 180).unwrap();
        let after = file.into_inner();
        let first = before.iter().zip(&after).position(|(a, b)| a != b).unwrap();
        let start = before.windows(4).rposition(|w| w == b"tkhd").unwrap() + 4 + 52;
        // The first number is 0, the second is 1.0: its first byte that differs is the second.
        assert_eq!(first, start + 5);
        assert_eq!(&after[start + 24..start + 28], &(180u32 << 16).to_be_bytes());
    }

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
            let _ = set(&mut io::Cursor::new(bytes), 90, 2, 2);
        }
    }
}
