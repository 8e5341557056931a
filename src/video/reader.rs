//! The decoder that both the player and the scrubber read from.

use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

use gst::prelude::*;

use super::base::{failed, make};
use super::busy::To;
use super::earlier::Earlier;
use super::error::VideoError;
use super::nonref::{self, Feed};
use super::pads::{stream_name, waste};
use super::pool;
use super::source::{lead, source};
use super::tap::{at_ease, stop};
use crate::frames::FootageFile;
use crate::time::MatchTime;

/// What to do with a pad that carries sound: return where it should go.
pub(super) type SoundEnd = Box<dyn Fn(&gst::Pipeline) -> Option<gst::Pad> + Send + Sync>;

/// A pipeline that decodes the pictures of a file, and its sound if wanted.
///
/// ```text
/// filesrc ! decodebin ─┬ the film  ! queue ! videoconvert ! videoflip (auto) ! appsink (BGRA)
///            (probe on │ sound     ! what the caller wants with it
///         the decoder) └ all other ! fakesink (sync=false)
/// ```
#[derive(Debug)]
pub(super) struct Reader {
    pub(super) pipeline: gst::Pipeline,
    pub(super) sink: gst_app::AppSink,
    feed: Arc<Feed>,
    earlier: Arc<Earlier>,
    media: FootageFile,
    /// By how much an end must be later for the demuxer not to end before it.
    lead: Duration,
}

impl Reader {
    pub(super) fn new(
        media: &FootageFile,
        sink: gst_app::AppSink,
        sound: Option<SoundEnd>,
    ) -> Result<Self, VideoError> {
        Self::with(media, sink, sound, Form::Screen)
    }

    /// Gives the pictures upright as brightness and colour (I420), and no sound.
    pub(super) fn planes(media: &FootageFile, sink: gst_app::AppSink) -> Result<Self, VideoError> {
        Self::with(media, sink, None, Form::Planes)
    }

    /// Gives the pictures as they are stored (I420, not turned), and no sound.
    pub(super) fn stored(media: &FootageFile, sink: gst_app::AppSink) -> Result<Self, VideoError> {
        Self::with(media, sink, None, Form::Stored)
    }

    fn with(
        media: &FootageFile,
        sink: gst_app::AppSink,
        sound: Option<SoundEnd>,
        form: Form,
    ) -> Result<Self, VideoError> {
        let this = Self {
            pipeline: gst::Pipeline::new(),
            sink,
            feed: Arc::default(),
            earlier: Arc::default(),
            media: media.clone(),
            lead: lead(&media.path).unwrap_or_default(),
        };
        let (source, _) = source(&media.path)?;
        let decoder = make("decodebin")?;
        if sound.is_none() {
            decoder.set_property("caps", gst::Caps::builder("video/x-raw").any_features().build());
            // The decoders for transparency do not say what comes out of them, and would be passed over.
            decoder.set_property("expose-all-streams", media.transparent);
        }
        let entry = this.pictures(form)?;
        this.pipeline
            .add_many([&source, &decoder])
            .and_then(|()| source.link(&decoder))
            .map_err(|e| failed("building the decoder", &e))?;
        let (feed, earlier, footage) = (this.feed.clone(), this.earlier.clone(), media.clone());
        this.pipeline.connect_deep_element_added(move |_, _, element| {
            nonref::watch(element, &footage, &feed);
            earlier.watch(element);
            set_up(element);
        });
        let (weak, wanted) = (this.pipeline.downgrade(), media.stream.clone());
        decoder.connect_pad_added(move |_, pad| {
            let Some(pipeline) = weak.upgrade() else { return };
            let end = match kind(pad) {
                Kind::Video if !entry.is_linked() && is_wanted(pad, wanted.as_deref()) => Some(entry.clone()),
                Kind::Sound => sound.as_ref().and_then(|s| s(&pipeline)),
                _ => None,
            };
            if let Some(end) = end.filter(|e| !e.is_linked()).or_else(|| waste(&pipeline)) {
                let _ = pad.link(&end);
            }
        });
        Ok(this)
    }

    /// Adds the branch of the pictures; its entry.
    fn pictures(&self, form: Form) -> Result<gst::Pad, VideoError> {
        let queue = make("queue")?;
        queue.set_property("max-size-buffers", 3u32);
        queue.set_property("max-size-bytes", 0u32);
        queue.set_property("max-size-time", 0u64);
        let convert = make("videoconvert")?;
        convert.set_property("n-threads", 2u32);
        let mut chain = vec![queue, convert];
        let format = match form {
            Form::Screen => "BGRA",
            Form::Planes | Form::Stored => "I420",
        };
        self.sink.set_caps(Some(&gst::Caps::builder("video/x-raw").field("format", format).build()));
        if form != Form::Stored {
            let flip = make("videoflip")?;
            flip.set_property_from_str("video-direction", "auto");
            chain.push(flip);
        }
        if let (Form::Screen, Some(end)) = (form, self.sink.static_pad("sink")) {
            pool::lend(&end);
        }
        chain.push(self.sink.clone().upcast());
        self.pipeline
            .add_many(&chain)
            .and_then(|()| gst::Element::link_many(&chain))
            .map_err(|e| failed("building the picture's path", &e))?;
        chain[0].static_pad("sink").ok_or_else(|| failed("building the picture's path", &"no pad"))
    }

