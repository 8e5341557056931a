//! One pass through a file without decoding: when its frames are shown, and what else is in it.

use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use gst::prelude::*;

use super::base::{failed, make};
use super::drain::{PATIENCE, Reading, Told, Watch, drain};
use super::error::{VideoError, from_gstreamer, missing_codec};
use super::order::{Marks, mark_on};
use super::pads::{Start, is_moving_picture, stream_name, stream_time, waste};
use super::size::{Size, size_of};
use super::source::{Place, lead, source};
use super::table::Listed;
use super::tap::tap;
use crate::frames::{FrameIndex, Stored};
use crate::time::MatchTime;

/// How many frames a file's own list must have right, and how many key frames among them, before the rest is believed.
const ALIKE: usize = 64;
const ALIKE_KEYS: usize = 2;

/// By how much a file may say that it lasts longer than what is in it.
pub(super) const SLACK: Duration = Duration::from_secs(1);

/// What a scan found.
#[derive(Debug, Default)]
pub(super) struct Scan {
    found: Listed,
    /// Frames without a time: the index must come from decoding.
    untimed: usize,
    /// The marks on the frames that came out of the decoder, as long as each had one.
    shown: Option<Vec<u64>>,
    /// When the pictures are shown, for other decoders.
    pub(super) stored: Option<Stored>,
    /// A part of GStreamer that is not installed, in its words.
    missing: Option<String>,
    pub(super) has_audio: bool,
    pub(super) rotation: u16,
    /// What the file's header says it lasts.
    pub(super) claimed: Option<Duration>,
    /// Whether the rest was taken from the file's own list, every frame of which lies within the file.
    pub(super) believed: bool,
    /// How far the other streams reach on the file's own clock.
    others: Duration,
    /// Where the segment that was read last begins in its stream and in the file.
    begun: Option<(gst::ClockTime, gst::ClockTime)>,
    /// Where the footage begins on the file's own clock.
    start: Duration,
    /// The stream that was scanned.
    pub(super) stream: Option<String>,
    /// Which video streams were passed over.
    pub(super) other_videos: usize,
    pub(super) transparent: bool,
    size: Option<Size>,
    /// The first frame of another size than those before it, on the file's own clock, and both sizes.
    resized: Option<(MatchTime, Size, Size)>,
}

/// What the pads of a file turned out to be.
#[derive(Debug, Default)]
struct Pads {
    video: Option<String>,
    other_videos: usize,
    audio: usize,
    complete: bool,
    /// How far the streams besides the first video have come on the file's own clock, in nanoseconds.
    reached: u64,
    /// How many of them have not ended.
    open: usize,
}

/// Reads the whole file once, or, where it is as `listed` at its start, only that and takes the rest from the list.
///
/// ```text
/// filesrc ! parsebin ─┬ first video ! appsink (sync=false)
///                     └ all others  ! fakesink (sync=false)
/// ```
///
/// With `decoded` the pictures go through a decoder too, for files that do not say when their frames are shown:
/// `filesrc ! decodebin ─ …` with the same ends.
///
/// # Errors
/// What keeps the file from being read, as for [`super::probe`]; [`VideoError::Stopped`] when `watch` says so.
pub(super) fn scan(
    path: &Path,
    decoded: bool,
    listed: Option<Listed>,
    watch: Watch<'_>,
) -> Result<Scan, VideoError> {
    let pipeline = gst::Pipeline::new();
    let start = Start::of(&pipeline);
    let marks = decoded.then(|| Marks::of(&pipeline));
    let result = build(&pipeline, path, decoded).and_then(|(sink, pads, place)| {
        let list = List { listed, right: 0, keys: 0 };
        let scan = Scan { shown: marks.is_some().then(Vec::new), ..Scan::default() };
        let moved = (0, Instant::now());
        let mut scanning =
            Scanning { path, pipeline: &pipeline, pads: &pads, scan, list, settled: false, moved };
        drain(&pipeline, path, &sink, &mut scanning, &mut Told::new(path, place, watch))?;
        Ok(scanning.finish(&start).ordered(marks))
    });
    let _ = pipeline.set_state(gst::State::Null);
    result
}

