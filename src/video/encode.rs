//! Writing footage from pictures and sound made in memory.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use gst::prelude::*;

use super::base::{failed, init, make};
use super::error::VideoError;
use super::orient;
use crate::system::writing;
use crate::time::{FrameRate, MatchTime};

/// The kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Container {
    /// MP4 with H.264 pictures and AAC sound.
    Mp4,
    /// WebM with VP8 pictures and Opus sound.
    WebM,
    /// Matroska with H.264 pictures and AAC sound; it can have chapters.
    Matroska,
}

/// A chapter of a file: its words, and where it begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heading {
    /// Its words.
    pub title: String,
    /// Its beginning; it lasts to the next one.
    pub from: MatchTime,
}

/// What a file is written for.
#[derive(Debug, Clone, Copy)]
enum Purpose<'a> {
    /// Footage: made quickly, from pixels of red, green, blue and an unused byte.
    Footage,
    /// To be watched: smaller, from pixels of blue, green, red and an unused byte, with chapters up to an end.
    Watched { chapters: &'a [Heading], end: MatchTime },
}

/// The sound of a file to be written: 32-bit float samples, interleaved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AudioSpec {
    /// Samples a second.
    pub rate: u32,
    /// Channels, 1 or 2.
    pub channels: u32,
}

/// What to write and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EncodeSpec {
    /// The finished file; until then a temporary file beside it is written.
    pub path: PathBuf,
    /// Width of the stored picture, even.
    pub width: u32,
    /// Height of the stored picture, even.
    pub height: u32,
    /// The kind of file.
    pub container: Container,
    /// Degrees clockwise by which a player must turn the picture: 0, 90, 180 or 270; MP4 only.
    pub rotation: u16,
    /// Frames a second, or `None` for a variable rate.
    pub nominal_rate: Option<FrameRate>,
    /// The sound, or `None` for a silent file.
    pub audio: Option<AudioSpec>,
    /// Frames from one key frame to the next at most, or `None` for the encoder's choice.
    pub gop: Option<u32>,
    /// Frames between two reference frames that need both; MP4 only.
    pub b_frames: u32,
}

/// Encodes pictures and sound into a file as they come.
///
/// ```text
/// appsrc (RGBx)  ! videoconvert ! x264enc ! h264parse or vp8enc ! queue ────────────────┐
///                                                                                       ├ mp4mux or
/// appsrc (F32LE) ! audioconvert ! audioresample ! avenc_aac ! aacparse or opusenc ! queue ┘ webmmux ! filesink
/// ```
///
/// The queues hold compressed data without limit, so that the caller may be any distance ahead with one of the two;
/// the sources are bounded and block. Dropped without [`Encoder::finish`], nothing is left behind.
#[derive(Debug)]
pub struct Encoder {
    path: PathBuf,
    /// Until it has its name.
    partial: Option<tempfile::TempPath>,
    pipeline: gst::Pipeline,
    video: gst_app::AppSrc,
    audio: Option<(gst_app::AppSrc, AudioSpec)>,
    picture: (u32, u32),
    /// How long the newest picture lasts, in nanoseconds.
    length: Arc<AtomicU64>,
    rotation: u16,
    /// By how many samples of each channel the sound is moved forward, and how many of them are still to be left out.
    shift: usize,
    early: usize,
}

/// How many samples the encoder of AAC puts before the first one. No reader takes them away, so that the sound would come after its
/// picture by that much.
const AAC_DELAY: usize = 1024;

impl Encoder {
    /// Opens the file and starts encoding.
    ///
    /// # Errors
    /// [`VideoError::Spec`] for sizes or rotations that cannot be, [`VideoError::Write`] when the folder cannot be
    /// written, [`VideoError::MissingElement`] when an encoder is not installed.
    pub fn start(spec: &EncodeSpec) -> Result<Self, VideoError> {
        Self::open(spec, Purpose::Footage)
    }

    /// As [`Encoder::start`], for a file that every device can play. Its pictures are pixels of blue, green, red and an unused
    /// byte. Chapters are written where the container has them.
    ///
    /// # Errors
    /// As [`Encoder::start`].
    pub fn watched(spec: &EncodeSpec, chapters: &[Heading], end: MatchTime) -> Result<Self, VideoError> {
        Self::open(spec, Purpose::Watched { chapters, end })
    }

