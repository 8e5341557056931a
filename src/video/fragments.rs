//! How long the fragments of an MP4 file last (ISO/IEC 14496-12, 8.8).

use std::io::{self, Read, Seek, SeekFrom};

use super::atoms::{Atom, children, first, number};

/// No run of frames that is longer is looked at.
const MOST_BYTES: u64 = 1 << 22;

/// When the last frame of a track ends that is in a fragment, in the track's ticks; `None` where the fragments do not say it.
///
/// # Errors
/// When the file cannot be read.
pub(super) fn end<F: Read + Seek>(
    file: &mut F,
    top: &[Atom],
    moov: Atom,
    track: u64,
) -> io::Result<Option<u64>> {
    for moof in top.iter().rev().filter(|a| &a.kind == b"moof") {
        for traf in children(file, moof.start, moof.end)?.iter().filter(|a| &a.kind == b"traf") {
            let inside = children(file, traf.start, traf.end)?;
            let Some(head) = first(&inside, *b"tfhd") else { continue };
            if number(file, head.start + 4, 4)? == track {
                return end_of(file, &inside, moov, head, track);
            }
        }
    }
    Ok(None)
}

fn end_of<F: Read + Seek>(
    file: &mut F,
    inside: &[Atom],
    moov: Atom,
    head: Atom,
    track: u64,
) -> io::Result<Option<u64>> {
    let Some(time) = first(inside, *b"tfdt") else { return Ok(None) };
    let long = number(file, time.start, 1)? == 1;
    let mut end = number(file, time.start + 4, if long { 8 } else { 4 })?;
    let (usual, mut latest) = (usual_length(file, moov, head, track)?, 0);
    for run in inside.iter().filter(|a| &a.kind == b"trun" && a.end - a.start <= MOST_BYTES) {
        file.seek(SeekFrom::Start(run.start))?;
        let mut bytes = Vec::new();
        file.take(run.end - run.start).read_to_end(&mut bytes)?;
        let (lasts, late) = length_of(&bytes, usual);
        end = end.saturating_add(lasts);
        latest = latest.max(late);
    }
    Ok(Some(end.saturating_add(latest)))
}

/// How many ticks each frame of a fragment lasts that does not say it itself: by the fragment, else by the file.
fn usual_length<F: Read + Seek>(file: &mut F, moov: Atom, head: Atom, track: u64) -> io::Result<u64> {
    let flags = number(file, head.start, 4)?;
    if flags & 8 != 0 {
        let before = if flags & 1 != 0 { 8 } else { 0 } + if flags & 2 != 0 { 4 } else { 0 };
        return number(file, head.start + 8 + before, 4);
    }
    let inside = children(file, moov.start, moov.end)?;
    let Some(all) = first(&inside, *b"mvex") else { return Ok(0) };
    for trex in children(file, all.start, all.end)?.iter().filter(|a| &a.kind == b"trex") {
        if number(file, trex.start + 4, 4)? == track {
            return number(file, trex.start + 12, 4);
        }
    }
    Ok(0)
}

/// How many ticks the frames of a run last, and by how many the latest is shown after it is decoded.
fn length_of(run: &[u8], usual: u64) -> (u64, u64) {
    let word = |at: usize| run.get(at..at + 4)?.try_into().ok().map(u32::from_be_bytes);
    let (Some(flags), Some(n)) = (word(0), word(4)) else { return (0, 0) };
    let has = |flag: u32| usize::from(flags & flag != 0);
    let mut at = 8 + 4 * (has(1) + has(4));
    let width = 4 * (has(0x100) + has(0x200) + has(0x400) + has(0x800));
    let shift = width.saturating_sub(4);
    let (mut lasts, mut late) = (0u64, 0);
    if width == 0 {
        return (usual.saturating_mul(n.into()), 0);
    }
    for _ in 0..n {
        if run.len() < at + width {
            break;
        }
        let own = if flags & 0x100 == 0 { usual } else { word(at).map_or(0, u64::from) };
        lasts = lasts.saturating_add(own);
        // A shift may be negative.
        let shown = word(at + shift).filter(|s| flags & 0x800 != 0 && *s < 1 << 31).unwrap_or(0);
        late = late.max(shown.into());
        at += width;
    }
    (lasts, late)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn words(all: &[u32]) -> Vec<u8> {
        all.iter().flat_map(|w| w.to_be_bytes()).collect()
    }

    #[test]
    fn a_run_lasts_as_long_as_its_frames() {
        assert_eq!(length_of(&words(&[0, 5]), 40), (200, 0));
        assert_eq!(length_of(&words(&[0x201, 2, 99, 7, 7]), 40), (80, 0));
        let each = words(&[0xD01, 3, 99, 10, 0, 30, 20, 0, u32::MAX, 30, 0, 5]);
        assert_eq!(length_of(&each, 40), (60, 30));
        assert_eq!(length_of(&each[..each.len() - 1], 40), (30, 30), "the last is not all there");
        assert_eq!(length_of(&[], 40), (0, 0));
    }

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..80)) {
            let _ = length_of(&bytes, 40);
        }
    }
}
