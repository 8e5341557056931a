//! The frames that an MP4 file lists in its header (ISO/IEC 14496-12), so that its pictures need not be read through.
//!
//! Only what is common in camera files is understood; for all else there is no answer, and the file is read through. The
//! answer itself is believed only after GStreamer read the same from the start of the file: see [`super::scan`].

use std::io::{self, Read, Seek, SeekFrom};
use std::time::Duration;

use super::atoms::{Atom, children, u32_at, u64_at};
use crate::frames::FrameIndex;
use crate::time::MatchTime;

/// More frames than nine hours at 60 a second are not listed but made up.
const MOST_FRAMES: usize = 2_000_000;
/// No table of so many frames is longer.
const MOST_BYTES: u64 = 16 * MOST_FRAMES as u64;
const SECOND: u128 = 1_000_000_000;

/// What a file lists of its first video track.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Listed {
    /// When each frame is shown and whether it is a key frame, in the order of the file.
    pub frames: Vec<(MatchTime, bool)>,
    /// The frame shown last, and how long.
    pub last: Option<(MatchTime, Duration)>,
    /// Whether the file has a key frame before the first that is shown, from which that one can be decoded.
    pub led_in: bool,
}

impl Listed {
    /// The index of the frames; `None` when there is none.
    pub(super) fn index(&self) -> Option<FrameIndex> {
        let mut frames = self.frames.clone();
        if let Some(first) = frames.iter_mut().min_by_key(|f| f.0).filter(|_| self.led_in) {
            first.1 = true;
        }
        FrameIndex::new(frames, self.last.map(|l| l.1))
    }

    /// Every frame is shown so much later.
    pub(super) fn shift(&mut self, by: Duration) {
        self.frames.iter_mut().for_each(|f| f.0 = f.0.later(by));
        self.last = self.last.map(|(t, length)| (t.later(by), length));
    }

    /// Takes the next frame in.
    pub(super) fn push(&mut self, t: MatchTime, length: Duration, key: bool) {
        self.frames.push((t, key));
        if self.last.is_none_or(|l| l.0 <= t) {
            self.last = Some((t, length));
        }
    }
}

/// The frames of the first video track that an MP4 or MOV file lists; `None` for any other file, and where the lists are
/// not all there, do not fit the file, or say more than is understood here (fragments, several edits).
///
/// # Errors
/// When the file cannot be read.
pub fn listed<F: Read + Seek>(file: &mut F) -> io::Result<Option<Listed>> {
    let length = file.seek(SeekFrom::End(0))?;
    let top = children(file, 0, length)?;
    let Some(moov) = only(&top, *b"moov").filter(|_| !has(&top, *b"moof")) else { return Ok(None) };
    let inside = children(file, moov.start, moov.end)?;
    let Some(head) = only(&inside, *b"mvhd").filter(|_| !has(&inside, *b"mvex")) else { return Ok(None) };
    let Some((film_clock, _)) = clock(file, head)? else { return Ok(None) };
    for trak in inside.iter().filter(|a| &a.kind == b"trak") {
        if let Some(track) = Track::read(file, *trak)? {
            return Ok(track.listed(film_clock, length));
        }
    }
    Ok(None)
}

fn has(atoms: &[Atom], kind: [u8; 4]) -> bool {
    atoms.iter().any(|a| a.kind == kind)
}

/// The one box of its kind.
fn only(atoms: &[Atom], kind: [u8; 4]) -> Option<Atom> {
    let mut all = atoms.iter().filter(|a| a.kind == kind);
    all.next().copied().filter(|_| all.next().is_none())
}

/// The content of a box, if it is no longer than any that is believed.
fn content<F: Read + Seek>(file: &mut F, atom: Atom) -> io::Result<Option<Vec<u8>>> {
    let length = atom.end - atom.start;
    if length > MOST_BYTES + 64 {
        return Ok(None);
    }
    file.seek(SeekFrom::Start(atom.start))?;
    let mut bytes = Vec::new();
    file.take(length).read_to_end(&mut bytes)?;
    Ok(Some(bytes))
}