impl Scan {
    /// The index, or `None` when it must come from decoding.
    pub(super) fn index(&self) -> Option<FrameIndex> {
        if self.untimed > 0 {
            return None;
        }
        Some(self.found.index()?.counted_from(self.start))
    }

    /// Whether some frames carry no time, so that the index must come from decoding.
    pub(super) fn untimed(&self) -> bool {
        self.untimed > 0
    }

    /// How many frames there are.
    pub(super) fn frames(&self) -> usize {
        self.found.frames.len()
    }

    /// How many frames carry the time of another one.
    pub(super) fn together(&self) -> usize {
        let mut times: Vec<MatchTime> = self.found.frames.iter().map(|f| f.0).collect();
        times.sort_unstable();
        times.dedup();
        self.frames() - times.len()
    }

    /// Whether no frame carries a time.
    pub(super) fn timeless(&self) -> bool {
        self.untimed > 0 && self.found.frames.is_empty()
    }

    /// From the first picture to the last.
    pub(super) fn spread(&self) -> Duration {
        let times = || self.found.frames.iter().map(|f| f.0);
        times().max().zip(times().min()).map_or(Duration::ZERO, |(last, first)| last - first)
    }

    /// How long the pictures last on the file's own clock.
    pub(super) fn pictures(&self) -> Duration {
        self.found.last.map_or(Duration::ZERO, |(t, length)| t.later(length) - MatchTime::ZERO)
    }

    /// The moment of the stream's own clock from which frames are counted.
    pub(super) fn begins(&self) -> Duration {
        self.begun.map_or(Duration::ZERO, |(start, _)| Duration::from_nanos(start.nseconds()))
    }

    /// How far anything in the file reaches on its own clock.
    pub(super) fn reached(&self) -> Duration {
        self.pictures().max(self.others)
    }

    /// The first frame of another size, and both sizes.
    pub(super) fn resized(&self) -> Option<(MatchTime, Size, Size)> {
        self.resized.map(|(t, before, after)| (t.earlier(self.start), before, after))
    }

    /// With the times at which the pictures are shown, if the marks on them tell it.
    fn ordered(mut self, marks: Option<Marks>) -> Self {
        let order = marks.zip(self.shown.as_deref()).and_then(|(marks, shown)| marks.order(shown));
        if let Some((frames, stored)) = order {
            self.found = Listed::default();
            for (t, key) in frames {
                self.found.push(t, Duration::ZERO, key);
            }
            (self.untimed, self.stored) = (0, Some(stored));
        }
        self
    }

    fn note(&mut self, sample: &gst::Sample) {
        let Some(buffer) = sample.buffer() else { return };
        match (&mut self.shown, mark_on(buffer)) {
            (Some(shown), Some(mark)) => shown.push(mark),
            _ => self.shown = None,
        }
        if buffer.flags().intersects(gst::BufferFlags::DECODE_ONLY | gst::BufferFlags::HEADER)
            && buffer.pts().is_none()
        {
            return;
        }
        let segment = sample.segment().and_then(|s| s.downcast_ref::<gst::ClockTime>());
        let (Some(pts), Some(segment)) = (buffer.pts(), segment) else {
            self.untimed += 1;
            return;
        };
        self.begin(segment);
        let length = buffer.duration().unwrap_or_default();
        let key = !buffer.flags().contains(gst::BufferFlags::DELTA_UNIT);
        // A frame that starts before the footage does is left out, as in other players, also if it is still on screen then.
        let Some(t) = segment.to_stream_time(pts) else {
            self.found.led_in |= key && self.found.frames.is_empty();
            return;
        };
        let t = MatchTime::from_nanos(t.nseconds());
        self.found.push(t, Duration::from_nanos(length.nseconds()), key);
        self.measure(sample, t);
    }

