//! Compares two rates within groups, so that a difference between the groups is not taken for a difference between the rates.

use super::compare::{Comparison, compare};
use super::fisher::exact_within;
use super::proportion::Proportion;
use super::strata::stratified;

/// Compares two rates within groups, each `(this, that)`. Groups in which either side has no decided points are left out;
/// `None` if no group is left. With one group it is [`compare`].
///
/// The difference and its interval are those of [`stratified`], the p-value is exact where the groups are small enough.
pub fn compare_within(groups: &[(Proportion, Proportion)]) -> Option<Comparison> {
    let both: Vec<_> = groups.iter().filter(|(a, b)| a.n() > 0 && b.n() > 0).copied().collect();
    if let [(this, that)] = both[..] {
        return compare(this, that);
    }
    let within = stratified(&both);
    let tables: Vec<_> = both.iter().map(|(a, b)| [[a.won, a.lost], [b.won, b.lost]]).collect();
    Some(Comparison {
        this: within.this,
        that: within.that,
        difference: within.difference?,
        interval: within.difference_interval?,
        p: exact_within(&tables).or(within.p).unwrap_or(1.0),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::won_of;

    #[test]
    fn a_difference_between_the_groups_is_none_between_the_two() {
        let groups = [(won_of(60, 100), won_of(24, 40)), (won_of(12, 30), won_of(40, 100))];
        let within = compare_within(&groups).unwrap();
        assert!(within.difference.abs() < 1e-12 && within.p > 0.9, "{within:?}");
        let pooled = compare(won_of(72, 130), won_of(64, 140)).unwrap();
        assert!(pooled.difference > 0.09, "{pooled:?}");
    }

    #[test]
    fn groups_of_one_side_are_left_out() {
        let one = [(won_of(6, 9), won_of(3, 9)), (won_of(5, 5), won_of(0, 0))];
        assert_eq!(compare_within(&one), compare(won_of(6, 9), won_of(3, 9)));
        assert_eq!(compare_within(&one[1..]), None);
        assert_eq!(compare_within(&[]), None);
    }
}