/// The ticks a second of a movie's or a track's header, and how many of them it says it lasts, if it does (8.2.2, 8.4.2).
fn clock<F: Read + Seek>(file: &mut F, head: Atom) -> io::Result<Option<(u32, Option<u64>)>> {
    let Some(bytes) = content(file, head)? else { return Ok(None) };
    let long = bytes.first() == Some(&1);
    let lasts = if long { u64_at(&bytes, 24) } else { u32_at(&bytes, 16).map(u64::from) };
    let ticks = u32_at(&bytes, if long { 20 } else { 12 });
    Ok(ticks.filter(|t| *t > 0).map(|t| (t, lasts.filter(|l| *l > 0))))
}

/// The entries of a table: `head` bytes, the last four of which say how many there are, then the entries.
fn entries(bytes: &[u8], head: usize, size: usize) -> Option<impl Iterator<Item = &[u8]> + Clone> {
    let n = u32_at(bytes, head.checked_sub(4)?)? as usize;
    let all = bytes.get(head..head.checked_add(n.checked_mul(size)?)?)?;
    Some(all.chunks_exact(size))
}

/// The lists of one track, as they are in the file.
struct Track {
    clock: u32,
    lasts: Option<u64>,
    edits: Option<Vec<u8>>,
    times: Vec<u8>,
    shifts: Option<Vec<u8>>,
    /// The header of the shifts, which says how far all are moved.
    all_shifts: Option<Vec<u8>>,
    keys: Option<Vec<u8>>,
    sizes: Vec<u8>,
    chunks: Vec<u8>,
    offsets: Vec<u8>,
    wide: bool,
}

impl Track {
    /// The lists of a track with pictures; a list that is missing is empty, and understood by nobody.
    fn read<F: Read + Seek>(file: &mut F, trak: Atom) -> io::Result<Option<Self>> {
        let inside = children(file, trak.start, trak.end)?;
        let Some(mdia) = only(&inside, *b"mdia") else { return Ok(None) };
        let media = children(file, mdia.start, mdia.end)?;
        let mut read = |atoms: &[Atom], kind| match only(atoms, kind) {
            Some(atom) => content(file, atom),
            None => Ok(None),
        };
        if read(&media, *b"hdlr")?.as_deref().and_then(|h| h.get(8..12)) != Some(b"vide") {
            return Ok(None);
        }
        let (Some(head), Some(minf)) = (only(&media, *b"mdhd"), only(&media, *b"minf")) else {
            return Ok(None);
        };
        let (clock, lasts) = clock(file, head)?.unwrap_or_default();
        let edits = match only(&inside, *b"edts") {
            Some(edts) => only(&children(file, edts.start, edts.end)?, *b"elst"),
            None => None,
        };
        let edits = edits.map(|e| content(file, e)).transpose()?.flatten();
        let Some(stbl) = only(&children(file, minf.start, minf.end)?, *b"stbl") else { return Ok(None) };
        let tables = children(file, stbl.start, stbl.end)?;
        let mut read = |kind| match only(&tables, kind) {
            Some(atom) => content(file, atom),
            None => Ok(None),
        };
        let (near, far) = (read(*b"stco")?, read(*b"co64")?);
        Ok(Some(Self {
            clock,
            lasts,
            edits,
            times: read(*b"stts")?.unwrap_or_default(),
            shifts: read(*b"ctts")?,
            all_shifts: read(*b"cslg")?,
            keys: read(*b"stss")?,
            sizes: read(*b"stsz")?.unwrap_or_default(),
            chunks: read(*b"stsc")?.unwrap_or_default(),
            wide: far.is_some(),
            offsets: far.or(near).unwrap_or_default(),
        }))
    }

