//! Where the bytes of a file come from.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use gst::prelude::*;

use super::atoms::{Atom, children, first, number};
use super::base::make;
use super::error::VideoError;
use super::fragments;

/// Where in the file its source reads, in bytes.
pub(super) type Place = Arc<AtomicU64>;

/// From here on what is left out at the start of a trimmed film matters.
const TRIMMED: Duration = Duration::from_millis(100);

/// A source for a file, and where it reads.
///
/// # Errors
/// [`VideoError::MissingElement`] when GStreamer's own elements are not installed.
pub(super) fn source(path: &Path) -> Result<(gst::Element, Place), VideoError> {
    let source = make("filesrc")?;
    source.set_property("location", path);
    let place = Place::default();
    let patches = File::open(path).and_then(|mut f| patches(&mut f)).unwrap_or_default();
    if let Some(pad) = source.static_pad("src") {
        let at = place.clone();
        // Of every buffer, whether the source hands it on or a demuxer fetches it.
        pad.add_probe(gst::PadProbeType::BUFFER | gst::PadProbeType::PULL, move |_, info| {
            if let Some(buffer) = info.buffer_mut() {
                at.store(buffer.offset() + buffer.size() as u64, Ordering::Relaxed);
                for patch in &patches {
                    patch.apply(buffer);
                }
            }
            gst::PadProbeReturn::Ok
        });
    }
    Ok((source, place))
}

/// Other bytes at a place of a file than those that are there.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Patch {
    at: u64,
    bytes: Vec<u8>,
}

impl Patch {
    /// Changes those of its bytes that a piece of the file holds.
    fn apply(&self, piece: &mut gst::Buffer) {
        let (start, end) = (piece.offset(), piece.offset().saturating_add(piece.size() as u64));
        if self.at >= end || self.at + self.bytes.len() as u64 <= start {
            return;
        }
        let Ok(mut map) = piece.make_mut().map_writable() else { return };
        for (at, byte) in (self.at..).zip(&self.bytes).filter(|(at, _)| (start..end).contains(at)) {
            map[(at - start) as usize] = *byte;
        }
    }
}

/// The places of an MP4 file at which GStreamer's demuxer is shown other bytes than those that are there.
///
/// # Errors
/// When the file cannot be read.
pub fn changed<F: Read + Seek>(file: &mut F) -> io::Result<Vec<u64>> {
    Ok(patches(file)?.iter().map(|patch| patch.at).collect())
}

/// What GStreamer's demuxer must not see of an MP4 file as it is.
fn patches<F: Read + Seek>(file: &mut F) -> io::Result<Vec<Patch>> {
    let length = file.seek(SeekFrom::End(0))?;
    let top = children(file, 0, length)?;
    // In the list of fragments the demuxer takes the times at which frames are shown for those at which they are decoded, and
    // after a seek to the first fragment every frame is told later than it is.
    let list = first(&top, *b"mfra").map(hidden);
    let moov = first(&top, *b"moov");
    let short = moov.map(|moov| short_film(file, moov)).transpose()?.flatten();
    let late = moov.map(|moov| late_film(file, moov)).transpose()?.flatten();
    let longer = moov.map(|moov| longer_film(file, moov, &top)).transpose()?.flatten();
    let length = longer.or(short);
    let trimmed = moov.map(|moov| trimmed_film(file, moov, length.as_ref())).transpose()?.flatten();
    let unfinished = top.last().copied().filter(|last| &last.kind == b"moof").zip(moov);
    let unfinished = unfinished.map(|(moof, moov)| sound_hidden(file, moof, moov)).transpose()?;
    let unfinished = unfinished.into_iter().flatten();
    Ok(list.into_iter().chain(trimmed.or(length)).chain(late).chain(unfinished).collect())
}

