//! Encodes some frames as they are stored, neither turned nor scaled, to stand beside copied ones.

use std::ops::{ControlFlow, Range};
use std::time::{Duration, Instant};

use gst::prelude::*;

use super::super::base::{failed, make};
use super::super::drain::{PATIENCE, Watch};
use super::super::error::{VideoError, from_gstreamer};
use super::super::pads::sample_time;
use super::super::reader::Reader;
use super::super::tap::{stop, tap};
use super::h264::{Sets, Wanted};
use crate::frames::FootageFile;

/// Pictures that wait for the encoder at most.
const AHEAD: u64 = 8;

/// Encoded pictures.
pub(super) struct Encoded {
    /// The parameter sets by which they are decoded.
    pub(super) description: Sets,
    /// One for each frame, in the order in which they are shown; the first can be decoded alone.
    pub(super) pictures: Vec<Vec<u8>>,
}

/// Encodes frames of a film.
///
/// # Errors
/// [`VideoError`] when they cannot be decoded or encoded, or `watch` stopped it.
pub(super) fn encode(
    media: &FootageFile,
    frames: Range<usize>,
    wanted: &Wanted,
    watch: Watch<'_>,
) -> Result<Encoded, VideoError> {
    let reader = opened(media, &frames)?;
    let mut desk = Desk::open(wanted)?;
    let mut next = frames.start;
    let mut last = Instant::now();
    while next < frames.end {
        trouble(&reader.pipeline, media)?;
        trouble(&desk.pipeline, media)?;
        let done = (next - frames.start) as f64 / frames.len() as f64;
        if watch(done) == ControlFlow::Break(()) {
            return Err(VideoError::Stopped { path: media.path.clone() });
        }
        desk.collect();
        if desk.entry.current_level_buffers() >= AHEAD {
            if last.elapsed() > PATIENCE * 20 {
                return Err(failed("encoding a frame", &"the encoder takes no more"));
            }
            std::thread::sleep(Duration::from_millis(1));
            continue;
        }
        let Some(sample) = reader.sink.try_pull_sample(gst::ClockTime::from_mseconds(40)) else {
            if reader.sink.is_eos() || last.elapsed() > PATIENCE * 5 {
                break;
            }
            continue;
        };
        last = Instant::now();
        let at = sample_time(&sample).and_then(|t| media.index.near_clock(t));
        if at == Some(next) {
            desk.push(&sample, media, next)?;
            next += 1;
        }
    }
    if next < frames.end {
        let reason = format!("no picture came at {}", media.index.time(next));
        return Err(VideoError::Broken { path: media.path.clone(), reason });
    }
    desk.finish(frames.len())
}

/// A decoder that gives some frames.
fn opened(media: &FootageFile, frames: &Range<usize>) -> Result<Reader, VideoError> {
    let sink = tap().max_buffers(2).build();
    let reader = Reader::stored(media, sink)?;
    let paused = reader.pipeline.set_state(gst::State::Paused);
    let ready = reader.pipeline.state(gst::ClockTime::from_seconds(PATIENCE.as_secs()));
    trouble(&reader.pipeline, media)?;
    paused.and(ready.0).map_err(|e| failed("opening the footage", &e))?;
    reader.seek_span(frames.start, frames.end)?;
    reader.pipeline.set_state(gst::State::Playing).map_err(|e| failed("reading the footage", &e))?;
    Ok(reader)
}

fn trouble(pipeline: &gst::Pipeline, media: &FootageFile) -> Result<(), VideoError> {
    let message = pipeline.bus().and_then(|b| b.pop_filtered(&[gst::MessageType::Error]));
    message.map_or(Ok(()), |m| Err(from_gstreamer(&m, &media.path)))
}

/// The encoder at work.
///
/// ```text
/// appsrc (I420) ! x264enc ! appsink (H.264 with lengths)
/// ```
struct Desk {
    pipeline: gst::Pipeline,
    entry: gst_app::AppSrc,
    sink: gst_app::AppSink,
    sets: Option<Sets>,
    pictures: Vec<Vec<u8>>,
}

