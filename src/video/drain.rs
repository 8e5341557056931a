//! Reading a file from its start to its end as fast as it can be read: what a scan and the listening for strikes share.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use gst::prelude::*;

use super::base::failed;
use super::error::VideoError;
use super::source::Place;
use super::tap::let_go;
use crate::time::MatchTime;

/// How long the file may give nothing at all.
pub(super) const PATIENCE: Duration = Duration::from_secs(3);

/// How often it is told how far the reading is.
const TELL: Duration = Duration::from_millis(50);

/// Is told how much of a file has been read, from 0 to 1, and says whether to go on.
pub(super) type Watch<'a> = &'a mut dyn FnMut(f64) -> ControlFlow<()>;

/// What becomes of what is read.
pub(super) trait Reading {
    /// Takes the next sample in.
    fn note(&mut self, sample: &gst::Sample);

    /// Hears what the pipeline says; its errors end the reading.
    fn hear(&mut self, message: &gst::MessageRef) -> Result<(), VideoError>;

    /// The newest time that was read.
    fn reached(&self) -> Option<MatchTime>;

    /// Whether all has been read, when the sink has given nothing for `quiet`.
    fn is_over(&mut self, sink: &gst_app::AppSink, quiet: Duration) -> Result<bool, VideoError>;
}

/// Starts a pipeline and reads until that is over. It can be stopped afterwards, not read on.
///
/// # Errors
/// What the pipeline or the reading says; [`VideoError::Stopped`] when the watcher says so.
pub(super) fn drain(
    pipeline: &gst::Pipeline,
    path: &Path,
    sink: &gst_app::AppSink,
    reading: &mut dyn Reading,
    told: &mut Told<'_>,
) -> Result<(), VideoError> {
    let read = read(pipeline, path, sink, reading, told);
    let_go(sink);
    read
}

fn read(
    pipeline: &gst::Pipeline,
    path: &Path,
    sink: &gst_app::AppSink,
    reading: &mut dyn Reading,
    told: &mut Told<'_>,
) -> Result<(), VideoError> {
    let bus = pipeline.bus().ok_or_else(|| failed("reading the file", &"no bus"))?;
    // A failed start says why on the bus.
    let started = pipeline.set_state(gst::State::Playing);
    let mut last = Instant::now();
    loop {
        while let Some(message) = bus.pop() {
            reading.hear(&message)?;
        }
        started.map_err(|e| failed("opening the file", &e))?;
        if told.now(pipeline, reading.reached()).is_break() {
            return Err(VideoError::Stopped { path: path.to_path_buf() });
        }
        if let Some(sample) = sink.try_pull_sample(gst::ClockTime::from_mseconds(20)) {
            last = Instant::now();
            reading.note(&sample);
        }
        if reading.is_over(sink, last.elapsed())? {
            break;
        }
    }
    while let Some(message) = bus.pop() {
        reading.hear(&message)?;
    }
    Ok(())
}

/// Tells how far the reading is.
pub(super) struct Told<'a> {
    bytes: u64,
    place: Place,
    last: Option<Instant>,
    most: f64,
    watch: Watch<'a>,
}

impl<'a> Told<'a> {
    pub(super) fn new(path: &Path, place: Place, watch: Watch<'a>) -> Self {
        let bytes = std::fs::metadata(path).map_or(0, |m| m.len());
        Self { bytes, place, last: None, most: 0.0, watch }
    }

    /// Tells it, if it is time to: by the newest time that was `reached` where the file says how long it is, else by the
    /// place in the file. A file's parts need not lie in order, so that it never goes back.
    fn now(&mut self, pipeline: &gst::Pipeline, reached: Option<MatchTime>) -> ControlFlow<()> {
        if self.last.is_some_and(|l| l.elapsed() < TELL) {
            return ControlFlow::Continue(());
        }
        self.last = Some(Instant::now());
        let lasts = pipeline.query_duration::<gst::ClockTime>().map_or(0, gst::ClockTime::nseconds);
        let (done, all) = match (reached, lasts) {
            (None, _) => (0, 1),
            (Some(_), 0) => (self.place.load(Ordering::Relaxed), self.bytes),
            (Some(t), lasts) => (t.nanos(), lasts),
        };
        self.most = (done as f64 / all.max(1) as f64).clamp(self.most, 1.0);
        (self.watch)(self.most)
    }
}
