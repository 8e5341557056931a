//! The coach's reaction time, learned from stamps and the strikes that they meant.

use std::time::Duration;

use thiserror::Error;

use crate::time::MatchTime;

/// The usual reaction time, in milliseconds: a choice reaction to something seen takes about a quarter of a second (our
/// round number).
pub const USUAL_MS: u32 = 250;
/// The fewest pairs to learn from (our choice: with eight, one slip moves the median only a little).
pub const FEWEST: usize = 8;
/// A strike farther from the stamp than this is another strike.
const REACH: Duration = Duration::from_secs(1);

/// A stamp made while the footage played, and the strike that it meant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// The frame shown at the key.
    pub stamp: MatchTime,
    /// The strike.
    pub strike: MatchTime,
    /// How fast the footage played, 1 as it was filmed.
    pub speed: f64,
}

/// A reaction time that was learned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Learned {
    /// The median time from strike to key.
    pub median: Duration,
    /// The median distance from it (MAD): half of the stamps are nearer.
    pub spread: Duration,
    /// From so many pairs.
    pub pairs: usize,
}

impl Learned {
    /// What was learned, in words.
    pub fn words(&self) -> String {
        format!(
            "Median of {} stamps: {} ms. Half of them are within {} ms of it.",
            self.pairs,
            self.median.as_millis(),
            self.spread.as_millis()
        )
    }
}

/// Why nothing was learned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum ReactError {
    /// Too few pairs.
    #[error("only {found} stamps can be compared; at least {FEWEST} are needed to learn a reaction time")]
    TooFew {
        /// Pairs found.
        found: usize,
    },
    /// The keys come before the strikes.
    #[error("half of your stamps come {} ms or more before the strike, so there is no reaction time to subtract", .early.as_millis())]
    Early {
        /// By how much, at the median.
        early: Duration,
    },
}

/// Each stamp with the nearest strike, where one is within a second.
pub fn pairs(stamps: &[MatchTime], speed: f64, strikes: &[MatchTime]) -> Vec<Pair> {
    let nearest = |stamp: MatchTime| {
        let strike = *strikes.iter().min_by_key(|s| apart(**s, stamp))?;
        (apart(strike, stamp) <= REACH).then_some(Pair { stamp, strike, speed })
    };
    stamps.iter().filter_map(|s| nearest(*s)).collect()
}

const fn apart(a: MatchTime, b: MatchTime) -> Duration {
    Duration::from_nanos(a.nanos().abs_diff(b.nanos()))
}

/// The median time from strike to key, on the wall clock.
///
/// # Errors
/// [`ReactError`] where there are too few pairs, or the keys come before the strikes.
pub fn learn(pairs: &[Pair]) -> Result<Learned, ReactError> {
    let mut late: Vec<i64> = pairs.iter().filter_map(late_by).collect();
    let found = late.len();
    if found < FEWEST {
        return Err(ReactError::TooFew { found });
    }
    let median = middle(&mut late);
    let mut off: Vec<i64> = late.iter().map(|l| (l - median).abs()).collect();
    let spread = Duration::from_nanos(middle(&mut off).unsigned_abs());
    match u64::try_from(median) {
        Ok(n) => Ok(Learned { median: Duration::from_nanos(n), spread, pairs: found }),
        Err(_) => Err(ReactError::Early { early: Duration::from_nanos(median.unsigned_abs()) }),
    }
}

/// Nanoseconds on the wall clock from the strike to the stamp; `None` if they do not belong together.
fn late_by(pair: &Pair) -> Option<i64> {
    let film = apart(pair.stamp, pair.strike);
    if film > REACH || !pair.speed.is_finite() || pair.speed <= 0.0 {
        return None;
    }
    let wall = (film.as_nanos() as f64 / pair.speed) as i64;
    Some(if pair.stamp < pair.strike { -wall } else { wall })
}

/// The median; for an even number of values the mean of the middle two. `values` must not be empty.
fn middle(values: &mut [i64]) -> i64 {
    values.sort_unstable();
    let (low, high) = ((values.len() - 1) / 2, values.len() / 2);
    i64::midpoint(values[low], values[high])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ms(n: u64) -> MatchTime {
        MatchTime::from_millis(n)
    }

    #[test]
    fn a_median_with_its_spread() {
        let strikes: Vec<_> = (1..=9).map(|n| ms(n * 10_000)).collect();
        // Late by these, and one stamp of nothing.
        let late = [250, 240, 260, 250, 900, 230, 270, 250, 245];
        let mut stamps: Vec<_> =
            strikes.iter().zip(late).map(|(s, l)| s.later(Duration::from_millis(l))).collect();
        stamps.push(ms(45_000));
        let found = pairs(&stamps, 1.0, &strikes);
        assert_eq!(found.len(), 9);
        let want =
            Learned { median: Duration::from_millis(250), spread: Duration::from_millis(10), pairs: 9 };
        assert_eq!(learn(&found), Ok(want));
        // At half speed the film goes half as far while the coach reacts.
        let slow: Vec<_> = found.iter().map(|p| Pair { speed: 0.5, ..*p }).collect();
        assert_eq!(learn(&slow).map(|l| l.median), Ok(Duration::from_millis(500)));
    }

    #[test]
    fn what_was_learned_is_said_with_its_number_and_spread() {
        let of = Duration::from_millis;
        let learned = Learned { median: of(240), spread: of(35), pairs: 12 };
        assert_eq!(learned.words(), "Median of 12 stamps: 240 ms. Half of them are within 35 ms of it.");
    }

    #[test]
    fn too_few_or_too_early() {
        let strikes: Vec<_> = (1..=8).map(|n| ms(n * 10_000)).collect();
        let stamps: Vec<_> = strikes.iter().map(|s| s.earlier(Duration::from_millis(40))).collect();
        let all = pairs(&stamps, 1.0, &strikes);
        assert_eq!(
            learn(&all).unwrap_err().to_string(),
            "half of your stamps come 40 ms or more before the strike, so there is no reaction time to subtract"
        );
        assert_eq!(
            learn(&all[1..]).unwrap_err().to_string(),
            "only 7 stamps can be compared; at least 8 are needed to learn a reaction time"
        );
        assert_eq!(learn(&[]), Err(ReactError::TooFew { found: 0 }));
        let odd = Pair { stamp: ms(0), strike: ms(0), speed: f64::NAN };
        assert_eq!(learn(&[odd; 20]), Err(ReactError::TooFew { found: 0 }));
    }
}
