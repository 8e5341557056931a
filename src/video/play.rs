//! Playing with sound, in time.

use std::cell::Cell;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError, Weak};

use gst::prelude::*;

use super::base::failed;
use super::busy::To;
use super::desk::Desk;
use super::error::{VideoError, from_gstreamer, missing_codec};
use super::frame::{Frame, Ring};
use super::reader::Reader;
use super::scrub::Patience;
use super::sound::{Gate, Speaker, mute, speaker_of};
use super::tap::tap;
use crate::frames::FootageFile;

/// No frame is of this epoch.
const NEVER: u64 = u64::MAX;

/// The playing pipeline. Its pictures' side is that of [`Reader`], with a sink that keeps time; for the sound see
/// [`Gate`]. Without sound that part is left out, and the sound is not even decoded.
#[derive(Debug)]
pub(super) struct Play {
    media: Arc<FootageFile>,
    reader: Reader,
    sound: Arc<Gate>,
    /// The epoch that frames now coming out belong to.
    epoch: Arc<AtomicU64>,
    desk: Weak<Desk>,
    /// From which frame, at which speed, it can start to play: there it waits, or will when it has decoded the frame.
    at: Cell<Option<(usize, f64)>>,
    /// It was brought there before that was asked for.
    ahead: Arc<AtomicBool>,
}

impl Play {
    /// Builds the pipeline and has it decode its first frame.
    pub(super) fn open(
        media: &Arc<FootageFile>,
        desk: &Arc<Desk>,
        ring: &Arc<Mutex<Ring>>,
        with_sound: bool,
    ) -> Result<Self, VideoError> {
        Self::with_sound(media, desk, ring, with_sound.then(|| speaker_of(media)))
    }

    /// As [`Play::open`], with what takes the sound.
    pub(super) fn with_sound(
        media: &Arc<FootageFile>,
        desk: &Arc<Desk>,
        ring: &Arc<Mutex<Ring>>,
        speaker: Option<Speaker>,
    ) -> Result<Self, VideoError> {
        let epoch = Arc::new(AtomicU64::new(NEVER));
        let ahead = Arc::new(AtomicBool::new(true));
        let sink = tap().sync(true).max_buffers(2).build();
        sink.set_callbacks(callbacks(media, desk, ring, (&epoch, &ahead)));
        let sound = Arc::<Gate>::default();
        let reader = Reader::new(media, sink, speaker.filter(|_| media.has_audio).map(|s| sound.end(s)))?;
        let (desk, at) = (Arc::downgrade(desk), Cell::new(None));
        let this = Self { media: media.clone(), reader, sound, epoch, desk, at, ahead };
        let started = this.reader.pipeline.set_state(gst::State::Paused);
        started.map_err(|e| this.trouble().err().unwrap_or_else(|| failed("starting to play", &e)))?;
        Ok(this)
    }

    /// Whether it waits at a frame, or is on its way there, to play from it at a speed.
    pub(super) fn is_at(&self, index: usize, speed: f64) -> bool {
        self.at.get().is_some_and(|(at, as_fast)| at == index && (as_fast - speed).abs() < 1e-9)
    }

    /// Goes to a frame, to be ready to play from there, and gives way to all that is asked for. Does not wait. To be called
    /// only when [`Play::is_settled`].
    pub(super) fn make_ready(&self, index: usize, speed: f64) -> Result<(), VideoError> {
        self.epoch.store(NEVER, Ordering::SeqCst);
        self.ahead.store(true, Ordering::SeqCst);
        self.reader.give_way(To::Nothing);
        self.sound.rest();
        self.reader.play(index, speed)?;
        self.reader.give_way(self.desk.upgrade().map_or(To::Nothing, |d| To::Player(d.busy())));
        self.at.set(Some((index, speed)));
        Ok(())
    }

    /// Whether it waits somewhere and is not on its way.
    ///
    /// # Errors
    /// What is on the bus.
    pub(super) fn is_settled(&self) -> Result<bool, VideoError> {
        self.trouble()?;
        Ok(self.reader.pipeline.state(gst::ClockTime::ZERO).0 != Ok(gst::StateChangeSuccess::Async))
    }

    /// Plays from a frame, as long as `wanted` says so. Waits until the frame is decoded, unless it is there already.
    pub(super) fn start(
        &self,
        index: usize,
        speed: f64,
        epoch: u64,
        wanted: &dyn Fn() -> bool,
    ) -> Result<(), VideoError> {
        self.reader.give_way(To::Nothing);
        if !self.is_at(index, speed) {
            self.halt()?;
            // A change of state that is under way would be taken for the end of the seek, and a seek before the first
            // frame is there would be refused.
            self.wait(index, wanted)?;
            if !wanted() {
                return Ok(());
            }
            self.ahead.store(false, Ordering::SeqCst);
            self.sound.rest();
            self.reader.play(index, speed)?;
            self.at.set(Some((index, speed)));
        }
        self.wait(index, wanted)?;
        if wanted() {
            self.at.set(None);
            self.ahead.store(false, Ordering::SeqCst);
            self.epoch.store(epoch, Ordering::SeqCst);
            self.sound.wake(|| self.set(gst::State::Playing))?;
        }
        Ok(())
    }

