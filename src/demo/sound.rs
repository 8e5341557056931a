//! What the microphone beside the camera hears: strikes, bounces, and the place itself.
//!
//! Levels over the background in six bands, rise, decay and the second peak 64 ms after a strike are those measured
//! on five real recordings with court microphones. Shoes, voices and applause are not in it yet.

use std::collections::VecDeque;

use super::dice::Dice;
use super::stage::{Heard, Stage};
use crate::video::Band;

/// Samples a second.
pub(super) const RATE: u32 = 48_000;
/// Speed of sound in air at 20 °C, m/s.
const SPEED: f64 = 343.0;
/// Middles of the six bands, Hz.
const BANDS: [f64; 6] = [250.0, 707.0, 1414.0, 2828.0, 5657.0, 11_314.0];
/// Background level of each band, full scale: falls by about 4 dB a band.
const BACKGROUND: [f64; 6] = [3.2e-3, 2.0e-3, 1.3e-3, 0.8e-3, 0.5e-3, 0.3e-3];
/// Strike at the near end over background, dB.
const NEAR: [f64; 6] = [21.0, 18.0, 16.0, 19.0, 22.0, 21.0];
/// Strike at the far end over background, dB.
const FAR: [f64; 6] = [18.0, 23.0, 18.0, 15.0, 15.0, 17.0];
/// Bounce over background, dB.
const BOUNCE: [f64; 6] = [4.0, 1.0, 6.0, 3.0, 1.0, 0.0];
/// Variants of each kind of sound.
const VARIANTS: usize = 6;

/// Decibels to a factor of amplitude.
fn gain(db: f64) -> f64 {
    10.0_f64.powf(db / 20.0)
}

/// What to add to a background so that both together are so many decibels over it.
fn on_top(over: f64) -> f64 {
    10.0 * (10.0_f64.powf(over / 10.0) - 1.0).max(0.03).log10()
}

/// Noise of these band levels (root mean square, full scale).
fn noise(dice: &mut Dice, levels: [f64; 6], samples: usize) -> Vec<f32> {
    let mut all = vec![0.0_f64; samples];
    for (middle, level) in BANDS.into_iter().zip(levels) {
        // Twice, so that little goes into the bands beside it.
        let (mut once, mut twice) = (Band::new(middle, RATE), Band::new(middle, RATE));
        let mut next = || twice.next(once.next(dice.between(-1.0, 1.0)));
        let made: Vec<f64> = (0..samples + 512).map(|_| next()).skip(512).collect();
        let rms = (made.iter().map(|v| v * v).sum::<f64>() / samples.max(1) as f64).sqrt().max(1e-12);
        for (sum, v) in all.iter_mut().zip(made) {
            *sum += v * level / rms;
        }
    }
    all.into_iter().map(|v| v as f32).collect()
}

/// How a strike rises and dies away: 10 dB down after 3.4 ms, 20 dB after 13 ms. `t` in seconds from its start.
fn strike_shape(t: f64, rise: f64) -> f64 {
    if t < 0.0 {
        0.0
    } else if t < rise {
        t / rise
    } else {
        let ms = (t - rise) * 1000.0;
        0.72 * (-ms / 1.9).exp() + 0.28 * (-ms / 12.0).exp()
    }
}

/// One strike, 0.18 s, with its second peak 64 ± 8 ms later at −5 dB.
fn strike(dice: &mut Dice, over: [f64; 6]) -> Vec<f32> {
    let levels: [f64; 6] = std::array::from_fn(|i| BACKGROUND[i] * gain(on_top(over[i])) * 1.9);
    let mut made = noise(dice, levels, RATE as usize * 18 / 100);
    let (rise, again) = (dice.between(0.0012, 0.0037), 0.064 + 0.008 * dice.normal().clamp(-2.0, 2.0));
    for (i, v) in made.iter_mut().enumerate() {
        let t = i as f64 / f64::from(RATE);
        *v *= (strike_shape(t, rise) + gain(-5.0) * strike_shape(t - again, rise)) as f32;
    }
    made
}

/// One bounce, 60 ms.
fn bounce(dice: &mut Dice) -> Vec<f32> {
    let levels: [f64; 6] = std::array::from_fn(|i| BACKGROUND[i] * gain(on_top(BOUNCE[i])) * 1.6);
    let mut made = noise(dice, levels, RATE as usize * 6 / 100);
    for (i, v) in made.iter_mut().enumerate() {
        let ms = i as f64 * 1000.0 / f64::from(RATE);
        *v *= ((ms / 2.0).min(1.0) * (-ms / 14.0).exp()) as f32;
    }
    made
}

