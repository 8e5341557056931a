//! Single frames on demand, from a decoder of their own that is never in a hurry to keep time.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use gst::prelude::*;

use super::base::failed;
use super::busy::{Busy, To};
use super::drain::PATIENCE;
use super::error::{VideoError, from_gstreamer, missing_codec};
use super::frame::{Frame, Ring};
use super::reader::Reader;
use super::tap::tap;

use crate::frames::{FootageFile, FrameIndex};

/// How far ahead decoding on is sure to be quicker than a seek.
const AHEAD: usize = 12;

/// How many frames before the one asked for are decoded with it on the way back.
const BACK: usize = 20;

/// So many bytes, and so many frames at most, wait for who works on them.
const BYTES_AHEAD: u64 = 32 << 20;
const FRAMES_AHEAD: u64 = 32;

/// How long a frame is waited for before it is asked whether it is still wanted.
const LOOK: gst::ClockTime = gst::ClockTime::from_mseconds(4);

/// Gives any frame of the footage. See [`Reader`] for the pipeline.
///
/// It stays in PLAYING with a sink that keeps no time: the decoder runs until the sink is full and then waits. A seek
/// does not make that sink lose its state (`async=false`), so no seek depends on a change of state that is under way.
#[derive(Debug)]
pub(super) struct Scrubber {
    path: PathBuf,
    index: Arc<FrameIndex>,
    reader: Reader,
    ring: Arc<Mutex<Ring>>,
    /// The frame that comes out of the decoder next, if known.
    next: Option<usize>,
    last: usize,
    /// Whether only some frames are wanted, in their order.
    passes: bool,
    /// A decoder that is not installed, in GStreamer's words.
    missing: RefCell<Option<String>>,
}

impl Scrubber {
    pub(super) fn open(media: &FootageFile) -> Result<Self, VideoError> {
        Self::with_ring(media, Arc::default())
    }

    pub(super) fn with_ring(media: &FootageFile, ring: Arc<Mutex<Ring>>) -> Result<Self, VideoError> {
        Self::reading(media, ring, Reader::new(media, end(), None)?)
    }

    /// Gives frames as brightness and colour, and keeps two. The decoder may be some frames ahead of who works on them.
    pub(super) fn planes(media: &FootageFile) -> Result<Self, VideoError> {
        let bytes = u64::from(media.width) * u64::from(media.height) * 3 / 2;
        let ahead = (BYTES_AHEAD / bytes.max(1)).clamp(2, FRAMES_AHEAD) as u32;
        let end = tap().async_(false).max_buffers(ahead).build();
        Self::reading(media, Arc::new(Mutex::new(Ring::of(2))), Reader::planes(media, end)?)
    }

    fn reading(media: &FootageFile, ring: Arc<Mutex<Ring>>, reader: Reader) -> Result<Self, VideoError> {
        let this = Self {
            path: media.path.clone(),
            index: media.index.clone(),
            reader,
            ring,
            next: (media.index.is_key(0) && !starts_late(&media.index)).then_some(0),
            last: 0,
            passes: false,
            missing: RefCell::default(),
        };
        let started = this.reader.pipeline.set_state(gst::State::Playing);
        this.trouble()?;
        started.map_err(|e| failed("starting the decoder", &e))?;
        this.wait_until_ready()?;
        Ok(this)
    }

    /// From now on it gives way to all that is asked for.
    pub(super) fn give_way(&self, to: Busy) {
        self.reader.give_way(To::Player(to));
    }

    /// From now on it gives way to every player, and to keys.
    pub(super) fn give_way_to_everything(&self) {
        self.reader.give_way(To::Everything);
    }

    /// From now on only these frames are asked for, in this order: others are not decoded where the format allows that, and the decoder
    /// goes on to the next one unless it can begin anew at a key frame.
    pub(super) fn only(&mut self, wanted: &[usize]) {
        self.passes = true;
        self.reader.only(wanted);
    }