    /// From now on nothing of it is shown or heard. It goes on until [`Play::halt`].
    pub(super) fn hush(&self) {
        self.epoch.store(NEVER, Ordering::SeqCst);
        self.set_muted(true);
    }

    /// Stops where it is.
    pub(super) fn halt(&self) -> Result<(), VideoError> {
        self.epoch.store(NEVER, Ordering::SeqCst);
        self.set(gst::State::Paused)
    }

    pub(super) fn set_muted(&self, muted: bool) {
        mute(&self.reader.pipeline, muted);
    }

    /// Whether the end of the footage has been reached.
    ///
    /// # Errors
    /// What is on the bus.
    pub(super) fn is_at_end(&self) -> Result<bool, VideoError> {
        self.trouble()
    }

    /// How long it has played since it was started.
    #[cfg(test)]
    pub(super) fn running_time(&self) -> Option<gst::ClockTime> {
        self.reader.pipeline.current_running_time()
    }

    /// Whether the sound device is not taken.
    #[cfg(test)]
    pub(super) fn rests(&self) -> bool {
        self.sound.rests()
    }

    fn set(&self, state: gst::State) -> Result<(), VideoError> {
        let changed = self.reader.pipeline.set_state(state).map(|_| ());
        changed.map_err(|e| self.trouble().err().unwrap_or_else(|| failed("playing", &e)))
    }

    /// Waits until no change of state is under way: until a frame is decoded.
    fn wait(&self, index: usize, wanted: &dyn Fn() -> bool) -> Result<(), VideoError> {
        let mut patience = Patience::new(index - self.media.index.key_before(index));
        let moment = gst::ClockTime::from_mseconds(20);
        while wanted() && self.reader.pipeline.state(moment).0 == Ok(gst::StateChangeSuccess::Async) {
            self.trouble()?;
            patience.check(self.reader.fed(), &self.media.path)?;
        }
        self.trouble().map(|_| ())
    }

    /// Says that there is no decoder for the sound. (One for the pictures is there: the footage was opened.)
    fn tell_missing(&self, message: &gst::MessageRef) {
        if let (Ok(m), Some(desk)) = (gst_pbutils::MissingPluginMessage::parse(message), self.desk.upgrade())
        {
            let error = missing_codec(&self.media.path, &m.description());
            desk.warn(format!("The footage plays without sound. {error}"));
        }
    }

    /// Empties the bus: whether the end was on it, or the first error.
    fn trouble(&self) -> Result<bool, VideoError> {
        let Some(bus) = self.reader.pipeline.bus() else { return Ok(false) };
        let mut ended = false;
        while let Some(message) = bus.pop() {
            match message.view() {
                gst::MessageView::Error(_) => return Err(from_gstreamer(&message, &self.media.path)),
                gst::MessageView::Eos(_) => ended = true,
                gst::MessageView::Element(_) => self.tell_missing(&message),
                _ => {}
            }
        }
        Ok(ended)
    }
}

impl Drop for Play {
    fn drop(&mut self) {
        self.sound.leave();
    }
}

fn callbacks(
    media: &Arc<FootageFile>,
    desk: &Arc<Desk>,
    ring: &Arc<Mutex<Ring>>,
    (epoch, ahead): (&Arc<AtomicU64>, &Arc<AtomicBool>),
) -> gst_app::AppSinkCallbacks {
    let keep = |ring: &Arc<Mutex<Ring>>, frame| {
        ring.lock().unwrap_or_else(PoisonError::into_inner).keep(frame);
    };
    let (index, kept, desk, epoch) = (media.index.clone(), ring.clone(), Arc::downgrade(desk), epoch.clone());
    let (first_index, first_kept, first_desk, ahead) =
        (index.clone(), kept.clone(), desk.clone(), ahead.clone());
    gst_app::AppSinkCallbacks::builder()
        .new_sample(move |sink| {
            let sample = sink.pull_sample().map_err(|_| gst::FlowError::Eos)?;
            if let (Some(frame), Some(desk)) = (Frame::new(&sample, &index), desk.upgrade()) {
                keep(&kept, frame.clone());
                desk.deliver_played(frame, epoch.load(Ordering::SeqCst));
            }
            Ok(gst::FlowSuccess::Ok)
        })
        // Pausing decodes one frame more than was shown. It is kept for the next step, and not shown.
        .new_preroll(move |sink| {
            let frame = sink.pull_preroll().ok().and_then(|sample| Frame::new(&sample, &first_index));
            if let (Some(frame), Some(desk)) = (frame, first_desk.upgrade()) {
                if ahead.load(Ordering::SeqCst) { desk.offer(frame) } else { keep(&first_kept, frame) }
            }
            Ok(gst::FlowSuccess::Ok)
        })
        .build()
}
