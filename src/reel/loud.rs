//! How loud footage is, and how it is made as loud as the rest (EBU R 128).

use std::collections::VecDeque;

use ebur128::{EbuR128, Mode};

use crate::video::{SOUND_CHANNELS, SOUND_RATE};

/// The loudness of a programme in EBU R 128, in LUFS.
const TARGET: f64 = -23.0;
/// Below this there is only noise, which is not made louder.
const NOISE: f64 = -60.0;
/// The most by which sound is made louder, in decibels.
const MOST: f64 = 30.0;
/// The highest sample that is written: −1.5 dB, which leaves room for what lies between samples.
const CEILING: f32 = 0.841;
/// How many pairs of samples the limiter looks ahead: 5 ms.
const AHEAD: usize = SOUND_RATE as usize / 200;

/// Measures the loudness of sound as it comes.
pub(super) struct Meter(EbuR128);

impl Meter {
    /// # Errors
    /// When there is no memory.
    pub(super) fn new() -> Result<Self, ebur128::Error> {
        EbuR128::new(SOUND_CHANNELS, SOUND_RATE, Mode::I).map(Self)
    }

    /// Takes in pairs of samples.
    ///
    /// # Errors
    /// When they are no pairs.
    pub(super) fn hear(&mut self, pairs: &[f32]) -> Result<(), ebur128::Error> {
        self.0.add_frames_f32(pairs)
    }

    /// The loudness of all that was heard, in LUFS; `None` when there was nothing but noise.
    pub(super) fn loudness(&self) -> Option<f64> {
        self.0.loudness_global().ok().filter(|l| *l > NOISE)
    }
}

/// By what to multiply sound of this loudness.
pub(super) fn gain(loudness: Option<f64>) -> f32 {
    loudness.map_or(1.0, |l| 10f64.powf((TARGET - l).min(MOST) / 20.0) as f32)
}

/// Keeps samples below the ceiling: the gain falls before a peak and rises after it, so that nothing is cut off.
pub(super) struct Limiter {
    /// Pairs that have come in and not gone out.
    waiting: VecDeque<[f32; 2]>,
    /// Least gains that may still be the least of a window, each with its place.
    least: VecDeque<(u64, f32)>,
    /// The last least gains, whose mean is the gain.
    window: VecDeque<f32>,
    sum: f64,
    at: u64,
}

impl Limiter {
    pub(super) fn new() -> Self {
        Self {
            waiting: VecDeque::new(),
            least: VecDeque::new(),
            window: std::iter::repeat_n(1.0, AHEAD).collect(),
            sum: AHEAD as f64,
            at: 0,
        }
    }

    /// Takes in pairs and gives those that are done: the same ones, 5 ms later.
    pub(super) fn limit(&mut self, pairs: &[f32]) -> Vec<f32> {
        let mut out = Vec::with_capacity(pairs.len());
        for pair in pairs.chunks_exact(2) {
            self.waiting.push_back([pair[0], pair[1]]);
            let peak = pair[0].abs().max(pair[1].abs());
            let wanted = if peak > CEILING { CEILING / peak } else { 1.0 };
            while self.least.back().is_some_and(|l| l.1 >= wanted) {
                self.least.pop_back();
            }
            self.least.push_back((self.at, wanted));
            self.at += 1;
            while self.least.front().is_some_and(|l| l.0 + (AHEAD as u64) < self.at) {
                self.least.pop_front();
            }
            self.step(&mut out);
        }
        out
    }

    /// Moves the window on by one, and gives the pair that has waited long enough.
    fn step(&mut self, out: &mut Vec<f32>) {
        let least = self.least.front().map_or(1.0, |l| l.1);
        self.window.push_back(least);
        self.sum += f64::from(least);
        self.sum -= f64::from(self.window.pop_front().unwrap_or(1.0));
        if self.waiting.len() >= AHEAD
            && let Some([l, r]) = self.waiting.pop_front()
        {
            let gain = (self.sum / AHEAD as f64) as f32;
            out.extend([l, r].map(|s| (s * gain).clamp(-CEILING, CEILING)));
        }
    }

    /// What is still waiting.
    pub(super) fn finish(&mut self) -> Vec<f32> {
        let left = self.waiting.len();
        let mut out = self.limit(&vec![0.0; left * 2]);
        out.truncate(left * 2);
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn peaks_stay_below_the_ceiling_and_nothing_is_lost() {
        let mut limiter = Limiter::new();
        let sound: Vec<f32> = (0..20_000)
            .flat_map(|n| {
                let s = (n as f32 * 0.05).sin() * if n % 4000 < 300 { 3.0 } else { 0.2 };
                [s, -s]
            })
            .collect();
        let mut out = Vec::new();
        for piece in sound.chunks(1234) {
            out.extend(limiter.limit(piece));
        }
        out.extend(limiter.finish());
        assert_eq!(out.len(), sound.len());
        assert!(out.iter().all(|s| s.abs() <= CEILING));
        // Far from the loud places the sound is unchanged.
        for n in (2000..3600).chain(6000..7600) {
            assert!((out[2 * n] - sound[2 * n]).abs() < 1e-4, "{n}");
        }
        // The gain never steps, so that nothing clicks.
        let gains: Vec<Option<f32>> =
            (0..20_000).map(|n| (sound[2 * n].abs() > 0.01).then(|| out[2 * n] / sound[2 * n])).collect();
        let steps = gains.windows(2).filter_map(|pair| Some((pair[1]? - pair[0]?).abs()));
        let largest = steps.fold(0.0, f32::max);
        assert!(largest > 0.0 && largest < 1.5 / AHEAD as f32, "{largest}");
    }

    #[test]
    fn a_tone_is_as_loud_as_the_standard_says() {
        // EBU Tech 3341, test 1: a stereo sine of 1000 Hz at -23 dBFS has -23 LUFS.
        let mut meter = Meter::new().unwrap();
        let level = 10f32.powf(-23.0 / 20.0);
        let tone = |n: u32| (n as f32 * 1000.0 * std::f32::consts::TAU / SOUND_RATE as f32).sin() * level;
        let pairs: Vec<f32> = (0..SOUND_RATE * 5).flat_map(|n| [tone(n), tone(n)]).collect();
        meter.hear(&pairs).unwrap();
        let loudness = meter.loudness().unwrap();
        assert!((loudness + 23.0).abs() < 0.1, "{loudness}");
        assert!((gain(Some(loudness)) - 1.0).abs() < 0.02);
        assert_eq!(gain(None).to_bits(), 1f32.to_bits());
    }
}