    fn open(spec: &EncodeSpec, purpose: Purpose<'_>) -> Result<Self, VideoError> {
        init()?;
        check(spec)?;
        let partial = partial(&spec.path)
            .map_err(|e| VideoError::Write { path: spec.path.clone(), reason: writing(&e).to_string() })?
            .into_temp_path();
        let pipeline = gst::Pipeline::new();
        let mux = muxer(spec)?;
        if let Purpose::Watched { chapters, end } = purpose {
            chapter(&mux, chapters, end);
        }
        let sink = make("filesink")?;
        sink.set_property("location", partial.to_path_buf());
        let partial = Some(partial);
        chain(&pipeline, &[mux.clone(), sink])?;
        let length = Arc::new(AtomicU64::new(0));
        let video = video_branch(&pipeline, &mux, spec, &length, purpose)?;
        let audio = match spec.audio {
            Some(a) => Some((audio_branch(&pipeline, &mux, spec.container, a)?, a)),
            None => None,
        };
        let picture = (spec.width, spec.height);
        let (path, rotation) = (spec.path.clone(), spec.rotation);
        let aac = spec.container != Container::WebM && matches!(purpose, Purpose::Watched { .. });
        let shift = if aac { AAC_DELAY } else { 0 };
        let this =
            Self { path, partial, pipeline, video, audio, picture, length, rotation, shift, early: shift };
        this.pipeline.set_state(gst::State::Playing).map_err(|e| this.why(&e.to_string()))?;
        Ok(this)
    }

    /// Encodes one picture: `width × height` pixels of four bytes, in the order of the purpose, rows without padding.
    /// Waits while the encoder is behind.
    ///
    /// # Errors
    /// [`VideoError::Spec`] when the size is wrong, [`VideoError::Write`] when the file cannot be written.
    pub fn video(&mut self, rgbx: Vec<u8>, time: MatchTime, duration: Duration) -> Result<(), VideoError> {
        let bytes = self.picture.0 as usize * self.picture.1 as usize * 4;
        if rgbx.len() != bytes {
            return Err(VideoError::Spec {
                what: format!("a picture of {} bytes", rgbx.len()),
                allowed: format!("the pictures of this footage have {bytes}"),
            });
        }
        self.length.store(duration.as_nanos() as u64, Ordering::SeqCst);
        let buffer = stamped(gst::Buffer::from_mut_slice(rgbx), time, duration);
        self.push(&self.video, buffer)
    }

    /// Encodes sound that starts at `time`: 32-bit float samples between −1 and 1, channels interleaved.
    ///
    /// # Errors
    /// [`VideoError::Spec`] when the file was started without sound, [`VideoError::Write`] when it cannot be written.
    pub fn audio(&mut self, mut samples: Vec<f32>, time: MatchTime) -> Result<(), VideoError> {
        let Some((source, spec)) = &self.audio else {
            return Err(VideoError::Spec {
                what: "sound".to_owned(),
                allowed: "this footage was started without sound".to_owned(),
            });
        };
        let channels = spec.channels as usize;
        let early = self.early.min(samples.len() / channels);
        self.early -= early;
        samples.drain(..early * channels);
        if samples.is_empty() {
            return Ok(());
        }
        let frames = samples.len() as u64 / u64::from(spec.channels);
        let length = Duration::from_nanos(frames * 1_000_000_000 / u64::from(spec.rate));
        let bytes: Vec<u8> = samples.into_iter().flat_map(f32::to_le_bytes).collect();
        let by = Duration::from_nanos(self.shift as u64 * 1_000_000_000 / u64::from(spec.rate));
        // What is left of a piece whose beginning was left out begins at 0 as well.
        let buffer = stamped(gst::Buffer::from_mut_slice(bytes), time.earlier(by), length);
        self.push(source, buffer)
    }

