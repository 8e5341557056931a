//! A new MP4 file around samples (ISO/IEC 14496-12): its header first, so that a player can begin at once.

use super::tracks::Track;

/// What a sample is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Data {
    /// Bytes of our own.
    Own(Vec<u8>),
    /// So many bytes from a place of the footage on.
    At(u64, u32),
}

/// One sample.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Piece {
    /// Its bytes.
    pub(super) data: Data,
    /// Ticks to the next in the order of decoding.
    pub(super) lasts: u32,
    /// Ticks from its decoding to its showing.
    pub(super) late: u32,
    /// Whether it can be decoded alone.
    pub(super) key: bool,
}

impl Piece {
    fn size(&self) -> u32 {
        match &self.data {
            Data::Own(bytes) => u32::try_from(bytes.len()).unwrap_or(u32::MAX),
            Data::At(_, size) => *size,
        }
    }
}

/// A track to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Made {
    clock: u32,
    look: Vec<u8>,
    entry: Vec<u8>,
    heard: bool,
    pieces: Vec<Piece>,
    /// From which tick of its own it is played; negative when it begins later than the film.
    skip: i64,
    /// For how many ticks it is played.
    lasts: u64,
}

/// The track of the pictures, in the order of decoding, all of them shown.
pub(super) fn pictures(of: &Track, entry: Vec<u8>, pieces: Vec<Piece>) -> Made {
    let skip = pieces.first().map_or(0, |p| i64::from(p.late));
    let lasts = pieces.iter().map(|p| u64::from(p.lasts)).sum();
    Made { clock: of.clock, look: of.look.clone(), entry, heard: false, pieces, skip, lasts }
}

/// The track of the sound, played from the tick `skip` of its first sample for `lasts` ticks.
pub(super) fn sound(of: &Track, pieces: Vec<Piece>, skip: i64, lasts: i64) -> Made {
    let lasts = u64::try_from(lasts).unwrap_or(0);
    let (look, entry) = (of.look.clone(), of.entry.clone());
    Made { clock: of.clock, look, entry, heard: true, pieces, skip, lasts }
}

/// Samples of a track that lie one after the other in the file.
struct Chunk {
    place: u64,
    samples: u32,
}

/// The file: all before the samples, then the samples in their order.
pub(super) struct Layout<'a> {
    /// The header.
    pub(super) head: Vec<u8>,
    /// The samples.
    pub(super) order: Vec<&'a Piece>,
    /// Bytes of all samples.
    pub(super) bytes: u64,
}

impl<'a> Layout<'a> {
    /// Lays out tracks, the first of which gives the film its clock.
    pub(super) fn of(tracks: &'a [Made]) -> Self {
        let (order, chunks) = interleaved(tracks);
        let bytes: u64 = order.iter().map(|p| u64::from(p.size())).sum();
        let kind = boxed(*b"ftyp", |b| b.extend(b"isom\0\0\x02\0isomiso2avc1mp41"));
        let long = bytes + 8 > u64::from(u32::MAX);
        let before = kind.len() + moov(tracks, &chunks, 0).len() + if long { 16 } else { 8 };
        let mut head = kind;
        head.extend(moov(tracks, &chunks, before as u64));
        if long {
            head.extend(1u32.to_be_bytes());
            head.extend(b"mdat");
            head.extend((bytes + 16).to_be_bytes());
        } else {
            head.extend((bytes as u32 + 8).to_be_bytes());
            head.extend(b"mdat");
        }
        Self { head, order, bytes }
    }
}

