//! How large the clips of a page are, so that all of it stays below a limit.

use std::time::Duration;

use thiserror::Error;

use crate::counted::{Bytes, Counted, Noun};

/// What is known of a clip before it is cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Film {
    /// Width and height of the footage as shown.
    pub size: (u32, u32),
    /// Frames a second.
    pub rate: f64,
    /// How long the clip is.
    pub lasts: Duration,
    /// Whether it has sound.
    pub sound: bool,
    /// The bytes of what is drawn over it.
    pub drawn: u64,
    /// How many bytes a second of the footage has.
    pub flow: f64,
}

/// How a clip is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Budget {
    /// Width, even.
    pub width: u32,
    /// Height, even.
    pub height: u32,
    /// Bits a second of the pictures at most.
    pub bits: u32,
    /// Bits a second of the sound.
    pub sound: Option<u32>,
    /// The bytes of the file at most.
    pub bytes: u64,
}

/// How all clips of a page are cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sizes {
    /// One for each clip.
    pub films: Vec<Budget>,
    /// The bytes of the whole folder at most.
    pub bytes: u64,
    /// About how many it will be.
    pub about: u64,
}

/// A limit that cannot be met.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BudgetError {
    /// Even the smallest clips that one can follow are too large.
    #[error(
        "{clips} do not fit into {limit}: at the smallest size they need about {needed}; raise the limit, or drop clips"
    )]
    TooSmall {
        /// The clips, as `12 clips of 3:10 in all`.
        clips: String,
        /// The limit.
        limit: String,
        /// What would do.
        needed: String,
    },
}

/// The heights that are tried, the largest first.
const HEIGHTS: [u32; 6] = [1080, 720, 540, 432, 360, 240];
/// The height that is used when there is no limit.
const USUAL: u32 = 720;
/// Bits for a pixel at most, which leaves nothing to be wished, and at least, so that the ball can still be followed.
const FINE: f64 = 0.12;
const POOR: f64 = 0.045;
/// Bits a second of good sound, and of sound that is good enough to hear strikes.
const SOUND: u32 = 96_000;
const THIN_SOUND: u32 = 48_000;
/// How many times as many bytes pictures take that are encoded again.
const AGAIN: f64 = 1.4;
/// Bytes beside the clips: the page itself, and for each clip its picture, captions and words.
const PAGE: u64 = 60_000;
const BESIDE: u64 = 80_000;

impl Sizes {
    /// The largest and best clips that stay below the limit.
    ///
    /// # Errors
    /// [`BudgetError::TooSmall`] when nothing does.
    pub fn of(films: &[Film], limit: Option<u64>) -> Result<Self, BudgetError> {
        let tries =
            HEIGHTS.iter().filter(|h| **h <= USUAL).flat_map(|h| [FINE, 0.09, 0.065, POOR].map(|b| (*h, b)));
        let mut least = None;
        for (height, per_pixel) in tries {
            let sizes = Self::at(films, height, per_pixel);
            match limit {
                Some(limit) if sizes.bytes > limit => least = Some(sizes.bytes),
                _ => return Ok(sizes),
            }
        }
        let all: Duration = films.iter().map(|f| f.lasts).sum();
        Err(BudgetError::TooSmall {
            clips: format!("{} of {} in all", Counted(films.len(), Noun::Clip), minutes(all)),
            limit: Bytes(limit.unwrap_or_default()).to_string(),
            needed: Bytes(least.unwrap_or_default()).to_string(),
        })
    }

    /// How much room the disk should have for it: half as much again as is expected.
    pub fn needed(&self) -> u64 {
        (self.about / 2 * 3).min(self.bytes)
    }

    fn at(films: &[Film], height: u32, per_pixel: f64) -> Self {
        let budgets: Vec<Budget> = films.iter().map(|f| f.at(height, per_pixel)).collect();
        let bytes = budgets.iter().map(|f| f.bytes + BESIDE).sum::<u64>() + PAGE;
        let drawn = films.iter().map(|f| f.drawn).sum::<u64>();
        let beside = PAGE + drawn + BESIDE * films.len() as u64;
        let about = films.iter().zip(&budgets).map(|(film, made)| film.about(made)).sum::<u64>() + beside;
        Self { films: budgets, bytes: bytes + drawn, about }
    }
}

