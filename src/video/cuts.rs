//! Decodes footage once, as small pictures, and finds its cuts.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use gst::prelude::*;

use super::base::{failed, init, make};
use super::drain::{PATIENCE, Reading, Told, drain};
use super::error::{VideoError, from_gstreamer, missing_codec};
use super::pads::{stream_name, waste};
use super::probe::probe_watched;
use super::source::{Place, source};
use super::tap::tap;
use crate::cuts::{Cutter, Small, TALL, WIDE};
use crate::frames::{FootageFile, FrameIndex};
use crate::time::MatchTime;

/// Part of the whole work that reading the list of frames is told to be.
const LISTING: f64 = 0.05;

/// The cuts of footage, in order: the times of the first frames after them, on the file's own clock. Takes as long as
/// decoding the footage: call it on a thread. `watch` is told how far the work is, from 0 to 1, and stops it when it answers
/// with a break.
///
/// # Errors
/// Every [`VideoError`] of [`super::probe`] and of decoding, and [`VideoError::Stopped`] after a break.
pub fn cuts(
    path: &Path,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<MatchTime>, VideoError> {
    init()?;
    let media = probe_watched(path, &mut |part| watch(LISTING * part))?;
    cuts_of(&media, Pace::Full, &mut |part| watch(LISTING + (1.0 - LISTING) * part))
}

/// How much of the processor a search may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pace {
    /// All of it.
    Full,
    /// One thread: somebody works meanwhile.
    Background,
}

