//! Spans of footage as files of their own, with as little encoded as can be.
//!
//! Copied pictures must begin with a key frame, and the last of them must need none that comes later. [`plan`] finds how much of a
//! span can be copied; what is left at its ends is encoded ([`edges`]) with parameter sets of their own number, so that copied and
//! encoded pictures stand in one track without a second description ([`h264`]). [`tracks`] reads where an MP4 file keeps its
//! samples, [`boxes`] writes a new file around them. Other footage is decoded and encoded whole (`recode.rs`).

mod boxes;
mod edges;
mod h264;
mod plan;
mod tracks;

use std::fs::File;
use std::io::{self, BufWriter, Read, Seek, SeekFrom, Write};
use std::ops::{ControlFlow, Range};
use std::path::Path;
use std::time::Duration;

use self::boxes::{Data, Made, Piece};
use self::h264::Description;
use self::plan::Plan;
use self::tracks::{Film, Track};
use super::drain::Watch;
use super::encode::partial;
use super::error::VideoError;
use super::recode::{Recode, frames_of, recode};
use crate::frames::FootageFile;
use crate::system::{reading, writing};
use crate::time::MatchTime;

/// How much of a file was copied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// All its pictures and its sound.
    Copied,
    /// Its sound, and all but so many of its pictures, which were encoded.
    Edges(usize),
    /// Nothing: pictures and sound were encoded.
    Encoded(Reason),
}

/// Why nothing could be copied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// The footage is in a container, or in a form of MP4, whose samples are not looked for.
    Container,
    /// The pictures would have to be joined with encoded ones, and are not of a kind that can be.
    Pictures,
    /// The sound is neither AAC nor MP3.
    Sound,
}

impl Reason {
    /// In words, after "because".
    pub const fn words(self) -> &'static str {
        match self {
            Self::Container => "its frames are not listed as in a plain MP4 or MOV file",
            Self::Pictures => {
                "only H.264 pictures of 8 bits, 4:2:0 and not interlaced can be joined with encoded ones"
            }
            Self::Sound => "its sound is neither AAC nor MP3",
        }
    }
}

/// A file that was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Trimmed {
    /// How many frames it has.
    pub frames: usize,
    /// When its first frame is shown in the footage.
    pub from: MatchTime,
    /// When its last frame is gone.
    pub to: MatchTime,
    /// Its bytes.
    pub bytes: u64,
    /// How it was made.
    pub way: Way,
}

/// Makes files of spans of one film.
#[derive(Debug)]
pub struct Trimmer {
    media: FootageFile,
    source: Result<Source, Reason>,
}

/// What can be copied of a film.
#[derive(Debug)]
struct Source {
    film: Film,
    /// The film's frames as samples: the place of each in the track, in the order in which they are shown.
    shown: Vec<usize>,
    /// How its pictures are described, if others can be joined with them.
    description: Option<Description>,
}

impl Trimmer {
    /// Looks where the film keeps its pictures and its sound.
    ///
    /// # Errors
    /// [`VideoError::Unreadable`] when the file cannot be read.
    pub fn open(media: FootageFile) -> Result<Self, VideoError> {
        let mut file = open(&media.path)?;
        let film = tracks::read(&mut file).map_err(|e| unreadable(&media.path, &e))?;
        let source = film.map_err(Reason::from).and_then(|film| Source::of(film, &media));
        Ok(Self { media, source })
    }

    /// The span of the same frames and as many more at both ends as it takes to copy it whole: from the key frame before it to the
    /// one after. `None` when this footage cannot be copied.
    pub fn widened(&self, from: MatchTime, to: MatchTime) -> Option<(MatchTime, MatchTime)> {
        let source = self.source.as_ref().ok()?;
        let frames = self.media.index.clip(from, to)?;
        let samples = &source.film.pictures.samples;
        let mut begins = source.begins(&self.media).ok()?;
        let wide = plan::widened(samples, &source.shown, frames, &mut begins);
        let index = &self.media.index;
        wide.map(|w| (index.time(w.start), index.gone(w.end - 1)))
    }

    /// When the footage ends.
    pub fn end(&self) -> MatchTime {
        self.media.index.end()
    }

    /// How many bytes a second of this footage has.
    pub fn bytes_a_second(&self) -> f64 {
        bytes_a_second(&self.media)
    }

