//! Where an MP4 file keeps the samples of its pictures and its sound (ISO/IEC 14496-12).
//!
//! As in `table.rs`, only what is common in camera files is understood: one edit, no fragments, one description.

use std::io::{self, Read, Seek, SeekFrom};
use std::time::Duration;

use super::super::atoms::{children, first, u32_at, u64_at};
use super::super::table::{Edit, run_lengths};
use crate::time::MatchTime;

/// A header of more bytes is not believed.
const MOST_BYTES: u64 = 128 << 20;
/// More samples in a track are not listed.
const MOST: usize = 4_000_000;
/// Nanoseconds a second.
const SECOND: i128 = 1_000_000_000;

/// One sample: a coded picture, or some sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Sample {
    /// Where it begins in the file.
    pub(super) place: u64,
    /// Its bytes.
    pub(super) size: u32,
    /// When it is shown, on the track's own clock, before its edit list, in ticks.
    pub(super) at: i64,
    /// How long it lasts, in ticks: to the next in the order of decoding.
    pub(super) lasts: u32,
    /// Whether it can be decoded alone.
    pub(super) key: bool,
}

/// One track.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Track {
    /// Ticks a second.
    pub(super) clock: u32,
    /// How the picture is turned, its width and its height, as the track's header has them.
    pub(super) look: Vec<u8>,
    /// The description of its samples, as the file has it.
    pub(super) entry: Vec<u8>,
    /// Its samples, in the order of decoding.
    pub(super) samples: Vec<Sample>,
    /// From which moment of its own clock it is shown, in ticks.
    begin: i64,
    /// After how many nanoseconds of the film.
    after: i128,
}

impl Track {
    /// When a sample is shown in the film, in ticks of the track.
    pub(super) fn shown(&self, sample: &Sample) -> i64 {
        sample.at - self.begin + self.rounded(self.after)
    }

    /// Whether a sample begins before the film does.
    pub(super) fn is_before(&self, sample: &Sample) -> bool {
        sample.at < self.begin
    }

    /// A moment of the film in ticks of the track.
    pub(super) fn ticks(&self, t: MatchTime) -> i64 {
        self.rounded(i128::from(t.nanos()))
    }

    /// A length in ticks.
    pub(super) fn ticks_of(&self, d: Duration) -> i64 {
        self.rounded(d.as_nanos() as i128)
    }

    fn rounded(&self, nanos: i128) -> i64 {
        ((nanos * i128::from(self.clock) + SECOND / 2) / SECOND) as i64
    }
}

/// The pictures of a film, and its sound.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Film {
    pub(super) pictures: Track,
    pub(super) sound: Option<Track>,
}

/// What is not understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Strange {
    /// It is no MP4, or has no lists of samples as they are read here.
    Container,
    /// Its sound is neither AAC nor MP3, or its lists are not understood.
    Sound,
}

/// Reads the lists of the first track with pictures and of the first with sound.
///
/// # Errors
/// When the file cannot be read.
pub(super) fn read<F: Read + Seek>(file: &mut F) -> io::Result<Result<Film, Strange>> {
    let length = file.seek(SeekFrom::End(0))?;
    let top = children(file, 0, length)?;
    let moov = first(&top, *b"moov").filter(|a| a.end - a.start <= MOST_BYTES);
    let Some(moov) = moov.filter(|_| first(&top, *b"moof").is_none()) else {
        return Ok(Err(Strange::Container));
    };
    file.seek(SeekFrom::Start(moov.start))?;
    let mut bytes = Vec::new();
    file.take(moov.end - moov.start).read_to_end(&mut bytes)?;
    Ok(film(&bytes, length))
}

fn film(moov: &[u8], length: u64) -> Result<Film, Strange> {
    let film_clock = inner(moov, *b"mvhd").and_then(clock).ok_or(Strange::Container)?;
    if inner(moov, *b"mvex").is_some() {
        return Err(Strange::Container);
    }
    let kind = |trak: &[u8]| inside(trak, &[*b"mdia", *b"hdlr"]).and_then(|h| h.get(8..12)?.try_into().ok());
    let of = |wanted: &[u8; 4]| inners(moov).find(|(k, t)| k == b"trak" && kind(t) == Some(*wanted));
    let pictures = of(b"vide").and_then(|(_, t)| track(t, film_clock, length)).ok_or(Strange::Container)?;
    let sound = match of(b"soun") {
        None => None,
        Some((_, trak)) => {
            let sound = track(trak, film_clock, length).ok_or(Strange::Sound)?;
            let aac = sound.entry.get(12..16) == Some(b"mp4a");
            Some(Some(sound).filter(|_| aac).ok_or(Strange::Sound)?)
        }
    };
    Ok(Film { pictures, sound })
}

fn track(trak: &[u8], film_clock: u32, length: u64) -> Option<Track> {
    let header = inner(trak, *b"tkhd")?;
    let look = header.get(if header.first() == Some(&1) { 52..96 } else { 40..84 })?.to_vec();
    let clock = clock(inside(trak, &[*b"mdia", *b"mdhd"])?)?;
    let stbl = inside(trak, &[*b"mdia", *b"minf", *b"stbl"])?;
    let entry = inner(stbl, *b"stsd").filter(|e| u32_at(e, 4) == Some(1))?.to_vec();
    let edit = Edit::of(inside(trak, &[*b"edts", *b"elst"]), film_clock)?;
    let (after, begin) = (i128::from(edit.after), i64::try_from(edit.begin).ok()?);
    let samples = samples(stbl, length)?;
    Some(Track { clock, look, entry, samples, begin, after })
}

