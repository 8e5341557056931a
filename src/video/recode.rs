//! A span of footage as a small file of its own that every browser plays: MP4, H.264 pictures and AAC sound.

use std::ops::{ControlFlow, Range};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use gst::prelude::*;

use super::base::{failed, make};
use super::drain::{PATIENCE, Watch};
use super::encode::{partial, unwritten};
use super::error::{VideoError, from_gstreamer};
use super::pads::sample_time;
use super::reader::{Reader, SoundEnd};
use super::tap::tap;
use crate::frames::FootageFile;
use crate::system::writing;
use crate::time::{FrameRate, MatchTime};

/// Samples a second of the sound.
const RATE: u32 = 48_000;
/// What the encoder may hold back, as a time at the highest rate: a file is larger than its rate by no more than this.
pub const BURST: Duration = Duration::from_millis(600);
/// Frames from one key frame to the next, so that a step back decodes few.
const KEYS: u32 = 15;

/// What to make.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recode {
    /// The file, which must be new.
    pub path: PathBuf,
    /// Width of its picture, even.
    pub width: u32,
    /// Height of its picture, even.
    pub height: u32,
    /// Bits a second of its pictures at most; plain pictures take fewer.
    pub bits: u32,
    /// Bits a second of its sound; nothing leaves the sound out.
    pub sound: Option<u32>,
}

/// What was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Recoded {
    /// How many frames it has.
    pub frames: usize,
    /// When its first frame is shown in the footage.
    pub from: MatchTime,
    /// When its last frame is gone.
    pub to: MatchTime,
    /// Its bytes.
    pub bytes: u64,
}

/// Writes the frames of a clip ([`crate::frames::FrameIndex::clip`]) from `from` until `to` to a file of their own, each once. Takes long: call it on a
/// thread. `watch` is told how much is done, from 0 to 1, and stops it by a break; nothing is left behind then.
///
/// # Errors
/// [`VideoError`] when the footage cannot be read, the file cannot be written, or it was stopped.
pub fn recode(
    media: &FootageFile,
    from: MatchTime,
    to: MatchTime,
    wish: &Recode,
    watch: Watch<'_>,
) -> Result<Recoded, VideoError> {
    let index = &media.index;
    let Range { start: first, end } = frames_of(media, from, to)?;
    let temp =
        partial(&wish.path).map_err(|e| no_file(&wish.path, &writing(&e).to_string()))?.into_temp_path();
    let sound = wish.sound.filter(|_| media.has_audio);
    let source = Source::open(media, first, end, sound.is_some())?;
    let mut target = Target::open(media, &temp, wish, sound)?;
    source.pour(&mut target, watch)?;
    target.finish()?;
    let bytes = std::fs::metadata(&temp).map_or(0, |m| m.len());
    temp.persist_noclobber(&wish.path).map_err(|e| no_file(&wish.path, &writing(&e.error).to_string()))?;
    Ok(Recoded { frames: target.frames, from: index.time(first), to: index.gone(end - 1), bytes })
}

/// The frames of a clip.
///
/// # Errors
/// [`VideoError::PastEnd`] when the footage ends before it.
pub(super) fn frames_of(
    media: &FootageFile,
    from: MatchTime,
    to: MatchTime,
) -> Result<Range<usize>, VideoError> {
    let past = || VideoError::PastEnd { path: media.path.clone(), at: from, end: media.index.end() };
    media.index.clip(from, to).ok_or_else(past)
}

fn no_file(path: &Path, reason: &str) -> VideoError {
    VideoError::Write { path: path.to_owned(), reason: reason.to_owned() }
}

/// The frames of the span as they come out of the decoder, and its sound.
struct Source<'a> {
    media: &'a FootageFile,
    reader: Reader,
    sound: Option<gst_app::AppSink>,
    first: usize,
    end: usize,
}

impl<'a> Source<'a> {
    fn open(media: &'a FootageFile, first: usize, end: usize, sound: bool) -> Result<Self, VideoError> {
        let sink = tap().max_buffers(2).build();
        let heard = sound.then(|| tap().caps(&pcm()).build());
        let way = heard
            .clone()
            .map(|sink| -> SoundEnd { Box::new(move |pipeline| sound_path(pipeline, &sink).ok()) });
        let reader = Reader::new(media, sink, way)?;
        let this = Self { media, reader, sound: heard, first, end };
        let pipeline = &this.reader.pipeline;
        let paused = pipeline.set_state(gst::State::Paused);
        let ready = pipeline.state(gst::ClockTime::from_seconds(PATIENCE.as_secs()));
        this.trouble()?;
        paused.and(ready.0).map_err(|e| failed("opening the footage", &e))?;
        this.reader.seek_span(first, end)?;
        pipeline.set_state(gst::State::Playing).map_err(|e| failed("reading the footage", &e))?;
        Ok(this)
    }