    /// An exact seek to a frame of the index. Everything decoded before is gone when it returns.
    pub(super) fn show(&self, frame: usize) -> Result<(), VideoError> {
        self.seek(frame, 1.0, None)
    }

    /// As [`Reader::show`] for a key frame, and the footage ends with it.
    pub(super) fn show_alone(&self, frame: usize) -> Result<(), VideoError> {
        let next = frame + 1;
        let last = next >= self.media.index.len();
        let end = if last { self.media.index.clock_end() } else { self.media.index.clock_time(next) };
        self.seek_as(true, frame, 1.0, Some(end))
    }

    /// An exact seek to a frame of the index, to go on at a speed until the last frame's end: sound that is longer than the
    /// pictures is not played.
    pub(super) fn play(&self, frame: usize, speed: f64) -> Result<(), VideoError> {
        self.seek(frame, speed, Some(self.media.index.clock_end().later(self.lead)))
    }

    /// An exact seek to a frame of the index; the footage ends before frame `end`, that of a trimmed file may go on.
    pub(super) fn seek_span(&self, frame: usize, end: usize) -> Result<(), VideoError> {
        let last = end >= self.media.index.len();
        let until = if last { self.media.index.clock_end() } else { self.media.index.clock_time(end) };
        self.seek(frame, 1.0, Some(until.later(self.lead)))
    }

    fn seek(&self, frame: usize, speed: f64, until: Option<MatchTime>) -> Result<(), VideoError> {
        self.seek_as(false, frame, speed, until)
    }

    fn seek_as(
        &self,
        alone: bool,
        frame: usize,
        speed: f64,
        until: Option<MatchTime>,
    ) -> Result<(), VideoError> {
        let to = self.media.index.clock_time(frame);
        self.feed.alone.store(alone, Ordering::SeqCst);
        self.feed.target.store(to.nanos(), Ordering::SeqCst);
        self.feed.fed.store(0, Ordering::SeqCst);
        let flags = gst::SeekFlags::FLUSH | gst::SeekFlags::ACCURATE;
        let (start, until) = self.earlier.place(&self.media, frame, until);
        let start = gst::ClockTime::from_nseconds(start.nanos());
        let until = until.map(|t| gst::ClockTime::from_nseconds(t.nanos()));
        // No end is an end too: left as it is, that of the seek before would hold.
        let set = gst::SeekType::Set;
        // By the pictures' sink alone: sound that rests would refuse, and goes along.
        let go = || at_ease(&self.sink, || self.sink.seek(speed, flags, set, start, set, until));
        // A decoder that is just starting up refuses.
        let mut done = go();
        for _ in 0..20 {
            if done.is_ok() {
                break;
            }
            let _ = self.pipeline.state(gst::ClockTime::from_mseconds(50));
            std::thread::sleep(std::time::Duration::from_millis(5));
            done = go();
        }
        done.map_err(|e| failed("going to another frame", &e))
    }

    /// From now on only these frames of the index are wanted. Says so once.
    pub(super) fn only(&self, wanted: &[usize]) {
        let mut all = vec![false; self.media.index.len()];
        for i in wanted {
            if let Some(wanted) = all.get_mut(*i) {
                *wanted = true;
            }
        }
        let _ = self.feed.wanted.set(all);
    }

    /// To what it gives way from now on.
    pub(super) fn give_way(&self, to: To) {
        self.feed.gives_way.to(to);
    }

    /// How many pictures have gone into the decoder since the last seek: whether it is at work.
    pub(super) fn fed(&self) -> u64 {
        self.feed.fed.load(Ordering::SeqCst)
    }
}

impl Drop for Reader {
    fn drop(&mut self) {
        self.give_way(To::Nothing);
        stop(&self.pipeline, &self.sink);
    }
}

/// Has a decoder of libav decode into memory of its own. Its pictures are copied from there into buffers that are used again.
///
/// Told to decode into GStreamer's buffers it would need fewer copies, but GStreamer must not change a buffer that the decoder still
/// looks at: it would copy each picture into new memory, also those before a seek's target, which nobody sees.
fn set_up(element: &gst::Element) {
    let of_libav = element.factory().is_some_and(|f| f.name().starts_with("avdec_"));
    if of_libav && element.has_property("direct-rendering") {
        element.set_property("direct-rendering", false);
    }
}