    /// Hands a buffer on once there is room for it. A pipeline that can no longer write never makes room, so while this
    /// waits it looks for errors.
    fn push(&self, source: &gst_app::AppSrc, buffer: gst::Buffer) -> Result<(), VideoError> {
        let bus = self.pipeline.bus().ok_or_else(|| self.why("no bus"))?;
        while source.current_level_bytes() >= source.max_bytes() {
            let wait = gst::ClockTime::from_mseconds(20);
            if let Some(m) = bus.timed_pop_filtered(wait, &[gst::MessageType::Error]) {
                return Err(self.failed_by(&m, "the encoder failed"));
            }
        }
        source.push_buffer(buffer).map(|_| ()).map_err(|e| self.why(&e.to_string()))
    }

    /// Writes what is still under way and gives the file its name.
    ///
    /// # Errors
    /// [`VideoError::Write`] when the file cannot be written; nothing is left behind then.
    pub fn finish(mut self) -> Result<(), VideoError> {
        let ended = self.video.end_of_stream().and_then(|_| match &self.audio {
            Some((source, _)) => source.end_of_stream(),
            None => Ok(gst::FlowSuccess::Ok),
        });
        ended.map_err(|e| self.why(&e.to_string()))?;
        self.wait_for_the_end()?;
        self.pipeline.set_state(gst::State::Null).map_err(|e| self.why(&e.to_string()))?;
        let Some(partial) = self.partial.take() else { return Ok(()) };
        let reason = |e: &std::io::Error| match e.kind() {
            std::io::ErrorKind::AlreadyExists => "another program made a file of this name meanwhile".into(),
            _ => writing(e).to_string(),
        };
        let write = |e: std::io::Error| VideoError::Write { path: self.path.clone(), reason: reason(&e) };
        if self.rotation != 0 {
            let file = std::fs::OpenOptions::new().read(true).write(true).open(&partial);
            let (w, h) = self.picture;
            file.and_then(|mut f| orient::set(&mut f, self.rotation, w, h)).map_err(write)?;
        }
        partial.persist_noclobber(&self.path).map_err(|e| write(e.error))
    }

    fn wait_for_the_end(&self) -> Result<(), VideoError> {
        let bus = self.pipeline.bus().ok_or_else(|| self.why("no bus"))?;
        let kinds = [gst::MessageType::Eos, gst::MessageType::Error];
        match bus.timed_pop_filtered(gst::ClockTime::from_seconds(600), &kinds) {
            Some(m) => match m.view() {
                gst::MessageView::Error(_) => Err(self.failed_by(&m, "the encoder failed")),
                _ => Ok(()),
            },
            None => Err(self.why("the encoder did not come to its end within 10 minutes")),
        }
    }

    /// The error on the bus if there is one, for a call that only says that it failed.
    fn why(&self, otherwise: &str) -> VideoError {
        let message = self.pipeline.bus().and_then(|b| b.pop_filtered(&[gst::MessageType::Error]));
        match message {
            Some(message) => self.failed_by(&message, otherwise),
            None => VideoError::Write { path: self.path.clone(), reason: otherwise.to_owned() },
        }
    }

    fn failed_by(&self, message: &gst::MessageRef, otherwise: &str) -> VideoError {
        VideoError::Write { path: self.path.clone(), reason: unwritten(message, otherwise) }
    }
}

/// Why an encoder's pipeline writes no more, in our words where the file is to blame.
pub(super) fn unwritten(message: &gst::MessageRef, otherwise: &str) -> String {
    let gst::MessageView::Error(e) = message.view() else { return otherwise.to_owned() };
    let error = e.error();
    if error.matches(gst::ResourceError::NoSpaceLeft) {
        return "the disk is full".to_owned();
    }
    if error.matches(gst::ResourceError::Write) {
        return "the disk does not take more of it".to_owned();
    }
    error.message().trim_end_matches('.').to_owned()
}

impl Drop for Encoder {
    fn drop(&mut self) {
        let _ = self.pipeline.set_state(gst::State::Null);
    }
}

/// A new file beside `path`, to be written and then given its name; gone when it is dropped before that.
///
/// # Errors
/// When the folder cannot be written.
pub fn partial(path: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".changeover-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any other new file: the user's mask takes from it what it takes.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new(".")))
}

