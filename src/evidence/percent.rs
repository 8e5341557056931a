//! Percentages, rounded one way everywhere.

use std::fmt;

/// Halves can be slightly too small after the division: `0.145 * 100` is `14.499…`. This makes up for it.
const HAIR: f64 = 1e-9;

/// A share in whole per cent, a half rounded up: `68 %`. Two shares with the same text are equal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Percent(i64);

impl Percent {
    /// Of a share from 0 to 1.
    pub fn of(share: f64) -> Self {
        Self((100.0 * share + 0.5 + HAIR).floor() as i64)
    }

    /// The same, rounded up: for "at most".
    pub fn up(share: f64) -> Self {
        Self((100.0 * share - HAIR).ceil() as i64)
    }

    /// The number alone.
    pub const fn whole(self) -> i64 {
        self.0
    }
}

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_half_is_rounded_up() {
        for (won, of, wanted) in
            [(29, 40, 73), (29, 200, 15), (1, 8, 13), (3, 8, 38), (1, 3, 33), (0, 4, 0), (4, 4, 100)]
        {
            assert_eq!(Percent::of(f64::from(won) / f64::from(of)).whole(), wanted, "{won} of {of}");
        }
        assert_eq!(Percent::of(0.685).to_string(), "69 %");
    }

    #[test]
    fn at_most_is_rounded_up_and_nothing_is_plain_zero() {
        let up = |share: f64| Percent::up(share).to_string();
        assert_eq!(
            [up(0.0), up(0.001), up(0.07), up(1.0 / 13.0), up(1.0)],
            ["0 %", "1 %", "7 %", "8 %", "100 %"]
        );
    }

    proptest! {
        /// Reckoned in whole numbers, where nothing can lie a hair below.
        #[test]
        fn as_whole_numbers_have_it(won in 0u32..20_000, more in 0u32..20_000) {
            let of = won + more.max(1);
            let exact = (200 * u64::from(won) + u64::from(of)) / (2 * u64::from(of));
            prop_assert_eq!(Percent::of(f64::from(won) / f64::from(of)).whole() as u64, exact);
        }
    }
}
