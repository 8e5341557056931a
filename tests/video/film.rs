//! Films made on the spot, with the number of each frame drawn into its picture, and how to read it back.

use std::path::Path;
use std::time::{Duration, Instant};

use async_channel::TryRecvError;
use changeover::frames::FootageFile;
use changeover::time::{FrameRate, MatchTime};
use changeover::video::{
    AudioSpec, Container, EncodeSpec, Encoder, Events, Frame, Player, PlayerEvent, probe,
};

pub const WIDTH: u32 = 320;
pub const HEIGHT: u32 = 180;
const BLOCK: u32 = 20;

/// What a test film is like.
#[derive(Clone)]
pub struct Film {
    pub times: Vec<MatchTime>,
    pub rate: Option<FrameRate>,
    pub container: Container,
    pub rotation: u16,
    pub b_frames: u32,
    pub gop: u32,
    pub sound: bool,
}

impl Film {
    pub fn constant(rate: &str, frames: u64) -> Self {
        let rate: FrameRate = rate.parse().unwrap();
        let times = (0..frames).map(|n| rate.time_of(n)).collect();
        Self {
            times,
            rate: Some(rate),
            container: Container::Mp4,
            rotation: 0,
            b_frames: 0,
            gop: 30,
            sound: false,
        }
    }

    /// Gaps from 5 ms to 1.6 s.
    pub fn varying(frames: usize) -> Self {
        let gaps = [33, 33, 5, 40, 20, 33, 120, 7, 33, 16, 250, 33, 9, 41];
        let mut t = 0;
        let mut times = Vec::new();
        for i in 0..frames {
            times.push(MatchTime::from_millis(t));
            t += if i == frames / 2 { 1600 } else { gaps[i % gaps.len()] };
        }
        Self { times, rate: None, ..Self::constant("30", 1) }
    }

    fn length(&self, i: usize) -> Duration {
        self.times.get(i + 1).map_or(Duration::from_millis(33), |t| *t - self.times[i])
    }

    /// Writes it, in the place of a film that a test wrote before: the encoder writes over none.
    pub fn write(&self, path: &Path) {
        match std::fs::remove_file(path) {
            Err(e) if e.kind() != std::io::ErrorKind::NotFound => panic!("{e}"),
            _ => {}
        }
        let turned = !self.rotation.is_multiple_of(180);
        let (width, height) = if turned { (HEIGHT, WIDTH) } else { (WIDTH, HEIGHT) };
        let mut encoder = Encoder::start(&EncodeSpec {
            path: path.to_path_buf(),
            width,
            height,
            container: self.container,
            rotation: self.rotation,
            nominal_rate: self.rate,
            audio: self.sound.then_some(AudioSpec { rate: 48_000, channels: 1 }),
            gop: Some(self.gop),
            b_frames: self.b_frames,
        })
        .unwrap();
        for (i, time) in self.times.iter().enumerate() {
            encoder.video(self.picture(i), *time, self.length(i)).unwrap();
        }
        if self.sound {
            let end = self.times[self.times.len() - 1].nanos() / 100_000_000 + 1;
            for n in 0..end {
                let tone = (0..4800).map(|s| (s as f32 * 0.05).sin() * 0.1).collect();
                encoder.audio(tone, MatchTime::from_millis(n * 100)).unwrap();
            }
        }
        encoder.finish().unwrap();
    }

    /// The stored picture of frame `i`: turned by the rotation, it is upright.
    fn picture(&self, i: usize) -> Vec<u8> {
        let upright = |x: u32, y: u32| {
            let bit = (i >> (x / BLOCK)) & 1 == 1;
            match y / BLOCK {
                0 => {
                    if bit {
                        235
                    } else {
                        16
                    }
                }
                1 => {
                    if bit {
                        16
                    } else {
                        235
                    }
                }
                _ => ((x * 3 + y * 5 + i as u32 * 7) % 200 + 20) as u8,
            }
        };
        let (w, h) = if self.rotation.is_multiple_of(180) { (WIDTH, HEIGHT) } else { (HEIGHT, WIDTH) };
        let mut pixels = Vec::with_capacity((w * h * 4) as usize);
        for y in 0..h {
            for x in 0..w {
                let v = match self.rotation {
                    90 => upright(h - 1 - y, x),
                    180 => upright(w - 1 - x, h - 1 - y),
                    270 => upright(y, w - 1 - x),
                    _ => upright(x, y),
                };
                pixels.extend([v, v, v, 255]);
            }
        }
        pixels
    }
}

