//! Compares two rates if the points before decide to which side a point belongs, as they do for a score.
//!
//! A score is made by the points before it. Over many matches a player is ahead more often in those in which they win much
//! anyway, so that all points together make a score seem to matter. Within one match it is the other way round: of the wins of
//! a match fewer are left for the points at which one is ahead (as after streaks: Miller & Sanjurjo 2018, *Econometrica*
//! 86:2019). Each point less what its match wins in other games is off in neither way: a score stands on the points of its own
//! game, and these are not in what is expected.

use super::compare::Comparison;
use super::interval::{Interval, Z};
use super::proportion::Proportion;
use super::special::normal_beyond;

/// With fewer matches than this their spread says too little (our choice).
const LEAST: usize = 10;

/// Points of one match in one group, on serve or on return, of both sides that are compared.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Excess {
    /// The group.
    pub group: usize,
    /// The points of this side.
    pub this: Proportion,
    /// The points of that side.
    pub that: Proportion,
    /// What this side was expected to win.
    pub expected_this: f64,
    /// What that side was expected to win.
    pub expected_that: f64,
}

impl Excess {
    /// Both rates less what was expected; none where a side has no points.
    fn rates(&self) -> Option<(f64, f64)> {
        let rate =
            |p: Proportion, expected: f64| (p.n() > 0).then(|| (p.won as f64 - expected) / p.n() as f64);
        Some((rate(self.this, self.expected_this)?, rate(self.that, self.expected_that)?))
    }

    /// Mantel and Haenszel's weight.
    fn weight(&self) -> f64 {
        let (a, b) = (self.this.n() as f64, self.that.n() as f64);
        if self.rates().is_some() { a * b / (a + b) } else { 0.0 }
    }

    /// How far a part pulls the difference of the group from where it is.
    fn pull(&self, group: &Self) -> f64 {
        let Some((this, that)) = group.rates() else { return 0.0 };
        let rest = |p: Proportion, expected: f64, rate: f64| p.won as f64 - expected - rate * p.n() as f64;
        rest(self.this, self.expected_this, this) / group.this.n() as f64
            - rest(self.that, self.expected_that, that) / group.that.n() as f64
    }
}

/// The difference of two rates, each less what was expected, group by group with Mantel and Haenszel's weights. Each of
/// `matches` holds its parts. The interval is of the spread over the matches (linearised ratios); none with fewer than ten
/// matches, or where no group has points of both.
pub fn compare_excess(matches: &[Vec<Excess>]) -> Option<Comparison> {
    let groups = sums(matches);
    let whole: f64 = groups.iter().map(Excess::weight).sum();
    let told = matches.iter().filter(|m| !m.is_empty()).count();
    if told < LEAST || whole <= 0.0 {
        return None;
    }
    let share = |g: &Excess| g.weight() / whole;
    let apart = |g: &Excess| g.rates().map_or(0.0, |(a, b)| share(g) * (a - b));
    let difference = groups.iter().map(apart).sum::<f64>().clamp(-1.0, 1.0);
    let pull = |part: &Excess| share(&groups[part.group]) * part.pull(&groups[part.group]);
    let spread: f64 = matches.iter().map(|m| m.iter().map(pull).sum::<f64>().powi(2)).sum();
    let error = (spread * told as f64 / (told as f64 - 1.0)).sqrt();
    let both = groups.iter().filter(|g| g.rates().is_some());
    let (this, that) = both.fold((Proportion::default(), Proportion::default()), |(this, that), g| {
        (this.plus(g.this), that.plus(g.that))
    });
    Some(Comparison {
        this,
        that,
        difference,
        interval: Interval {
            low: (difference - Z * error).clamp(-1.0, difference),
            high: (difference + Z * error).clamp(difference, 1.0),
        },
        p: if error > 0.0 { normal_beyond(difference / error) } else { 1.0 },
    })
}

/// All matches together, group by group.
fn sums(matches: &[Vec<Excess>]) -> Vec<Excess> {
    let mut sums: Vec<Excess> = Vec::new();
    for part in matches.iter().flatten() {
        if sums.len() <= part.group {
            sums.resize(part.group + 1, Excess::default());
        }
        let sum = &mut sums[part.group];
        (sum.this, sum.that) = (sum.this.plus(part.this), sum.that.plus(part.that));
        sum.expected_this += part.expected_this;
        sum.expected_that += part.expected_that;
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::{near, won_of};

    fn part(group: usize, this: (usize, usize), that: (usize, usize), rate: f64) -> Excess {
        Excess {
            group,
            this: won_of(this.0, this.1),
            that: won_of(that.0, that.1),
            expected_this: rate * this.1 as f64,
            expected_that: rate * that.1 as f64,
        }
    }

    /// Strong matches with many points of this side, weak ones with few: no difference in any, 12 points in all points.
    #[test]
    fn a_difference_between_matches_is_none() {
        let matches: Vec<Vec<Excess>> = (0..20)
            .map(|n| {
                vec![if n % 2 == 0 {
                    part(0, (42, 60), (14, 20), 0.7)
                } else {
                    part(0, (10, 20), (30, 60), 0.5)
                }]
            })
            .collect();
        let c = compare_excess(&matches).unwrap();
        assert_eq!((c.this, c.that), (won_of(520, 800), won_of(440, 800)));
        near(1.0 + c.difference, 1.0, 1e-12);
        assert!(c.p > 0.99, "{c:?}");
        assert_eq!(compare_excess(&matches[..9]), None, "too few matches");
    }

    /// Ten points more in every match is ten points more.
    #[test]
    fn a_difference_in_every_match_is_one() {
        let matches: Vec<Vec<Excess>> = (0..20)
            .map(|n| {
                vec![
                    part(0, (24 + n % 3, 40), (20 - n % 2, 40), 0.5),
                    part(1, (16, 40), (12 + n % 2, 40), 0.35),
                ]
            })
            .collect();
        let c = compare_excess(&matches).unwrap();
        near(c.difference, 0.5 * (1.45 / 40.0 + 4.0 / 40.0) + 0.5 * (3.5 / 40.0), 0.02);
        assert!(c.interval.low > 0.08 && c.p < 1e-6, "{c:?}");
    }

    /// Of ten matches of one size, half of them with 50 points more: 25 more, with the standard error of that mean, 1/12.
    #[test]
    fn the_interval_is_that_of_a_mean_over_matches() {
        let more = vec![part(0, (2, 4), (0, 4), 0.5)];
        let same = vec![part(0, (1, 4), (1, 4), 0.5)];
        let c = compare_excess(&[vec![more; 5], vec![same; 5]].concat()).unwrap();
        near(c.difference, 0.25, 1e-12);
        near(c.interval.low, 0.25 - Z / 12.0, 1e-9);
        near(c.interval.high, 0.25 + Z / 12.0, 1e-9);
    }

    #[test]
    fn no_difference_is_beyond_all_or_nothing() {
        let of = |this, that| vec![part(0, (this, 2), (that, 2), 0.5)];
        for (most, least) in [(0, 2), (2, 0)] {
            let mut matches = vec![of(most, least); 9];
            matches.push(of(least, most));
            let interval = compare_excess(&matches).unwrap().interval;
            assert!(interval.low >= -1.0 && interval.high <= 1.0, "{interval:?}");
            assert!(
                interval.low <= -1.0 || interval.high >= 1.0,
                "the interval reaches the end: {interval:?}"
            );
        }
    }
}