    /// Writes the frames of a clip ([`crate::frames::FrameIndex::clip`]) from `from` until `to`, and the sound between, to a new file, an MP4. Takes long
    /// where much must be encoded: call it on a thread. `watch` is told how much is done, from 0 to 1, and stops it by a break;
    /// nothing is left behind then.
    ///
    /// # Errors
    /// [`VideoError`] when the footage cannot be read, the file cannot be written or is there already, or it was stopped.
    pub fn trim(
        &self,
        (from, to): (MatchTime, MatchTime),
        path: &Path,
        watch: Watch<'_>,
    ) -> Result<Trimmed, VideoError> {
        let frames = frames_of(&self.media, from, to)?;
        let planned = self.source.as_ref().map_err(|why| *why).and_then(|source| {
            let plan = source.plan(&self.media, frames.clone())?;
            Ok((source, plan))
        });
        match planned {
            Ok((source, plan)) => self.join(source, &plan, path, watch),
            Err(why) => self.encode((from, to), path, why, watch),
        }
    }

    fn encode(
        &self,
        (from, to): (MatchTime, MatchTime),
        path: &Path,
        why: Reason,
        watch: Watch<'_>,
    ) -> Result<Trimmed, VideoError> {
        let media = &self.media;
        let wish = Recode {
            path: path.to_owned(),
            width: media.width.next_multiple_of(2),
            height: media.height.next_multiple_of(2),
            bits: bits(media),
            sound: media.has_audio.then_some(160_000),
        };
        let made = recode(media, from, to, &wish, watch)?;
        let way = Way::Encoded(why);
        Ok(Trimmed { frames: made.frames, from: made.from, to: made.to, bytes: made.bytes, way })
    }

    /// Writes copied and encoded pictures, one after the other, and the sound.
    fn join(
        &self,
        source: &Source,
        plan: &Plan,
        path: &Path,
        watch: Watch<'_>,
    ) -> Result<Trimmed, VideoError> {
        let (index, track) = (&self.media.index, &source.film.pictures);
        let mut told = Progress { watch, before: 0.0, share: 0.0 };
        let mut description = source.description.clone();
        let mut edge = |frames: &Range<usize>, whole: usize| -> Result<Vec<Vec<u8>>, VideoError> {
            let Some(set) = description.as_mut().filter(|_| !frames.is_empty()) else {
                return Ok(Vec::new());
            };
            told.share = frames.len() as f64 / whole as f64 * 0.9;
            let made = edges::encode(&self.media, frames.clone(), &set.next(), &mut |done| told.tell(done))?;
            told.before += told.share;
            set.join(&made.description);
            Ok(made.pictures)
        };
        let whole = plan.head.len() + plan.tail.len();
        let (head, tail) = (edge(&plan.head, whole)?, edge(&plan.tail, whole)?);
        let pieces = plan.pieces(track, &source.shown, head, tail);
        let entry = match description.filter(|_| whole > 0) {
            Some(joined) => joined.entry(),
            None => track.entry.clone(),
        };
        let (first, end) = (plan.head.start, plan.end(&source.shown));
        let (from, to) = (index.time(first), index.gone(end - 1));
        let mut made = vec![boxes::pictures(track, entry, pieces)];
        if let Some(sound) = &source.film.sound {
            made.extend(sounding(sound, index.clock_time(first), to - from));
        }
        told.share = 1.0 - told.before;
        let bytes = self.write(&made, path, &mut |done| told.tell(done))?;
        let way = if whole == 0 { Way::Copied } else { Way::Edges(whole) };
        Ok(Trimmed { frames: end - first, from, to, bytes, way })
    }

    /// Writes the tracks to a file that gets its name when it is whole. Its bytes.
    fn write(&self, tracks: &[Made], path: &Path, watch: Watch<'_>) -> Result<u64, VideoError> {
        let failed =
            |e: &io::Error| VideoError::Write { path: path.to_owned(), reason: writing(e).to_string() };
        let mut from = open(&self.media.path)?;
        let mut temp = partial(path).map_err(|e| failed(&e))?;
        let layout = boxes::Layout::of(tracks);
        let mut out = BufWriter::with_capacity(1 << 18, temp.as_file_mut());
        out.write_all(&layout.head).map_err(|e| failed(&e))?;
        let (mut buffer, mut done) = (Vec::new(), 0u64);
        for piece in &layout.order {
            let data = match &piece.data {
                Data::Own(bytes) => bytes,
                Data::At(place, length) => {
                    buffer.resize(*length as usize, 0);
                    from.seek(SeekFrom::Start(*place))
                        .and_then(|_| from.read_exact(&mut buffer))
                        .map_err(|e| unreadable(&self.media.path, &e))?;
                    &buffer
                }
            };
            out.write_all(data).map_err(|e| failed(&e))?;
            done += data.len() as u64;
            if watch(done as f64 / layout.bytes.max(1) as f64).is_break() {
                return Err(VideoError::Stopped { path: self.media.path.clone() });
            }
        }
        out.flush().map_err(|e| failed(&e))?;
        drop(out);
        temp.persist_noclobber(path).map_err(|e| failed(&e.error))?;
        Ok(layout.head.len() as u64 + done)
    }
}

