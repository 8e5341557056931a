//! The sound of a reel from the sounds of its clips, one after another.

use std::collections::BTreeMap;

use super::error::ReelError;
use super::loud::{Limiter, Meter, gain};
use super::plan::{Files, Plan, Sound};
use super::voice::Spoken;
use crate::time::FrameRate;
use crate::video::{SOUND_CHANNELS, SOUND_RATE, SoundReader};

/// How many pairs it takes for a sound to come and to go: 8 ms, too short to notice and too long for a click.
const FADE: u64 = SOUND_RATE as u64 / 125;

/// The sound of footage under a voice: 14 dB quieter than it.
const UNDER: f32 = 0.2;

/// The pair of samples at which frame `k` of a reel begins.
pub(super) fn pair_of(k: u64, rate: FrameRate) -> u64 {
    let x = u128::from(k) * u128::from(rate.per()) * u128::from(SOUND_RATE);
    (x / u128::from(rate.frames())) as u64
}

/// A sound with its place in pairs of samples.
#[derive(Debug, Clone)]
struct Placed {
    sound: Sound,
    starts: u64,
    ends: u64,
}

/// The sound of one file that is made louder or quieter.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// The file, as the lesson names it.
    pub file: String,
    /// How loud its clips were, in LUFS; `None` if they are nearly silent.
    pub loudness: Option<f64>,
}

/// Gives the sound of a reel from its beginning to its end.
pub(super) struct Mixer<'a> {
    files: &'a Files,
    sounds: Vec<Placed>,
    gains: BTreeMap<String, f32>,
    /// The next pair.
    at: u64,
    /// The sound that is read, and its reader.
    next: usize,
    reader: Option<(String, SoundReader)>,
    begun: bool,
    limiter: Limiter,
    /// The coach's voice, if it is the reel of a talk.
    spoken: Option<Spoken>,
}

impl<'a> Mixer<'a> {
    /// The mixer of a plan; nothing is read yet.
    pub(super) fn new(plan: &Plan, files: &'a Files, spoken: Option<Spoken>) -> Self {
        let place = |sound: Sound| Placed {
            starts: pair_of(sound.starts, plan.rate),
            ends: pair_of(sound.starts + sound.frames, plan.rate),
            sound,
        };
        let sounds = plan.sounds(files).into_iter().map(place).collect();
        let (gains, limiter) = (BTreeMap::new(), Limiter::new());
        Self { files, sounds, gains, at: 0, next: 0, reader: None, begun: false, limiter, spoken }
    }

    /// Whether there is any sound.
    pub(super) fn is_heard(&self) -> bool {
        !self.sounds.is_empty() || self.spoken.is_some()
    }

    /// Listens to all clips and chooses for each file by what its sound is multiplied, so that all are equally loud. `watch` is
    /// told how much has been heard, from 0 to 1, and says whether to go on.
    ///
    /// # Errors
    /// [`ReelError`] when sound cannot be decoded, or it is stopped.
    pub(super) fn level(&mut self, watch: &mut dyn FnMut(f64) -> bool) -> Result<Vec<Level>, ReelError> {
        let all: u64 = self.sounds.iter().map(|p| p.ends - p.starts).sum();
        let (mut meters, mut done) = (BTreeMap::<String, Meter>::new(), 0);
        if let Some(spoken) = &mut self.spoken {
            spoken.level(&mut |_| watch(0.0))?;
        }
        for placed in self.sounds.clone() {
            let file = &placed.sound.file;
            let failed =
                |e: ebur128::Error| ReelError::Loudness { file: file.clone(), reason: e.to_string() };
            if !meters.contains_key(file) {
                meters.insert(file.clone(), Meter::new().map_err(failed)?);
            }
            self.go(&placed.sound)?;
            let mut left = placed.ends - placed.starts;
            while left > 0 {
                let count = left.min(u64::from(SOUND_RATE) / 2);
                let pairs = self.pull(count)?;
                if let Some(meter) = meters.get_mut(file) {
                    meter.hear(&pairs).map_err(failed)?;
                }
                (left, done) = (left - count, done + count);
                if !watch(done as f64 / all.max(1) as f64) {
                    return Err(ReelError::Stopped);
                }
            }
        }
        let levels = meters.into_iter().map(|(file, meter)| Level { loudness: meter.loudness(), file });
        let levels: Vec<Level> = levels.collect();
        let under = if self.spoken.is_some() { UNDER } else { 1.0 };
        self.gains = levels.iter().map(|l| (l.file.clone(), gain(l.loudness) * under)).collect();
        Ok(levels)
    }

    /// Goes to where a sound begins in its file.
    fn go(&mut self, sound: &Sound) -> Result<(), ReelError> {
        if self.reader.as_ref().is_none_or(|(name, _)| *name != sound.file) {
            self.reader = None;
            if let Some(file) = self.files.get(&sound.file) {
                self.reader = Some((sound.file.clone(), SoundReader::open(&file.path)?));
            }
        }
        if let Some((_, reader)) = &mut self.reader {
            reader.go(sound.from)?;
        }
        Ok(())
    }

    fn pull(&mut self, count: u64) -> Result<Vec<f32>, ReelError> {
        match &mut self.reader {
            Some((_, reader)) => Ok(reader.read(count as usize)?),
            None => Ok(vec![0.0; count as usize * SOUND_CHANNELS as usize]),
        }
    }

    /// The pairs up to the beginning of frame `k`, as far as the limiter has done them.
    ///
    /// # Errors
    /// [`ReelError`] when sound cannot be decoded.
    pub(super) fn until(&mut self, k: u64, rate: FrameRate) -> Result<Vec<f32>, ReelError> {
        let to = pair_of(k, rate);
        let (mut raw, from) = (Vec::new(), self.at);
        while self.at < to {
            let Some(placed) = self.sounds.get(self.next).cloned() else {
                raw.resize(raw.len() + (to - self.at) as usize * 2, 0.0);
                self.at = to;
                break;
            };
            if self.at < placed.starts {
                let silent = placed.starts.min(to) - self.at;
                raw.resize(raw.len() + silent as usize * 2, 0.0);
                self.at += silent;
                continue;
            }
            if !self.begun {
                self.go(&placed.sound)?;
                self.begun = true;
            }
            let count = placed.ends.min(to) - self.at;
            let pairs = self.pull(count)?;
            raw.extend(self.faded(pairs, &placed));
            self.at += count;
            if self.at == placed.ends {
                (self.next, self.begun) = (self.next + 1, false);
            }
        }
        if let Some(spoken) = &mut self.spoken {
            spoken.over(&mut raw, (to - from) as usize)?;
        }
        Ok(self.limiter.limit(&raw))
    }

    /// Pairs of a sound as loud as they shall be, softer at its ends.
    fn faded(&self, mut pairs: Vec<f32>, placed: &Placed) -> Vec<f32> {
        let gain = self.gains.get(&placed.sound.file).copied().unwrap_or(1.0);
        for (n, pair) in pairs.chunks_exact_mut(2).enumerate() {
            let at = self.at + n as u64;
            let edge = (at - placed.starts).min(placed.ends - 1 - at).min(FADE);
            let by = gain * edge as f32 / FADE as f32;
            for s in pair {
                *s *= by;
            }
        }
        pairs
    }

    /// What the limiter still holds.
    pub(super) fn finish(&mut self) -> Vec<f32> {
        self.limiter.finish()
    }
}