    /// The same decoder for another keeper of frames, which takes over those that are kept, if it reads this footage.
    pub(super) fn handed_over(mut self, media: &FootageFile, ring: &Arc<Mutex<Ring>>) -> Option<Self> {
        if !Arc::ptr_eq(&self.index, &media.index) {
            return None;
        }
        if let Some(frame) = self.kept(0) {
            ring.lock().unwrap_or_else(PoisonError::into_inner).keep(frame);
        }
        self.ring = ring.clone();
        Some(self)
    }

    /// Waits for the first picture: before that the decoder refuses to seek. Where the pictures begin late, the demuxer tells that
    /// nothing comes for so long, which the sink takes for the start: then the first picture waits behind it.
    fn wait_until_ready(&self) -> Result<(), VideoError> {
        let (mut patience, sink) = (Patience::new(AHEAD), &self.reader.sink);
        // It is asked for again by a seek.
        let come = || self.next.is_none() && sink.try_pull_sample(gst::ClockTime::ZERO).is_some();
        while sink.try_pull_preroll(gst::ClockTime::from_mseconds(20)).is_none() && !come() {
            self.trouble()?;
            if self.reader.sink.is_eos() {
                break;
            }
            self.bear(&mut patience)?;
        }
        Ok(())
    }

    /// As [`Scrubber::frame`], for a coach who looks at another frame: on the way back some before it are decoded too.
    pub(super) fn frame_from(
        &mut self,
        from: usize,
        i: usize,
        cancelled: &dyn Fn() -> bool,
    ) -> Result<Option<Frame>, VideoError> {
        self.last = from;
        self.frame(i, cancelled)
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
        let mut start = self.start_for(i);
        if !self.is_just_ahead(i) {
            self.go(start)?;
        }
        self.last = i;
        let mut found = self.pull_until(i, cancelled)?;
        // Where a file has no list of its frames, demuxers guess: start earlier when it was too late.
        for _ in 0..Self::TRIES {
            if start == 0 || found.as_ref().is_none_or(|f| f.index <= i) {
                break;
            }
            start = self.index.key_before(start - 1);
            self.go(start)?;
            found = self.pull_until(i, cancelled)?;
        }
        Ok(found)
    }

    /// Frame `i` if it is at hand, else the key frame nearest to it, which takes no decoding of others.
    pub(super) fn glance(&mut self, i: usize) -> Result<Option<Frame>, VideoError> {
        let i = i.min(self.index.len() - 1);
        let key = self.index.key_near(i);
        if let Some(frame) = self.kept(i).or_else(|| self.kept(key)) {
            return Ok(Some(frame));
        }
        self.last = key;
        // Told that nothing comes after it, the decoder does not wait for others before it gives the frame.
        self.reader.show_alone(key)?;
        let found = self.pull_until(key, &|| false);
        self.next = None;
        if let Ok(Some(frame)) = found
            && frame.index == key
        {
            return Ok(Some(frame));
        }
        self.go(key)?;
        self.pull_until(key, &|| false)
    }

    /// The frames of a range that the decoder gives, in order; `None` when cancelled. Waits.
    pub(super) fn run(
        &mut self,
        first: usize,
        last: usize,
        cancelled: &dyn Fn() -> bool,
    ) -> Result<Option<Vec<Frame>>, VideoError> {
        self.go(first)?;
        let (mut frames, mut next) = (Vec::new(), first);
        while next <= last {
            let Some(frame) = self.pull_until(next, cancelled)? else { return Ok(None) };
            if frame.index < next || frame.index > last {
                break;
            }
            next = frame.index + 1;
            frames.push(frame);
        }
        Ok(Some(frames))
    }

    /// How often to go to an earlier place when the frame asked for did not come.
    const TRIES: usize = 3;

    /// Has the decoder start at a frame.
    fn go(&mut self, start: usize) -> Result<(), VideoError> {
        self.next = None;
        self.reader.show(start)?;
        self.next = Some(start);
        Ok(())
    }

    /// Brings the decoder to the first frame after `i` that is not kept, so that steps from there are quick.
    pub(super) fn prepare(&mut self, i: usize) -> Result<(), VideoError> {
        let Some(start) = (i + 1..self.index.len()).find(|&k| self.kept(k).is_none()) else { return Ok(()) };
        if self.next != Some(start) {
            self.go(start)?;
        }
        self.last = i;
        Ok(())
    }

