//! Points won and lost, and the rate between them.

use schemars::JsonSchema;
use serde::Serialize;

use super::interval::{Interval, wilson};

/// Points won and lost, and points of which it is not known. Those are in no rate, but they are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, JsonSchema)]
pub struct Proportion {
    /// Won.
    pub won: usize,
    /// Lost.
    pub lost: usize,
    /// Neither is known.
    pub unknown: usize,
}

impl Proportion {
    /// `won` of `n` decided points; `None` if `won` is more than `n`.
    pub fn of(won: usize, n: usize) -> Option<Self> {
        Some(Self { won, lost: n.checked_sub(won)?, unknown: 0 })
    }

    /// Both together.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self {
            won: self.won + other.won,
            lost: self.lost + other.lost,
            unknown: self.unknown + other.unknown,
        }
    }

    /// The decided points.
    pub fn n(&self) -> usize {
        self.won + self.lost
    }

    /// Won of the decided points, 0 to 1; none without any.
    pub fn rate(&self) -> Option<f64> {
        (self.n() > 0).then(|| self.won as f64 / self.n() as f64)
    }

    /// The 95 % interval of the rate ([`wilson`]); none without decided points.
    pub fn interval(&self) -> Option<Interval> {
        wilson(self.won, self.n())
    }

    /// The same points as the other player sees them.
    #[must_use]
    pub fn other_side(self) -> Self {
        Self { won: self.lost, lost: self.won, ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::near;

    #[test]
    fn unknown_points_are_in_no_rate() {
        let p = Proportion { won: 3, lost: 2, unknown: 7 };
        assert_eq!(p.n(), 5);
        near(p.rate().unwrap(), 0.6, 1e-15);
        assert_eq!(p.interval(), wilson(3, 5));
        assert_eq!(p.other_side(), Proportion { won: 2, lost: 3, unknown: 7 });
        assert_eq!(Proportion::default().rate(), None);
        assert_eq!(Proportion::default().interval(), None);
        assert_eq!(Proportion::of(3, 2), None);
    }
}