/// All tracks of a fragment but the pictures as empty places. After the last fragment of a recording that broke off its content is
/// not all there: the demuxer stops at the first sound that is missing, which is often stored behind all pictures of the fragment.
fn sound_hidden<F: Read + Seek>(file: &mut F, moof: Atom, moov: Atom) -> io::Result<Vec<Patch>> {
    let mut film = None;
    for trak in children(file, moov.start, moov.end)?.iter().filter(|a| &a.kind == b"trak") {
        let inside = children(file, trak.start, trak.end)?;
        let (Some(head), Some(mdia)) = (first(&inside, *b"tkhd"), first(&inside, *b"mdia")) else { continue };
        let Some(handler) = first(&children(file, mdia.start, mdia.end)?, *b"hdlr") else { continue };
        if number(file, handler.start + 8, 4)? == u64::from(u32::from_be_bytes(*b"vide")) {
            film = Some(track_number(file, head)?);
            break;
        }
    }
    let mut patches = Vec::new();
    for traf in children(file, moof.start, moof.end)?.iter().filter(|a| &a.kind == b"traf") {
        let head = first(&children(file, traf.start, traf.end)?, *b"tfhd");
        if film.is_some() && head.map(|h| number(file, h.start + 4, 4)).transpose()? != film {
            patches.push(hidden(*traf));
        }
    }
    Ok(patches)
}

/// The number of a track (ISO/IEC 14496-12, 8.3.2).
fn track_number<F: Read + Seek>(file: &mut F, head: Atom) -> io::Result<u64> {
    let long = number(file, head.start, 1)? == 1;
    number(file, head.start + if long { 20 } else { 12 }, 4)
}

/// A box as an empty place.
fn hidden(atom: Atom) -> Patch {
    Patch { at: atom.start - 4, bytes: b"free".to_vec() }
}

/// The length of the video track in the place of the file's, where an MP4 file lasts more than four times as long.
///
/// GStreamer's demuxer leaves out a track that is shorter than a fifth of the file: it takes it for a preview. So a
/// film with much longer sound would be sound alone.
fn short_film<F: Read + Seek>(file: &mut F, moov: Atom) -> io::Result<Option<Patch>> {
    let inside = children(file, moov.start, moov.end)?;
    let Some(head) = first(&inside, *b"mvhd") else { return Ok(None) };
    let whole = Clock::read(file, head)?;
    for trak in inside.iter().filter(|a| &a.kind == b"trak") {
        let Some(film) = film_of(file, *trak)? else { continue };
        let lasts = (u128::from(film.lasts) * u128::from(whole.ticks)).div_ceil(film.ticks.max(1).into());
        let lasts = u64::try_from(lasts).unwrap_or(u64::MAX);
        if film.ticks == 0 || lasts == 0 || whole.lasts / 4 <= lasts {
            return Ok(None);
        }
        return Ok(Some(whole.patch(lasts)));
    }
    Ok(None)
}

/// By how much a file is told to last longer than it does: see [`trimmed_film`].
///
/// # Errors
/// When the file cannot be read.
pub(super) fn lead(path: &Path) -> io::Result<Duration> {
    let mut file = File::open(path)?;
    let length = file.seek(SeekFrom::End(0))?;
    let moov = first(&children(&mut file, 0, length)?, *b"moov");
    moov.map_or(Ok(Duration::ZERO), |moov| lead_of(&mut file, moov))
}