    fn kept(&self, i: usize) -> Option<Frame> {
        self.ring.lock().unwrap_or_else(PoisonError::into_inner).get(i)
    }

    fn is_just_ahead(&self, i: usize) -> bool {
        self.next.filter(|n| *n <= i).is_some_and(|n| {
            let near = i - n <= AHEAD || self.index.key_before(i) <= n;
            near && (self.passes || i - n <= 4 * AHEAD)
        })
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
        let mut patience = Patience::new(i - self.index.key_before(i.saturating_sub(BACK)));
        while !cancelled() {
            if let Some(sample) = self.reader.sink.try_pull_sample(LOOK) {
                patience.since = Instant::now();
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
                return self.last_of_all(i).map(Some);
            }
            self.bear(&mut patience)?;
        }
        Ok(None)
    }

    /// What there is instead of frame `i` when the footage has ended before it.
    fn last_of_all(&mut self, i: usize) -> Result<Frame, VideoError> {
        self.next = None;
        let kept = self.ring.lock().unwrap_or_else(PoisonError::into_inner).last_until(i);
        kept.ok_or_else(|| VideoError::Broken {
            path: self.path.clone(),
            reason: format!("frame {i} did not come out of the decoder"),
        })
    }

    fn bear(&self, patience: &mut Patience) -> Result<(), VideoError> {
        patience.check(self.reader.fed(), &self.path).map_err(|e| self.explained(e))
    }

    /// A missing decoder is the reason for whatever follows from it.
    fn explained(&self, error: VideoError) -> VideoError {
        match &*self.missing.borrow() {
            Some(codec) => missing_codec(&self.path, codec),
            None => error,
        }
    }

    /// The error on the bus, if there is one.
    fn trouble(&self) -> Result<(), VideoError> {
        let Some(bus) = self.reader.pipeline.bus() else { return Ok(()) };
        while let Some(message) = bus.pop() {
            match message.view() {
                gst::MessageView::Element(_) => {
                    if let Ok(m) = gst_pbutils::MissingPluginMessage::parse(&message) {
                        self.missing.replace(Some(m.description().to_string()));
                    }
                }
                gst::MessageView::Error(e) => {
                    if e.error().matches(gst::CoreError::MissingPlugin) {
                        self.missing
                            .borrow_mut()
                            .get_or_insert_with(|| "decoder for its pictures".to_owned());
                    }
                    return Err(self.explained(from_gstreamer(&message, &self.path)));
                }
                _ => {}
            }
        }
        Ok(())
    }
}

fn end() -> gst_app::AppSink {
    tap().async_(false).max_buffers(2).build()
}

/// Whether the first frame comes after the file's start. The Matroska demuxer may then take it for that start, until it has read
/// the sound before it: the first frame has to be asked for.
fn starts_late(index: &FrameIndex) -> bool {
    index.clock_time(0) == index.time(0) && index.time(0) > crate::time::MatchTime::ZERO
}

/// How long to wait for a decoder that gives nothing. As long as it takes in the pictures that it needs it is at work,
/// however slow the machine; the clock runs while it takes in none, or many more than it should need.
pub(super) struct Patience {
    pub(super) since: Instant,
    fed: u64,
    needs: u64,
}

impl Patience {
    /// More pictures than any decoder holds back.
    const SPARE: u64 = 64;

    /// For a frame that so many others must be decoded for.
    pub(super) fn new(needs: usize) -> Self {
        Self { since: Instant::now(), fed: 0, needs: needs as u64 + Self::SPARE }
    }

    /// # Errors
    /// [`VideoError::TooSlow`] when the decoder, fed with so many pictures by now, has been still for too long.
    pub(super) fn check(&mut self, fed: u64, path: &Path) -> Result<(), VideoError> {
        if fed != self.fed && fed <= self.needs {
            (self.fed, self.since) = (fed, Instant::now());
        }
        if self.since.elapsed() > PATIENCE {
            return Err(VideoError::TooSlow { path: path.to_path_buf(), seconds: PATIENCE.as_secs() });
        }
        Ok(())
    }
}
