//! The coach's voice as it is spoken.

use std::time::Duration;

use gst::prelude::*;

use super::base::{failed, init, make};
use super::error::{USUAL_SOURCE, VideoError};
use crate::time::MatchTime;

/// The source that is used when nobody chose one: whatever the desktop says.
pub const MICROPHONE: &str = USUAL_SOURCE;
/// Samples a second.
const RATE: i32 = 48_000;
/// How much is handed over at a time, in microseconds.
const PIECE: i64 = 20_000;

/// Listens to a microphone: 48,000 samples a second, 16 bits, one channel.
#[derive(Debug)]
pub struct Microphone {
    pipeline: gst::Pipeline,
    name: String,
}

impl Microphone {
    /// Listens to a GStreamer source, named as on the command line of GStreamer (`autoaudiosrc`, `pulsesrc device=…`). `hear` is
    /// given samples and when the first of them was spoken, on the clock of [`Microphone::now`]; it is called on another thread.
    ///
    /// # Errors
    /// [`VideoError::NoMicrophone`] when there is none, [`VideoError::MissingElement`] when a plug-in is not installed.
    pub fn open(
        name: &str,
        mut hear: impl FnMut(&[i16], MatchTime) + Send + 'static,
    ) -> Result<Self, VideoError> {
        init()?;
        let no = |reason: String| VideoError::NoMicrophone { name: name.to_owned(), reason };
        let source = gst::parse::bin_from_description(name, true).map_err(|e| no(e.message().to_owned()))?;
        for part in source.iterate_recurse().into_iter().flatten() {
            if part.find_property("buffer-time").is_some() && part.find_property("latency-time").is_some() {
                part.set_property("latency-time", PIECE);
            }
        }
        let sink = gst_app::AppSink::builder().caps(&pcm()).sync(false).build();
        let calls = gst_app::AppSinkCallbacks::builder().new_sample(move |sink| {
            let sample = sink.pull_sample().map_err(|_| gst::FlowError::Eos)?;
            let at = sample.segment().and_then(|s| s.downcast_ref::<gst::ClockTime>()).zip(sample.buffer());
            let at = at.and_then(|(segment, buffer)| segment.to_running_time(buffer.pts()?));
            if let (Some(at), Some(map)) = (at, sample.buffer().and_then(|b| b.map_readable().ok())) {
                let samples: Vec<i16> =
                    map.chunks_exact(2).map(|b| i16::from_le_bytes([b[0], b[1]])).collect();
                hear(&samples, MatchTime::from_nanos(at.nseconds()));
            }
            Ok(gst::FlowSuccess::Ok)
        });
        sink.set_callbacks(calls.build());
        let pipeline = gst::Pipeline::new();
        join(
            &pipeline,
            &[
                source.upcast_ref::<gst::Element>(),
                &make("audioconvert")?,
                &make("audioresample")?,
                sink.upcast_ref(),
            ],
        )?;
        let this = Self { pipeline, name: name.to_owned() };
        let started = this.pipeline.set_state(gst::State::Playing);
        let (ready, ..) = this.pipeline.state(gst::ClockTime::from_seconds(5));
        this.trouble()?;
        if started.is_err() || ready.is_err() {
            return Err(no("it does not answer".into()));
        }
        this.check_it_is_real()?;
        Ok(this)
    }

    /// Without any microphone, GStreamer's automatic source is a silent one of its own.
    fn check_it_is_real(&self) -> Result<(), VideoError> {
        let silent = |e: gst::Element| {
            let of_auto = e.parent().and_downcast::<gst::Element>().and_then(|p| p.factory());
            let own = e.factory().is_some_and(|f| f.name() == "audiotestsrc");
            own && of_auto.is_some_and(|f| f.name() == "autoaudiosrc")
        };
        if self.pipeline.iterate_recurse().into_iter().flatten().any(silent) {
            let reason = "none is connected".to_owned();
            return Err(VideoError::NoMicrophone { name: self.name.clone(), reason });
        }
        Ok(())
    }

    /// The moment on the clock of the microphone.
    pub fn now(&self) -> MatchTime {
        MatchTime::from_nanos(self.pipeline.current_running_time().map_or(0, gst::ClockTime::nseconds))
    }

    /// What went wrong since the last time.
    ///
    /// # Errors
    /// [`VideoError::NoMicrophone`] when it was taken away, or another program has it.
    pub fn trouble(&self) -> Result<(), VideoError> {
        let message = self.pipeline.bus().and_then(|b| b.pop_filtered(&[gst::MessageType::Error]));
        match message.as_ref().map(|m| m.view()) {
            Some(gst::MessageView::Error(e)) => {
                let reason = e.error().message().trim_end_matches('.').to_owned();
                Err(VideoError::NoMicrophone { name: self.name.clone(), reason })
            }
            _ => Ok(()),
        }
    }
}

impl Drop for Microphone {
    fn drop(&mut self) {
        let _ = self.pipeline.set_state(gst::State::Null);
    }
}

/// The form of a voice.
fn pcm() -> gst::Caps {
    gst::Caps::builder("audio/x-raw")
        .field("format", "S16LE")
        .field("layout", "interleaved")
        .field("channels", 1)
        .field("rate", RATE)
        .build()
}

