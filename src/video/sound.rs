//! The sound's way to the loudspeaker, and when the loudspeaker is wanted.
//!
//! ```text
//! queue ! audioconvert ! audioresample ! scaletempo ! audioconvert ! audioresample ! volume ! autoaudiosink
//! ```
//!
//! While nothing plays, the way rests: its queue is shut and the device is not taken. PulseAudio's library counts the time of a
//! stream that was made and has not begun (seen with 16.1): a pipeline that waits at its frame with a stream at hand would stand
//! still after the start, without a sound, for as long as it had waited. So the device is taken when playing starts, and the pictures
//! do not wait for it: its clock is not the pipeline's.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use gst::prelude::*;

use super::base::{failed, make};
use super::error::VideoError;
#[cfg(all(test, feature = "gui"))]
use super::listener;
use super::reader::SoundEnd;
use crate::frames::FootageFile;

/// Makes what takes the sound at its end; none where there is nothing.
pub(super) type Speaker = Box<dyn Fn() -> Option<gst::Element> + Send + Sync>;

/// Lets sound through while something plays.
#[derive(Debug, Default)]
pub(super) struct Gate(Mutex<Inner>);

#[derive(Debug, Default)]
struct Inner {
    awake: bool,
    /// Where the sound is held back, and what takes it.
    way: Option<(gst::Pad, gst::Element)>,
    shut: Option<gst::PadProbeId>,
}

impl Inner {
    fn rest(&mut self) {
        self.awake = false;
        let Some((from, speaker)) = &self.way else { return };
        if self.shut.is_none() {
            self.shut = from.add_probe(gst::PadProbeType::BLOCK_DOWNSTREAM, |_, _| gst::PadProbeReturn::Ok);
        }
        speaker.set_locked_state(true);
        // A device that cannot be opened says so on the bus.
        let _ = speaker.set_state(gst::State::Ready);
    }
}

impl Gate {
    fn inner(&self) -> MutexGuard<'_, Inner> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The end of a reader's sound: the way to a speaker.
    pub(super) fn end(self: &Arc<Self>, make: Speaker) -> SoundEnd {
        let gate = self.clone();
        Box::new(move |pipeline| {
            if pipeline.by_name("volume").is_some() {
                return None;
            }
            let speaker = make()?;
            let chain = chain(speaker.clone()).ok()?;
            let mut inner = gate.inner();
            let awake = inner.awake;
            inner.way = Some((chain[0].static_pad("src")?, speaker));
            if !awake {
                inner.rest();
            }
            add(pipeline, &chain).ok()
        })
    }

    /// Holds the sound back and gives the device away. What was on its way is lost: a seek comes next.
    pub(super) fn rest(&self) {
        self.inner().rest();
    }

    /// Takes the device, starts to play, and lets the sound through.
    pub(super) fn wake(&self, play: impl FnOnce() -> Result<(), VideoError>) -> Result<(), VideoError> {
        let (way, shut) = {
            let mut inner = self.inner();
            inner.awake = true;
            (inner.way.clone(), inner.shut.take())
        };
        if let Some((_, speaker)) = &way {
            speaker.set_locked_state(false);
            // It fails where the device is gone: the bus says why.
            let _ = speaker.set_state(gst::State::Paused);
        }
        let played = play();
        if let (Some((from, _)), Some(id)) = (way, shut) {
            from.remove_probe(id);
        }
        played
    }

    /// Whether there is a way for the sound, and the device is not taken.
    #[cfg(test)]
    pub(super) fn rests(&self) -> bool {
        let inner = self.inner();
        inner.way.as_ref().is_some_and(|(_, s)| s.current_state() <= gst::State::Ready)
    }

    /// The pipeline ends, and the speaker with it.
    pub(super) fn leave(&self) {
        if let Some((_, speaker)) = &self.inner().way {
            speaker.set_locked_state(false);
        }
    }
}

/// What takes the sound of this footage.
pub(super) fn speaker_of(media: &FootageFile) -> Speaker {
    #[cfg(all(test, feature = "gui"))]
    if let Some(listener) = listener::speaker(&media.path) {
        return listener;
    }
    let _ = media;
    Box::new(loudspeaker)
}

/// The loudspeaker that the system has chosen. The pipeline is ready without it.
fn loudspeaker() -> Option<gst::Element> {
    let sink = make("autoaudiosink").ok()?;
    sink.set_property("sync", true);
    let chosen = sink.downcast_ref::<gst::Bin>()?;
    chosen.connect_element_added(|_, device| not_waited_for(device));
    Some(sink)
}

fn not_waited_for(sink: &gst::Element) {
    if sink.has_property("async") {
        sink.set_property("async", false);
    }
}