    /// What the decoder complains of.
    fn trouble(&self) -> Result<(), VideoError> {
        let bus = self.reader.pipeline.bus();
        match bus.and_then(|b| b.pop_filtered(&[gst::MessageType::Error])) {
            Some(message) => Err(from_gstreamer(&message, &self.media.path)),
            None => Ok(()),
        }
    }

    /// Hands everything on.
    fn pour(&self, target: &mut Target, watch: Watch<'_>) -> Result<(), VideoError> {
        let index = &self.media.index;
        let start = index.clock_time(self.first);
        let mut quiet = Instant::now();
        loop {
            let done = target.frames as f64 / (self.end - self.first) as f64;
            if watch(done.min(1.0)) == ControlFlow::Break(()) {
                return Err(VideoError::Stopped { path: self.media.path.clone() });
            }
            self.trouble()?;
            self.pour_sound(target, start)?;
            let Some(sample) = self.reader.sink.try_pull_sample(gst::ClockTime::from_mseconds(40)) else {
                if self.reader.sink.is_eos() {
                    break;
                }
                if quiet.elapsed() > PATIENCE * 5 {
                    let path = self.media.path.clone();
                    return Err(VideoError::TooSlow { path, seconds: quiet.elapsed().as_secs() });
                }
                continue;
            };
            quiet = Instant::now();
            let Some(i) = sample_time(&sample).and_then(|t| index.near_clock(t)) else { continue };
            if (self.first..self.end).contains(&i) {
                target.picture(&sample, index.clock_time(i) - start, index.gone(i) - index.time(i))?;
            }
        }
        if target.frames == 0 {
            let reason = "no frame came out of the decoder".to_owned();
            return Err(VideoError::Broken { path: self.media.path.clone(), reason });
        }
        let waited = Instant::now();
        while self.sound.as_ref().is_some_and(|s| !s.is_eos()) && waited.elapsed() < PATIENCE {
            self.pour_sound(target, start)?;
            std::thread::sleep(Duration::from_millis(2));
        }
        target.hush_until(index.gone(self.end - 1) - index.time(self.first))
    }

    /// Hands on what sound there is by now.
    fn pour_sound(&self, target: &mut Target, start: MatchTime) -> Result<(), VideoError> {
        let Some(sink) = &self.sound else { return Ok(()) };
        let end = self
            .media
            .index
            .clock_time(self.first)
            .later(self.media.index.gone(self.end - 1) - self.media.index.time(self.first));
        while let Some(sample) = sink.try_pull_sample(gst::ClockTime::ZERO) {
            let map = sample.buffer().and_then(|b| b.map_readable().ok());
            if let (Some(t), Some(map)) = (sample_time(&sample).filter(|t| *t < end), map) {
                let late = t.nanos() as i64 - start.nanos() as i64;
                target.sound(late, map.as_slice())?;
            }
        }
        Ok(())
    }
}

fn pcm() -> gst::Caps {
    gst::Caps::builder("audio/x-raw")
        .field("format", "F32LE")
        .field("layout", "interleaved")
        .field("rate", RATE as i32)
        .field("channels", 2)
        .build()
}

/// Adds the way of the sound to its sink; its entry.
fn sound_path(pipeline: &gst::Pipeline, sink: &gst_app::AppSink) -> Result<gst::Pad, VideoError> {
    let parts = [make("queue")?, make("audioconvert")?, make("audioresample")?, sink.clone().upcast()];
    let building = |e: &dyn std::fmt::Display| failed("building the sound's path", &e);
    pipeline.add_many(&parts).and_then(|()| gst::Element::link_many(&parts)).map_err(|e| building(&e))?;
    for part in &parts {
        part.sync_state_with_parent().map_err(|e| building(&e))?;
    }
    parts[0].static_pad("sink").ok_or_else(|| building(&"no pad"))
}

/// The file that is being written.
///
/// ```text
/// appsrc (BGRA)  ! videoconvert ! videoscale ! x264enc ! h264parse ! queue ┬ mp4mux ! filesink
/// appsrc (F32LE) ! audioconvert ! avenc_aac ! aacparse ! queue ────────────┘
/// ```
struct Target {
    path: PathBuf,
    pipeline: gst::Pipeline,
    pictures: gst_app::AppSrc,
    sound: Option<gst_app::AppSrc>,
    frames: usize,
    /// Samples of sound that were handed on.
    samples: u64,
}

