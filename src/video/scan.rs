//! One pass through a file without decoding: when its frames are shown, and what else is in it.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use gst::prelude::*;

use super::error::{from_gstreamer, missing_codec};
use super::table::Listed;
use super::{VideoError, failed, make};
use crate::frames::FrameIndex;
use crate::time::MatchTime;

/// How long the file may give nothing at all.
pub(super) const PATIENCE: Duration = Duration::from_secs(3);

/// How many frames a file's own list must have right, and how many key frames among them, before the rest is believed.
const ALIKE: usize = 64;
const ALIKE_KEYS: usize = 2;

/// How often a scan tells how far it is.
const TELL: Duration = Duration::from_millis(50);

/// Is told how much of a file has been read, from 0 to 1, and says whether to go on.
pub(super) type Watch<'a> = &'a mut dyn FnMut(f64) -> ControlFlow<()>;

/// What a scan found.
#[derive(Debug, Default)]
pub(super) struct Scan {
    found: Listed,
    /// Frames without a time: the index must come from decoding.
    untimed: usize,
    /// A part of GStreamer that is not installed, in its words.
    missing: Option<String>,
    pub(super) has_audio: bool,
    pub(super) rotation: u16,
    /// What the file's header says it lasts.
    pub(super) claimed: Option<Duration>,
    /// The stream that was scanned.
    pub(super) stream: Option<String>,
    /// Which video streams were passed over.
    pub(super) other_videos: usize,
}

/// What the pads of a file turned out to be.
#[derive(Debug, Default)]
struct Pads {
    video: Option<String>,
    other_videos: usize,
    audio: usize,
    complete: bool,
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
    let mut list = List { listed, right: 0, keys: 0 };
    let pipeline = gst::Pipeline::new();
    let result = build(&pipeline, path, decoded).and_then(|(sink, pads, place)| {
        read(&pipeline, path, &sink, &pads, &mut list, &mut Told::new(path, place, watch))
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
        FrameIndex::new(self.found.frames.clone(), self.found.last.map(|l| l.1))
    }

    /// Whether some frames carry no time, so that the index must come from decoding.
    pub(super) fn untimed(&self) -> bool {
        self.untimed > 0
    }

    fn note(&mut self, sample: &gst::Sample) {
        let Some(buffer) = sample.buffer() else { return };
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
        let length = buffer.duration().unwrap_or_default();
        // A frame that starts before the film does and is still on screen then is shown from the film's start.
        let shown = match segment.start() {
            Some(start) if pts < start && pts + length > start => start,
            _ => pts,
        };
        let Some(t) = segment.to_stream_time(shown) else { return };
        let key = !buffer.flags().contains(gst::BufferFlags::DELTA_UNIT);
        let length = Duration::from_nanos(length.nseconds());
        self.found.push(MatchTime::from_nanos(t.nseconds()), length, key);
    }

    fn hear(&mut self, message: &gst::MessageRef, path: &Path) -> Result<(), VideoError> {
        match message.view() {
            gst::MessageView::Error(_) => {
                return Err(match &self.missing {
                    Some(part) => missing_codec(path, part),
                    None => from_gstreamer(message, path),
                });
            }
            gst::MessageView::Element(_) => {
                if let Ok(m) = gst_pbutils::MissingPluginMessage::parse(message) {
                    self.missing = Some(m.description().to_string());
                }
            }
            gst::MessageView::Tag(tags) => {
                if let Some(o) = tags.tags().get::<gst::tags::ImageOrientation>() {
                    self.rotation = o.get().rsplit('-').next().and_then(|d| d.parse().ok()).unwrap_or(0);
                }
            }
            _ => {}
        }
        Ok(())
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
            scan.found = listed;
            return true;
        }
        false
    }
}

type Found = Arc<Mutex<Pads>>;

/// Where in the file its source reads, in bytes.
pub(super) type Place = Arc<AtomicU64>;