/// Whether a device can be opened for the sound of this footage. Without one the automatic sink chooses one that throws sound away.
pub(super) fn has_device(media: &FootageFile) -> bool {
    #[cfg(all(test, feature = "gui"))]
    if listener::speaker(&media.path).is_some() {
        return true;
    }
    let _ = media;
    let Ok(sink) = make("autoaudiosink") else { return false };
    let works = sink.set_state(gst::State::Ready).is_ok()
        && sink.downcast_ref::<gst::Bin>().is_some_and(|bin| {
            bin.children().iter().any(|e| e.factory().is_some_and(|f| f.name() != "fakesink"))
        });
    let _ = sink.set_state(gst::State::Null);
    works
}

pub(super) fn mute(pipeline: &gst::Pipeline, muted: bool) {
    if let Some(volume) = pipeline.by_name("volume") {
        volume.set_property("mute", muted);
    }
}

fn chain(speaker: gst::Element) -> Result<Vec<gst::Element>, VideoError> {
    let mut chain = Vec::new();
    for factory in ["queue", "audioconvert", "audioresample", "scaletempo", "audioconvert", "audioresample"] {
        chain.push(make(factory)?);
    }
    let volume = gst::ElementFactory::make("volume").name("volume").build();
    chain.push(volume.map_err(|e| failed("building the sound's path", &e))?);
    not_waited_for(&speaker);
    chain.push(speaker);
    Ok(chain)
}

/// Adds the sound's path; its entry.
fn add(pipeline: &gst::Pipeline, chain: &[gst::Element]) -> Result<gst::Pad, VideoError> {
    pipeline
        .add_many(chain)
        .and_then(|()| gst::Element::link_many(chain))
        .map_err(|e| failed("building the sound's path", &e))?;
    for element in chain.iter().rev().filter(|e| !e.is_locked_state()) {
        element.sync_state_with_parent().map_err(|e| failed("starting the sound", &e))?;
    }
    chain[0].static_pad("sink").ok_or_else(|| failed("building the sound's path", &"no pad"))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TONE: f64 = 440.0;
    const RATE: f64 = 48_000.0;

    /// What comes out of the sound's path for two seconds of a tone, played at a speed.
    fn played(speed: f64, muted: bool) -> Vec<f32> {
        super::super::base::init().unwrap();
        let pipeline = gst::Pipeline::new();
        let source = make("audiotestsrc").unwrap();
        source.set_property("freq", TONE);
        let caps = gst::Caps::builder("audio/x-raw").field("format", "F32LE").field("rate", 48_000);
        let sink = gst_app::AppSink::builder().sync(false).caps(&caps.field("channels", 1).build()).build();
        pipeline.add(&source).unwrap();
        let entry = add(&pipeline, &chain(sink.clone().upcast()).unwrap()).unwrap();
        source.static_pad("src").unwrap().link(&entry).unwrap();
        mute(&pipeline, muted);
        pipeline.set_state(gst::State::Paused).unwrap();
        pipeline.state(gst::ClockTime::from_seconds(10)).0.unwrap();
        let flags = gst::SeekFlags::FLUSH | gst::SeekFlags::ACCURATE;
        let (set, from, to) = (gst::SeekType::Set, gst::ClockTime::ZERO, gst::ClockTime::from_seconds(2));
        pipeline.seek(speed, flags, set, from, set, to).unwrap();
        pipeline.set_state(gst::State::Playing).unwrap();
        let mut samples = Vec::new();
        while let Ok(sample) = sink.pull_sample() {
            let map = sample.buffer().unwrap().map_readable().unwrap();
            samples.extend(map.chunks_exact(4).map(|b| f32::from_le_bytes(b.try_into().unwrap())));
        }
        pipeline.set_state(gst::State::Null).unwrap();
        samples
    }

    #[test]
    fn the_pitch_stays_at_every_speed() {
        for speed in [0.1, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0] {
            let samples = played(speed, false);
            let lasts = samples.len() as f64 / RATE;
            assert!((lasts * speed / 2.0 - 1.0).abs() < 0.1, "{lasts} s at speed {speed}");
            let rises = samples.windows(2).filter(|w| w[0] < 0.0 && w[1] >= 0.0).count();
            let heard = rises as f64 / lasts;
            println!("speed {speed}: {heard:.2} Hz for {TONE} Hz");
            assert!((heard / TONE - 1.0).abs() < 0.01, "{heard} Hz at speed {speed}");
        }
    }

    #[test]
    fn muted_is_silent() {
        let loudest = |muted| played(1.0, muted).into_iter().fold(0.0, |a: f32, b| a.max(b.abs()));
        assert!(loudest(false) > 0.5);
        assert!(loudest(true) <= 0.0);
    }
}
