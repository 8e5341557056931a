//! Playing with sound, in time.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use gst::prelude::*;

use super::desk::Desk;
use super::error::from_gstreamer;
use super::frame::Ring;
use super::reader::{Reader, SoundEnd};
use super::{Frame, Media, VideoError, failed, make};

/// No frame is of this epoch.
const NEVER: u64 = u64::MAX;

/// How long a start may take.
const PATIENCE: Duration = Duration::from_secs(10);

/// The playing pipeline. Its pictures' side is that of [`Reader`], with a sink that keeps time; the sound goes
///
/// ```text
/// queue ! audioconvert ! audioresample ! scaletempo ! audioconvert ! audioresample ! volume ! autoaudiosink
///                                                                               or fakesink (sync=true)
/// ```
#[derive(Debug)]
pub(super) struct Play {
    media: Arc<Media>,
    reader: Reader,
    /// The epoch that frames now coming out belong to.
    epoch: Arc<AtomicU64>,
    /// Whether sound goes nowhere.
    pub(super) silent: bool,
}

impl Play {
    /// Builds the pipeline and has it decode its first frame.
    pub(super) fn open(
        media: &Arc<Media>,
        desk: &Arc<Desk>,
        ring: &Arc<Mutex<Ring>>,
        silent: bool,
    ) -> Result<Self, VideoError> {
        let epoch = Arc::new(AtomicU64::new(NEVER));
        let sink = gst_app::AppSink::builder().sync(true).max_buffers(2).build();
        sink.set_callbacks(callbacks(media, desk, ring, &epoch));
        let sound = media.has_audio.then(|| sound_end(silent));
        let reader = Reader::new(&media.path, media.stream.as_deref(), &media.index, sink, sound)?;
        let this = Self { media: media.clone(), reader, epoch, silent };
        let started = this.reader.pipeline.set_state(gst::State::Paused);
        started.map_err(|e| this.trouble().err().unwrap_or_else(|| failed("starting to play", &e)))?;
        Ok(this)
    }

    /// Plays from a frame, as long as `wanted` says so. Waits until the frame is decoded.
    pub(super) fn start(
        &self,
        index: usize,
        speed: f64,
        epoch: u64,
        wanted: &dyn Fn() -> bool,
    ) -> Result<(), VideoError> {
        self.halt()?;
        // A change of state that is under way would be taken for the end of the seek.
        self.wait(wanted, |p| {
            p.state(gst::ClockTime::from_mseconds(20)).0 != Ok(gst::StateChangeSuccess::Async)
        })?;
        self.trouble()?;
        // A seek before the first frame is there would be refused.
        if !wanted() {
            return Ok(());
        }
        self.reader.seek(self.media.index.time(index), speed)?;
        self.wait(wanted, |p| {
            p.state(gst::ClockTime::from_mseconds(20)).0 != Ok(gst::StateChangeSuccess::Async)
        })?;
        self.trouble()?;
        if wanted() {
            self.epoch.store(epoch, Ordering::SeqCst);
            self.set(gst::State::Playing)?;
        }
        Ok(())
    }

    /// Stops where it is.
    pub(super) fn halt(&self) -> Result<(), VideoError> {
        self.epoch.store(NEVER, Ordering::SeqCst);
        self.set(gst::State::Paused)
    }

    pub(super) fn set_muted(&self, muted: bool) {
        if let Some(volume) = self.reader.pipeline.by_name("volume") {
            volume.set_property("mute", muted);
        }
    }

    /// Whether the end of the film has been reached.
    ///
    /// # Errors
    /// What is on the bus.
    pub(super) fn is_at_end(&self) -> Result<bool, VideoError> {
        self.trouble()
    }

    fn set(&self, state: gst::State) -> Result<(), VideoError> {
        let changed = self.reader.pipeline.set_state(state).map(|_| ());
        changed.map_err(|e| self.trouble().err().unwrap_or_else(|| failed("playing", &e)))
    }