fn check(spec: &EncodeSpec) -> Result<(), VideoError> {
    let bad = |what: String, allowed: &str| Err(VideoError::Spec { what, allowed: allowed.to_owned() });
    let (w, h) = (spec.width, spec.height);
    if w == 0 || h == 0 || w % 2 != 0 || h % 2 != 0 || w > 8192 || h > 8192 {
        return bad(format!("a picture of {w} × {h}"), "width and height are even, from 2 to 8192");
    }
    match (spec.rotation, spec.container) {
        (0, _) | (90 | 180 | 270, Container::Mp4) => {}
        (r, Container::Mp4) => return bad(format!("a rotation of {r}°"), "choose 0, 90, 180 or 270"),
        (r, Container::WebM | Container::Matroska) => {
            return bad(format!("a rotation of {r}° in WebM or Matroska"), "they have none; use MP4");
        }
    }
    match spec.audio {
        Some(a) if !(1..=2).contains(&a.channels) || !(8000..=96_000).contains(&a.rate) => {
            bad(format!("{} channels at {} Hz", a.channels, a.rate), "one or two, at 8000 to 96000 Hz")
        }
        _ => Ok(()),
    }
}

fn muxer(spec: &EncodeSpec) -> Result<gst::Element, VideoError> {
    make(match spec.container {
        Container::Mp4 => "mp4mux",
        Container::WebM => "webmmux",
        Container::Matroska => "matroskamux",
    })
}

/// Gives a muxer its chapters, if it writes any.
fn chapter(mux: &gst::Element, chapters: &[Heading], end: MatchTime) {
    let Some(setter) = mux.dynamic_cast_ref::<gst::TocSetter>().filter(|_| !chapters.is_empty()) else {
        return;
    };
    let mut edition = gst::TocEntry::new(gst::TocEntryType::Edition, "lesson");
    let ends = chapters.iter().skip(1).map(|c| c.from).chain([end]);
    for (n, (chapter, to)) in chapters.iter().zip(ends).enumerate() {
        let mut entry = gst::TocEntry::new(gst::TocEntryType::Chapter, &format!("chapter-{n}"));
        let mut tags = gst::TagList::new();
        if let (Some(entry), Some(tags)) = (entry.get_mut(), tags.get_mut()) {
            entry.set_start_stop_times(chapter.from.nanos() as i64, to.nanos() as i64);
            tags.add::<gst::tags::Title>(&chapter.title.as_str(), gst::TagMergeMode::Replace);
        }
        if let Some(entry) = entry.get_mut() {
            entry.set_tags(tags);
        }
        if let Some(edition) = edition.get_mut() {
            edition.append_sub_entry(entry);
        }
    }
    let mut toc = gst::Toc::new(gst::TocScope::Global);
    if let Some(toc) = toc.get_mut() {
        toc.append_entry(edition);
    }
    setter.set_toc(Some(&toc));
}

fn source(caps: &gst::Caps, max_bytes: u64) -> gst_app::AppSrc {
    gst_app::AppSrc::builder()
        .caps(caps)
        .format(gst::Format::Time)
        .block(true)
        .max_bytes(max_bytes)
        .stream_type(gst_app::AppStreamType::Stream)
        .build()
}

fn stamped(mut buffer: gst::Buffer, time: MatchTime, duration: Duration) -> gst::Buffer {
    if let Some(b) = buffer.get_mut() {
        b.set_pts(gst::ClockTime::from_nseconds(time.nanos()));
        b.set_duration(gst::ClockTime::try_from(duration).ok());
    }
    buffer
}

fn chain(pipeline: &gst::Pipeline, elements: &[gst::Element]) -> Result<(), VideoError> {
    pipeline.add_many(elements).map_err(|e| failed("building the encoder", &e))?;
    gst::Element::link_many(elements).map_err(|e| failed("joining the encoder's parts", &e))
}

/// Adds the elements behind a source and joins them to the muxer's pad of that name.
fn branch(
    pipeline: &gst::Pipeline,
    source: &gst_app::AppSrc,
    mut elements: Vec<gst::Element>,
    mux: &gst::Element,
    pad: &str,
) -> Result<(), VideoError> {
    let queue = make("queue")?;
    for limit in ["max-size-buffers", "max-size-bytes"] {
        queue.set_property(limit, 0u32);
    }
    queue.set_property("max-size-time", 0u64);
    elements.insert(0, source.clone().upcast());
    elements.push(queue.clone());
    chain(pipeline, &elements)?;
    queue.link_pads(Some("src"), mux, Some(pad)).map_err(|e| failed("joining the encoder to its file", &e))
}