/// How much is done, told part by part.
struct Progress<'a> {
    watch: Watch<'a>,
    before: f64,
    share: f64,
}

impl Progress<'_> {
    /// Tells how much of the present part is done.
    fn tell(&mut self, done: f64) -> ControlFlow<()> {
        (self.watch)(self.before + self.share * done)
    }
}

impl Source {
    /// # Errors
    /// Why the film's samples are not those that its index lists.
    fn of(film: Film, media: &FootageFile) -> Result<Self, Reason> {
        let shown = plan::shown(&film.pictures);
        if shown.len() != media.index.len() {
            return Err(Reason::Container);
        }
        let description = Description::of(&film.pictures.entry);
        Ok(Self { film, shown, description })
    }

    /// Says of a sample whether a decoder can begin with it, whatever it decoded before.
    fn begins(&self, media: &FootageFile) -> Result<impl FnMut(usize) -> bool, Reason> {
        let mut file = File::open(&media.path).map_err(|_| Reason::Container)?;
        let h264 = self.description.is_some();
        Ok(move |n: usize| !h264 || h264::is_idr(&mut file, &self.film.pictures.samples[n]).unwrap_or(false))
    }

    /// What of a span is copied and what is encoded.
    fn plan(&self, media: &FootageFile, frames: Range<usize>) -> Result<Plan, Reason> {
        let samples = &self.film.pictures.samples;
        let mut begins = self.begins(media)?;
        let plan = plan::plan(samples, &self.shown, frames, &mut begins);
        let whole = plan.head.is_empty() && plan.tail.is_empty();
        if whole || self.description.is_some() { Ok(plan) } else { Err(Reason::Pictures) }
    }
}

impl From<tracks::Strange> for Reason {
    fn from(why: tracks::Strange) -> Self {
        match why {
            tracks::Strange::Container => Self::Container,
            tracks::Strange::Sound => Self::Sound,
        }
    }
}

/// Samples of sound that are copied before the first that is heard: decoders of AAC need one to begin cleanly.
const RUN_UP: usize = 1;

/// The sound from a moment of the file's own clock on.
fn sounding(sound: &Track, from: MatchTime, lasts: Duration) -> Option<Made> {
    let begin = sound.ticks(from);
    let end = begin + sound.ticks_of(lasts);
    let first = sound.samples.partition_point(|s| sound.shown(s) <= begin).saturating_sub(1 + RUN_UP);
    let last = sound.samples.partition_point(|s| sound.shown(s) < end);
    let samples = sound.samples.get(first..last).filter(|s| !s.is_empty())?;
    let skip = begin - sound.shown(&samples[0]);
    let pieces =
        samples.iter().map(|s| Piece { data: Data::At(s.place, s.size), lasts: s.lasts, late: 0, key: true });
    Some(boxes::sound(sound, pieces.collect(), skip, end - begin))
}

fn open(path: &Path) -> Result<File, VideoError> {
    File::open(path).map_err(|e| unreadable(path, &e))
}

fn unreadable(path: &Path, e: &io::Error) -> VideoError {
    VideoError::Unreadable { path: path.to_owned(), reason: reading(e).to_string() }
}

/// How many bytes a second of this footage has, on average.
pub fn bytes_a_second(media: &FootageFile) -> f64 {
    let bytes = std::fs::metadata(&media.path).map_or(0, |m| m.len());
    bytes as f64 / media.duration.as_secs_f64().max(0.1)
}

/// Bits a second at most, where all is encoded: half as many again as the footage has.
fn bits(media: &FootageFile) -> u32 {
    (bytes_a_second(media) * 8.0 * 1.5).clamp(1e6, 60e6) as u32
}