/// The samples of all tracks, half a second of each in turn, and where the chunks of each track begin after the header.
fn interleaved(tracks: &[Made]) -> (Vec<&Piece>, Vec<Vec<Chunk>>) {
    let mut order = Vec::new();
    let mut chunks: Vec<Vec<Chunk>> = tracks.iter().map(|_| Vec::new()).collect();
    let mut at = vec![(0usize, 0u64); tracks.len()];
    let mut place = 0;
    for half in 1u64.. {
        for (n, track) in tracks.iter().enumerate() {
            let (start, (next, decoded)) = (place, &mut at[n]);
            let mut samples = 0;
            while let Some(piece) = track.pieces.get(*next)
                && *decoded * 2 < half * u64::from(track.clock)
            {
                order.push(piece);
                (place, samples) = (place + u64::from(piece.size()), samples + 1);
                (*next, *decoded) = (*next + 1, *decoded + u64::from(piece.lasts));
            }
            if samples > 0 {
                chunks[n].push(Chunk { place: start, samples });
            }
        }
        if tracks.iter().zip(&at).all(|(track, (next, _))| *next == track.pieces.len()) {
            break;
        }
    }
    (order, chunks)
}

/// A box of a kind around what `fill` writes.
fn boxed(kind: [u8; 4], fill: impl FnOnce(&mut Vec<u8>)) -> Vec<u8> {
    let mut bytes = vec![0; 4];
    bytes.extend(kind);
    fill(&mut bytes);
    let size = u32::try_from(bytes.len()).unwrap_or(u32::MAX);
    bytes[..4].copy_from_slice(&size.to_be_bytes());
    bytes
}

/// As [`boxed`], with version and flags.
fn full(kind: [u8; 4], version: u8, flags: u32, fill: impl FnOnce(&mut Vec<u8>)) -> Vec<u8> {
    boxed(kind, |b| {
        b.extend((u32::from(version) << 24 | flags).to_be_bytes());
        fill(b);
    })
}

/// A table: how many entries there are, then each.
fn table<const N: usize>(kind: [u8; 4], entries: &[[u32; N]]) -> Vec<u8> {
    full(kind, 0, 0, |b| {
        put(b, &[entries.len() as u32]);
        for entry in entries {
            put(b, entry);
        }
    })
}

fn put(bytes: &mut Vec<u8>, numbers: &[u32]) {
    bytes.extend(numbers.iter().flat_map(|n| n.to_be_bytes()));
}

/// As they are, neither turned nor scaled.
const STRAIGHT: [u32; 9] = [0x1_0000, 0, 0, 0, 0x1_0000, 0, 0, 0, 0x4000_0000];

fn moov(tracks: &[Made], chunks: &[Vec<Chunk>], before: u64) -> Vec<u8> {
    let clock = tracks.first().map_or(1000, |t| t.clock);
    let lasts = tracks.first().map_or(0, |t| t.lasts);
    boxed(*b"moov", |b| {
        b.extend(full(*b"mvhd", 1, 0, |b| {
            put(b, &[0, 0, 0, 0, clock]);
            b.extend(lasts.to_be_bytes());
            put(b, &[0x1_0000, 0x0100_0000, 0, 0]);
            put(b, &STRAIGHT);
            put(b, &[0, 0, 0, 0, 0, 0, tracks.len() as u32 + 1]);
        }));
        for (n, (track, chunks)) in tracks.iter().zip(chunks).enumerate() {
            b.extend(trak(track, n as u32 + 1, clock, chunks, before));
        }
    })
}

fn trak(track: &Made, number: u32, film_clock: u32, chunks: &[Chunk], before: u64) -> Vec<u8> {
    let of_film =
        |ticks: u64| (u128::from(ticks) * u128::from(film_clock) / u128::from(track.clock.max(1))) as u64;
    let late = u64::try_from(-track.skip).unwrap_or(0);
    boxed(*b"trak", |b| {
        b.extend(full(*b"tkhd", 1, 3, |b| {
            put(b, &[0, 0, 0, 0, number, 0]);
            b.extend(of_film(track.lasts).to_be_bytes());
            put(b, &[0, 0, 0, if track.heard { 0x0100_0000 } else { 0 }]);
            b.extend(&track.look);
        }));
        b.extend(boxed(*b"edts", |b| {
            b.extend(full(*b"elst", 1, 0, |b| {
                put(b, &[1 + u32::from(late > 0)]);
                if late > 0 {
                    b.extend(of_film(late).to_be_bytes());
                    b.extend((-1i64).to_be_bytes());
                    put(b, &[0x1_0000]);
                }
                b.extend(of_film(track.lasts.saturating_sub(late)).to_be_bytes());
                b.extend(track.skip.max(0).to_be_bytes());
                put(b, &[0x1_0000]);
            }));
        }));
        b.extend(mdia(track, chunks, before));
    })
}