impl Target {
    fn open(media: &FootageFile, temp: &Path, wish: &Recode, sound: Option<u32>) -> Result<Self, VideoError> {
        let pipeline = gst::Pipeline::new();
        let (mux, sink) = (make("mp4mux")?, make("filesink")?);
        sink.set_property("location", temp);
        let built = |e: gst::glib::BoolError| failed("building the encoder", &e);
        pipeline.add_many([&mux, &sink]).and_then(|()| mux.link(&sink)).map_err(built)?;
        // Without a limit in bytes: a push would wait for room for ever once the disk is full and nothing is taken any more.
        let entry = gst_app::AppSrc::builder()
            .format(gst::Format::Time)
            .block(true)
            .max_buffers(4)
            .max_bytes(0)
            .build();
        let branch = vec![
            entry.clone().upcast(),
            make("videoconvert")?,
            make("videoscale")?,
            upright(wish)?,
            x264(wish)?,
            make("h264parse")?,
            unlimited()?,
        ];
        join(&pipeline, &branch, &mux, "video_0")?;
        // Fine enough for every rate; the automatic scale rounds uneven frames by up to a millisecond.
        if let Some(pad) = mux.static_pad("video_0") {
            pad.set_property("trak-timescale", media.rate.map_or(90_000, timescale));
        }
        let heard = sound.map(|bits| sound_branch(&pipeline, &mux, bits)).transpose()?;
        let path = wish.path.clone();
        let this = Self { path, pipeline, pictures: entry, sound: heard, frames: 0, samples: 0 };
        this.pipeline.set_state(gst::State::Playing).map_err(|e| this.why(&e.to_string()))?;
        Ok(this)
    }

    /// Encodes a picture that is shown from `at` of the file.
    fn picture(&mut self, sample: &gst::Sample, at: Duration, lasts: Duration) -> Result<(), VideoError> {
        let Some(buffer) = sample.buffer() else { return Ok(()) };
        let mut buffer = buffer.copy();
        if let Some(b) = buffer.get_mut() {
            b.set_pts(gst::ClockTime::try_from(at).ok());
            b.set_dts(None);
            b.set_duration(gst::ClockTime::try_from(lasts).ok());
        }
        if self.frames == 0 {
            self.pictures.set_caps(sample.caps_owned().as_ref());
        }
        self.frames += 1;
        self.push(&self.pictures, buffer)
    }

    /// Encodes sound that is heard from `at` of the file, in nanoseconds; what is before its start is left out.
    fn sound(&mut self, at: i64, bytes: &[u8]) -> Result<(), VideoError> {
        const FRAME: usize = 8;
        let wanted = i128::from(at) * i128::from(RATE) / 1_000_000_000;
        let have = i128::from(self.samples);
        // Rounding of a few samples is no gap.
        if wanted - have > i128::from(RATE / 100) {
            self.hush(u64::try_from(wanted - have).unwrap_or(0))?;
        }
        let early = usize::try_from((i128::from(self.samples) - wanted).max(0)).unwrap_or(usize::MAX);
        let skip = if early > RATE as usize / 100 { early.saturating_mul(FRAME) } else { 0 };
        match bytes.get(skip..) {
            Some(rest) if rest.len() >= FRAME => self.hand_on(rest.to_vec()),
            _ => Ok(()),
        }
    }

    /// Silence until a moment of the file.
    fn hush_until(&mut self, end: Duration) -> Result<(), VideoError> {
        let wanted = (end.as_nanos() * u128::from(RATE) / 1_000_000_000) as u64;
        self.hush(wanted.saturating_sub(self.samples))
    }

    fn hush(&mut self, samples: u64) -> Result<(), VideoError> {
        let mut left = samples;
        while left > 0 {
            let now = left.min(u64::from(RATE));
            self.hand_on(vec![0; now as usize * 8])?;
            left -= now;
        }
        Ok(())
    }

    fn hand_on(&mut self, bytes: Vec<u8>) -> Result<(), VideoError> {
        let Some(source) = self.sound.clone() else { return Ok(()) };
        let samples = bytes.len() as u64 / 8;
        let time = |n: u64| gst::ClockTime::from_nseconds(n * 1_000_000_000 / u64::from(RATE));
        let mut buffer = gst::Buffer::from_mut_slice(bytes);
        if let Some(b) = buffer.get_mut() {
            b.set_pts(time(self.samples));
            b.set_duration(time(samples));
        }
        self.samples += samples;
        self.push(&source, buffer)
    }

