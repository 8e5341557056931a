//! Hears strikes: the moments at which a racket meets a ball, in plain samples.
//!
//! A strike rises within milliseconds in every octave at once and is gone as fast; a voice stays, a shoe that squeaks has
//! one tone, a ball on the ground is faint. So the level of five octaves is taken five hundred times a second, and each
//! moment is asked how far it stands above what was just before and what comes just after. That is an onset function by
//! energy in bands, with a threshold that follows its own usual value (Bello et al., A Tutorial on Onset Detection in Music
//! Signals, IEEE Transactions on Speech and Audio Processing 13(5), 2005, sections III and IV). Where a fall is asked for
//! beside the rise, and how the octaves are weighed, is ours, after levels measured on real recordings.

use std::ops::Range;
use std::time::Duration;

use serde::Serialize;

use super::band::Band;
use crate::time::MatchTime;

/// Samples a second that an [`Ear`] takes.
pub(crate) const RATE: u32 = 48_000;

/// How often the level is taken, each second.
const HOPS: usize = 500;
const HOP: usize = RATE as usize / HOPS;
/// Middles of the octaves, hertz. Recordings often end above them.
const MIDDLES: [f64; 5] = [250.0, 707.0, 1414.0, 2828.0, 5657.0];
/// The level below which all is silence: what a sample of 16 bits can hardly tell, as mean square.
const SILENCE: f32 = 4e-9;
/// The part of the hops around that is below the background.
const BACKGROUND: f32 = 0.35;
/// How far around a moment its background and its threshold look, in hops.
const AROUND: usize = HOPS / 2;
/// How often they are worked out anew, in hops.
const ANEW: usize = 25;
/// What was before, and what comes after, in hops before and after the rise.
const BEFORE: Range<usize> = 4..14;
const AFTER: Range<usize> = 12..24;
/// Two strikes are never nearer than this, in hops: closer ones in real play are one in seven hundred, and a strike
/// echoes after 64 ms.
const GAP: usize = HOPS / 5;
/// A second peak follows a strike within this, in hops, by an echo or another microphone, and is at times the stronger;
/// the strike is the first that is less than so many decibels weaker.
const ECHO: usize = 45;
const WEAKER: f32 = 6.0;
/// How many hops are looked at in one go, and how many more around them so that it makes no difference where they part.
const STRETCH: usize = 20 * HOPS;
const MARGIN: usize = 700;
/// The least strength of a strike, and how much of what four fifths of the time around are below comes on top.
const LEAST: f32 = 8.5;
const OF_USUAL: f32 = 1.2;
const USUAL: f32 = 0.8;

/// How far a sound stands out.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Decibels(pub f32);

impl std::fmt::Display for Decibels {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:.1} dB", self.0)
    }
}

/// A racket that met a ball, as it was heard.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Strike {
    /// When the sound began: later than the contact by the way of the sound, about 3 ms for each metre from the
    /// microphone.
    pub at: MatchTime,
    /// How far it stands above what is around it.
    pub strength: Decibels,
}

/// Mean square of each octave during one hop.
type Energies = [f32; MIDDLES.len()];
/// The same in decibels.
type Levels = [f32; MIDDLES.len()];

/// Listens to one stretch of sound without a gap.
#[derive(Debug)]
pub(crate) struct Ear {
    start: MatchTime,
    octaves: [[Band; 2]; MIDDLES.len()],
    /// Of the hop that is not full yet.
    sums: [f64; MIDDLES.len()],
    samples: usize,
    hops: Vec<Energies>,
    /// How many hops went before those.
    gone: usize,
    found: Vec<Strike>,
}

impl Ear {
    /// An ear for sound that begins at `start`.
    pub(crate) fn new(start: MatchTime) -> Self {
        Self {
            start,
            octaves: MIDDLES.map(|m| [Band::new(m, RATE), Band::new(m, RATE)]),
            sums: [0.0; MIDDLES.len()],
            samples: 0,
            hops: Vec::new(),
            gone: 0,
            found: Vec::new(),
        }
    }

    /// Takes the next samples, of one channel.
    pub(crate) fn hear(&mut self, samples: impl IntoIterator<Item = f32>) {
        for sample in samples {
            for (sum, [once, twice]) in self.sums.iter_mut().zip(&mut self.octaves) {
                // Twice, so that little of the octaves beside it is heard.
                *sum += twice.next(once.next(f64::from(sample))).powi(2);
            }
            self.samples += 1;
            if self.samples == HOP {
                self.hops.push(self.sums.map(|s| (s / HOP as f64) as f32));
                (self.sums, self.samples) = ([0.0; MIDDLES.len()], 0);
                if self.hops.len() == STRETCH + 2 * MARGIN {
                    self.settle(STRETCH + MARGIN);
                    self.hops.drain(..STRETCH);
                    self.gone += STRETCH;
                }
            }
        }
    }

