//! From what was played to one file of footage: its frames, their pictures and their sound.

use std::ops::{ControlFlow, Range};
use std::path::Path;
use std::time::Duration;

use super::camera_truth::CameraTruth;
use super::dice::Dice;
use super::edited::Piece;
use super::play::Match;
use super::render::Renderer;
use super::sound::{self, Sound};
use super::wish::{Demo, DemoError, size};
use crate::time::{FrameRate, MatchTime};
use crate::video::{AudioSpec, Container, EncodeSpec, Encoder};

/// The frames of one file: moments from the file's start, with the end of the last at the end.
pub(super) struct Reel {
    pub start: u64,
    pub moments: Vec<u64>,
    /// Which parts of which match it shows, if there are cuts.
    pub pieces: Vec<Piece>,
}

/// Frames that were filmed without a cut.
struct Run {
    game: usize,
    /// When the first of them was played, nanoseconds on the clock of its match.
    played: u64,
    frames: Range<usize>,
}

impl Reel {
    fn runs(&self) -> Vec<Run> {
        let end = self.moments.len().saturating_sub(1);
        if self.pieces.is_empty() {
            return vec![Run { game: 0, played: self.start, frames: 0..end }];
        }
        let first = |piece: &Piece| self.moments.partition_point(|m| *m < piece.shown);
        let ends = self.pieces.iter().skip(1).map(first).chain([end]);
        let run = |(piece, end): (&Piece, usize)| Run {
            game: piece.game,
            played: self.start + piece.played,
            frames: first(piece)..end,
        };
        self.pieces.iter().zip(ends).map(run).collect()
    }
}

/// A match that is filmed: its sound, and where the camera is.
pub(super) struct Scene<'a> {
    pub game: &'a Match,
    pub sound: Sound,
    pub filming: CameraTruth,
}

/// Frame starts from nought to the first one at or after `length`, nanoseconds.
pub(super) fn moments(rate: Option<FrameRate>, length: u64, dice: &mut Dice) -> Vec<u64> {
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

/// What is written while a file is shot.
struct Shoot<'a> {
    demo: &'a Demo,
    renderer: Renderer,
    encoder: Encoder,
    /// Samples so far.
    written: u64,
    tick: &'a mut dyn FnMut() -> ControlFlow<()>,
}

/// Shoots one file.
pub(super) fn shoot(
    demo: &Demo,
    scenes: &mut [Scene<'_>],
    reel: &Reel,
    path: &Path,
    tick: &mut dyn FnMut() -> ControlFlow<()>,
) -> Result<(), DemoError> {
    let renderer = Renderer::new(demo.width, demo.height).ok_or_else(|| size(demo))?;
    let mut shoot = Shoot { demo, renderer, encoder: Encoder::start(&spec(demo, path))?, written: 0, tick };
    for run in reel.runs() {
        if let Some(scene) = scenes.get_mut(run.game) {
            shoot.run(scene, reel, &run)?;
        }
    }
    Ok(shoot.encoder.finish()?)
}

fn sample(nanos: u64) -> u64 {
    (u128::from(nanos) * u128::from(sound::RATE) / 1_000_000_000) as u64
}

impl Shoot<'_> {
    fn run(&mut self, scene: &mut Scene<'_>, reel: &Reel, run: &Run) -> Result<(), DemoError> {
        let Some(began) = reel.moments.get(run.frames.start) else { return Ok(()) };
        let mut heard = sample(run.played);
        for n in run.frames.clone() {
            let [from, to] = [reel.moments[n], reel.moments[n + 1]];
            let until = sample(run.played + to - began);
            if until >= heard + u64::from(sound::RATE) / 5 || n + 1 == run.frames.end {
                let at = self.written * 1_000_000_000 / u64::from(sound::RATE);
                self.written += until - heard;
                let samples = scene.sound.samples(heard, (until - heard) as usize);
                self.encoder.audio(samples, MatchTime::from_nanos(at))?;
                heard = until;
            }
            self.picture(scene, n as u64, run.played + from - began, [from, to])?;
        }
        Ok(())
    }

    fn picture(
        &mut self,
        scene: &mut Scene<'_>,
        n: u64,
        here: u64,
        shown: [u64; 2],
    ) -> Result<(), DemoError> {
        let (demo, from) = (self.demo, MatchTime::from_nanos(shown[0]));
        let t = here as f64 / 1e9;
        self.renderer.look(&scene.filming.at(scene.game, t, n, from));
        let picture = self.renderer.frame(&scene.game.stage, t, demo.frame_numbers.then_some(n));
        let stored = turned(picture.data(), demo.width as usize, demo.height as usize, demo.rotation);
        self.encoder.video(stored, from, Duration::from_nanos(shown[1] - shown[0]))?;
        if (self.tick)().is_break() { Err(DemoError::Stopped) } else { Ok(()) }
    }
}

/// The picture turned counter-clockwise by `rotation`, so that a player that obeys the flag shows it upright.
pub(super) fn turned(upright: &[u8], width: usize, height: usize, rotation: u16) -> Vec<u8> {
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