fn video_branch(
    pipeline: &gst::Pipeline,
    mux: &gst::Element,
    spec: &EncodeSpec,
    length: &Arc<AtomicU64>,
    purpose: Purpose<'_>,
) -> Result<gst_app::AppSrc, VideoError> {
    let watched = matches!(purpose, Purpose::Watched { .. });
    let (n, d) = spec.nominal_rate.map_or((0, 1), |r| (r.frames() as i32, r.per() as i32));
    let caps = gst::Caps::builder("video/x-raw")
        .field("format", if watched { "BGRx" } else { "RGBx" })
        .field("width", spec.width as i32)
        .field("height", spec.height as i32)
        .field("framerate", gst::Fraction::new(n, d))
        .field("pixel-aspect-ratio", gst::Fraction::new(1, 1))
        .build();
    let source = source(&caps, u64::from(spec.width) * u64::from(spec.height) * 4 * 4);
    let convert = make("videoconvert")?;
    convert.set_property("n-threads", 2u32);
    let mut elements = vec![convert];
    match spec.container {
        Container::Mp4 | Container::Matroska => {
            elements.extend([subsampled()?, x264(spec, watched)?, make("h264parse")?]);
        }
        Container::WebM => elements.push(vp8(spec)?),
    }
    branch(pipeline, &source, elements, mux, "video_0")?;
    if spec.container == Container::Mp4 && spec.nominal_rate.is_none() {
        // The automatic time scale of a variable rate rounds frames by up to a millisecond.
        if let Some(pad) = mux.static_pad("video_0") {
            pad.set_property("trak-timescale", 90_000u32);
            keep_length(&pad, length.clone());
        }
    }
    Ok(source)
}

/// Gives pictures that lost their length in the parser (it leaves a nanosecond) one that lasts to the end of the newest
/// picture. It matters for the last, without which the footage would end before its last picture is shown; the muxer
/// knows the others' from the next one's time.
fn keep_length(pad: &gst::Pad, length: Arc<AtomicU64>) {
    let newest = AtomicU64::new(0);
    pad.add_probe(gst::PadProbeType::BUFFER, move |_, info| {
        let Some(buffer) = info.buffer_mut() else { return gst::PadProbeReturn::Ok };
        let pts = buffer.pts().unwrap_or_default().nseconds();
        let newest = newest.fetch_max(pts, Ordering::SeqCst).max(pts);
        if buffer.duration().unwrap_or_default() < gst::ClockTime::from_useconds(1) {
            let start = buffer.dts().map_or(pts, gst::ClockTime::nseconds);
            let lasts = newest.saturating_sub(start) + length.load(Ordering::SeqCst);
            buffer.make_mut().set_duration(gst::ClockTime::from_nseconds(lasts));
        }
        gst::PadProbeReturn::Ok
    });
}

/// Lets pictures through in 4:2:0 only, the form that every decoder of H.264 knows: left to itself, the encoder keeps the colour of
/// each pixel (4:4:4), which telephones, browsers and graphics cards refuse.
fn subsampled() -> Result<gst::Element, VideoError> {
    let filter = make("capsfilter")?;
    filter.set_property("caps", gst::Caps::builder("video/x-raw").field("format", "I420").build());
    Ok(filter)
}

fn x264(spec: &EncodeSpec, watched: bool) -> Result<gst::Element, VideoError> {
    let encoder = make("x264enc")?;
    encoder.set_property_from_str("speed-preset", if watched { "veryfast" } else { "superfast" });
    encoder.set_property_from_str("pass", "quant");
    encoder.set_property("quantizer", if watched { 21u32 } else { 23 });
    encoder.set_property("bframes", spec.b_frames);
    encoder.set_property("b-adapt", false);
    if let Some(gop) = spec.gop {
        encoder.set_property("key-int-max", gop);
    }
    Ok(encoder)
}