    fn listed(&self, film_clock: u32, file: u64) -> Option<Listed> {
        let n = u32_at(&self.sizes, 8).map(|n| n as usize).filter(|n| (1..=MOST_FRAMES).contains(n))?;
        self.fits(n, file).then_some(())?;
        let edit = Edit::of(self.edits.as_deref(), film_clock)?;
        let nanos = |ticks: u64| nanos(ticks, self.clock);
        let moved = self.moved()?;
        let begin = nanos(edit.begin.checked_add(moved)?)?;
        // Nothing is shown after the end that is said.
        let lasts = match edit.lasts {
            None => self.lasts.map_or(Some(u64::MAX), |l| nanos(l.checked_add(self.late()?)?))?,
            Some(lasts) => lasts,
        };
        let (mut listed, mut decoded) = (Listed::default(), 0u64);
        let (mut shifts, mut keys) = (self.shifts(n)?, self.keys(n)?);
        for (length, key) in self.times(n)?.zip(keys.by_ref()) {
            let (shift, next) = (shifts.next()?, decoded.checked_add(u64::from(length))?);
            let shown = nanos(decoded.checked_add(moved)?.checked_add_signed(shift)?)?;
            // As GStreamer takes it: from decoding time to decoding time.
            let length = nanos(next)? - nanos(decoded)?;
            decoded = next;
            // A frame that starts before the footage does is left out, as in other players, also if it is still on screen then.
            let Some(t) = shown.checked_sub(begin) else {
                listed.led_in |= key;
                continue;
            };
            if t >= lasts {
                return None;
            }
            listed.push(MatchTime::from_nanos(edit.after + t), Duration::from_nanos(length), key);
        }
        // Where frames are stored in another order than they are shown, the last one's time to the next may hold what all
        // are shown later than decoded; then the end of the track says how long it is shown.
        if let (Some((t, length)), Some(_)) = (&mut listed.last, &self.shifts) {
            let end = nanos(decoded.checked_add(moved)?)?.min(begin.saturating_add(lasts));
            let left = end.saturating_sub(begin).saturating_sub(t.nanos() - edit.after);
            if left > 0 {
                *length = Duration::from_nanos(left).min(*length);
            }
        }
        (!listed.frames.is_empty()).then_some(listed)
    }

    /// How long each frame lasts, in ticks (8.6.1.2).
    fn times(&self, n: usize) -> Option<impl Iterator<Item = u32>> {
        run_lengths(&self.times, n)
    }

    /// How much later than decoded each frame is shown, in ticks (8.6.1.3).
    fn shifts(&self, n: usize) -> Option<Box<dyn Iterator<Item = i64> + '_>> {
        let Some(bytes) = &self.shifts else { return Some(Box::new(std::iter::repeat_n(0, n))) };
        Some(Box::new(run_lengths(bytes, n)?.map(|s| i64::from(s.cast_signed()))))
    }

    /// How much later than decoded the first frame is shown, in ticks. Without an edit list all are shown so much later.
    fn late(&self) -> Option<u64> {
        let first = self.shifts(1)?.next()?;
        Some(if self.edits.is_none() { u64::try_from(first).unwrap_or(0) } else { 0 })
    }

    /// How far all frames are moved so that none is shown before it is decoded, in ticks: as the file says (8.6.1.4), else
    /// as far as is needed. The start of the footage moves with them.
    fn moved(&self) -> Option<u64> {
        let Some(bytes) = &self.shifts else { return Some(0) };
        if let Some(said) = &self.all_shifts {
            return u32_at(said, 4).map(u64::from);
        }
        let least = entries(bytes, 8, 8)?.filter_map(|e| u32_at(e, 4)).map(u32::cast_signed).min();
        Some(u64::from(least.unwrap_or(0).min(0).unsigned_abs()))
    }

    /// Whether each frame is a key frame (8.6.2). Without the list all are.
    fn keys(&self, n: usize) -> Option<impl Iterator<Item = bool>> {
        let mut keys = vec![self.keys.is_none(); n];
        if let Some(bytes) = &self.keys {
            for number in entries(bytes, 8, 4)? {
                *keys.get_mut((u32_at(number, 0)? as usize).checked_sub(1)?)? = true;
            }
        }
        Some(keys.into_iter())
    }

    /// Whether all `n` frames lie within the file (8.7.3 to 8.7.5): one that broke off does not have what it lists.
    fn fits(&self, n: usize, file: u64) -> bool {
        self.places(n).is_some_and(|end| end <= file)
    }

    /// Where the last byte of any of the frames is, or how long they are together if that is more: no two share bytes.
    fn places(&self, n: usize) -> Option<u64> {
        let same = u64::from(u32_at(&self.sizes, 4)?);
        let mut sizes: Box<dyn Iterator<Item = u64>> = if same == 0 {
            Box::new(entries(&self.sizes, 12, 4)?.map(|e| u64::from(u32_at(e, 0).unwrap_or(u32::MAX))))
        } else {
            Box::new(std::iter::repeat_n(same, n))
        };
        let runs: Vec<(u32, u32)> = entries(&self.chunks, 8, 12)?
            .map(|e| Some((u32_at(e, 0)?, u32_at(e, 4)?)))
            .collect::<Option<_>>()?;
        let (mut run, mut left, mut most, mut sum) = (0, n, 0, 0u64);
        let width = if self.wide { 8 } else { 4 };
        for (i, entry) in entries(&self.offsets, 8, width)?.enumerate() {
            let offset = if self.wide { u64_at(entry, 0)? } else { u64::from(u32_at(entry, 0)?) };
            while runs.get(run + 1).is_some_and(|r| r.0 as usize <= i + 1) {
                run += 1;
            }
            let many = (runs.get(run).filter(|r| r.0 as usize <= i + 1)?.1 as usize).min(left);
            let length = (0..many).map(|_| sizes.next()).sum::<Option<u64>>()?;
            (left, most) = (left - many, most.max(offset.checked_add(length)?));
            sum = sum.checked_add(length)?;
        }
        (left == 0).then_some(most.max(sum))
    }
}