    /// All strikes that were heard, in order.
    pub(crate) fn finish(mut self) -> Vec<Strike> {
        self.settle(self.hops.len());
        self.found
    }

    /// Finds what there is among the hops before `until`, but for those settled before.
    fn settle(&mut self, until: usize) {
        let from = if self.gone == 0 { 0 } else { MARGIN };
        let sound = Stretch::new(&self.hops);
        for (hop, strength) in sound.peaks(from..until) {
            let nanos = (self.gone + hop) as u64 * (1_000_000_000 / HOPS as u64);
            let at = self.start.later(Duration::from_nanos(nanos));
            self.found.push(Strike { at, strength: Decibels((strength * 10.0).round() / 10.0) });
        }
    }
}

/// Some seconds of sound as levels, and how much each moment is like a strike.
struct Stretch {
    /// Each hop by itself, not below the background.
    sharp: Vec<Levels>,
    strengths: Vec<f32>,
}

impl Stretch {
    fn new(hops: &[Energies]) -> Self {
        let smooth: Vec<Levels> = (0..hops.len())
            .map(|i| {
                let near = &hops[i.saturating_sub(2)..=i];
                std::array::from_fn(|b| decibels(near.iter().map(|e| e[b]).sum::<f32>() / near.len() as f32))
            })
            .collect();
        let backgrounds: Vec<Levels> =
            (0..=hops.len() / ANEW + 1).map(|k| background(&smooth, k * ANEW)).collect();
        let floored = |(i, levels): (usize, Levels)| -> Levels {
            let floor = backgrounds[(i + ANEW / 2) / ANEW];
            std::array::from_fn(|b| levels[b].max(floor[b]))
        };
        let smooth: Vec<Levels> = smooth.into_iter().enumerate().map(floored).collect();
        let sharp = hops.iter().map(|e| e.map(decibels)).enumerate().map(floored).collect();
        Self { sharp, strengths: strengths(&smooth) }
    }

    /// Where strikes begin whose greatest strength is within `range`, and that strength.
    fn peaks(&self, range: Range<usize>) -> Vec<(usize, f32)> {
        let all = &self.strengths;
        let usual: Vec<f32> = (0..=all.len() / ANEW).map(|k| usual(all, k * ANEW)).collect();
        range
            .filter(|&i| {
                let (s, near) = (all[i], i.saturating_sub(GAP)..(i + GAP + 1).min(all.len()));
                s >= LEAST + OF_USUAL * usual[i / ANEW]
                    && all[near.start..i].iter().all(|o| *o < s)
                    && all[i..near.end].iter().all(|o| *o <= s)
            })
            .map(|i| {
                let first = (i.saturating_sub(ECHO)..i).find(|&k| all[k] >= all[i] - WEAKER).unwrap_or(i);
                (self.onset(first), all[i])
            })
            .collect()
    }

    /// The hop in which the sound is half-way up, for a strike whose strength is great at `peak`.
    fn onset(&self, peak: usize) -> usize {
        let level = |i: usize| self.sharp[i][1..].iter().sum::<f32>();
        let before = mean(BEFORE.map(|k| level(peak.saturating_sub(k))));
        let near = peak.saturating_sub(3)..(peak + 8).min(self.sharp.len());
        let top = near.clone().map(level).fold(f32::MIN, f32::max);
        near.clone().find(|&i| level(i) >= f32::midpoint(before, top)).unwrap_or(peak)
    }
}

fn decibels(mean_square: f32) -> f32 {
    10.0 * mean_square.max(SILENCE).log10()
}

fn mean(all: impl ExactSizeIterator<Item = f32>) -> f32 {
    let n = all.len().max(1) as f32;
    all.sum::<f32>() / n
}

/// The hops around one.
fn around(i: usize, all: usize) -> Range<usize> {
    i.saturating_sub(AROUND).min(all)..(i + AROUND).min(all)
}

/// The value below which this part of all values lies. `None` if there are none.
fn quantile(mut all: Vec<f32>, part: f32) -> Option<f32> {
    let k = (all.len() as f32 * part) as usize;
    (k < all.len()).then(|| *all.select_nth_unstable_by(k, f32::total_cmp).1)
}

fn background(smooth: &[Levels], at: usize) -> Levels {
    let near = &smooth[around(at, smooth.len())];
    std::array::from_fn(|b| {
        // They overlap: every third says as much.
        quantile(near.iter().step_by(3).map(|l| l[b]).collect(), BACKGROUND).unwrap_or(f32::MIN)
    })
}