    /// Takes in where a segment begins. When the Matroska demuxer meets a frame or sound that is earlier than the first it met, it
    /// counts from that one with a new segment. What was read before is then later by as much.
    fn begin(&mut self, segment: &gst::FormattedSegment<gst::ClockTime>) {
        let now = segment.start().zip(segment.time());
        if let (Some((before, at)), Some((start, time))) = (self.begun, now)
            && time == at
            && start < before
        {
            self.found.shift(Duration::from_nanos((before - start).nseconds()));
        }
        self.begun = now;
    }

    /// Notes what a frame's picture is like.
    fn measure(&mut self, sample: &gst::Sample, t: MatchTime) {
        let structure = sample.caps().and_then(|c| c.structure(0));
        self.transparent |= structure.is_some_and(|s| s.get("codec-alpha").unwrap_or(false));
        let Some(size) = size_of(sample) else { return };
        let before = self.size.replace(size);
        if let Some(before) = before.filter(|b| *b != size && self.resized.is_none()) {
            self.resized = Some((t, before, size));
        }
    }
}

/// The list of a file's frames that it has itself.
struct List {
    /// Nothing as soon as it was wrong.
    listed: Option<Listed>,
    /// How many frames it had right, and how many key frames among them.
    right: usize,
    keys: usize,
}

impl List {
    /// Holds the newest frame that was read against the list, and puts the list in the place of what was read when it
    /// had enough right: when reading is `over`, all. Whether it did.
    fn settles(&mut self, scan: &mut Scan, over: bool) -> bool {
        let Some(listed) = &self.listed else { return false };
        let (n, newest) = (scan.found.frames.len(), scan.found.frames.last());
        if n > self.right {
            if scan.untimed > 0 || newest != listed.frames.get(n - 1) {
                self.listed = None;
                return false;
            }
            self.right = n;
            self.keys += usize::from(newest.is_some_and(|f| f.1));
        }
        let all = self.right == listed.frames.len();
        let enough = if over { all } else { self.right >= ALIKE && self.keys >= ALIKE_KEYS };
        if enough && let Some(listed) = self.listed.take() {
            (scan.found, scan.believed) = (listed, true);
            return true;
        }
        false
    }
}

/// A scan under way.
struct Scanning<'a> {
    path: &'a Path,
    pipeline: &'a gst::Pipeline,
    pads: &'a Found,
    scan: Scan,
    list: List,
    settled: bool,
    /// How far the other streams had come when that was seen to change last.
    moved: (u64, Instant),
}

impl Reading for Scanning<'_> {
    fn note(&mut self, sample: &gst::Sample) {
        self.scan.note(sample);
        // By now all streams are known: none is read before they are.
        self.settled = self.list.settles(&mut self.scan, false);
    }

    fn hear(&mut self, message: &gst::MessageRef) -> Result<(), VideoError> {
        match message.view() {
            gst::MessageView::Error(_) => {
                return Err(match &self.scan.missing {
                    Some(part) => missing_codec(self.path, part),
                    None => from_gstreamer(message, self.path),
                });
            }
            gst::MessageView::Element(_) => {
                if let Ok(m) = gst_pbutils::MissingPluginMessage::parse(message) {
                    self.scan.missing = Some(m.description().to_string());
                }
            }
            gst::MessageView::Tag(tags) => {
                if let Some(o) = tags.tags().get::<gst::tags::ImageOrientation>() {
                    let turned = o.get().rsplit('-').next().and_then(|d| d.parse().ok());
                    self.scan.rotation = turned.unwrap_or(0);
                }
            }
            _ => {}
        }
        Ok(())
    }

    fn reached(&self) -> Option<MatchTime> {
        self.scan.found.last.map(|l| l.0)
    }

    fn is_over(&mut self, sink: &gst_app::AppSink, quiet: Duration) -> Result<bool, VideoError> {
        if self.settled {
            return Ok(true);
        }
        let path = self.path.to_path_buf();
        let (video, audio, complete) = {
            let found = self.pads.lock().unwrap_or_else(PoisonError::into_inner);
            (found.video.is_some(), found.audio > 0, found.complete)
        };
        if video && sink.is_eos() {
            return Ok(self.is_all_reached());
        }
        // A file with sound alone need not say that this was all.
        let all = complete || (audio && quiet > PATIENCE / 4);
        match &self.scan.missing {
            Some(part) if all && !video => Err(missing_codec(&path, part)),
            None if all && !video => {
                let found = if audio { "sound" } else { "text or data" }.to_owned();
                Err(VideoError::NoPictures { path, found })
            }
            _ if quiet > PATIENCE => Err(VideoError::TooSlow { path, seconds: PATIENCE.as_secs() }),
            _ => Ok(false),
        }
    }
}