    /// Hands a buffer on once there is room for it; a pipeline that fails never makes room.
    fn push(&self, source: &gst_app::AppSrc, buffer: gst::Buffer) -> Result<(), VideoError> {
        let bus = self.pipeline.bus().ok_or_else(|| self.why("no bus"))?;
        while source.max_buffers() > 0 && source.current_level_buffers() >= source.max_buffers() {
            let wait = gst::ClockTime::from_mseconds(10);
            if let Some(m) = bus.timed_pop_filtered(wait, &[gst::MessageType::Error]) {
                return Err(self.failed_by(&m));
            }
        }
        source.push_buffer(buffer).map(drop).map_err(|e| self.why(&e.to_string()))
    }

    fn finish(&self) -> Result<(), VideoError> {
        for source in [Some(&self.pictures), self.sound.as_ref()].into_iter().flatten() {
            source.end_of_stream().map_err(|e| self.why(&e.to_string()))?;
        }
        let bus = self.pipeline.bus().ok_or_else(|| self.why("no bus"))?;
        let kinds = [gst::MessageType::Eos, gst::MessageType::Error];
        match bus.timed_pop_filtered(gst::ClockTime::from_seconds(120), &kinds) {
            Some(m) if m.type_() == gst::MessageType::Error => Err(self.failed_by(&m)),
            Some(_) => {
                self.pipeline.set_state(gst::State::Null).map(drop).map_err(|e| self.why(&e.to_string()))
            }
            None => Err(self.why("the encoder did not come to its end within 2 minutes")),
        }
    }

    fn why(&self, otherwise: &str) -> VideoError {
        let message = self.pipeline.bus().and_then(|b| b.pop_filtered(&[gst::MessageType::Error]));
        message.map_or_else(|| no_file(&self.path, otherwise), |m| self.failed_by(&m))
    }

    fn failed_by(&self, message: &gst::MessageRef) -> VideoError {
        no_file(&self.path, &unwritten(message, "the encoder failed"))
    }
}

impl Drop for Target {
    fn drop(&mut self) {
        let _ = self.pipeline.set_state(gst::State::Null);
    }
}

/// The size and form in which every browser takes pictures.
fn upright(wish: &Recode) -> Result<gst::Element, VideoError> {
    let filter = make("capsfilter")?;
    let caps = gst::Caps::builder("video/x-raw")
        .field("format", "I420")
        .field("width", wish.width as i32)
        .field("height", wish.height as i32)
        .field("pixel-aspect-ratio", gst::Fraction::new(1, 1));
    filter.set_property("caps", caps.build());
    Ok(filter)
}

/// Ticks a second in which every frame of a rate begins on a whole tick.
fn timescale(rate: FrameRate) -> u32 {
    let scale = rate.frames();
    scale * 10_000u32.div_ceil(scale)
}

/// Even quality below a highest rate.
fn x264(wish: &Recode) -> Result<gst::Element, VideoError> {
    let encoder = make("x264enc")?;
    encoder.set_property_from_str("speed-preset", "veryfast");
    encoder.set_property_from_str("pass", "qual");
    encoder.set_property("quantizer", 23u32);
    encoder.set_property("bitrate", (wish.bits / 1000).max(20));
    encoder.set_property("vbv-buf-capacity", BURST.as_millis() as u32);
    encoder.set_property("bframes", 0u32);
    encoder.set_property("key-int-max", KEYS);
    Ok(encoder)
}

fn sound_branch(
    pipeline: &gst::Pipeline,
    mux: &gst::Element,
    bits: u32,
) -> Result<gst_app::AppSrc, VideoError> {
    let entry = gst_app::AppSrc::builder().format(gst::Format::Time).caps(&pcm()).max_bytes(0).build();
    let encoder = make("avenc_aac")?;
    encoder.set_property("bitrate", bits as i32);
    let branch =
        vec![entry.clone().upcast(), make("audioconvert")?, encoder, make("aacparse")?, unlimited()?];
    join(pipeline, &branch, mux, "audio_0")?;
    Ok(entry)
}

/// A queue for compressed data: one stream may be any time ahead of the other.
fn unlimited() -> Result<gst::Element, VideoError> {
    let queue = make("queue")?;
    for limit in ["max-size-buffers", "max-size-bytes"] {
        queue.set_property(limit, 0u32);
    }
    queue.set_property("max-size-time", 0u64);
    Ok(queue)
}

fn join(
    pipeline: &gst::Pipeline,
    branch: &[gst::Element],
    mux: &gst::Element,
    pad: &str,
) -> Result<(), VideoError> {
    let built = |e: gst::glib::BoolError| failed("building the encoder", &e);
    pipeline.add_many(branch).and_then(|()| gst::Element::link_many(branch)).map_err(built)?;
    let Some(last) = branch.last() else { return Ok(()) };
    last.link_pads(Some("src"), mux, Some(pad)).map_err(built)
}
