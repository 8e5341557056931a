//! Single frames on demand, from a decoder of their own that is never in a hurry to keep time.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use gst::prelude::*;

use super::error::{from_gstreamer, missing_codec};
use super::frame::Ring;
use super::index::FrameIndex;
use super::reader::Reader;
use super::scan::PATIENCE;
use super::{Frame, Media, VideoError, failed};

/// How far ahead decoding on is sure to be quicker than a seek.
const AHEAD: usize = 12;

/// How many frames before the one asked for are decoded with it on the way back.
const BACK: usize = 20;

/// Gives any frame of a film. See [`Reader`] for the pipeline.
///
/// It stays in PLAYING with a sink that keeps no time: the decoder runs until the sink is full and then waits.
#[derive(Debug)]
pub(super) struct Scrubber {
    path: PathBuf,
    index: Arc<FrameIndex>,
    reader: Reader,
    ring: Arc<Mutex<Ring>>,
    /// The frame that comes out of the decoder next, if known.
    next: Option<usize>,
    last: usize,
}

impl Scrubber {
    pub(super) fn open(media: &Media) -> Result<Self, VideoError> {
        Self::with_ring(media, Arc::default())
    }

    pub(super) fn with_ring(media: &Media, ring: Arc<Mutex<Ring>>) -> Result<Self, VideoError> {
        let sink = gst_app::AppSink::builder().sync(false).max_buffers(2).build();
        let reader = Reader::new(&media.path, media.stream.as_deref(), &media.index, sink, None)?;
        let this = Self {
            path: media.path.clone(),
            index: media.index.clone(),
            reader,
            ring,
            next: Some(0),
            last: 0,
        };
        let started = this.reader.pipeline.set_state(gst::State::Playing);
        this.trouble()?;
        started.map_err(|e| failed("starting the decoder", &e))?;
        this.wait_until_ready()?;
        Ok(this)
    }

    /// Waits for the first picture: before that the decoder refuses to seek.
    fn wait_until_ready(&self) -> Result<(), VideoError> {
        let asked = Instant::now();
        while self.reader.pipeline.state(gst::ClockTime::from_mseconds(20)).1 != gst::State::Playing {
            self.trouble()?;
            if asked.elapsed() > PATIENCE {
                return Err(VideoError::TooSlow { path: self.path.clone(), seconds: PATIENCE.as_secs() });
            }
        }
        Ok(())
    }

    /// Frame `i`, or the nearest to it that the decoder gives; `None` when cancelled. Waits.
    pub(super) fn frame(
        &mut self,
        i: usize,
        cancelled: &dyn Fn() -> bool,
    ) -> Result<Option<Frame>, VideoError> {
        let i = i.min(self.index.len() - 1);
        if let Some(frame) = self.kept(i) {
            self.last = i;
            return Ok(Some(frame));
        }
        if !self.is_just_ahead(i) {
            let start = self.start_for(i);
            self.next = None;
            self.reader.seek(self.index.time(start), 1.0)?;
            self.next = Some(start);
        }
        self.last = i;
        self.pull_until(i, cancelled)
    }

    /// Brings the decoder to the first frame after `i` that is not kept, so that steps from there are quick.
    pub(super) fn prepare(&mut self, i: usize) -> Result<(), VideoError> {
        let Some(start) = (i + 1..self.index.len()).find(|&k| self.kept(k).is_none()) else { return Ok(()) };
        if self.next != Some(start) {
            self.next = None;
            self.reader.seek(self.index.time(start), 1.0)?;
            self.next = Some(start);
        }
        self.last = i;
        Ok(())
    }

    fn kept(&self, i: usize) -> Option<Frame> {
        self.ring.lock().unwrap_or_else(PoisonError::into_inner).get(i)
    }

    fn is_just_ahead(&self, i: usize) -> bool {
        self.next.is_some_and(|n| n <= i && (i - n <= AHEAD || self.index.key_before(i) <= n))
            && self.next.is_some_and(|n| i - n <= 4 * AHEAD)
    }

    /// Where to start decoding for frame `i`: with some frames before it when going back, as long as they are in
    /// the group of pictures that has to be decoded anyway.
    fn start_for(&self, i: usize) -> usize {
        if i >= self.last || self.last - i > 2 * BACK {
            return i;
        }
        let key = self.index.key_before(if self.index.is_key(i) { i.saturating_sub(1) } else { i });
        i.saturating_sub(BACK).max(key)
    }

    fn pull_until(&mut self, i: usize, cancelled: &dyn Fn() -> bool) -> Result<Option<Frame>, VideoError> {
        let mut heard = Instant::now();
        while !cancelled() {
            if let Some(sample) = self.reader.sink.try_pull_sample(gst::ClockTime::from_mseconds(20)) {
                heard = Instant::now();
                let Some(frame) = Frame::new(&sample, &self.index) else { continue };
                let here = frame.index;
                self.next = Some(here + 1);
                self.ring.lock().unwrap_or_else(PoisonError::into_inner).keep(frame.clone());
                if here >= i {
                    return Ok(Some(frame));
                }
                continue;
            }
            self.trouble()?;
            if self.reader.sink.is_eos() {
                self.next = None;
                return self
                    .ring
                    .lock()
                    .unwrap_or_else(PoisonError::into_inner)
                    .last_until(i)
                    .map(Some)
                    .ok_or_else(|| VideoError::Broken {
                        path: self.path.clone(),
                        reason: format!("frame {i} did not come out of the decoder"),
                    });
            }
            if heard.elapsed() > PATIENCE {
                let seconds = PATIENCE.as_secs();
                return Err(VideoError::TooSlow { path: self.path.clone(), seconds });
            }
        }
        Ok(None)
    }

    /// The error on the bus, if there is one. A missing decoder comes before the error that follows from it.
    fn trouble(&self) -> Result<(), VideoError> {
        let Some(bus) = self.reader.pipeline.bus() else { return Ok(()) };
        let mut missing = None;
        while let Some(message) = bus.pop() {
            match message.view() {
                gst::MessageView::Element(_) => {
                    if let Ok(m) = gst_pbutils::MissingPluginMessage::parse(&message) {
                        missing = Some(m.description().to_string());
                    }
                }
                gst::MessageView::Error(_) => {
                    return Err(match missing {
                        Some(codec) => missing_codec(&self.path, &codec),
                        None => from_gstreamer(&message, &self.path),
                    });
                }
                _ => {}
            }
        }
        Ok(())
    }
}