/// One sound as it arrives at the microphone.
#[derive(Debug, Clone, Copy)]
struct Arrival {
    sample: u64,
    kind: usize,
    left: f32,
    right: f32,
}

/// The sound track of a match, second by second.
#[derive(Debug)]
pub(super) struct Sound {
    places: [Vec<f32>; 2],
    kinds: Vec<Vec<f32>>,
    arrivals: VecDeque<Arrival>,
    drift: [f64; 3],
}

impl Sound {
    /// All that is heard of a match, with the microphone `distance` (metres) from each place.
    pub fn new(number: u64, stage: &Stage, distance: impl Fn([f64; 3]) -> f64) -> Self {
        let mut dice = Dice::new(number, 1);
        let half = BACKGROUND.map(|b| b / std::f64::consts::SQRT_2);
        let places = [5, 8].map(|s| noise(&mut dice, half, s * RATE as usize));
        let mut kinds: Vec<Vec<f32>> = Vec::new();
        kinds.extend((0..VARIANTS).map(|_| strike(&mut dice, NEAR)));
        kinds.extend((0..VARIANTS).map(|_| strike(&mut dice, FAR)));
        kinds.extend((0..VARIANTS).map(|_| bounce(&mut dice)));
        let mut arrivals: Vec<Arrival> = stage
            .noises
            .iter()
            .filter_map(|n| arrival(&mut dice, n.what, n.t, n.at, distance(n.at)))
            .collect();
        arrivals.sort_by_key(|a| a.sample);
        let drift = [dice.between(0.0, 6.0), dice.between(0.0, 6.0), dice.between(0.0, 6.0)];
        Self { places, kinds, arrivals: arrivals.into(), drift }
    }

    /// Two-channel samples, interleaved, from sample `from` of the match clock on. Calls go forward in time.
    pub fn samples(&mut self, from: u64, count: usize) -> Vec<f32> {
        let mut out = Vec::with_capacity(count * 2);
        let [a, b] = &self.places;
        for i in 0..count as u64 {
            let k = from + i;
            let level = if i % 480 == 0 || out.is_empty() { self.level(k) } else { self.level(k - k % 480) };
            let (x, y) = (a[k as usize % a.len()], b[k as usize % b.len()]);
            out.extend([(x + y) * level, (x * 0.8 + y * 1.16) * level]);
        }
        while self.arrivals.front().is_some_and(|a| a.sample + u64::from(RATE) / 4 < from) {
            self.arrivals.pop_front();
        }
        for a in self.arrivals.iter().take_while(|a| a.sample < from + count as u64) {
            for (j, v) in self.kinds[a.kind].iter().enumerate() {
                let Some(i) = (a.sample + j as u64).checked_sub(from).filter(|i| *i < count as u64) else {
                    continue;
                };
                out[i as usize * 2] += v * a.left;
                out[i as usize * 2 + 1] += v * a.right;
            }
        }
        for v in &mut out {
            *v = v.clamp(-1.0, 1.0);
        }
        out
    }

    /// The place gets louder and quieter by a few decibels over minutes.
    fn level(&self, sample: u64) -> f32 {
        let t = sample as f64 / f64::from(RATE);
        let waves = [(37.0, 1.4), (83.0, 1.2), (190.0, 1.0)];
        let db: f64 = waves
            .iter()
            .zip(self.drift)
            .map(|((period, depth), phase)| depth * (t / period * std::f64::consts::TAU + phase).sin())
            .sum();
        gain(db) as f32
    }
}

fn arrival(dice: &mut Dice, what: Heard, t: f64, at: [f64; 3], distance: f64) -> Option<Arrival> {
    let variant = (dice.between(0.0, VARIANTS as f64) as usize).min(VARIANTS - 1);
    let spread = dice.normal();
    let (set, db) = match what {
        Heard::Strike => (usize::from(at[1] > 0.0), (5.0 * spread).clamp(-9.0, 11.0)),
        Heard::Bounce if dice.chance(0.35) => return None,
        Heard::Bounce => (2, 3.0 + 2.5 * spread),
        Heard::SoftBounce => (2, 1.0 + 2.5 * spread),
        Heard::Net => return None,
    };
    let side = (at[0] / 14.0).clamp(-0.5, 0.5);
    let sample = ((t + distance / SPEED) * f64::from(RATE)).round() as u64;
    let (left, right) = ((gain(db) * (1.0 - side * 0.5)) as f32, (gain(db) * (1.0 + side * 0.5)) as f32);
    Some(Arrival { sample, kind: set * VARIANTS + variant, left, right })
}

#[cfg(test)]
#[path = "sound_tests.rs"]
mod tests;

#[cfg(test)]
#[path = "heard_tests.rs"]
mod heard_tests;