    fn wait(
        &self,
        wanted: &dyn Fn() -> bool,
        done: impl Fn(&gst::Pipeline) -> bool,
    ) -> Result<(), VideoError> {
        let since = Instant::now();
        while wanted() && !done(&self.reader.pipeline) {
            self.trouble()?;
            if since.elapsed() > PATIENCE {
                let (path, seconds) = (self.media.path.clone(), PATIENCE.as_secs());
                return Err(VideoError::TooSlow { path, seconds });
            }
        }
        Ok(())
    }

    /// Empties the bus: whether the end was on it, or the first error.
    fn trouble(&self) -> Result<bool, VideoError> {
        let Some(bus) = self.reader.pipeline.bus() else { return Ok(false) };
        let mut ended = false;
        while let Some(message) = bus.pop() {
            match message.view() {
                gst::MessageView::Error(_) => return Err(from_gstreamer(&message, &self.media.path)),
                gst::MessageView::Eos(_) => ended = true,
                _ => {}
            }
        }
        Ok(ended)
    }
}

fn callbacks(
    media: &Arc<Media>,
    desk: &Arc<Desk>,
    ring: &Arc<Mutex<Ring>>,
    epoch: &Arc<AtomicU64>,
) -> gst_app::AppSinkCallbacks {
    let keep = |media: &Arc<Media>, ring: &Arc<Mutex<Ring>>| {
        let (index, ring) = (media.index.clone(), ring.clone());
        move |sample: &gst::Sample| {
            let frame = Frame::new(sample, &index)?;
            ring.lock().unwrap_or_else(PoisonError::into_inner).keep(frame.clone());
            Some(frame)
        }
    };
    let (played, prerolled) = (keep(media, ring), keep(media, ring));
    let (desk, epoch) = (Arc::downgrade(desk), epoch.clone());
    gst_app::AppSinkCallbacks::builder()
        .new_sample(move |sink| {
            let sample = sink.pull_sample().map_err(|_| gst::FlowError::Eos)?;
            if let (Some(frame), Some(desk)) = (played(&sample), desk.upgrade()) {
                desk.deliver_played(frame, epoch.load(Ordering::SeqCst));
            }
            Ok(gst::FlowSuccess::Ok)
        })
        // Pausing decodes one frame more than was shown. It is kept for the next step, and not shown.
        .new_preroll(move |sink| {
            let _ = sink.pull_preroll().map(|sample| prerolled(&sample));
            Ok(gst::FlowSuccess::Ok)
        })
        .build()
}

fn sound_end(silent: bool) -> SoundEnd {
    Box::new(move |pipeline| {
        if pipeline.by_name("volume").is_some() {
            return None;
        }
        sound_branch(pipeline, silent).ok()
    })
}

fn sound_branch(pipeline: &gst::Pipeline, silent: bool) -> Result<gst::Pad, VideoError> {
    let mut chain = Vec::new();
    for factory in ["queue", "audioconvert", "audioresample", "scaletempo", "audioconvert", "audioresample"] {
        chain.push(make(factory)?);
    }
    let volume = gst::ElementFactory::make("volume").name("volume").build();
    chain.push(volume.map_err(|e| failed("building the sound's path", &e))?);
    let sink = make(if silent { "fakesink" } else { "autoaudiosink" })?;
    sink.set_property("sync", true);
    chain.push(sink);
    pipeline
        .add_many(&chain)
        .and_then(|()| gst::Element::link_many(&chain))
        .map_err(|e| failed("building the sound's path", &e))?;
    for element in chain.iter().rev() {
        element.sync_state_with_parent().map_err(|e| failed("starting the sound", &e))?;
    }
    chain[0].static_pad("sink").ok_or_else(|| failed("building the sound's path", &"no pad"))
}

/// Whether a sound device can be opened. Without one the automatic sink chooses one that throws sound away.
pub(super) fn has_sound_device() -> bool {
    let Ok(sink) = make("autoaudiosink") else { return false };
    let works = sink.set_state(gst::State::Ready).is_ok()
        && sink.downcast_ref::<gst::Bin>().is_some_and(|bin| {
            bin.children().iter().any(|e| e.factory().is_some_and(|f| f.name() != "fakesink"))
        });
    let _ = sink.set_state(gst::State::Null);
    works
}
