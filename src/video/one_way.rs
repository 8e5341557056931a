//! Frames and sound of a file from one place on, for what is written from them.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use gst::prelude::*;

use super::base::{failed, init, make};
use super::error::{VideoError, from_gstreamer};
use super::frame::{Frame, Ring};
use super::pads::waste;
use super::scrub::Scrubber;
use super::source::source;
use super::tap::{at_ease, stop, tap};
use crate::frames::FootageFile;
use crate::time::MatchTime;

/// Samples a second of a [`SoundReader`].
pub const SOUND_RATE: u32 = 48_000;
/// Channels of a [`SoundReader`].
pub const SOUND_CHANNELS: u32 = 2;
/// Less than this between two pieces of sound is rounding, and not a gap.
const SEAM: i64 = SOUND_RATE as i64 / 50;
/// How much sound is decoded before the place that is asked for: codecs need some to begin cleanly.
const RUN_UP: Duration = Duration::from_millis(300);
/// How many pieces of sound are decoded ahead.
const HELD: u32 = 16;
/// How long a file may give no sound at all.
const PATIENCE: Duration = Duration::from_secs(10);

/// Gives frames of a file, cheapest in their order. It keeps two.
#[derive(Debug)]
pub struct FrameReader(Scrubber);

impl FrameReader {
    /// Opens a decoder of its own.
    ///
    /// # Errors
    /// [`VideoError`] when the file cannot be decoded.
    pub fn open(media: &FootageFile) -> Result<Self, VideoError> {
        Scrubber::with_ring(media, Arc::new(Mutex::new(Ring::of(2)))).map(Self)
    }

    /// Frame `i` of the index; where the file is damaged there, the nearest one that can be decoded. Waits.
    ///
    /// # Errors
    /// [`VideoError`] when nothing can be decoded.
    pub fn frame(&mut self, i: usize) -> Result<Frame, VideoError> {
        let frame = self.0.frame(i, &|| false)?;
        frame.ok_or_else(|| failed("decoding a frame", &"it was cancelled"))
    }
}

/// Gives the sound of a file as pairs of samples between −1 and 1, [`SOUND_RATE`] pairs a second, silence where there is none.
#[derive(Debug)]
pub struct SoundReader {
    path: PathBuf,
    pipeline: gst::Pipeline,
    sink: gst_app::AppSink,
    /// Silence that comes before what is held, in pairs.
    silent: u64,
    held: Vec<f32>,
    /// How much of what is held has been read.
    taken: usize,
    /// The pair that comes after what is held, counted from the file's own zero.
    due: i64,
    /// Whether nothing has come since the last jump.
    fresh: bool,
}

impl SoundReader {
    /// Opens the first sound of a file.
    ///
    /// # Errors
    /// [`VideoError`] when its sound cannot be decoded.
    pub fn open(path: &Path) -> Result<Self, VideoError> {
        init()?;
        let pipeline = gst::Pipeline::new();
        let sink = build(&pipeline, path)?;
        let (silent, held, taken, due) = (0, Vec::new(), 0, 0);
        let this = Self { path: path.to_owned(), pipeline, sink, silent, held, taken, due, fresh: true };
        this.pipeline.set_state(gst::State::Playing).map_err(|e| this.trouble_or("opening the sound", &e))?;
        let begun = Instant::now();
        while this.sink.try_pull_preroll(gst::ClockTime::from_mseconds(20)).is_none() {
            this.trouble()?;
            if this.sink.is_eos() || begun.elapsed() > PATIENCE {
                break;
            }
        }
        Ok(this)
    }

    /// Goes to a moment of the file's own clock: the next pair that is read is heard then.
    ///
    /// # Errors
    /// [`VideoError`] when the file cannot be searched.
    pub fn go(&mut self, to: MatchTime) -> Result<(), VideoError> {
        let start = gst::ClockTime::from_nseconds(to.earlier(RUN_UP).nanos());
        let flags = gst::SeekFlags::FLUSH | gst::SeekFlags::ACCURATE;
        let sought = at_ease(&self.sink, || self.pipeline.seek_simple(flags, start));
        sought.map_err(|e| self.trouble_or("going to the sound", &e))?;
        (self.silent, self.taken, self.fresh) = (0, 0, true);
        self.held.clear();
        self.due = pairs(i128::from(to.nanos()));
        Ok(())
    }