/// How much of its tracks a trimmed MP4 file leaves out at its start, at most (ISO/IEC 14496-12, 8.6.6).
fn lead_of<F: Read + Seek>(file: &mut F, moov: Atom) -> io::Result<Duration> {
    let mut most = Duration::ZERO;
    for trak in children(file, moov.start, moov.end)?.iter().filter(|a| &a.kind == b"trak") {
        let inside = children(file, trak.start, trak.end)?;
        let (Some(edts), Some(mdia)) = (first(&inside, *b"edts"), first(&inside, *b"mdia")) else { continue };
        let head = first(&children(file, mdia.start, mdia.end)?, *b"mdhd");
        let edits = first(&children(file, edts.start, edts.end)?, *b"elst");
        let (Some(head), Some(edits)) = (head, edits) else { continue };
        let (ticks, wide) = (Clock::read(file, head)?.ticks, number(file, edits.start, 1)? == 1);
        let (entry, width) = if wide { (20, 8) } else { (12, 4) };
        // Nothing may come first, and be shown for some time.
        for n in 0..number(file, edits.start + 4, 4)?.min(2) {
            let begin = number(file, edits.start + 8 + n * entry + width, width as usize)?;
            if ticks > 0 && begin < 1 << (8 * width - 1) {
                let nanos = u128::from(begin) * 1_000_000_000 / u128::from(ticks);
                most = most.max(Duration::from_nanos(u64::try_from(nanos).unwrap_or(u64::MAX)));
                break;
            }
        }
    }
    // Many films begin one or two frames within their tracks; no key frame comes so late.
    Ok(if most < TRIMMED { Duration::ZERO } else { most })
}

/// A length of the file that counts what a trimmed film leaves out at its start.
///
/// GStreamer's demuxer compares times that are counted from the start of the track with the end of the film: it ends at the first key
/// frame behind it.
fn trimmed_film<F: Read + Seek>(
    file: &mut F,
    moov: Atom,
    length: Option<&Patch>,
) -> io::Result<Option<Patch>> {
    let lead = lead_of(file, moov)?;
    let Some(head) = first(&children(file, moov.start, moov.end)?, *b"mvhd") else { return Ok(None) };
    let whole = Clock::read(file, head)?;
    let now = length.map_or(whole.lasts, |p| p.bytes.iter().fold(0, |n, byte| n << 8 | u64::from(*byte)));
    if lead.is_zero() || now == 0 {
        return Ok(None);
    }
    let more = (lead.as_nanos() * u128::from(whole.ticks)).div_ceil(1_000_000_000);
    let lasts = now.saturating_add(u64::try_from(more).unwrap_or(u64::MAX));
    Ok((whole.width == 8 || lasts < u64::from(u32::MAX)).then(|| whole.patch(lasts)))
}

/// The length of all fragments in the place of the file's, where the header of the file lists frames and fragments follow. The header
/// then says how long its own frames last. Where fragments are only announced, the length counts what the first frame is late.
///
/// GStreamer's demuxer leaves out frames that are shown after the end it knows of, until it comes to the next fragment.
fn longer_film<F: Read + Seek>(file: &mut F, moov: Atom, top: &[Atom]) -> io::Result<Option<Patch>> {
    let inside = children(file, moov.start, moov.end)?;
    let Some(head) = first(&inside, *b"mvhd") else { return Ok(None) };
    let whole = Clock::read(file, head)?;
    for trak in inside.iter().filter(|a| &a.kind == b"trak") {
        let Some(film) = film_of(file, *trak)?.filter(|f| f.ticks > 0) else { continue };
        let Some(head) = first(&children(file, trak.start, trak.end)?, *b"tkhd") else { return Ok(None) };
        let number = track_number(file, head)?;
        let announced = first(&inside, *b"mvex").is_some();
        let end = match fragments::end(file, top, moov, number)? {
            None if announced => late_end(file, *trak, &film)?,
            end => end,
        };
        let Some(end) = end else { return Ok(None) };
        let lasts = (u128::from(end) * u128::from(whole.ticks)).div_ceil(film.ticks.into());
        let lasts = u64::try_from(lasts).unwrap_or(u64::MAX);
        let fits = whole.width == 8 || lasts < u64::from(u32::MAX);
        return Ok((lasts > whole.lasts && fits).then(|| whole.patch(lasts)));
    }
    Ok(None)
}