/// Tells how far a scan is.
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
    pub(super) fn now(&mut self, pipeline: &gst::Pipeline, reached: Option<MatchTime>) -> ControlFlow<()> {
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

fn build(
    pipeline: &gst::Pipeline,
    path: &Path,
    decoded: bool,
) -> Result<(gst_app::AppSink, Found, Place), VideoError> {
    let source = make("filesrc")?;
    source.set_property("location", path);
    let place = followed(&source);
    let parser = make(if decoded { "decodebin" } else { "parsebin" })?;
    let sink = gst_app::AppSink::builder().sync(false).max_buffers(256).enable_last_sample(false).build();
    pipeline
        .add_many([&source, &parser, sink.upcast_ref()])
        .and_then(|()| source.link(&parser))
        .map_err(|e| failed("building the scan", &e))?;
    let found = Found::default();
    let (weak, end, pads) = (pipeline.downgrade(), sink.clone(), found.clone());
    parser.connect_pad_added(move |_, pad| {
        let wanted = is_new_video(pad, &pads);
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

/// Notes where the source reads.
pub(super) fn followed(source: &gst::Element) -> Place {
    let place = Place::default();
    let at = place.clone();
    if let Some(pad) = source.static_pad("src") {
        // Of every buffer, whether the source hands it on or a demuxer fetches it.
        pad.add_probe(gst::PadProbeType::BUFFER | gst::PadProbeType::PULL, move |_, info| {
            if let Some(buffer) = info.buffer() {
                at.store(buffer.offset() + buffer.size() as u64, Ordering::Relaxed);
            }
            gst::PadProbeReturn::Ok
        });
    }
    place
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

/// Whether these are pictures that move: video, or JPEG pictures with a rate.
pub(super) fn is_moving_picture(caps: &gst::CapsRef) -> bool {
    caps.structure(0).is_some_and(|s| {
        let rate = s.get::<gst::Fraction>("framerate").is_ok_and(|r| r.numer() > 0);
        s.name().starts_with("video/") || (s.name().starts_with("image/") && rate)
    })
}

/// The part of a stream's id that is the same whichever element reads the file.
pub(super) fn stream_name(id: &str) -> String {
    id.rsplit('/').next().unwrap_or(id).to_owned()
}

/// A new end for a stream nobody wants.
pub(super) fn waste(pipeline: &gst::Pipeline) -> Option<gst::Pad> {
    let sink = gst::ElementFactory::make("fakesink")
        .property("sync", false)
        .property("async", false)
        .build()
        .ok()?;
    pipeline.add(&sink).ok()?;
    sink.sync_state_with_parent().ok()?;
    sink.static_pad("sink")
}

fn read(
    pipeline: &gst::Pipeline,
    path: &Path,
    sink: &gst_app::AppSink,
    pads: &Found,
    list: &mut List,
    told: &mut Told<'_>,
) -> Result<Scan, VideoError> {
    let mut scan = Scan::default();
    let bus = pipeline.bus().ok_or_else(|| failed("reading the file", &"no bus"))?;
    // A failed start says why on the bus.
    let started = pipeline.set_state(gst::State::Playing);
    let mut heard = Instant::now();
    while !is_over(&scan, sink, pads, heard.elapsed(), path)? {
        while let Some(message) = bus.pop() {
            scan.hear(&message, path)?;
        }
        started.map_err(|e| failed("opening the file", &e))?;
        if told.now(pipeline, scan.found.last.map(|l| l.0)).is_break() {
            return Err(VideoError::Stopped { path: path.to_path_buf() });
        }
        if let Some(sample) = sink.try_pull_sample(gst::ClockTime::from_mseconds(20)) {
            heard = Instant::now();
            scan.note(&sample);
            // By now all streams are known: none is read before they are.
            if list.settles(&mut scan, false) {
                break;
            }
        }
    }
    // A short film may have too few frames to be believed before its end.
    list.settles(&mut scan, true);
    while let Some(message) = bus.pop() {
        scan.hear(&message, path)?;
    }
    scan.claimed = pipeline.query_duration::<gst::ClockTime>().map(|d| Duration::from_nanos(d.nseconds()));
    let found = pads.lock().unwrap_or_else(PoisonError::into_inner);
    scan.has_audio = found.audio > 0;
    scan.other_videos = found.other_videos;
    scan.stream = found.video.clone().filter(|s| !s.is_empty());
    Ok(scan)
}

/// Whether all frames have been read, when nothing has come for `quiet`.
fn is_over(
    scan: &Scan,
    sink: &gst_app::AppSink,
    pads: &Found,
    quiet: Duration,
    path: &Path,
) -> Result<bool, VideoError> {
    let path = path.to_path_buf();
    let found = pads.lock().unwrap_or_else(PoisonError::into_inner);
    if found.video.is_some() && sink.is_eos() {
        return Ok(true);
    }
    // A file with sound alone need not say that this was all.
    let all = found.complete || (found.audio > 0 && quiet > PATIENCE / 4);
    match &scan.missing {
        Some(part) if all && found.video.is_none() => Err(missing_codec(&path, part)),
        None if all && found.video.is_none() => {
            let found = if found.audio > 0 { "sound" } else { "text or data" }.to_owned();
            Err(VideoError::NoPictures { path, found })
        }
        _ if quiet > PATIENCE => Err(VideoError::TooSlow { path, seconds: PATIENCE.as_secs() }),
        _ => Ok(false),
    }
}

#[cfg(test)]
mod tests {
    use super::super::encode::{Container, EncodeSpec, Encoder};
    use super::super::table;
    use super::*;

    /// A film of 300 frames, at a constant rate or an uneven one.
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
        super::super::init().unwrap();
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("film.mp4");
        for (b_frames, uneven) in [(0, false), (2, false), (0, true), (2, true)] {
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
