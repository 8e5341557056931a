//! Listens in the place of the loudspeaker, for tests of what is heard from one clip to the next. It keeps time as a device does.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use gst::prelude::*;

use crate::time::MatchTime;

/// Samples a second, of one channel.
pub(crate) const HEARD_RATE: u32 = 48_000;

/// Sound that was heard in one piece.
#[derive(Debug, Clone)]
pub(crate) struct Heard {
    /// Which pipeline it came from: they count on.
    pub pipeline: usize,
    /// The file of footage.
    pub film: PathBuf,
    /// The place of its first sample in the file.
    pub from: MatchTime,
    /// When its first sample was due, on the system's clock.
    pub due: Duration,
    /// Its samples, [`HEARD_RATE`] a second.
    pub samples: Vec<f32>,
}

impl Heard {
    /// How long it is.
    pub fn lasts(&self) -> Duration {
        Duration::from_secs_f64(self.samples.len() as f64 / f64::from(HEARD_RATE))
    }
}

#[derive(Debug, Default)]
struct All {
    pipelines: usize,
    heard: Vec<Heard>,
}

type Shared = Arc<Mutex<All>>;

static LISTENERS: Mutex<Vec<(PathBuf, Shared)>> = Mutex::new(Vec::new());

fn lock<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Hears the footage of a folder, until it is dropped.
#[derive(Debug)]
pub(crate) struct Listener(Shared);

impl Listener {
    /// Listens from now on to the files in this folder.
    pub fn in_folder(folder: &Path) -> Self {
        let all = Shared::default();
        lock(&LISTENERS).push((folder.to_owned(), all.clone()));
        Self(all)
    }

    /// What was heard, in the order in which it was due.
    pub fn heard(&self) -> Vec<Heard> {
        let mut heard = lock(&self.0).heard.clone();
        heard.sort_by_key(|piece| piece.due);
        heard
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        lock(&LISTENERS).retain(|(_, all)| !Arc::ptr_eq(all, &self.0));
    }
}

/// What takes the sound of a file to which somebody listens.
pub(super) fn speaker(film: &Path) -> Option<Box<dyn Fn() -> Option<gst::Element> + Send + Sync>> {
    let listeners = lock(&LISTENERS);
    let (_, all) = listeners.iter().find(|(folder, _)| film.starts_with(folder))?;
    let (all, film) = (all.clone(), film.to_owned());
    Some(Box::new(move || Some(sink(&all, &film))))
}

fn sink(all: &Shared, film: &Path) -> gst::Element {
    let pipeline = {
        let mut all = lock(all);
        all.pipelines += 1;
        all.pipelines
    };
    let caps = gst::Caps::builder("audio/x-raw")
        .field("format", "F32LE")
        .field("rate", HEARD_RATE as i32)
        .field("channels", 1);
    let sink = gst_app::AppSink::builder().sync(true).caps(&caps.build()).build();
    let (all, film) = (all.clone(), film.to_owned());
    let hear = move |sink: &gst_app::AppSink| {
        let sample = sink.pull_sample().map_err(|_| gst::FlowError::Eos)?;
        if let Some(piece) = piece(sink, &sample, (pipeline, &film)) {
            lock(&all).heard.push(piece);
        }
        Ok(gst::FlowSuccess::Ok)
    };
    sink.set_callbacks(gst_app::AppSinkCallbacks::builder().new_sample(hear).build());
    sink.upcast()
}

fn piece(sink: &gst_app::AppSink, sample: &gst::Sample, (pipeline, film): (usize, &Path)) -> Option<Heard> {
    let (buffer, segment) = (sample.buffer()?, sample.segment()?.downcast_ref::<gst::ClockTime>()?);
    let (from, runs) = (segment.to_stream_time(buffer.pts())?, segment.to_running_time(buffer.pts())?);
    let map = buffer.map_readable().ok()?;
    let samples =
        map.chunks_exact(4).filter_map(|bytes| Some(f32::from_le_bytes(bytes.try_into().ok()?))).collect();
    let due = Duration::from_nanos((sink.base_time()? + runs).nseconds());
    Some(Heard {
        pipeline,
        film: film.to_owned(),
        from: MatchTime::from_nanos(from.nseconds()),
        due,
        samples,
    })
}