/// The length of the video track with what its first frame is late, where no edit list says that the footage begins with that frame.
///
/// GStreamer's demuxer shows nothing after the track's length. Frames that are shown later than decoded would be missing at the end.
fn late_film<F: Read + Seek>(file: &mut F, moov: Atom) -> io::Result<Option<Patch>> {
    for trak in children(file, moov.start, moov.end)?.iter().filter(|a| &a.kind == b"trak") {
        let Some(film) = film_of(file, *trak)? else { continue };
        let lasts = late_end(file, *trak, &film)?;
        let fits = |lasts: &u64| film.width == 8 || *lasts < u64::from(u32::MAX);
        return Ok(lasts.filter(fits).map(|lasts| film.patch(lasts)));
    }
    Ok(None)
}

/// When the last frame of such a track ends, in its ticks; `None` for other tracks.
fn late_end<F: Read + Seek>(file: &mut F, trak: Atom, film: &Clock) -> io::Result<Option<u64>> {
    let mut place = trak;
    let has_edits = first(&children(file, trak.start, trak.end)?, *b"edts").is_some();
    for kind in [b"mdia", b"minf", b"stbl", b"ctts"] {
        let Some(inner) = first(&children(file, place.start, place.end)?, *kind) else { return Ok(None) };
        place = inner;
    }
    if has_edits || film.lasts == 0 || place.end - place.start < 16 {
        return Ok(None);
    }
    // A shift may be negative (ISO/IEC 14496-12, 8.6.1.3).
    let late = number(file, place.start + 12, 4)?;
    Ok((late > 0 && late < 1 << 31).then(|| film.lasts.saturating_add(late)))
}

/// The clock of a track, if it has pictures that move.
fn film_of<F: Read + Seek>(file: &mut F, trak: Atom) -> io::Result<Option<Clock>> {
    let Some(mdia) = first(&children(file, trak.start, trak.end)?, *b"mdia") else { return Ok(None) };
    let media = children(file, mdia.start, mdia.end)?;
    let inner = |file: &mut F, of: Option<Atom>, kind| match of {
        Some(atom) => children(file, atom.start, atom.end).map(|all| first(&all, kind)),
        None => Ok(None),
    };
    let stbl = inner(file, first(&media, *b"minf"), *b"stbl")?;
    let (Some(handler), Some(head), Some(sizes)) =
        (first(&media, *b"hdlr"), first(&media, *b"mdhd"), inner(file, stbl, *b"stsz")?)
    else {
        return Ok(None);
    };
    let moves = number(file, sizes.start + 8, 4)? > 1;
    let film = moves && number(file, handler.start + 8, 4)? == u64::from(u32::from_be_bytes(*b"vide"));
    film.then(|| Clock::read(file, head)).transpose()
}

/// How many ticks a second a header counts in, and how many of them it says it lasts (ISO/IEC 14496-12, 8.2.2, 8.4.2).
struct Clock {
    ticks: u64,
    lasts: u64,
    /// Where the length stands, and in how many bytes.
    at: u64,
    width: usize,
}

impl Clock {
    fn read<F: Read + Seek>(file: &mut F, head: Atom) -> io::Result<Self> {
        let long = number(file, head.start, 1)? == 1;
        let (ticks, at, width) = if long { (20, 24, 8) } else { (12, 16, 4) };
        let at = head.start + at;
        Ok(Self { ticks: number(file, head.start + ticks, 4)?, lasts: number(file, at, width)?, at, width })
    }