fn mdia(track: &Made, chunks: &[Chunk], before: u64) -> Vec<u8> {
    let lasts: u64 = track.pieces.iter().map(|p| u64::from(p.lasts)).sum();
    boxed(*b"mdia", |b| {
        b.extend(full(*b"mdhd", 1, 0, |b| {
            put(b, &[0, 0, 0, 0, track.clock]);
            b.extend(lasts.to_be_bytes());
            // No language is said.
            put(b, &[0x55c4_0000]);
        }));
        b.extend(full(*b"hdlr", 0, 0, |b| {
            put(b, &[0]);
            b.extend(if track.heard { b"soun" } else { b"vide" });
            put(b, &[0, 0, 0]);
            b.push(0);
        }));
        b.extend(boxed(*b"minf", |b| {
            if track.heard {
                b.extend(full(*b"smhd", 0, 0, |b| put(b, &[0])));
            } else {
                b.extend(full(*b"vmhd", 0, 1, |b| put(b, &[0, 0])));
            }
            b.extend(boxed(*b"dinf", |b| {
                b.extend(full(*b"dref", 0, 0, |b| {
                    put(b, &[1]);
                    b.extend(full(*b"url ", 0, 1, |_| {}));
                }));
            }));
            b.extend(stbl(track, chunks, before));
        }));
    })
}

fn stbl(track: &Made, chunks: &[Chunk], before: u64) -> Vec<u8> {
    let pieces = &track.pieces;
    boxed(*b"stbl", |b| {
        b.extend(boxed(*b"stsd", |b| b.extend(&track.entry)));
        b.extend(table(*b"stts", &runs(pieces.iter().map(|p| p.lasts))));
        if pieces.iter().any(|p| p.late > 0) {
            b.extend(table(*b"ctts", &runs(pieces.iter().map(|p| p.late))));
        }
        if pieces.iter().any(|p| !p.key) {
            let keys = pieces.iter().enumerate().filter(|(_, p)| p.key).map(|(n, _)| [n as u32 + 1]);
            b.extend(table(*b"stss", &keys.collect::<Vec<_>>()));
        }
        let mut first = Vec::new();
        for (n, chunk) in chunks.iter().enumerate() {
            if first.last().is_none_or(|last: &[u32; 3]| last[1] != chunk.samples) {
                first.push([n as u32 + 1, chunk.samples, 1]);
            }
        }
        b.extend(table(*b"stsc", &first));
        b.extend(full(*b"stsz", 0, 0, |b| {
            put(b, &[0, pieces.len() as u32]);
            b.extend(pieces.iter().flat_map(|p| p.size().to_be_bytes()));
        }));
        b.extend(full(*b"co64", 0, 0, |b| {
            put(b, &[chunks.len() as u32]);
            b.extend(chunks.iter().flat_map(|c| (before + c.place).to_be_bytes()));
        }));
    })
}

/// Equal numbers that follow each other as their count and the number.
fn runs(numbers: impl Iterator<Item = u32>) -> Vec<[u32; 2]> {
    let mut all: Vec<[u32; 2]> = Vec::new();
    for number in numbers {
        match all.last_mut().filter(|last| last[1] == number) {
            Some(last) => last[0] += 1,
            None => all.push([1, number]),
        }
    }
    all
}