impl Desk {
    fn open(wanted: &Wanted) -> Result<Self, VideoError> {
        let entry = gst_app::AppSrc::builder().format(gst::Format::Time).block(false).build();
        entry.set_max_bytes(0);
        let encoder = make("x264enc")?;
        encoder.set_property_from_str("speed-preset", "veryfast");
        // Of even quality: by rate, a frame that is shown shortly would be poor.
        encoder.set_property_from_str("pass", "quant");
        encoder.set_property("quantizer", 18u32);
        encoder.set_property("bframes", 0u32);
        encoder.set_property("rc-lookahead", 0i32);
        encoder.set_property("key-int-max", 600u32);
        encoder.set_property("option-string", format!("sps-id={}:scenecut=0", wanted.number));
        let caps = gst::Caps::builder("video/x-h264")
            .field("stream-format", "avc")
            .field("alignment", "au")
            .field("profile", wanted.profile);
        let sink = tap().caps(&caps.build()).build();
        let pipeline = gst::Pipeline::new();
        let chain = [entry.upcast_ref(), &encoder, sink.upcast_ref()];
        pipeline
            .add_many(chain)
            .and_then(|()| gst::Element::link_many(chain))
            .map_err(|e| failed("building the encoder", &e))?;
        pipeline.set_state(gst::State::Playing).map_err(|e| failed("building the encoder", &e))?;
        Ok(Self { pipeline, entry, sink, sets: None, pictures: Vec::new() })
    }

    fn push(&self, sample: &gst::Sample, media: &FootageFile, frame: usize) -> Result<(), VideoError> {
        let index = &media.index;
        let Some(buffer) = sample.buffer() else { return Ok(()) };
        let mut buffer = buffer.copy();
        if let Some(b) = buffer.get_mut() {
            b.set_pts(gst::ClockTime::from_nseconds(index.time(frame).nanos()));
            b.set_dts(None);
            b.set_duration(gst::ClockTime::try_from(index.gone(frame) - index.time(frame)).ok());
        }
        self.entry.set_caps(sample.caps_owned().as_ref());
        self.entry.push_buffer(buffer).map(drop).map_err(|e| failed("encoding a frame", &e))
    }

    /// Takes what is encoded by now.
    fn collect(&mut self) {
        while let Some(sample) = self.sink.try_pull_sample(gst::ClockTime::ZERO) {
            self.keep(&sample);
        }
    }

    fn keep(&mut self, sample: &gst::Sample) {
        if self.sets.is_none() {
            let data = sample.caps().and_then(|c| c.structure(0)?.get::<gst::Buffer>("codec_data").ok());
            let map = data.as_ref().and_then(|b| b.map_readable().ok());
            self.sets = map.and_then(|m| Sets::of(m.as_slice()));
        }
        if let Some(map) = sample.buffer().and_then(|b| b.map_readable().ok()) {
            self.pictures.push(map.as_slice().to_vec());
        }
    }

    fn finish(mut self, wanted: usize) -> Result<Encoded, VideoError> {
        self.entry.end_of_stream().map_err(|e| failed("encoding a frame", &e))?;
        let begun = Instant::now();
        while !self.sink.is_eos() && begun.elapsed() < PATIENCE * 20 {
            if let Some(sample) = self.sink.try_pull_sample(gst::ClockTime::from_mseconds(20)) {
                self.keep(&sample);
            }
        }
        let pictures = std::mem::take(&mut self.pictures);
        match self.sets.take() {
            Some(description) if pictures.len() == wanted => Ok(Encoded { description, pictures }),
            _ => {
                let reason = format!("{} of {wanted} pictures came out of the encoder", pictures.len());
                Err(failed("encoding a frame", &reason))
            }
        }
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        stop(&self.pipeline, &self.sink);
    }
}