    fn patch(&self, lasts: u64) -> Patch {
        Patch { at: self.at, bytes: lasts.to_be_bytes()[8 - self.width..].to_vec() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn atom(kind: &[u8], content: &[u8]) -> Vec<u8> {
        [&(content.len() as u32 + 8).to_be_bytes()[..], kind, content].concat()
    }

    fn words(all: &[u32]) -> Vec<u8> {
        all.iter().flat_map(|w| w.to_be_bytes()).collect()
    }

    /// A file of so many milliseconds with a film of so many frames and ticks of 1/90,000 s.
    fn file(lasts: u32, frames: u32, ticks: u32) -> Vec<u8> {
        let sizes = atom(b"stbl", &atom(b"stsz", &words(&[0, 1, frames])));
        let media = [
            atom(b"mdhd", &words(&[0, 0, 0, 90_000, ticks, 0])),
            atom(b"hdlr", &[&[0; 8], &b"vide"[..], &[0; 12]].concat()),
            atom(b"minf", &sizes),
        ];
        let trak = atom(b"trak", &atom(b"mdia", &media.concat()));
        atom(b"moov", &[atom(b"mvhd", &words(&[0, 0, 0, 1000, lasts, 0])), trak].concat())
    }

    #[test]
    fn a_film_much_shorter_than_its_file_is_given_its_own_length() {
        let of = |lasts, frames, ticks| patches(&mut io::Cursor::new(file(lasts, frames, ticks))).unwrap();
        let patch = Patch { at: 32, bytes: 10_000u32.to_be_bytes().to_vec() };
        assert_eq!(of(60_000, 300, 900_000), [patch]);
        assert_eq!(of(40_000, 300, 900_000), [], "not so much longer");
        assert_eq!(of(60_000, 1, 900_000), [], "a preview is one picture");
        assert_eq!(of(60_000, 300, 0), []);
    }

    #[test]
    fn a_list_of_fragments_is_hidden() {
        let before = atom(b"moof", b"1234");
        let bytes = [before.clone(), atom(b"mfra", b"1234")].concat();
        let patch = Patch { at: before.len() as u64 + 4, bytes: b"free".to_vec() };
        assert_eq!(patches(&mut io::Cursor::new(bytes)).unwrap(), [patch]);
    }

    #[test]
    fn of_a_last_fragment_without_all_its_content_the_sound_is_hidden() {
        let track = |id: u32, kind: &[u8; 4]| {
            let handler = atom(b"hdlr", &[&[0; 8], &kind[..], &[0; 12]].concat());
            atom(b"trak", &[atom(b"tkhd", &words(&[0, 0, 0, id])), atom(b"mdia", &handler)].concat())
        };
        let moov = atom(b"moov", &[track(1, b"soun"), track(2, b"vide")].concat());
        let part = |id: u32| atom(b"traf", &atom(b"tfhd", &words(&[0, id])));
        let moof = atom(b"moof", &[part(2), part(1)].concat());
        let of = |rest: &[u8]| {
            patches(&mut io::Cursor::new([&moov[..], &moof, &atom(b"mdat", b"1234"), &moof, rest].concat()))
        };
        let at = (moov.len() + 2 * moof.len() + 12 - part(1).len()) as u64 + 4;
        assert_eq!(of(b"\0\0\0\x0cmdat12").unwrap(), [Patch { at, bytes: b"free".to_vec() }]);
        assert_eq!(of(&atom(b"mdat", b"1234")).unwrap(), []);
    }

    #[test]
    fn only_the_bytes_that_are_in_a_piece_are_changed() {
        gst::init().unwrap();
        let patch = Patch { at: 10, bytes: vec![1, 2, 3, 4] };
        for (offset, wanted) in [(8, [0, 0, 1, 2]), (12, [3, 4, 0, 0]), (4, [0; 4]), (14, [0; 4])] {
            let mut piece = gst::Buffer::from_mut_slice(vec![0u8; 4]);
            piece.get_mut().unwrap().set_offset(offset);
            patch.apply(&mut piece);
            assert_eq!(piece.map_readable().unwrap().as_slice(), wanted);
        }
    }

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(at in 0usize..60, word in any::<u32>(), cut in 0usize..240) {
            let mut bytes = file(60_000, 300, 900_000);
            if let Some(place) = bytes.get_mut(at * 4..at * 4 + 4) {
                place.copy_from_slice(&word.to_be_bytes());
            }
            bytes.truncate(cut);
            let _ = patches(&mut io::Cursor::new(&bytes));
        }
    }
}