impl Scanning<'_> {
    /// After the last picture: whether the other streams have ended too. They are read on where the file says that it lasts
    /// longer than its pictures, to see whether it does.
    fn is_all_reached(&mut self) -> bool {
        let found = self.pads.lock().unwrap_or_else(PoisonError::into_inner);
        if found.reached != self.moved.0 {
            self.moved = (found.reached, Instant::now());
        }
        let still = self.moved.1.elapsed() > PATIENCE / 4;
        found.open == 0 || still || claimed(self.pipeline).is_none_or(|c| c <= self.scan.pictures() + SLACK)
    }

    fn finish(mut self, start: &Start) -> Scan {
        // Short footage may have too few frames to be believed before its end.
        self.list.settles(&mut self.scan, true);
        let found = self.pads.lock().unwrap_or_else(PoisonError::into_inner);
        let lead = lead(self.path).unwrap_or_default();
        Scan {
            claimed: claimed(self.pipeline).map(|c| c.saturating_sub(lead)),
            others: Duration::from_nanos(found.reached),
            start: start.get(),
            has_audio: found.audio > 0,
            other_videos: found.other_videos,
            stream: found.video.clone().filter(|s| !s.is_empty()),
            ..self.scan
        }
    }
}

/// How long the file says it lasts.
fn claimed(pipeline: &gst::Pipeline) -> Option<Duration> {
    pipeline.query_duration::<gst::ClockTime>().map(|d| Duration::from_nanos(d.nseconds()))
}

type Found = Arc<Mutex<Pads>>;

fn build(
    pipeline: &gst::Pipeline,
    path: &Path,
    decoded: bool,
) -> Result<(gst_app::AppSink, Found, Place), VideoError> {
    let (source, place) = source(path)?;
    let parser = make(if decoded { "decodebin" } else { "parsebin" })?;
    let sink = tap().max_buffers(256).build();
    pipeline
        .add_many([&source, &parser, sink.upcast_ref()])
        .and_then(|()| source.link(&parser))
        .map_err(|e| failed("building the scan", &e))?;
    let found = Found::default();
    let (weak, end, pads) = (pipeline.downgrade(), sink.clone(), found.clone());
    parser.connect_pad_added(move |_, pad| {
        let wanted = is_new_video(pad, &pads);
        if !wanted {
            follow(pad, &pads);
        }
        let target = if wanted { end.static_pad("sink") } else { weak.upgrade().and_then(|p| waste(&p)) };
        if let Some(target) = target {
            let _ = pad.link(&target);
        }
    });
    let pads = found.clone();
    parser.connect_no_more_pads(move |_| {
        pads.lock().unwrap_or_else(PoisonError::into_inner).complete = true;
    });
    Ok((sink, found, place))
}

/// Notes what a pad carries; whether it is the first with moving pictures.
fn is_new_video(pad: &gst::Pad, found: &Found) -> bool {
    let mut found = found.lock().unwrap_or_else(PoisonError::into_inner);
    let caps = pad.current_caps().unwrap_or_else(|| pad.query_caps(None));
    if caps.structure(0).is_some_and(|s| s.name().starts_with("audio/")) {
        found.audio += 1;
    }
    let video = is_moving_picture(&caps);
    let first = video && found.video.is_none();
    if first {
        found.video = Some(pad.stream_id().map(|s| stream_name(&s)).unwrap_or_default());
    } else if video {
        found.other_videos += 1;
    }
    first
}

