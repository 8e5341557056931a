//! Listens to the sound of a file for strikes.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use gst::prelude::*;

use super::base::{failed, init, make};
use super::drain::{PATIENCE, Reading, Told, drain};
use super::ear::{Ear, RATE, Strike};
use super::error::{VideoError, check_file, from_gstreamer, missing_codec};
use super::kind::{head, no_footage};
use super::pads::{Start, waste};
use super::source::{Place, source};
use super::tap::tap;
use crate::time::MatchTime;

/// More than this between the end of one piece of sound and the next is a gap, and not rounding.
const SEAM: Duration = Duration::from_millis(20);

/// The strikes heard in the first sound of a file, in order, on the file's own clock. Takes as long as decoding the
/// sound: call it on a thread. `watch` is told at least every tenth of a second how much has been heard, from 0 to 1, and
/// stops the listening when it answers with a break.
///
/// # Errors
/// [`VideoError::NoSound`], [`VideoError::MissingCodec`], every other [`VideoError`] that is about reading, and
/// [`VideoError::Stopped`] after a break.
pub fn strikes(
    path: &Path,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<Strike>, VideoError> {
    init()?;
    check_file(path)?;
    if let Some(error) = no_footage(&head(path), path) {
        return Err(error);
    }
    let pipeline = gst::Pipeline::new();
    let start = Start::of(&pipeline);
    let result = build(&pipeline, path).and_then(|(sink, pads, place)| {
        let mut heard = Heard { path: path.to_path_buf(), pads, ear: None, found: Vec::new(), missing: None };
        drain(&pipeline, path, &sink, &mut heard, &mut Told::new(path, place, watch))?;
        heard.settle();
        Ok(heard.found.into_iter().map(|s| Strike { at: s.at.earlier(start.get()), ..s }).collect())
    });
    let _ = pipeline.set_state(gst::State::Null);
    result
}

/// The strikes heard in all files of a match, in order, on the match clock; `files` are each file and where it begins on
/// it. As [`strikes`], and files without sound are passed over if any file has sound.
///
/// # Errors
/// As [`strikes`]; [`VideoError::NoSound`] of the first file if none has sound.
pub fn strikes_of_match(
    files: &[(PathBuf, MatchTime)],
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<Strike>, VideoError> {
    let (mut heard, mut silent) = (Vec::new(), Vec::new());
    for (i, (path, start)) in files.iter().enumerate() {
        let done = |part: f64| (i as f64 + part) / files.len() as f64;
        match strikes(path, &mut |part| watch(done(part))) {
            Ok(found) => {
                let by = *start - MatchTime::ZERO;
                heard.extend(found.into_iter().map(|s| Strike { at: s.at.later(by), ..s }));
            }
            Err(e @ VideoError::NoSound { .. }) => silent.push(e),
            Err(e) => return Err(e),
        }
    }
    heard.sort_by_key(|s| s.at);
    let all_silent = silent.len() == files.len();
    silent.into_iter().next().filter(|_| all_silent).map_or(Ok(heard), Err)
}

/// What the pads of a file turned out to be.
#[derive(Debug, Default)]
struct Pads {
    sound: bool,
    complete: bool,
}

type Found = Arc<Mutex<Pads>>;

/// ```text
/// filesrc ! decodebin (sound only) ─┬ first sound ! audioconvert ! audioresample ! appsink (one channel, 48 kHz)
///                                   └ other sound ! fakesink (sync=false)
/// ```
fn build(pipeline: &gst::Pipeline, path: &Path) -> Result<(gst_app::AppSink, Found, Place), VideoError> {
    let (source, place) = source(path)?;
    let decoder = make("decodebin")?;
    decoder.set_property("caps", gst::Caps::builder("audio/x-raw").build());
    decoder.set_property("expose-all-streams", false);
    let caps = gst::Caps::builder("audio/x-raw")
        .field("format", "F32LE")
        .field("layout", "interleaved")
        .field("channels", 1)
        .field("rate", RATE as i32)
        .build();
    let sink = tap().max_buffers(64).caps(&caps).build();
    let chain = [&make("audioconvert")?, &make("audioresample")?, sink.upcast_ref()];
    pipeline
        .add_many([&source, &decoder])
        .and_then(|()| pipeline.add_many(chain))
        .and_then(|()| source.link(&decoder))
        .and_then(|()| gst::Element::link_many(chain))
        .map_err(|e| failed("building the sound's path", &e))?;
    let entry = chain[0].static_pad("sink").ok_or_else(|| failed("building the sound's path", &"no pad"))?;
    let found = Found::default();
    let (weak, pads) = (pipeline.downgrade(), found.clone());
    decoder.connect_pad_added(move |_, pad| {
        let first = !entry.is_linked() && pad.current_caps().is_some_and(|c| is_sound(&c));
        let end = if first { Some(entry.clone()) } else { weak.upgrade().and_then(|p| waste(&p)) };
        if end.is_some_and(|e| pad.link(&e).is_ok()) && first {
            pads.lock().unwrap_or_else(PoisonError::into_inner).sound = true;
        }
    });
    let pads = found.clone();
    decoder.connect_no_more_pads(move |_| {
        pads.lock().unwrap_or_else(PoisonError::into_inner).complete = true;
    });
    Ok((sink, found, place))
}

fn is_sound(caps: &gst::CapsRef) -> bool {
    caps.structure(0).is_some_and(|s| s.name() == "audio/x-raw")
}

/// What has been heard of a file.
#[derive(Debug)]
struct Heard {
    path: PathBuf,
    pads: Found,
    /// The ear for the sound since the last gap, and when its next sample is due.
    ear: Option<(Ear, MatchTime)>,
    found: Vec<Strike>,
    /// A part of GStreamer that is not installed, in its words.
    missing: Option<String>,
}

impl Reading for Heard {
    fn note(&mut self, sample: &gst::Sample) {
        let Some(map) = sample.buffer().and_then(|b| b.map_readable().ok()) else { return };
        let segment = sample.segment().and_then(|s| s.downcast_ref::<gst::ClockTime>());
        let pts = sample.buffer().and_then(gst::BufferRef::pts);
        let t = segment
            .zip(pts)
            .and_then(|(s, t)| s.to_stream_time(t))
            .map(|t| MatchTime::from_nanos(t.nseconds()));
        let due = self.ear.as_ref().map(|e| e.1);
        // Sound before the footage's start is not heard; without a time it goes on where the last ended.
        let Some(t) = t.or(due) else { return };
        let goes_on = due.is_some_and(|due| Duration::from_nanos(t.nanos().abs_diff(due.nanos())) <= SEAM);
        if !goes_on {
            self.settle();
        }
        let (ear, due) = self.ear.get_or_insert_with(|| (Ear::new(t), t));
        let samples = map.chunks_exact(4).map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]]));
        *due = due.later(Duration::from_secs_f64(samples.len() as f64 / f64::from(RATE)));
        ear.hear(samples);
    }

    fn hear(&mut self, message: &gst::MessageRef) -> Result<(), VideoError> {
        match message.view() {
            gst::MessageView::Error(e) => Err(match (&self.missing, from_gstreamer(message, &self.path)) {
                (Some(part), _) => missing_codec(&self.path, part),
                (None, VideoError::Broken { .. }) => self.no_sound(e.error().message()),
                (None, error) => error,
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
        self.ear.as_ref().map(|e| e.1)
    }

    fn is_over(&mut self, sink: &gst_app::AppSink, quiet: Duration) -> Result<bool, VideoError> {
        let pads = self.pads.lock().unwrap_or_else(PoisonError::into_inner);
        match &self.missing {
            _ if pads.sound && sink.is_eos() => Ok(true),
            Some(part) if pads.complete && !pads.sound => Err(missing_codec(&self.path, part)),
            None if pads.complete && !pads.sound => Err(self.no_sound("the file holds none")),
            _ if quiet > PATIENCE => {
                Err(VideoError::TooSlow { path: self.path.clone(), seconds: PATIENCE.as_secs() })
            }
            _ => Ok(false),
        }
    }
}

impl Heard {
    /// Ends the sound since the last gap.
    fn settle(&mut self) {
        if let Some((ear, _)) = self.ear.take() {
            self.found.extend(ear.finish());
        }
    }

    fn no_sound(&self, reason: &str) -> VideoError {
        VideoError::NoSound { path: self.path.clone(), reason: reason.trim_end_matches('.').to_owned() }
    }
}