/// Joins elements one after another.
fn join(pipeline: &gst::Pipeline, chain: &[&gst::Element]) -> Result<(), VideoError> {
    let joined = pipeline.add_many(chain).and_then(|()| gst::Element::link_many(chain));
    joined.map_err(|e| failed("building the voice's path", &e))
}

/// Plays a voice on the loudspeakers. Its picture goes by [`VoicePlayer::at`].
#[derive(Debug)]
pub struct VoicePlayer {
    pipeline: gst::Pipeline,
    from: MatchTime,
}

impl VoicePlayer {
    /// Plays what `voice` gives, from now on; `None` is its end. `from` is the moment of its first sample.
    ///
    /// # Errors
    /// [`VideoError`] when there is no way to play sound.
    pub fn start(
        from: MatchTime,
        mut voice: impl FnMut(usize) -> Option<Vec<i16>> + Send + 'static,
    ) -> Result<Self, VideoError> {
        init()?;
        let source =
            gst_app::AppSrc::builder().caps(&pcm()).format(gst::Format::Time).max_bytes(19_200).build();
        let mut sent = 0u64;
        let calls = gst_app::AppSrcCallbacks::builder().need_data(move |source, _| {
            let Some(samples) = voice(RATE as usize / 50) else {
                let _ = source.end_of_stream();
                return;
            };
            let time = |n: u64| gst::ClockTime::from_nseconds(n * 1_000_000_000 / RATE as u64);
            let bytes: Vec<u8> = samples.iter().flat_map(|s| s.to_le_bytes()).collect();
            let mut buffer = gst::Buffer::from_mut_slice(bytes);
            if let Some(b) = buffer.get_mut() {
                b.set_pts(time(sent));
                sent += samples.len() as u64;
                b.set_duration(time(samples.len() as u64));
            }
            let _ = source.push_buffer(buffer);
        });
        source.set_callbacks(calls.build());
        let pipeline = gst::Pipeline::new();
        join(
            &pipeline,
            &[
                source.upcast_ref::<gst::Element>(),
                &make("audioconvert")?,
                &make("audioresample")?,
                &make("autoaudiosink")?,
            ],
        )?;
        pipeline.set_state(gst::State::Playing).map_err(|e| failed("playing the voice", &e))?;
        Ok(Self { pipeline, from })
    }

    /// The moment of the voice that is heard now.
    pub fn at(&self) -> MatchTime {
        let played = self.pipeline.query_position::<gst::ClockTime>();
        self.from.later(Duration::from_nanos(played.map_or(0, gst::ClockTime::nseconds)))
    }

    /// Whether it was played to its end, or can be played no further.
    pub fn is_over(&self) -> bool {
        let kinds = [gst::MessageType::Eos, gst::MessageType::Error];
        self.pipeline.bus().and_then(|b| b.pop_filtered(&kinds)).is_some()
    }
}

impl Drop for VoicePlayer {
    fn drop(&mut self) {
        let _ = self.pipeline.set_state(gst::State::Null);
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc;
    use std::time::Instant;

    use super::*;

    #[test]
    fn a_source_is_heard_without_a_gap_and_on_its_own_clock() {
        let (send, heard) = mpsc::channel();
        let name = "audiotestsrc is-live=true wave=ticks";
        let mic = Microphone::open(name, move |samples, at| {
            let _ = send.send((samples.len() as u64, at));
        });
        let mic = mic.unwrap();
        let (mut samples, mut first) = (0u64, None);
        while samples < 48_000 {
            let (count, at) = heard.recv_timeout(Duration::from_secs(10)).unwrap();
            let first = *first.get_or_insert(at);
            let wanted = samples * 1_000_000_000 / 48_000;
            let off = (at - first).as_nanos() as i64 - wanted as i64;
            assert!(off.abs() < 2_000_000, "{off} ns");
            // What was spoken is never later than now.
            assert!(mic.now() >= at);
            samples += count;
        }
        assert!(mic.trouble().is_ok());
    }

    #[test]
    fn without_a_microphone_it_says_so() {
        for (name, word) in [("nonsuchsrc", "nonsuchsrc"), ("filesrc location=/nowhere", "filesrc")] {
            let refused = Microphone::open(name, |_, _| {}).unwrap_err().to_string();
            assert!(refused.contains(word) && refused.contains("microphone"), "{refused}");
        }
        // Where tests run there is often none; then it must not record silence.
        if let Err(refused) = Microphone::open(MICROPHONE, |_, _| {}) {
            println!("{refused}");
            assert!(matches!(refused, VideoError::NoMicrophone { .. }));
        }
    }

    #[test]
    fn a_voice_is_played_in_its_own_time() {
        let mut left = 48_000usize;
        let player = VoicePlayer::start(MatchTime::from_secs(5), move |count| {
            let count = count.min(left);
            left -= count;
            (count > 0).then(|| vec![0; count])
        });
        let player = player.unwrap();
        let begun = Instant::now();
        while player.at() < MatchTime::from_millis(5500) {
            assert!(begun.elapsed() < Duration::from_secs(20));
            std::thread::sleep(Duration::from_millis(5));
        }
        assert!(begun.elapsed() > Duration::from_millis(400));
        while !player.is_over() {
            assert!(begun.elapsed() < Duration::from_secs(20));
            std::thread::sleep(Duration::from_millis(5));
        }
    }
}
