//! Best and worst, as far as the numbers tell: rates whose intervals overlap have no order.

use schemars::JsonSchema;
use serde::Serialize;

use super::interval::Interval;
use super::proportion::Proportion;

/// Which rates are better than which, by their places in the input.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Tiers {
    /// From best to worst. Every interval of a tier is above every interval of the next tier. Within a tier there is no order; the
    /// places are in the order of the input.
    pub tiers: Vec<Vec<usize>>,
    /// Those without decided points.
    pub unknown: Vec<usize>,
}

impl Tiers {
    /// Whether any order can be said.
    pub fn has_order(&self) -> bool {
        self.tiers.len() > 1
    }
}

/// Puts rates into tiers by their 95 % intervals. A chain of overlaps is one tier, even if its ends do not overlap:
/// what lies between could be either. This asks for more than a test of two rates at 5 % does.
pub fn tiers(rates: &[Proportion]) -> Tiers {
    let mut known: Vec<(usize, Interval)> =
        rates.iter().enumerate().filter_map(|(at, rate)| Some((at, rate.interval()?))).collect();
    known.sort_by(|a, b| b.1.high.total_cmp(&a.1.high));
    let mut tiers: Vec<Vec<usize>> = Vec::new();
    let mut lowest = f64::NEG_INFINITY;
    for (at, interval) in known {
        match tiers.last_mut() {
            Some(tier) if interval.high >= lowest => tier.push(at),
            _ => {
                tiers.push(vec![at]);
                lowest = f64::INFINITY;
            }
        }
        lowest = lowest.min(interval.low);
    }
    for tier in &mut tiers {
        tier.sort_unstable();
    }
    let unknown = (0..rates.len()).filter(|at| rates[*at].n() == 0).collect();
    Tiers { tiers, unknown }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::won_of;
    use proptest::prelude::*;

    #[test]
    fn no_order_where_intervals_overlap() {
        let close = tiers(&[won_of(6, 10), won_of(9, 15), won_of(8, 10)]);
        assert_eq!(close.tiers, [vec![0, 1, 2]]);
        assert!(!close.has_order());
        let apart = tiers(&[won_of(30, 100), won_of(0, 0), won_of(70, 100), won_of(68, 100)]);
        assert_eq!(apart.tiers, [vec![2, 3], vec![0]]);
        assert_eq!(apart.unknown, [1]);
        assert!(apart.has_order());
        assert_eq!(tiers(&[]).tiers, Vec::<Vec<usize>>::new());
    }

    #[test]
    fn a_few_points_between_join_two_far_apart() {
        let far = [won_of(80, 100), won_of(20, 100)];
        assert_eq!(tiers(&far).tiers, [[0], [1]]);
        assert_eq!(tiers(&[far[0], far[1], won_of(1, 2)]).tiers, [[0, 1, 2]]);
    }

    proptest! {
        #[test]
        fn tiers_never_touch_and_lose_nobody(rates in prop::collection::vec((0usize..200, 0usize..200), 0..12)) {
            let rates: Vec<Proportion> =
                rates.into_iter().map(|(won, lost)| Proportion { won, lost, unknown: 0 }).collect();
            let t = tiers(&rates);
            let mut all: Vec<usize> = t.tiers.iter().flatten().chain(&t.unknown).copied().collect();
            all.sort_unstable();
            prop_assert_eq!(all, (0..rates.len()).collect::<Vec<_>>());
            let of = |at: &usize| rates[*at].interval().unwrap();
            for pair in t.tiers.windows(2) {
                for (better, worse) in pair[0].iter().flat_map(|a| pair[1].iter().map(move |b| (a, b))) {
                    prop_assert!(of(better).low > of(worse).high);
                }
            }
            // And what is in one tier hangs together: no cut through it leaves nothing touching.
            for tier in &t.tiers {
                let mut inside: Vec<Interval> = tier.iter().map(of).collect();
                inside.sort_by(|a, b| a.low.total_cmp(&b.low));
                let mut reach = inside[0].high;
                for i in &inside {
                    prop_assert!(i.low <= reach);
                    reach = reach.max(i.high);
                }
            }
        }
    }
}