fn usual(strengths: &[f32], at: usize) -> f32 {
    quantile(strengths[around(at, strengths.len())].to_vec(), USUAL).unwrap_or(0.0)
}

/// How much each hop is like the beginning of a strike; 0 at the ends of the sound, where one cannot tell.
fn strengths(smooth: &[Levels]) -> Vec<f32> {
    let mut sums = vec![[0.0; MIDDLES.len()]];
    for levels in smooth {
        let last = sums[sums.len() - 1];
        sums.push(std::array::from_fn(|b| last[b] + f64::from(levels[b])));
    }
    let mean = |from: usize, to: usize, b: usize| ((sums[to][b] - sums[from][b]) / (to - from) as f64) as f32;
    let strength = |i: usize| {
        if i + 1 < BEFORE.end || i + AFTER.end > smooth.len() {
            return 0.0;
        }
        let stands_out: Levels = std::array::from_fn(|b| {
            let top = smooth[i..i + 4].iter().map(|l| l[b]).fold(f32::MIN, f32::max);
            let rise = top - mean(i + 1 - BEFORE.end, i + 1 - BEFORE.start, b);
            let fall = top - mean(i + AFTER.start, i + AFTER.end, b);
            rise.min(fall).max(0.0)
        });
        weighed(stands_out)
    };
    (0..smooth.len()).map(strength).collect()
}

/// One number for five octaves: the lower three, more where all above the lowest join in, less where a high one stands
/// alone as in the squeak of a shoe.
fn weighed(by: Levels) -> f32 {
    let low = (by[0] + by[1] + by[2]) / 3.0;
    let together = by[1..].iter().copied().fold(f32::MAX, f32::min);
    let alone = (by[3].max(by[4]) - low).max(0.0);
    (low + 0.5 * together - 0.5 * alone).max(0.0) / 1.5
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Faint hiss, with a click that dies away within milliseconds at each of these samples.
    fn clicks(at: &[usize], samples: usize) -> Vec<f32> {
        let mut state = 1u32;
        let mut hiss = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 8) as f32 / (1 << 23) as f32 - 1.0
        };
        let mut all: Vec<f32> = (0..samples).map(|_| 0.003 * hiss()).collect();
        for from in at {
            for i in 0..2400 {
                all[from + i] += 0.3 * hiss() * (-(i as f32) / 240.0).exp();
            }
        }
        all
    }

    fn heard(pieces: &[&[f32]]) -> Vec<Strike> {
        let mut ear = Ear::new(MatchTime::from_secs(5));
        for piece in pieces {
            ear.hear(piece.iter().copied());
        }
        ear.finish()
    }

    #[test]
    fn each_click_is_heard_once_when_it_begins() {
        let at = [48_000, 70_000, 130_000];
        let found = heard(&[&clicks(&at, 200_000)]);
        assert_eq!(found.len(), 3, "{found:?}");
        for (strike, sample) in found.iter().zip(at) {
            let wanted = MatchTime::from_nanos(5_000_000_000 + sample as u64 * 1_000_000 / 48);
            let off = strike.at.nanos().abs_diff(wanted.nanos());
            assert!(off <= 4_000_000, "{} is {off} ns from {wanted}", strike.at);
        }
    }

    /// Also across the seams between the stretches that are looked at in one go.
    #[test]
    fn it_does_not_matter_in_which_pieces_the_sound_comes() {
        let seam = (STRETCH + MARGIN) * HOP;
        let at: Vec<usize> = (0..30).map(|i| seam - 180_000 + i * 12_007).collect();
        let sound = clicks(&at, seam + MARGIN * HOP + 400_000);
        let whole = heard(&[&sound]);
        assert_eq!(whole.len(), 30);
        let pieces: Vec<&[f32]> = sound.chunks(977).collect();
        assert_eq!(heard(&pieces), whole);
        // Begun a whole number of steps later, it meets its seams elsewhere and hears the same.
        let later = heard(&[&sound[ANEW * HOP * 40..]]);
        let shift = Duration::from_nanos((ANEW * 40) as u64 * 2_000_000);
        let back: Vec<MatchTime> = later.iter().map(|s| s.at.later(shift)).collect();
        assert_eq!(back, whole.iter().map(|s| s.at).collect::<Vec<_>>());
    }

    #[test]
    fn nothing_is_heard_in_silence_or_in_no_time() {
        assert!(heard(&[]).is_empty());
        for n in [1, HOP, 20 * HOP, 5 * RATE as usize] {
            assert!(heard(&[&vec![0.0; n]]).is_empty(), "{n} samples of nothing");
        }
        assert!(heard(&[&clicks(&[], 480_000)]).is_empty());
    }
}