    /// The next `count` pairs, interleaved; silence after the end of the sound. Waits.
    ///
    /// # Errors
    /// [`VideoError`] when the sound cannot be decoded.
    pub fn read(&mut self, count: usize) -> Result<Vec<f32>, VideoError> {
        let wanted = count * SOUND_CHANNELS as usize;
        let mut out = Vec::with_capacity(wanted);
        let mut last = Instant::now();
        while out.len() < wanted {
            let silent = self.silent.min(((wanted - out.len()) / 2) as u64);
            out.resize(out.len() + silent as usize * 2, 0.0);
            self.silent -= silent;
            let take = (wanted - out.len()).min(self.held.len() - self.taken);
            out.extend_from_slice(&self.held[self.taken..self.taken + take]);
            self.taken += take;
            if out.len() == wanted {
                break;
            }
            match self.sink.try_pull_sample(gst::ClockTime::from_mseconds(20)) {
                Some(sample) => {
                    last = Instant::now();
                    self.hold(&sample);
                }
                None if self.sink.is_eos() => out.resize(wanted, 0.0),
                None => self.trouble()?,
            }
            if last.elapsed() > PATIENCE {
                return Err(VideoError::TooSlow { path: self.path.clone(), seconds: PATIENCE.as_secs() });
            }
        }
        Ok(out)
    }

    /// Keeps what of a sample is not before the place that is due.
    fn hold(&mut self, sample: &gst::Sample) {
        let Some(map) = sample.buffer().and_then(|b| b.map_readable().ok()) else { return };
        let mut new: Vec<f32> =
            map.chunks_exact(4).map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]])).collect();
        let ahead = stream_nanos(sample).map_or(0, |t| pairs(t) - self.due);
        if self.fresh || ahead.abs() > SEAM {
            let early = usize::try_from(-ahead).unwrap_or(0).min(new.len() / 2);
            new.drain(..early * 2);
            self.silent = u64::try_from(ahead).unwrap_or(0);
            self.due += ahead.max(0);
        }
        if new.is_empty() {
            self.silent = 0;
            return;
        }
        self.fresh = false;
        self.due += (new.len() / 2) as i64;
        (self.held, self.taken) = (new, 0);
    }

    /// The error on the bus, if there is one.
    fn trouble(&self) -> Result<(), VideoError> {
        let message = self.pipeline.bus().and_then(|b| b.pop_filtered(&[gst::MessageType::Error]));
        message.map_or(Ok(()), |m| Err(from_gstreamer(&m, &self.path)))
    }

    fn trouble_or(&self, what: &str, why: &impl std::fmt::Display) -> VideoError {
        self.trouble().err().unwrap_or_else(|| failed(what, why))
    }
}

impl Drop for SoundReader {
    fn drop(&mut self) {
        stop(&self.pipeline, &self.sink);
    }
}

/// How many pairs of samples a time is.
fn pairs(nanos: i128) -> i64 {
    let x = nanos * i128::from(SOUND_RATE);
    ((x + 500_000_000).div_euclid(1_000_000_000)) as i64
}

/// When a sample is heard, negative before the start.
fn stream_nanos(sample: &gst::Sample) -> Option<i128> {
    let segment = sample.segment()?.downcast_ref::<gst::ClockTime>()?;
    Some(match segment.to_stream_time_full(sample.buffer()?.pts()?)? {
        gst::Signed::Positive(t) => i128::from(t.nseconds()),
        gst::Signed::Negative(t) => -i128::from(t.nseconds()),
    })
}

/// ```text
/// filesrc ! decodebin (sound only) ─┬ first sound ! audioconvert ! audioresample ! appsink (two channels, 48 kHz)
///                                   └ other sound ! fakesink (sync=false)
/// ```
fn build(pipeline: &gst::Pipeline, path: &Path) -> Result<gst_app::AppSink, VideoError> {
    let (source, _) = source(path)?;
    let decoder = make("decodebin")?;
    decoder.set_property("caps", gst::Caps::builder("audio/x-raw").build());
    decoder.set_property("expose-all-streams", false);
    let caps = gst::Caps::builder("audio/x-raw")
        .field("format", "F32LE")
        .field("layout", "interleaved")
        .field("channels", SOUND_CHANNELS as i32)
        .field("rate", SOUND_RATE as i32)
        .build();
    let sink = tap().async_(false).max_buffers(HELD).caps(&caps).build();
    let chain = [&make("audioconvert")?, &make("audioresample")?, sink.upcast_ref()];
    pipeline
        .add_many([&source, &decoder])
        .and_then(|()| pipeline.add_many(chain))
        .and_then(|()| source.link(&decoder))
        .and_then(|()| gst::Element::link_many(chain))
        .map_err(|e| failed("building the sound's path", &e))?;
    let entry = chain[0].static_pad("sink").ok_or_else(|| failed("building the sound's path", &"no pad"))?;
    let weak = pipeline.downgrade();
    decoder.connect_pad_added(move |_, pad| {
        let caps = pad.current_caps().unwrap_or_else(|| pad.query_caps(None));
        let sound = caps.structure(0).is_some_and(|s| s.name() == "audio/x-raw");
        let end = if sound && !entry.is_linked() {
            Some(entry.clone())
        } else {
            weak.upgrade().and_then(|p| waste(&p))
        };
        if let Some(end) = end {
            let _ = pad.link(&end);
        }
    });
    Ok(sink)
}