/// All samples of a track, in the order of decoding (8.6 and 8.7).
fn samples(stbl: &[u8], length: u64) -> Option<Vec<Sample>> {
    let sizes = inner(stbl, *b"stsz")?;
    let n = u32_at(sizes, 8).map(|n| n as usize).filter(|n| (1..=MOST).contains(n))?;
    let same = u32_at(sizes, 4)?;
    let size = |i: usize| if same == 0 { u32_at(sizes, 12 + 4 * i) } else { Some(same) };
    let times: Vec<u32> = run_lengths(inner(stbl, *b"stts")?, n)?.collect();
    let shifts = match inner(stbl, *b"ctts") {
        Some(bytes) => run_lengths(bytes, n)?.collect(),
        None => vec![0; n],
    };
    let mut keys = vec![inner(stbl, *b"stss").is_none(); n];
    if let Some(bytes) = inner(stbl, *b"stss") {
        for i in 0..u32_at(bytes, 4)? as usize {
            *keys.get_mut((u32_at(bytes, 8 + 4 * i)? as usize).checked_sub(1)?)? = true;
        }
    }
    let places = places(stbl, n, &size)?;
    let mut decoded = 0i64;
    let mut all = Vec::with_capacity(n);
    for (i, place) in places.into_iter().enumerate() {
        let size = size(i)?;
        place.checked_add(u64::from(size)).filter(|end| *end <= length)?;
        let at = decoded.checked_add(i64::from(shifts[i].cast_signed()))?;
        all.push(Sample { place, size, at, lasts: times[i], key: keys[i] });
        decoded = decoded.checked_add(i64::from(times[i]))?;
    }
    Some(all)
}

/// Where each sample begins. All must have the first description.
fn places(stbl: &[u8], n: usize, size: &dyn Fn(usize) -> Option<u32>) -> Option<Vec<u64>> {
    let chunks = inner(stbl, *b"stsc")?;
    let many = u32_at(chunks, 4)? as usize;
    let run = |i: usize| {
        let at = 8 + 12 * i;
        (i < many).then(|| Some((u32_at(chunks, at)?, u32_at(chunks, at + 4)?, u32_at(chunks, at + 8)?)))?
    };
    let (near, far) = (inner(stbl, *b"stco"), inner(stbl, *b"co64"));
    let offsets = far.or(near)?;
    let offset = |i: usize| match far {
        Some(_) => u64_at(offsets, 8 + 8 * i),
        None => u32_at(offsets, 8 + 4 * i).map(u64::from),
    };
    let mut all = Vec::with_capacity(n);
    let mut at_run = 0;
    for chunk in 0..u32_at(offsets, 4)? {
        while run(at_run + 1).is_some_and(|r| r.0 <= chunk + 1) {
            at_run += 1;
        }
        let (_, samples, description) = run(at_run)?;
        let mut place = offset(chunk as usize)?;
        for _ in 0..samples {
            if all.len() == n {
                return (description == 1).then_some(all);
            }
            all.push(place);
            place = place.checked_add(u64::from(size(all.len() - 1)?))?;
        }
        (description == 1).then_some(())?;
    }
    (all.len() == n).then_some(all)
}

/// The ticks a second that a header says.
fn clock(head: &[u8]) -> Option<u32> {
    u32_at(head, if head.first() == Some(&1) { 20 } else { 12 }).filter(|t| *t > 0)
}

/// The boxes in some bytes, each its kind and content, up to the first that is not all there.
pub(super) fn inners(bytes: &[u8]) -> impl Iterator<Item = ([u8; 4], &[u8])> {
    let mut rest = bytes;
    std::iter::from_fn(move || {
        let size = u32_at(rest, 0)? as usize;
        let kind: [u8; 4] = rest.get(4..8)?.try_into().ok()?;
        let content = rest.get(8..size)?;
        rest = &rest[size..];
        Some((kind, content))
    })
}

/// The content of the first box of a kind.
pub(super) fn inner(bytes: &[u8], kind: [u8; 4]) -> Option<&[u8]> {
    inners(bytes).find(|(k, _)| *k == kind).map(|(_, content)| content)
}

fn inside<'a>(bytes: &'a [u8], kinds: &[[u8; 4]]) -> Option<&'a [u8]> {
    kinds.iter().try_fold(bytes, |bytes, kind| inner(bytes, *kind))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn no_header_makes_it_panic_or_run_on(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
            let mut file = 8u32.to_be_bytes().to_vec();
            file.extend(b"ftyp");
            file.extend((bytes.len() as u32 + 8).to_be_bytes());
            file.extend(b"moov");
            file.extend(&bytes);
            let _ = read(&mut io::Cursor::new(&file)).unwrap();
            let _ = (samples(&bytes, 1000), inners(&bytes).count());
        }
    }
}
