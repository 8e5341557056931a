//! From a simulated match to files: which frames there are, their pictures and their sound.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::time::Duration;

use thiserror::Error;

use super::camera::Camera;
use super::camera_truth::CameraTruth;
use super::camera_work::{CameraWork, Filming};
use super::dice::Dice;
use super::edited::{self, Piece};
use super::play::{self, A_STARTS, FIRST_SERVER, Match, RULES, Wanted};
use super::render::Renderer;
use super::sound::{self, Sound};
use super::truth::{FORMAT, File, Player, Truth};
use crate::record::printable;
use crate::system::writing;
use crate::time::{FrameRate, MatchTime};
use crate::video::{AudioSpec, Container, EncodeSpec, Encoder, VideoError, partial};

/// The name of the truth file.
const TRUTH: &str = "holt-okafor.truth.json";
/// The name of the file that says where the camera was in each frame, if it moves.
const CAMERAS: &str = "holt-okafor.cameras.jsonl";

/// Why demo footage cannot be made.
#[derive(Debug, Error)]
pub enum DemoError {
    /// The picture's size, the number of files, or another wish that cannot be met.
    #[error("{what} is not possible; {allowed}")]
    Wish {
        /// What was asked for.
        what: String,
        /// What is allowed.
        allowed: String,
    },
    /// The folder or the truth file cannot be written.
    #[error("cannot write {path}: {reason}")]
    Write {
        /// Where.
        path: PathBuf,
        /// What the system said.
        reason: String,
    },
    /// A file is where one would go; it is not replaced.
    #[error("{} is there already and is not replaced; name another folder", printable(&path.to_string_lossy(), 400))]
    There {
        /// The file.
        path: PathBuf,
    },
    /// The caller wished to stop.
    #[error("stopped; finished files are kept, unfinished ones are deleted")]
    Stopped,
    /// The footage cannot be encoded.
    #[error(transparent)]
    Video(#[from] VideoError),
}

/// What footage to make.
#[derive(Debug, Clone, PartialEq, Eq)]
#[expect(clippy::struct_excessive_bools, reason = "each is a wish of its own")]
pub struct Demo {
    /// The number that the match is made from.
    pub number: u64,
    /// Games at most; none for the whole match.
    pub games: Option<u32>,
    /// Points at most; none for the whole match.
    pub points: Option<u32>,
    /// Dead time shortened to about six seconds.
    pub brisk: bool,
    /// Width of the upright picture in pixels, even.
    pub width: u32,
    /// Height of the upright picture in pixels, even.
    pub height: u32,
    /// Frames a second, or none for gaps of 17 to 100 ms.
    pub rate: Option<FrameRate>,
    /// Degrees clockwise by which a player must turn the stored picture: 0, 90, 180, 270.
    pub rotation: u16,
    /// Number of files, from 1.
    pub files: u32,
    /// Whether the pauses are cut out, of one file.
    pub cut: bool,
    /// WebM rather than MP4.
    pub webm: bool,
    /// Each frame's number in the picture.
    pub frame_numbers: bool,
    /// How the camera moves.
    pub camera: CameraWork,
}

impl Default for Demo {
    fn default() -> Self {
        Self {
            number: 1,
            games: None,
            points: None,
            brisk: false,
            width: 1280,
            height: 720,
            rate: FrameRate::new(30, 1).ok(),
            rotation: 0,
            files: 1,
            cut: false,
            webm: false,
            frame_numbers: false,
            camera: CameraWork::Still,
        }
    }
}

/// The frames of one file: moments from the file's start, with the end of the last at the end.
struct Reel {
    start: u64,
    moments: Vec<u64>,
    /// Which parts of the match it shows, if the pauses are cut out.
    pieces: Vec<Piece>,
}

impl Reel {
    /// When a moment of the file was played, on the match clock of the whole match.
    fn played(&self, shown: u64) -> u64 {
        edited::played(&self.pieces, self.start + shown)
    }
}

/// A match played and cut into files, ready to be drawn.
struct Plan {
    game: Match,
    reels: Vec<Reel>,
    truth: Truth,
}

/// The truth of the footage without making it.
///
/// # Errors
/// [`DemoError::Wish`] for what cannot be met.
pub fn truth(demo: &Demo) -> Result<Truth, DemoError> {
    Ok(plan(demo)?.truth)
}

/// What is told after each frame: how many frames are done, and how many there are. The answer is whether to go on.
pub type Progress<'a> = dyn FnMut(u64, u64) -> ControlFlow<()> + 'a;

/// Makes footage and its truth file in a folder, which is created when needed. `progress` hears the number of
/// frames done and of all.
///
/// # Errors
/// [`DemoError`], with nothing half-written left.
pub fn make(demo: &Demo, folder: &Path, progress: &mut dyn FnMut(u64, u64)) -> Result<Truth, DemoError> {
    make_unless_stopped(demo, folder, &mut |done, all| {
        progress(done, all);
        ControlFlow::Continue(())
    })
}

/// As [`make`], until `progress` says that it is enough.
///
/// # Errors
/// [`DemoError`], with nothing half-written left; [`DemoError::Stopped`] when it was enough.
pub fn make_unless_stopped(
    demo: &Demo,
    folder: &Path,
    progress: &mut Progress<'_>,
) -> Result<Truth, DemoError> {
    film(demo, plan(demo)?, folder, progress)
}

fn unwritable(path: &Path, e: &std::io::Error) -> DemoError {
    DemoError::Write { path: path.to_owned(), reason: writing(e).to_string() }
}

fn film(demo: &Demo, plan: Plan, folder: &Path, progress: &mut Progress<'_>) -> Result<Truth, DemoError> {
    let Plan { game, reels, truth } = plan;
    nothing_there(demo, &truth, folder)?;
    std::fs::create_dir_all(folder).map_err(|e| unwritable(folder, &e))?;
    let camera = Camera::behind_the_court(f64::from(demo.width), f64::from(demo.height));
    let mut sound = Sound::new(demo.number, &game.stage, |at| camera.distance(at));
    let total = truth.files.iter().map(|f| f.frames).sum();
    let mut filming = CameraTruth::new(Filming::new(demo.camera, &game, demo.width, demo.height));
    let mut done = 0;
    for (reel, file) in reels.iter().zip(&truth.files) {
        let path = folder.join(&file.name);
        filming.begin(&file.name);
        shoot(demo, (&game, &mut filming), reel, &path, &mut sound, &mut || {
            done += 1;
            progress(done, total)
        })?;
    }
    let text =
        serde_json::to_string_pretty(&truth).map_err(|e| unwritable(&folder.join(TRUTH), &e.into()))?;
    write(&folder.join(TRUTH), &format!("{text}\n"))?;
    if demo.camera != CameraWork::Still {
        write(&folder.join(CAMERAS), filming.lines())?;
    }
    Ok(truth)
}

/// Refuses a folder in which one of the files would take another one's place.
fn nothing_there(demo: &Demo, truth: &Truth, folder: &Path) -> Result<(), DemoError> {
    let cameras = (demo.camera != CameraWork::Still).then_some(CAMERAS);
    let names = truth.files.iter().map(|f| f.name.as_str()).chain([TRUTH]).chain(cameras);
    let there = names.map(|name| folder.join(name)).find(|path| path.symlink_metadata().is_ok());
    there.map_or(Ok(()), |path| Err(DemoError::There { path }))
}

fn write(path: &Path, text: &str) -> Result<(), DemoError> {
    let mut file = partial(path).map_err(|e| unwritable(path, &e))?;
    std::io::Write::write_all(&mut file, text.as_bytes()).map_err(|e| unwritable(path, &e))?;
    file.persist_noclobber(path).map_err(|e| match e.error.kind() {
        std::io::ErrorKind::AlreadyExists => DemoError::There { path: path.to_owned() },
        _ => unwritable(path, &e.error),
    })?;
    Ok(())
}

fn check(demo: &Demo) -> Result<(), DemoError> {
    let wish = |what: String, allowed: &str| Err(DemoError::Wish { what, allowed: allowed.to_owned() });
    let even = |n: u32| n.is_multiple_of(2) && (64..=4096).contains(&n);
    if !even(demo.width) || !even(demo.height) {
        return wish(
            format!("a picture of {} × {} pixels", demo.width, demo.height),
            "even numbers from 64 to 4096 are allowed",
        );
    }
    if !matches!(demo.rotation, 0 | 90 | 180 | 270) {
        return wish(format!("a rotation of {}°", demo.rotation), "0, 90, 180 and 270 are allowed");
    }
    if demo.cut && demo.files != 1 {
        return wish(
            "edited footage in several files".to_owned(),
            "--cut makes one file; leave out --cut or --files",
        );
    }
    if demo.webm && demo.rotation != 0 {
        return wish(
            "a rotated WebM file".to_owned(),
            "WebM has no rotation flag; leave out --webm or --rotate",
        );
    }
    Ok(())
}

fn plan(demo: &Demo) -> Result<Plan, DemoError> {
    check(demo)?;
    let wanted = Wanted { number: demo.number, games: demo.games, points: demo.points, brisk: demo.brisk };
    let game = play::play(&wanted);
    let most = game.points.len() as u32;
    if demo.files == 0 || demo.files > most {
        return Err(DemoError::Wish {
            what: format!("{} points in {} files", most, demo.files),
            allowed: format!("files are cut between points: 1 to {most} are allowed"),
        });
    }
    let reels = reels(demo, &game);
    let truth = Truth {
        format: FORMAT.to_owned(),
        version: 1,
        number: demo.number,
        brisk: demo.brisk,
        players: players(),
        rules: RULES,
        first_server: FIRST_SERVER,
        a_starts: A_STARTS,
        files: reels.iter().enumerate().map(|(i, r)| file(demo, i, r)).collect(),
        cuts: reels.iter().flat_map(|r| edited::cuts(&r.pieces)).collect(),
        points: match reels.first() {
            Some(reel) if demo.cut => edited::points(&game, &reel.pieces),
            _ => game.points.clone(),
        },
    };
    Ok(Plan { game, reels, truth })
}

fn players() -> [Player; 2] {
    let player = |name: &str, shirt: &str| Player {
        name: name.to_owned(),
        hand: "right".to_owned(),
        shirt: shirt.to_owned(),
    };
    [player("Holt", "plain blue"), player("Okafor", "orange with white stripes")]
}

fn file(demo: &Demo, index: usize, reel: &Reel) -> File {
    let kind = if demo.webm { "webm" } else { "mp4" };
    let name = if demo.files == 1 {
        format!("holt-okafor.{kind}")
    } else {
        format!("holt-okafor-{}.{kind}", index + 1)
    };
    File {
        name,
        start: MatchTime::from_nanos(reel.start),
        end: MatchTime::from_nanos(reel.start + reel.moments.last().copied().unwrap_or(0)),
        frames: reel.moments.len().saturating_sub(1) as u64,
        rate: demo.rate,
        width: demo.width,
        height: demo.height,
        rotation: demo.rotation,
    }
}

/// Cuts the match into files in the middle of dead time. Between two files the camera is off for a moment, as when
/// a person restarts it.
fn reels(demo: &Demo, game: &Match) -> Vec<Reel> {
    let nanos = |seconds: f64| (seconds * 1000.0).round() as u64 * 1_000_000;
    let off = if demo.brisk { 0.15 } else { 1.0 };
    let cuts: Vec<f64> = (1..demo.files as usize)
        .filter_map(|i| game.pauses.get((i * game.points.len() / demo.files as usize).max(1) - 1).copied())
        .collect();
    let starts = std::iter::once(0).chain(cuts.iter().map(|c| nanos(c + off)));
    let ends = cuts.iter().map(|c| nanos(c - off)).chain(std::iter::once(nanos(game.stage.end)));
    let mut dice = Dice::new(demo.number, 2);
    starts
        .zip(ends)
        .map(|(start, end)| {
            let mut moments = moments(demo.rate, end.saturating_sub(start), &mut dice);
            let pieces = if demo.cut { edited::pieces(game, &mut moments) } else { Vec::new() };
            Reel { start, moments, pieces }
        })
        .collect()
}

/// Frame starts from nought to the first one at or after `length`, nanoseconds.
fn moments(rate: Option<FrameRate>, length: u64, dice: &mut Dice) -> Vec<u64> {
    let mut all = vec![0];
    let mut last = 0;
    while last < length {
        last = match rate {
            Some(r) => r.time_of(all.len() as u64).nanos(),
            None => last + (16.7 * 6.0_f64.powf(dice.between(0.0, 1.0).powi(2))).round() as u64 * 1_000_000,
        };
        all.push(last);
    }
    all
}

fn spec(demo: &Demo, path: &Path) -> EncodeSpec {
    let turned = matches!(demo.rotation, 90 | 270);
    let (width, height) = if turned { (demo.height, demo.width) } else { (demo.width, demo.height) };
    EncodeSpec {
        path: path.to_owned(),
        width,
        height,
        container: if demo.webm { Container::WebM } else { Container::Mp4 },
        rotation: demo.rotation,
        nominal_rate: demo.rate,
        audio: Some(AudioSpec { rate: sound::RATE, channels: 2 }),
        gop: None,
        // As telephones do it, footage of a variable rate has no frames out of order: MP4 keeps the steps between frames
        // in decoding order only.
        b_frames: if demo.rate.is_some() { 2 } else { 0 },
    }
}

fn shoot(
    demo: &Demo,
    (game, filming): (&Match, &mut CameraTruth),
    reel: &Reel,
    path: &Path,
    sound: &mut Sound,
    tick: &mut dyn FnMut() -> ControlFlow<()>,
) -> Result<(), DemoError> {
    let Some(mut renderer) = Renderer::new(demo.width, demo.height) else {
        return check(demo);
    };
    let mut encoder = Encoder::start(&spec(demo, path))?;
    let sample = |nanos: u64| (u128::from(nanos) * u128::from(sound::RATE) / 1_000_000_000) as u64;
    let mut heard = sample(reel.played(0));
    let mut written = 0;
    for (n, pair) in reel.moments.windows(2).enumerate() {
        let [from, to] = [pair[0], pair[1]];
        let here = reel.played(from);
        let until = sample(here + to - from);
        let next = reel.played(to);
        let ends = n + 2 == reel.moments.len() || next != here + to - from;
        if until >= heard + u64::from(sound::RATE) / 5 || ends {
            let at = written * 1_000_000_000 / u64::from(sound::RATE);
            written += until - heard;
            let samples = sound.samples(heard, (until - heard) as usize);
            encoder.audio(samples, MatchTime::from_nanos(at))?;
            heard = if ends { sample(next) } else { until };
        }
        let t = here as f64 / 1e9;
        renderer.look(&filming.at(game, t, n as u64, MatchTime::from_nanos(from)));
        let picture = renderer.frame(&game.stage, t, demo.frame_numbers.then_some(n as u64));
        let stored = turned(picture.data(), demo.width as usize, demo.height as usize, demo.rotation);
        encoder.video(stored, MatchTime::from_nanos(from), Duration::from_nanos(to - from))?;
        if tick().is_break() {
            return Err(DemoError::Stopped);
        }
    }
    Ok(encoder.finish()?)
}

/// The picture turned counter-clockwise by `rotation`, so that a player that obeys the flag shows it upright.
fn turned(upright: &[u8], width: usize, height: usize, rotation: u16) -> Vec<u8> {
    let pixels = upright.chunks_exact(4);
    match rotation {
        180 => pixels.rev().flatten().copied().collect(),
        90 | 270 => {
            let mut out = vec![0; upright.len()];
            for (i, pixel) in pixels.enumerate() {
                let (x, y) = (i % width, i / width);
                let (u, v) = if rotation == 90 { (y, width - 1 - x) } else { (height - 1 - y, x) };
                let at = (v * height + u) * 4;
                out[at..at + 4].copy_from_slice(pixel);
            }
            out
        }
        _ => upright.to_vec(),
    }
}

#[cfg(test)]
#[path = "film_tests.rs"]
mod tests;