fn vp8(spec: &EncodeSpec) -> Result<gst::Element, VideoError> {
    let encoder = make("vp8enc")?;
    encoder.set_property("deadline", 1i64);
    encoder.set_property("cpu-used", 8i32);
    encoder.set_property("threads", 2i32);
    let bits = i32::try_from(spec.width * spec.height * 4).unwrap_or(i32::MAX);
    encoder.set_property("target-bitrate", bits.max(500_000));
    if let Some(gop) = spec.gop {
        encoder.set_property("keyframe-max-dist", i32::try_from(gop).unwrap_or(i32::MAX));
    }
    Ok(encoder)
}

fn audio_branch(
    pipeline: &gst::Pipeline,
    mux: &gst::Element,
    container: Container,
    spec: AudioSpec,
) -> Result<gst_app::AppSrc, VideoError> {
    let caps = gst::Caps::builder("audio/x-raw")
        .field("format", "F32LE")
        .field("layout", "interleaved")
        .field("rate", spec.rate as i32)
        .field("channels", spec.channels as i32)
        .build();
    let source = source(&caps, 4 << 20);
    let mut elements = vec![make("audioconvert")?, make("audioresample")?];
    match container {
        Container::Mp4 | Container::Matroska => elements.extend([make("avenc_aac")?, make("aacparse")?]),
        Container::WebM => elements.push(make("opusenc")?),
    }
    branch(pipeline, &source, elements, mux, "audio_0")?;
    Ok(source)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spec(path: PathBuf, container: Container) -> EncodeSpec {
        EncodeSpec {
            path,
            width: 64,
            height: 48,
            container,
            rotation: 0,
            nominal_rate: FrameRate::new(30, 1).ok(),
            audio: Some(AudioSpec { rate: 48_000, channels: 1 }),
            gop: Some(15),
            b_frames: 0,
        }
    }

    fn write(container: Container) {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("film");
        let mut e = Encoder::start(&spec(path.clone(), container)).unwrap();
        let rate = FrameRate::new(30, 1).unwrap();
        for i in 0..60 {
            e.video(vec![i as u8; 64 * 48 * 4], rate.time_of(i), rate.frame_length()).unwrap();
        }
        // Two seconds of sound after all the pictures: the queues must take it.
        for i in 0..20 {
            e.audio(vec![0.1; 4800], MatchTime::from_millis(i * 100)).unwrap();
        }
        assert!(!path.exists());
        e.finish().unwrap();
        assert!(std::fs::metadata(&path).unwrap().len() > 2000);
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
    }

    /// A film that came while this one was made is not replaced by it.
    #[test]
    fn a_file_made_meanwhile_stays() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("film");
        let mut e =
            Encoder::start(&EncodeSpec { audio: None, ..spec(path.clone(), Container::Mp4) }).unwrap();
        let rate = FrameRate::new(30, 1).unwrap();
        for i in 0..3 {
            e.video(vec![0; 64 * 48 * 4], rate.time_of(i), rate.frame_length()).unwrap();
        }
        std::fs::write(&path, "theirs").unwrap();
        let said = e.finish().unwrap_err().to_string();
        assert!(said.contains("another program made a file of this name meanwhile"), "{said}");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "theirs");
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1, "nothing is left lying");
    }

    #[test]
    fn writes_mp4_whatever_the_order() {
        write(Container::Mp4);
    }

    #[test]
    fn writes_webm_whatever_the_order() {
        write(Container::WebM);
    }

    #[test]
    fn leaves_nothing_behind_when_given_up() {
        let dir = tempfile::tempdir().unwrap();
        let mut e = Encoder::start(&spec(dir.path().join("film.mp4"), Container::Mp4)).unwrap();
        e.video(vec![0; 64 * 48 * 4], MatchTime::ZERO, Duration::from_millis(33)).unwrap();
        drop(e);
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 0);
    }

    #[test]
    fn refuses_what_cannot_be() {
        let mut s = spec("x.mp4".into(), Container::Mp4);
        s.width = 63;
        assert!(Encoder::start(&s).unwrap_err().to_string().contains("63 × 48"));
        let mut s = spec("x.webm".into(), Container::WebM);
        s.rotation = 90;
        assert!(matches!(Encoder::start(&s), Err(VideoError::Spec { .. })));
        let s = spec("/nowhere/x.mp4".into(), Container::Mp4);
        assert!(matches!(Encoder::start(&s), Err(VideoError::Write { .. })));
    }
}