/// In what form pictures are given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    /// As they are shown: turned upright, BGRA.
    Screen,
    /// Turned upright, I420: mostly what the decoder gives, without any work.
    Planes,
    /// As they are stored, I420.
    Stored,
}

enum Kind {
    Video,
    Sound,
    Other,
}

fn kind(pad: &gst::Pad) -> Kind {
    let caps = pad.current_caps().unwrap_or_else(|| pad.query_caps(None));
    match caps.structure(0).map(|s| s.name().as_str()) {
        Some("video/x-raw") => Kind::Video,
        Some("audio/x-raw") => Kind::Sound,
        _ => Kind::Other,
    }
}

fn is_wanted(pad: &gst::Pad, stream: Option<&str>) -> bool {
    match (pad.stream_id(), stream) {
        (Some(id), Some(wanted)) => stream_name(&id) == wanted,
        _ => true,
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc::channel;
    use std::thread::{sleep, spawn};
    use std::time::Duration;

    use super::super::encode::{Container, EncodeSpec, Encoder};
    use super::super::frame::Frame;
    use super::super::probe::probe;
    use super::super::tap::tap;
    use super::*;
    use crate::time::FrameRate;

    fn film(path: &std::path::Path) -> FootageFile {
        let rate = FrameRate::new(30, 1).unwrap();
        let spec = EncodeSpec {
            path: path.to_path_buf(),
            width: 64,
            height: 48,
            container: Container::Mp4,
            rotation: 0,
            nominal_rate: Some(rate),
            audio: None,
            gop: Some(15),
            b_frames: 2,
        };
        super::super::base::init().unwrap();
        let mut encoder = Encoder::start(&spec).unwrap();
        for i in 0..30 {
            encoder.video(vec![i as u8; 64 * 48 * 4], rate.time_of(i), rate.frame_length()).unwrap();
        }
        encoder.finish().unwrap();
        probe(path).unwrap()
    }

    /// The demuxer goes on to the next key frame; a decoder that takes in all until then gives the one that is wanted late.
    #[test]
    fn after_a_frame_that_is_wanted_alone_nothing_is_decoded() {
        let folder = tempfile::tempdir().unwrap();
        let media = film(&folder.path().join("film.mp4"));
        let sink = tap().async_(false).max_buffers(2).build();
        let reader = Reader::new(&media, sink.clone(), None).unwrap();
        reader.pipeline.set_state(gst::State::Playing).unwrap();
        let next = || {
            let sample = sink.try_pull_sample(gst::ClockTime::from_seconds(5));
            sample.and_then(|s| Frame::new(&s, &media.index)).map(|f| f.index)
        };
        // To the end: what is still on its way would be counted for the next seek.
        let rest = || std::iter::from_fn(next).collect::<Vec<_>>();
        assert_eq!(rest(), (0..30).collect::<Vec<_>>());
        for _ in 0..3 {
            reader.show_alone(15).unwrap();
            assert_eq!(rest(), [15], "its end comes with it");
            assert!(sink.is_eos());
            assert_eq!(reader.fed(), 1);
            reader.show(16).unwrap();
            assert_eq!(rest(), (16..30).collect::<Vec<_>>(), "no end for what is asked for later");
        }
    }

    /// Footage is closed at any moment: also just when a pipeline whose sink is full was told to play.
    #[test]
    fn a_pipeline_with_a_full_sink_can_be_stopped_at_any_moment() {
        const TIMES: u64 = 120;
        let folder = tempfile::tempdir().unwrap();
        let media = film(&folder.path().join("film.mp4"));
        let (done, stopped) = channel();
        spawn(move || {
            for time in 0..TIMES {
                let sink = gst_app::AppSink::builder().sync(time % 2 == 0).max_buffers(1).build();
                let reader = Reader::new(&media, sink, None).unwrap();
                reader.pipeline.set_state(gst::State::Paused).unwrap();
                let _ = reader.pipeline.state(gst::ClockTime::from_seconds(5));
                reader.pipeline.set_state(gst::State::Playing).unwrap();
                sleep(Duration::from_micros(100 * (time % 40)));
                if time % 3 == 0 {
                    reader.pipeline.set_state(gst::State::Paused).unwrap();
                    sleep(Duration::from_micros(100 * (time % 7)));
                }
                drop(reader);
                done.send(()).unwrap();
            }
        });
        for time in 0..TIMES {
            assert!(
                stopped.recv_timeout(Duration::from_secs(10)).is_ok(),
                "{time} were stopped, the next hangs"
            );
        }
    }
}