/// Notes how far the stream of a pad comes, and its end.
fn follow(pad: &gst::Pad, found: &Found) {
    let pads = found.clone();
    pads.lock().unwrap_or_else(PoisonError::into_inner).open += 1;
    let kinds = gst::PadProbeType::BUFFER | gst::PadProbeType::EVENT_DOWNSTREAM;
    pad.add_probe(kinds, move |pad, info| {
        let mut found = pads.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(buffer) = info.buffer() {
            let end = stream_time(pad, buffer).and_then(|t| u64::try_from(t).ok()).unwrap_or(0)
                + buffer.duration().map_or(0, gst::ClockTime::nseconds);
            found.reached = found.reached.max(end);
        } else if info.event().is_some_and(|e| e.type_() == gst::EventType::Eos) {
            found.open = found.open.saturating_sub(1);
        }
        gst::PadProbeReturn::Ok
    });
}

#[cfg(test)]
mod tests {
    use std::ops::ControlFlow;

    use super::super::base::init;
    use super::super::encode::{Container, EncodeSpec, Encoder};
    use super::super::table;
    use super::*;

    /// Footage of 300 frames, at a constant rate or an uneven one.
    fn film(path: &Path, b_frames: u32, uneven: bool) {
        let mut encoder = Encoder::start(&EncodeSpec {
            path: path.to_path_buf(),
            width: 64,
            height: 64,
            container: Container::Mp4,
            rotation: 0,
            nominal_rate: if uneven { None } else { "30000/1001".parse().ok() },
            audio: None,
            gop: Some(40),
            b_frames,
        })
        .unwrap();
        let mut t = MatchTime::ZERO;
        for i in 0..300u64 {
            let length = if uneven {
                Duration::from_millis(17 + i * 37 % 80)
            } else {
                Duration::from_nanos(33_366_667)
            };
            encoder.video(vec![i as u8; 64 * 64 * 4], t, length).unwrap();
            t = t.later(length);
        }
        encoder.finish().unwrap();
    }

    fn through(path: &Path, listed: Option<Listed>) -> Listed {
        scan(path, false, listed, &mut |_| ControlFlow::Continue(())).unwrap().found
    }

    /// What the file lists is what is read; it is believed when its start is right, and not when that is wrong.
    #[test]
    fn a_list_is_that_of_the_file_and_believed_by_its_start() {
        init().unwrap();
        let dir = tempfile::tempdir().unwrap();
        for (b_frames, uneven) in [(0, false), (2, false), (0, true), (2, true)] {
            let path = dir.path().join(format!("film-{b_frames}-{uneven}.mp4"));
            film(&path, b_frames, uneven);
            let read = through(&path, None);
            let listed = table::listed(&mut std::fs::File::open(&path).unwrap()).unwrap();
            let listed = listed.unwrap();
            assert!(listed.frames == read.frames, "{b_frames} b frames, uneven: {uneven}");
            let at = |l: &Listed| l.last.unwrap().0;
            assert_eq!(at(&listed), at(&read));
            // How long the last frame is shown, the file knows better than the parser of its pictures, which guesses.
            assert_eq!(through(&path, Some(listed.clone())), listed);
            let wrong = |at: usize| {
                let mut wrong = read.clone();
                wrong.frames[at].0 = MatchTime::from_secs(99);
                wrong
            };
            assert_eq!(through(&path, Some(wrong(250))), wrong(250), "so the rest was taken from the list");
            assert_eq!(through(&path, Some(wrong(ALIKE - 1))), read);
            assert_eq!(through(&path, Some(Listed::default())), read);
        }
    }
}
