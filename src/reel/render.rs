//! A plan made into a file: each source decoded forward, pictures composed, sound joined, all encoded.

use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::path::Path;

use super::error::ReelError;
use super::mixer::{Level, Mixer, pair_of};
use super::plan::{Files, Mark, Plan, PlanError, Scene, Shows};
use super::screen::{Screen, Seen};
use super::seen::Told;
use super::told::seen;
use super::track::Track;
use super::voice::Spoken;
use super::words::inert;
use crate::drawing::Drawing;
use crate::frames::FootageFile;
use crate::lesson::talk::Timeline;
use crate::lesson::{Clip, Ground, Lesson, Part};
use crate::measure::Camera;
use crate::saving::free_space;
use crate::time::MatchTime;
use crate::video::{
    AudioSpec, Container, EncodeSpec, Encoder, Frame, FrameReader, Heading, SOUND_CHANNELS, SOUND_RATE,
    bytes_a_second,
};

/// How large a reel may become, in bits for each pixel, and bytes of sound a second.
const BITS: u64 = 5;
const SOUND_BYTES: u64 = 20_000;
/// How many times as many bytes pictures take that are encoded again: 1.34 in a reel of demo footage.
const AGAIN: f64 = 1.4;
/// What share of the work the measuring of loudness is taken to be.
const LISTENING: f64 = 0.05;
/// The most files that are open at a time.
const OPEN: usize = 4;

/// What a reel was made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// How loud the sound of each file was.
    pub levels: Vec<Level>,
    /// How many bytes the reel has.
    pub bytes: u64,
}

/// Writes a reel. What is drawn on the ground of the court is seen where `ground` knows the camera. `watch` is told how much is done,
/// from 0 to 1, and stops it when it answers with a break; nothing is left then. A file at `out` is never written over.
///
/// # Errors
/// [`ReelError`].
pub fn render(
    lesson: &Lesson,
    files: &Files,
    plan: &Plan,
    (out, container): (&Path, Container),
    ground: Ground<'_>,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Made, ReelError> {
    check_room(plan, files, out)?;
    let spoken = Spoken::of(lesson, plan)?;
    let mut mixer = Mixer::new(plan, files, spoken);
    let levels = mixer.level(&mut |part| watch(part * LISTENING).is_continue())?;
    let sound = mixer.is_heard();
    let at = |k: u64| plan.rate.time_of(k);
    let mut encoder = started(lesson, plan, (out, container), sound)?;
    let screen = Screen::new(plan.size)?;
    let line = lesson
        .talk
        .as_deref()
        .filter(|_| plan.voices.is_some())
        .map(|talk| (Timeline::of(talk), talk.length()));
    let mut studio = Studio { lesson, files, plan, ground, line, screen, open: BTreeMap::new(), used: 0 };
    let mut heard = 0;
    for scene in &plan.scenes {
        studio.screen.begin(scene.part_of(lesson))?;
        for k in scene.starts..scene.starts + scene.frames {
            let pixels = studio.picture(scene, k - scene.starts)?;
            encoder.video(pixels, at(k), at(k + 1) - at(k))?;
            if sound {
                let pairs = mixer.until(k + 1, plan.rate)?;
                heard = sent(&mut encoder, pairs, heard)?;
            }
            let done = (k + 1) as f64 / plan.frames() as f64;
            if watch(LISTENING + done * (1.0 - LISTENING)).is_break() {
                return Err(ReelError::Stopped);
            }
        }
    }
    if sound {
        sent(&mut encoder, mixer.finish(), heard)?;
    }
    encoder.finish()?;
    Ok(Made { levels, bytes: std::fs::metadata(out).map_or(0, |m| m.len()) })
}

/// The encoder of a reel, which waits for its first picture.
fn started(
    lesson: &Lesson,
    plan: &Plan,
    (out, container): (&Path, Container),
    sound: bool,
) -> Result<Encoder, ReelError> {
    let spec = EncodeSpec {
        path: out.to_owned(),
        width: plan.size.0,
        height: plan.size.1,
        container,
        rotation: 0,
        nominal_rate: Some(plan.rate),
        audio: sound.then_some(AudioSpec { rate: SOUND_RATE, channels: SOUND_CHANNELS }),
        gop: Some((plan.rate.frames() * 2 / plan.rate.per()).max(1)),
        b_frames: 0,
    };
    let heading = |mark: Mark| Heading { title: inert(&mark.title), from: plan.rate.time_of(mark.starts) };
    let headings: Vec<Heading> = plan.marks(lesson).into_iter().map(heading).collect();
    Ok(Encoder::watched(&spec, &headings, plan.rate.time_of(plan.frames()))?)
}

/// Sends pairs of samples, of which so many were sent before; how many are sent now.
fn sent(encoder: &mut Encoder, pairs: Vec<f32>, heard: u64) -> Result<u64, ReelError> {
    let count = pairs.len() as u64 / u64::from(SOUND_CHANNELS);
    if count > 0 {
        let nanos = u128::from(heard) * 1_000_000_000 / u128::from(SOUND_RATE);
        encoder.audio(pairs, MatchTime::from_nanos(nanos as u64))?;
    }
    Ok(heard + count)
}

/// How many bytes a reel will have at most, nearly always.
pub fn estimate(plan: &Plan) -> u64 {
    let pixels = u64::from(plan.size.0) * u64::from(plan.size.1) * plan.frames();
    let seconds = pair_of(plan.frames(), plan.rate) / u64::from(SOUND_RATE) + 1;
    pixels / 8 / BITS + seconds * SOUND_BYTES
}