impl Film {
    fn at(&self, height: u32, per_pixel: f64) -> Budget {
        let (width, height) = self.fitted(height);
        let rate = self.rate.clamp(1.0, 240.0);
        // Twice as many frames do not take twice as many bits: they differ less.
        let frames = if rate > 30.0 { 30.0 + (rate - 30.0) * 0.4 } else { rate };
        let bits = f64::from(width) * f64::from(height) * frames * per_pixel;
        let sound = self.sound.then_some(if per_pixel > POOR { SOUND } else { THIN_SOUND });
        let seconds = self.lasts.as_secs_f64() + 0.7;
        let flow = (bits + f64::from(sound.unwrap_or(0)) * 1.1) / 8.0 * seconds;
        // Each frame and each piece of sound has a line in the file's own list.
        let list = seconds * (rate * 24.0 + 47.0 * 12.0) + 4_000.0;
        Budget { width, height, bits: bits as u32, sound, bytes: (flow * 1.02 + list) as u64 }
    }

    /// About how many bytes it will have: as many for each pixel as the footage has, and some more, for it is encoded again.
    fn about(&self, made: &Budget) -> u64 {
        let part = |a: u32, b: u32| f64::from(a) / f64::from(b.max(1));
        let pixels = part(made.width, self.size.0) * part(made.height, self.size.1);
        ((self.flow * pixels * AGAIN * self.lasts.as_secs_f64()) as u64).min(made.bytes)
    }

    /// The size at this height, never larger than the footage; a picture that stands upright is as large as one that lies.
    fn fitted(&self, height: u32) -> (u32, u32) {
        let (w, h) = (f64::from(self.size.0.max(2)), f64::from(self.size.1.max(2)));
        let scale = (f64::from(height) / w.min(h)).min(1.0);
        let even = |side: f64| ((side * scale / 2.0).round() as u32 * 2).clamp(2, 4096);
        (even(w), even(h))
    }
}

/// A length of time as `3:10`.
pub(super) fn minutes(time: Duration) -> String {
    let s = time.as_secs_f64().round() as u64;
    format!("{}:{:02}", s / 60, s % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn film(seconds: u64) -> Film {
        Film {
            size: (1920, 1080),
            rate: 30.0,
            lasts: Duration::from_secs(seconds),
            sound: true,
            drawn: 0,
            flow: 500_000.0,
        }
    }

    #[test]
    fn a_limit_makes_clips_smaller_and_is_met() {
        let films = [film(20), film(15), film(40)];
        let free = Sizes::of(&films, None).unwrap();
        assert_eq!((free.films[0].width, free.films[0].height), (1280, 720));
        for limit in [20_000_000, 8_000_000, 4_000_000] {
            let tight = Sizes::of(&films, Some(limit)).unwrap();
            assert!(tight.bytes <= limit && tight.films[0].bits < free.films[0].bits, "{tight:?}");
        }
        let said = Sizes::of(&films, Some(300_000)).unwrap_err().to_string();
        assert!(
            said.starts_with("3 clips of 1:15 in all do not fit into 300 KB: at the smallest size"),
            "{said}"
        );
    }

    #[test]
    fn footage_is_never_made_larger_and_its_sides_are_even() {
        let of = |size| film(9).with(size).at(720, FINE);
        assert_eq!((of((321, 181)).width, of((321, 181)).height), (322, 182));
        assert_eq!((of((1080, 1920)).width, of((1080, 1920)).height), (720, 1280));
        assert_eq!((of((0, 0)).width, of((0, 0)).height), (2, 2));
    }

    impl Film {
        fn with(self, size: (u32, u32)) -> Self {
            Self { size, ..self }
        }
    }
}