/// The values of a table of counts and values, one for each of `n` frames; `None` when it has not so many.
pub(super) fn run_lengths(bytes: &[u8], n: usize) -> Option<impl Iterator<Item = u32> + '_> {
    let all = entries(bytes, 8, 8)?;
    let pair = |e: &[u8]| (u32_at(e, 0).unwrap_or(0) as usize, u32_at(e, 4).unwrap_or(0));
    let many: usize = all.clone().map(|e| pair(e).0).fold(0, usize::saturating_add);
    (many >= n).then(|| all.flat_map(move |e| std::iter::repeat_n(pair(e).1, pair(e).0)).take(n))
}

/// Ticks as nanoseconds, rounded down as GStreamer does; none without a clock, or in a century.
fn nanos(ticks: u64, clock: u32) -> Option<u64> {
    let nanos = (u128::from(ticks) * SECOND).checked_div(u128::from(clock))?;
    u64::try_from(nanos).ok().filter(|n| *n < 1 << 62)
}

/// Which part of a track is shown (8.6.6).
#[derive(Debug, Default)]
pub(super) struct Edit {
    /// Where it begins in the track, in the track's ticks.
    pub(super) begin: u64,
    /// After how many nanoseconds of the footage.
    pub(super) after: u64,
    /// For how many nanoseconds, if that is said.
    lasts: Option<u64>,
}

impl Edit {
    /// Nothing for some time, then one part at its own speed: all else is not understood.
    pub(super) fn of(bytes: Option<&[u8]>, film_clock: u32) -> Option<Self> {
        let Some(bytes) = bytes else { return Some(Self::default()) };
        let long = bytes.first() == Some(&1);
        let nanos = |ticks: u64| nanos(ticks, film_clock);
        let mut this: Option<Self> = None;
        let mut before = 0u64;
        for e in entries(bytes, 8, if long { 20 } else { 12 })? {
            let (lasts, begin, rate) = if long {
                (u64_at(e, 0)?, u64_at(e, 8)?, u32_at(e, 16)?)
            } else {
                let begin = u32_at(e, 4)?;
                (
                    u64::from(u32_at(e, 0)?),
                    if begin == u32::MAX { u64::MAX } else { begin.into() },
                    u32_at(e, 8)?,
                )
            };
            if this.is_some() || (begin != u64::MAX && rate != 0x0001_0000) {
                return None;
            }
            if begin == u64::MAX {
                before = before.checked_add(lasts)?;
                continue;
            }
            let end = before.checked_add(lasts)?;
            let lasts = if lasts == 0 { None } else { Some(nanos(end)?.checked_sub(nanos(before)?)?) };
            this = Some(Self { begin, after: nanos(before)?, lasts });
        }
        this
    }
}

#[cfg(test)]
#[path = "table_tests.rs"]
mod tests;