/// The number drawn into a frame. Fails when it is not what was drawn.
pub fn number(frame: &Frame) -> usize {
    assert_eq!((frame.width, frame.height), (WIDTH, HEIGHT));
    let data = frame.pixels.as_ref();
    let level = |x: u32, y: u32| {
        let mut sum = 0;
        for (dx, dy) in [(7, 7), (10, 10), (13, 13), (7, 13), (13, 7)] {
            sum += u32::from(data[(y + dy) as usize * frame.stride + (x + dx) as usize * 4]);
        }
        sum / 5
    };
    let mut n = 0;
    for bit in 0..WIDTH / BLOCK {
        let (value, inverse) = (level(bit * BLOCK, 0), level(bit * BLOCK, BLOCK));
        assert!(value.abs_diff(inverse) > 100, "block {bit} cannot be read: {value} against {inverse}");
        n |= usize::from(value > inverse) << bit;
    }
    n
}

/// A film on the disk, opened.
pub struct Made {
    _dir: tempfile::TempDir,
    pub media: std::sync::Arc<FootageFile>,
}

pub fn made(film: &Film) -> Made {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join(if film.container == Container::Mp4 { "film.mp4" } else { "film.webm" });
    film.write(&path);
    let media = std::sync::Arc::new(probe(&path).unwrap());
    Made { _dir: dir, media }
}

/// A window's stand-in: takes events, and checks every frame against its picture.
pub struct Screen {
    /// The number drawn into frame 0 of the film.
    pub first: usize,
    /// How to read a number off a picture.
    pub read: fn(&Frame) -> usize,
    pub media: std::sync::Arc<FootageFile>,
    pub player: Player,
    pub events: Events,
    pub shown: Option<usize>,
    pub taken: usize,
    pub others: Vec<PlayerEvent>,
}

impl Screen {
    pub fn open(made: &Made) -> Self {
        Self::of(&made.media)
    }

    pub fn of(media: &std::sync::Arc<FootageFile>) -> Self {
        let (player, events) = Player::open(media.clone()).unwrap();
        let (first, read) = (0, number as fn(&Frame) -> usize);
        Self { first, read, media: media.clone(), player, events, shown: None, taken: 0, others: Vec::new() }
    }

    /// Takes one event; whether it was a frame.
    fn take(&mut self) -> Result<bool, TryRecvError> {
        match self.events.try_recv()? {
            PlayerEvent::Frame(frame) => {
                let drawn = (self.read)(&frame) - self.first;
                assert_eq!(frame.index, drawn, "a frame says it is {} and shows {drawn}", frame.index);
                assert_eq!(frame.time, self.media.index.time(drawn));
                self.shown = Some(drawn);
                self.taken += 1;
                Ok(true)
            }
            PlayerEvent::Error(e) => panic!("{e}"),
            other => {
                self.others.push(other);
                Ok(false)
            }
        }
    }

    /// Takes everything that comes within `time`; how many frames that were.
    pub fn watch(&mut self, time: Duration) -> usize {
        let (until, before) = (Instant::now() + time, self.taken);
        while Instant::now() < until {
            if self.take().is_err() {
                std::thread::sleep(Duration::from_millis(1));
            }
        }
        self.taken - before
    }

    /// Goes to a frame and waits for it, also when it is on the screen already: it is sent again.
    pub fn go(&mut self, index: usize) {
        let before = self.taken;
        self.player.seek_frame(index);
        self.wait_until(&format!("frame {index}"), |s| s.taken > before && s.shown == Some(index));
    }

    /// Takes everything until frame `index` is on the screen.
    pub fn wait_for(&mut self, index: usize) {
        self.wait_until(&format!("frame {index}"), |s| s.shown == Some(index));
    }

    pub fn wait_until(&mut self, what: &str, done: impl Fn(&Self) -> bool) {
        let until = Instant::now() + Duration::from_secs(8);
        while !done(self) {
            assert!(Instant::now() < until, "{what} did not come; on screen: {:?}", self.shown);
            if self.take().is_err() {
                std::thread::sleep(Duration::from_millis(1));
            }
        }
    }
}