/// About how many bytes a reel will have: as many for each pixel as its footage has, and some more, for it is encoded again.
pub fn expected(plan: &Plan, files: &Files) -> u64 {
    let of = |media: &FootageFile| {
        let pixels = f64::from(media.width.max(1)) * f64::from(media.height.max(1));
        bytes_a_second(media) / pixels
    };
    let densest = files.values().map(of).fold(0.0, f64::max);
    let seconds = pair_of(plan.frames(), plan.rate) as f64 / f64::from(SOUND_RATE);
    let pixels = f64::from(plan.size.0) * f64::from(plan.size.1);
    ((densest * pixels * AGAIN * seconds) as u64).min(estimate(plan))
}

/// Whether the disk has room for half as much again as is expected.
fn check_room(plan: &Plan, files: &Files, out: &Path) -> Result<(), ReelError> {
    let needs = (expected(plan, files) / 2 * 3).min(estimate(plan));
    match free_space(out) {
        Some(free) if free < needs => Err(ReelError::NoRoom { path: out.to_owned(), needs, free }),
        _ => Ok(()),
    }
}

/// What makes the pictures.
struct Studio<'a> {
    lesson: &'a Lesson,
    files: &'a Files,
    plan: &'a Plan,
    ground: Ground<'a>,
    /// The talk, if it is its reel, and how long it is.
    line: Option<(Timeline<'a>, MatchTime)>,
    screen: Screen,
    /// Decoders by file and side, each with when it was used last.
    open: BTreeMap<(String, usize), (FrameReader, u64)>,
    used: u64,
}

impl Studio<'_> {
    /// The picture of a scene `k` frames after its beginning.
    fn picture(&mut self, scene: &Scene, k: u64) -> Result<Vec<u8>, ReelError> {
        match &scene.shows {
            Shows::Card => {
                let part = scene.part.and_then(|n| self.lesson.parts.get(n));
                self.screen.card(self.lesson, part)
            }
            Shows::Told(told) => self.told(told, scene.starts + k, k),
            Shows::One(track) => self.clips(scene, &[(track, k)]),
            Shows::Two([(left, a), (right, b)]) => {
                self.clips(scene, &[(left, k.saturating_sub(*a)), (right, k.saturating_sub(*b))])
            }
        }
    }

    /// The clips of a scene, each so many frames after its beginning.
    fn clips(&mut self, scene: &Scene, tracks: &[(&Track, u64)]) -> Result<Vec<u8>, ReelError> {
        let lesson = self.lesson;
        let clips = match scene.part.and_then(|n| lesson.parts.get(n)) {
            Some(Part::Clip(clip)) => vec![&**clip],
            Some(Part::Pair(pair)) => vec![&pair.left, &pair.right],
            _ => Vec::new(),
        };
        let mut seen = Vec::new();
        for (side, ((track, k), clip)) in tracks.iter().zip(clips).enumerate() {
            let look = track.at(*k, self.plan.rate);
            let frame = self.frame(&track.file, side, look.frame)?;
            let camera = self.camera(clip, &frame, &[]);
            seen.push(Seen { frame, freeze: look.freeze, clip, drawn: Vec::new(), camera });
        }
        self.screen.picture(&seen)
    }

    /// Frame `k` of a clip as a talk shows it, in frame `at` of the reel.
    fn told(&mut self, told: &Told, at: u64, k: u64) -> Result<Vec<u8>, ReelError> {
        let Part::Clip(clip) = &told.part else { return self.screen.card(self.lesson, Some(&told.part)) };
        let frame = told.frames.get(k as usize).or(told.frames.last()).copied().unwrap_or(0);
        let frame = self.frame(&told.file, 0, frame)?;
        let seen = self.line.as_ref().and_then(|(line, length)| seen(line, at, self.plan.rate, *length));
        let drawn = seen.map(|scene| scene.drawings).unwrap_or_default();
        let camera = self.camera(clip, &frame, &drawn);
        self.screen.picture(&[Seen { frame, freeze: None, clip, drawn, camera }])
    }

    /// The camera of a frame, if something may be drawn on the ground in it.
    fn camera(&self, clip: &Clip, frame: &Frame, drawn: &[Drawing]) -> Option<Camera> {
        let freezes = clip.freezes.iter().flat_map(|f| &f.drawings);
        let on_ground = clip.drawings.iter().chain(freezes).chain(drawn).any(Drawing::is_on_ground);
        on_ground.then(|| (self.ground)(clip, frame.time)).flatten()
    }

    fn frame(&mut self, file: &str, side: usize, i: usize) -> Result<Frame, ReelError> {
        let key = (file.to_owned(), side);
        self.used += 1;
        if let Some((reader, used)) = self.open.get_mut(&key) {
            *used = self.used;
            return Ok(reader.frame(i)?);
        }
        if self.open.len() >= OPEN
            && let Some(oldest) =
                self.open.iter().min_by_key(|(_, (_, used))| *used).map(|(key, _)| key.clone())
        {
            self.open.remove(&oldest);
        }
        let Some(media) = self.files.get(file) else {
            return Err(PlanError::NotOpen { part: 1, file: file.to_owned() }.into());
        };
        let mut reader = FrameReader::open(media)?;
        let frame = reader.frame(i)?;
        self.open.insert(key, (reader, self.used));
        Ok(frame)
    }
}