/// The cuts of footage that is open already; as [`cuts`].
///
/// # Errors
/// As [`cuts`].
pub fn cuts_of(
    media: &FootageFile,
    pace: Pace,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<MatchTime>, VideoError> {
    let pipeline = gst::Pipeline::new();
    if pace == Pace::Background {
        pipeline.connect_deep_element_added(|_, _, element| {
            if element.find_property("max-threads").is_some() {
                element.set_property_from_str("max-threads", "1");
            }
        });
    }
    let result = build(&pipeline, media).and_then(|(sink, pads, place)| {
        let mut looked = Looked {
            path: media.path.clone(),
            pads,
            index: media.index.clone(),
            cutter: Cutter::default(),
            reached: None,
            missing: None,
        };
        drain(&pipeline, &media.path, &sink, &mut looked, &mut Told::new(&media.path, place, watch))?;
        Ok(looked.cutter.finish())
    });
    let _ = pipeline.set_state(gst::State::Null);
    result
}

/// What the pads of a file turned out to be.
#[derive(Debug, Default)]
struct Pads {
    pictures: bool,
    complete: bool,
}

type Found = Arc<Mutex<Pads>>;

/// ```text
/// filesrc ! decodebin (pictures only) ─┬ the footage ! queue ! videoscale ! videoconvert ! appsink (grey, small)
///                                      └ all other   ! fakesink (sync=false)
/// ```
fn build(
    pipeline: &gst::Pipeline,
    media: &FootageFile,
) -> Result<(gst_app::AppSink, Found, Place), VideoError> {
    let (source, place) = source(&media.path)?;
    let decoder = make("decodebin")?;
    decoder.set_property("caps", gst::Caps::builder("video/x-raw").any_features().build());
    decoder.set_property("expose-all-streams", media.transparent);
    let scale = make("videoscale")?;
    scale.set_property("add-borders", false);
    let caps = gst::Caps::builder("video/x-raw")
        .field("format", "GRAY8")
        .field("width", WIDE as i32)
        .field("height", TALL as i32)
        .build();
    let sink = tap().max_buffers(8).caps(&caps).build();
    let chain = [&make("queue")?, &scale, &make("videoconvert")?, sink.upcast_ref()];
    chain[0].set_property("max-size-buffers", 3u32);
    pipeline
        .add_many([&source, &decoder])
        .and_then(|()| pipeline.add_many(chain))
        .and_then(|()| source.link(&decoder))
        .and_then(|()| gst::Element::link_many(chain))
        .map_err(|e| failed("building the path of the small pictures", &e))?;
    let entry = chain[0]
        .static_pad("sink")
        .ok_or_else(|| failed("building the path of the small pictures", &"no pad"))?;
    Ok((sink, join(pipeline, &decoder, entry, media.stream.clone()), place))
}

/// Joins the stream that is wanted to the entry once the decoder has it.
fn join(pipeline: &gst::Pipeline, decoder: &gst::Element, entry: gst::Pad, wanted: Option<String>) -> Found {
    let found = Found::default();
    let (weak, pads) = (pipeline.downgrade(), found.clone());
    decoder.connect_pad_added(move |_, pad| {
        let caps = pad.current_caps().unwrap_or_else(|| pad.query_caps(None));
        let moves = caps.structure(0).is_some_and(|s| s.name() == "video/x-raw");
        let is_wanted = match (pad.stream_id(), &wanted) {
            (Some(id), Some(wanted)) => stream_name(&id) == *wanted,
            _ => true,
        };
        let first = moves && is_wanted && !entry.is_linked();
        let end = if first { Some(entry.clone()) } else { weak.upgrade().and_then(|p| waste(&p)) };
        if end.is_some_and(|e| pad.link(&e).is_ok()) && first {
            pads.lock().unwrap_or_else(PoisonError::into_inner).pictures = true;
        }
    });
    let pads = found.clone();
    decoder.connect_no_more_pads(move |_| {
        pads.lock().unwrap_or_else(PoisonError::into_inner).complete = true;
    });
    found
}

/// What has been seen of a file.
#[derive(Debug)]
struct Looked {
    path: PathBuf,
    pads: Found,
    index: Arc<FrameIndex>,
    cutter: Cutter,
    reached: Option<MatchTime>,
    /// A part of GStreamer that is not installed, in its words.
    missing: Option<String>,
}

impl Reading for Looked {
    fn note(&mut self, sample: &gst::Sample) {
        let Some(buffer) = sample.buffer() else { return };
        let segment = sample.segment().and_then(|s| s.downcast_ref::<gst::ClockTime>());
        let Some(at) = segment.zip(buffer.pts()).and_then(|(s, t)| s.to_stream_time(t)) else { return };
        let Ok(map) = buffer.map_readable() else { return };
        // Rows of 160 bytes are a multiple of four, so that none is padded.
        let Some(small) = Small::of_pixels(map.to_vec()) else { return };
        let at = MatchTime::from_nanos(at.nseconds());
        self.reached = Some(at);
        if let Some(frame) = self.index.near_clock(at) {
            self.cutter.see(self.index.time(frame), small);
        }
    }

    fn hear(&mut self, message: &gst::MessageRef) -> Result<(), VideoError> {
        match message.view() {
            gst::MessageView::Error(_) => Err(match &self.missing {
                Some(part) => missing_codec(&self.path, part),
                None => from_gstreamer(message, &self.path),
            }),
            gst::MessageView::Element(_) => {
                if let Ok(m) = gst_pbutils::MissingPluginMessage::parse(message) {
                    self.missing = Some(m.description().to_string());
                }
                Ok(())
            }
            _ => Ok(()),
        }
    }

    fn reached(&self) -> Option<MatchTime> {
        self.reached
    }

    fn is_over(&mut self, sink: &gst_app::AppSink, quiet: Duration) -> Result<bool, VideoError> {
        let pads = self.pads.lock().unwrap_or_else(PoisonError::into_inner);
        match &self.missing {
            _ if pads.pictures && sink.is_eos() => Ok(true),
            Some(part) if pads.complete && !pads.pictures => Err(missing_codec(&self.path, part)),
            // It works behind everything else, so on a busy machine a picture may be long in coming.
            _ if quiet > PATIENCE * 5 => {
                Err(VideoError::TooSlow { path: self.path.clone(), seconds: (PATIENCE * 5).as_secs() })
            }
            _ => Ok(false),
        }
    }
}
