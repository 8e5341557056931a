//! Comparisons within groups: first and second serves, matches, opponents. All points together may say the opposite.

use std::cmp::Ordering;

use schemars::JsonSchema;
use serde::Serialize;

use super::compare::compare;
use super::interval::Interval;
use super::interval::Z;
use super::many::ALPHA;
use super::percent::Percent;
use super::proportion::Proportion;
use super::special::chi2_above;

/// Two rates compared within groups.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Stratified {
    /// The first of all groups together.
    pub this: Proportion,
    /// The second of all groups together.
    pub that: Proportion,
    /// The odds ratio of the first to the second within groups; above 1 the first wins more. `None` if the groups cannot say.
    pub odds_ratio: Option<f64>,
    /// 95 % interval of the odds ratio; none where it or its inverse is 0.
    pub interval: Option<Interval>,
    /// The probability of this difference within the groups, or a larger one, by chance alone; `None` if they cannot say.
    pub p: Option<f64>,
    /// The rate of the first minus the rate of the second within groups, -1 to 1; `None` if the groups cannot say.
    pub difference: Option<f64>,
    /// Its 95 % interval.
    pub difference_interval: Option<Interval>,
    /// Whether the groups contradict what they say together.
    pub reversal: Reversal,
}

/// Whether the pooled comparison and the groups point the same way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Reversal {
    /// They do, or one of them points nowhere.
    No,
    /// In all points one side wins more than by chance; within the groups less than half of the difference remains, and it may be
    /// chance.
    Vanishes,
    /// In all points one side wins more; in the weighted groups the other does, but not in each group.
    Weighed,
    /// In all points one side wins more; in every group that has both sides, and in at least two groups, the other does.
    Everywhere,
}

/// Compares two rates within groups, each `(this, that)`. A group without points on both sides says nothing and is
/// left out of the odds ratio and its test, not of the pooled rates.
///
/// Odds ratio and test (without continuity correction): Mantel & Haenszel 1959, *J. Natl. Cancer Inst.* 22:719.
/// Interval: Robins, Breslow & Greenland 1986, *Biometrics* 42:311. Difference: with Mantel & Haenszel's weights; its
/// interval solves Sato's variance (Sato 1989, *Biometrics* 45:1323) for the difference, as Klingenberg 2014, *Stat. Med.*
/// 33:2968.
pub fn stratified(groups: &[(Proportion, Proportion)]) -> Stratified {
    let pooled = |side: fn(&(Proportion, Proportion)) -> Proportion| {
        groups.iter().map(side).fold(Proportion::default(), |sum, p| Proportion {
            won: sum.won + p.won,
            lost: sum.lost + p.lost,
            unknown: sum.unknown + p.unknown,
        })
    };
    let (this, that) = (pooled(|g| g.0), pooled(|g| g.1));
    let both: Vec<_> = groups.iter().filter(|(a, b)| a.n() > 0 && b.n() > 0).copied().collect();
    let mut sums = Sums::default();
    for (a, b) in &both {
        sums.add(*a, *b);
    }
    let odds_ratio = (sums.s > 0.0).then(|| sums.r / sums.s);
    let interval = odds_ratio.and_then(|or| sums.interval(or));
    let p = (sums.variance > 0.0).then(|| chi2_above(sums.excess.powi(2) / sums.variance, 1));
    let (difference, difference_interval) = sums.difference().unzip();
    let mut reversal = reversal(this, that, &both, &sums);
    if reversal == Reversal::No && vanishes(this, that, difference, p) {
        reversal = Reversal::Vanishes;
    }
    Stratified { this, that, odds_ratio, interval, p, difference, difference_interval, reversal }
}

/// Whether a difference in all points disappears within the groups.
fn vanishes(this: Proportion, that: Proportion, within: Option<f64>, p: Option<f64>) -> bool {
    let Some((pooled, within)) = compare(this, that).zip(within) else { return false };
    let seen = pooled.p <= ALPHA && !pooled.interval.holds(0.0);
    seen && p.is_none_or(|p| p > ALPHA) && within.abs() < pooled.difference.abs() / 2.0
}

/// Sums over the groups; in each, the first won a and lost b, the second won c and lost d, of n.
#[derive(Default)]
struct Sums {
    /// a d / n
    r: f64,
    /// b c / n
    s: f64,
    /// (a + d)/n times a d / n; and so on, crosswise
    pr: f64,
    cross: f64,
    qs: f64,
    /// a less what it would be if both rates were the same, and the variance of that
    excess: f64,
    variance: f64,
    /// of the difference: weights; the difference weighed; and the two parts of Sato's variance
    weight: f64,
    weighed: f64,
    sato_p: f64,
    sato_q: f64,
}

impl Sums {
    fn add(&mut self, this: Proportion, that: Proportion) {
        let [a, b, c, d] = [this.won, this.lost, that.won, that.lost].map(|x| x as f64);
        let n = a + b + c + d;
        let (p, q, r, s) = ((a + d) / n, (b + c) / n, a * d / n, b * c / n);
        self.r += r;
        self.s += s;
        self.pr += p * r;
        self.cross += p * s + q * r;
        self.qs += q * s;
        self.excess += a - (a + b) * (a + c) / n;
        self.variance += (a + b) * (c + d) * (a + c) * (b + d) / (n * n * (n - 1.0));
        let (n1, n2) = (a + b, c + d);
        self.weight += n1 * n2 / n;
        self.weighed += (a * n2 - c * n1) / n;
        self.sato_p += (n1 * n1 * c - n2 * n2 * a + n1 * n2 * (n2 - n1) / 2.0) / (n * n);
        self.sato_q += (a * d + c * b) / (2.0 * n);
    }

    /// The difference and its interval: where (found - true)² is at most Z² (true P + Q) / weight².
    fn difference(&self) -> Option<(f64, Interval)> {
        if self.weight <= 0.0 {
            return None;
        }
        let (found, square) = (self.weighed / self.weight, (Z / self.weight).powi(2));
        let middle = found + square * self.sato_p / 2.0;
        let half = (middle * middle - found * found + square * self.sato_q).max(0.0).sqrt();
        let interval =
            Interval { low: (middle - half).clamp(-1.0, found), high: (middle + half).clamp(found, 1.0) };
        Some((found, interval))
    }

    fn interval(&self, odds_ratio: f64) -> Option<Interval> {
        let (r, s) = (self.r, self.s);
        if r <= 0.0 || s <= 0.0 {
            return None;
        }
        let variance = self.pr / (2.0 * r * r) + self.cross / (2.0 * r * s) + self.qs / (2.0 * s * s);
        let factor = (Z * variance.sqrt()).exp();
        Some(Interval { low: odds_ratio / factor, high: odds_ratio * factor })
    }
}

fn reversal(this: Proportion, that: Proportion, both: &[(Proportion, Proportion)], sums: &Sums) -> Reversal {
    let pooled = higher(this, that);
    if pooled == Ordering::Equal {
        return Reversal::No;
    }
    if both.len() >= 2 && both.iter().all(|(a, b)| higher(*a, *b) == pooled.reverse()) {
        return Reversal::Everywhere;
    }
    // The same weights as the odds ratio, which may be infinite where one group is won throughout.
    let within = sums.r.total_cmp(&sums.s);
    if within == pooled.reverse() { Reversal::Weighed } else { Reversal::No }
}

/// Which rate is higher, in whole numbers: no rounding decides.
fn higher(a: Proportion, b: Proportion) -> Ordering {
    (a.won as u128 * b.n() as u128).cmp(&(b.won as u128 * a.n() as u128))
}

/// What groups are called in a sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GroupWords {
    /// By what they are told apart: `kind of serve`.
    pub by: &'static str,
    /// In all of them: `in every kind of serve`.
    pub every: &'static str,
    /// In each group by itself: `when each kind of serve is compared by itself`.
    pub each: &'static str,
    /// Why they may differ from all points: `in each kind of serve`.
    pub among: &'static str,
}

impl Stratified {
    /// The reversal in words; `when` names these points: `when behind in the game`. `None` if there is no reversal.
    pub fn reversal_words(&self, when: &str, group: GroupWords) -> Option<String> {
        let (a, b) = (Percent::of(self.this.rate()?), Percent::of(self.that.rate()?));
        let GroupWords { by, every, each, among } = group;
        let how = match self.reversal {
            Reversal::No => return None,
            Reversal::Vanishes => format!("the difference is gone {each}"),
            Reversal::Weighed => format!("it is the other way round {each}"),
            Reversal::Everywhere => format!("it is the other way round {every}"),
        };
        Some(format!(
            "{a} were won {when}, and {b} of the other points, but {how}. Trust the comparison by {by}: these points and the \
             others were not played equally often {among}"
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::{near, won_of};
    use proptest::prelude::*;

    const SERVES: GroupWords = GroupWords {
        by: "kind of serve",
        every: "in every kind of serve",
        each: "when each kind of serve is compared by itself",
        among: "in each kind of serve",
    };
    const MATCHES: GroupWords = GroupWords {
        by: "match",
        every: "in every match",
        each: "when each match is compared by itself",
        among: "in each match",
    };

    /// Served 60 % of 900 and 60 % of 300, returned 40 % of 300 and 40 % of 900: 55 against 45 %, and no difference in either.
    #[test]
    fn a_difference_vanishes() {
        let s = stratified(&[(won_of(540, 900), won_of(180, 300)), (won_of(120, 300), won_of(360, 900))]);
        assert_eq!(s.reversal, Reversal::Vanishes);
        assert!(s.difference.unwrap().abs() < 1e-12 && s.difference_interval.unwrap().holds(0.0));
        let said = s.reversal_words("when behind", MATCHES).unwrap();
        assert!(said.starts_with(
            "55 % were won when behind, and 45 % of the other points, but the difference is gone when each"
        ));
        // Half of it is left.
        let s = stratified(&[(won_of(585, 900), won_of(180, 300)), (won_of(135, 300), won_of(360, 900))]);
        assert_eq!(s.reversal, Reversal::No);
    }

    /// The same by hand in another language: the two roots of (found - true)² W² = Z² (true P + Q) with Sato's P and Q.
    #[test]
    fn the_interval_of_the_difference_is_satos() {
        let s = stratified(&[(won_of(30, 40), won_of(20, 50)), (won_of(10, 30), won_of(5, 40))]);
        let interval = s.difference_interval.unwrap();
        for (found, wanted) in [
            (s.difference.unwrap(), 0.288_306_45),
            (interval.low, 0.142_420_02),
            (interval.high, 0.421_310_78),
        ] {
            assert!((found - wanted).abs() < 1e-7, "{found}, not {wanted}");
        }
    }

    /// Admissions to Berkeley in 1973 by sex in six departments (Bickel, Hammel & O'Connell 1975, *Science* 187:398), worked as the
    /// example of `mantelhaen.test` in the reference manual of R: common odds ratio 0.9046968, 95 % interval 0.7719074 to 1.0603298
    /// (Robins, Breslow & Greenland); without continuity correction the statistic is 1.5246 (statsmodels).
    #[test]
    fn the_admissions_to_berkeley_are_those_of_the_manual() {
        let table = [
            [512, 313, 89, 19],
            [353, 207, 17, 8],
            [120, 205, 202, 391],
            [138, 279, 131, 244],
            [53, 138, 94, 299],
            [22, 351, 24, 317],
        ];
        let groups = table.map(|[a, b, c, d]| (won_of(a, a + b), won_of(c, c + d)));
        let s = stratified(&groups);
        near(s.odds_ratio.unwrap(), 0.904_696_8, 1e-7);
        let interval = s.interval.unwrap();
        near(interval.low, 0.771_907_4, 1e-7);
        near(interval.high, 1.060_329_8, 1e-7);
        near(s.p.unwrap(), 0.216_923_697_055_518, 1e-12);
        assert!(s.this.rate() > s.that.rate(), "all departments together say the opposite");
        assert_eq!(s.reversal, Reversal::Weighed);
    }

    /// `stats.simpson` of the project's vectors: Mantel & Haenszel 1959; numbers invented.
    fn reversed() -> [(Proportion, Proportion); 2] {
        [(won_of(24, 30), won_of(9, 11)), (won_of(5, 10), won_of(16, 30))]
    }

    #[test]
    fn a_reversal_is_found_and_said() {
        let s = stratified(&reversed());
        near(s.this.rate().unwrap(), 0.725, 1e-15);
        near(s.that.rate().unwrap(), 0.609_756_097_560_975_6, 1e-15);
        near(s.odds_ratio.unwrap(), 0.880_514_705_882_352_9, 1e-14);
        assert_eq!(s.reversal, Reversal::Everywhere);
        insta::assert_snapshot!(s.reversal_words("served wide", SERVES).unwrap(), @"73 % were won served wide, and 61 % of the other points, but it is the other way round in every kind of serve. Trust the comparison by kind of serve: these points and the others were not played equally often in each kind of serve");
    }

    #[test]
    fn a_reversal_in_sum_only_is_told_apart() {
        let mut groups = reversed().to_vec();
        groups.push((won_of(2, 3), won_of(1, 2)));
        let s = stratified(&groups);
        assert_eq!(s.reversal, Reversal::Weighed, "{s:?}");
        insta::assert_snapshot!(s.reversal_words("served wide", MATCHES).unwrap(), @"72 % were won served wide, and 60 % of the other points, but it is the other way round when each match is compared by itself. Trust the comparison by match: these points and the others were not played equally often in each match");
    }

    #[test]
    fn agreement_is_no_reversal() {
        let s = stratified(&[(won_of(8, 10), won_of(4, 10)), (won_of(7, 10), won_of(5, 10))]);
        assert_eq!(s.reversal, Reversal::No);
        assert_eq!(s.reversal_words("served wide", SERVES), None);
        assert!(s.interval.unwrap().holds(s.odds_ratio.unwrap()));
        // One group alone cannot be reversed.
        assert_eq!(stratified(&reversed()[..1]).reversal, Reversal::No);
    }

    #[test]
    fn groups_that_cannot_say_are_left_out() {
        let nothing = stratified(&[]);
        assert_eq!((nothing.odds_ratio, nothing.interval, nothing.p), (None, None, None));
        let one_sided = stratified(&[(won_of(3, 4), won_of(0, 0)), (won_of(0, 0), won_of(2, 9))]);
        assert_eq!((one_sided.odds_ratio, one_sided.p, one_sided.reversal), (None, None, Reversal::No));
        assert_eq!(one_sided.that, won_of(2, 9));
        let all_won = stratified(&[(won_of(1, 1), won_of(0, 1))]);
        assert_eq!((all_won.odds_ratio, all_won.interval), (None, None));
        near(all_won.p.unwrap(), 0.317_310_507_862_914, 1e-12); // chi-squared 1 on 1 degree: scipy 1.17
    }

    fn some() -> impl Strategy<Value = Vec<(Proportion, Proportion)>> {
        let side = || (0usize..40, 0usize..40).prop_map(|(won, lost)| Proportion { won, lost, unknown: 1 });
        prop::collection::vec((side(), side()), 0..6)
    }

    fn same(a: Option<f64>, b: Option<f64>) -> bool {
        match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() <= 1e-9 * a.abs().max(b.abs()),
            (a, b) => a == b,
        }
    }

    proptest! {
        #[test]
        fn the_order_of_groups_does_not_matter(mut groups in some()) {
            let s = stratified(&groups);
            groups.reverse();
            groups.push((Proportion::default(), Proportion::default()));
            let t = stratified(&groups);
            prop_assert!(same(s.odds_ratio, t.odds_ratio) && same(s.p, t.p));
            prop_assert!(same(s.interval.map(|i| i.low), t.interval.map(|i| i.low)));
            prop_assert_eq!((s.this, s.that), (t.this, t.that));
        }

        #[test]
        fn swapping_the_two_turns_the_odds(groups in some()) {
            let s = stratified(&groups);
            let t = stratified(&groups.iter().map(|(a, b)| (*b, *a)).collect::<Vec<_>>());
            prop_assert!(same(s.p, t.p));
            prop_assert!(s.difference.unwrap_or(0.0) + t.difference.unwrap_or(0.0) < 1e-12);
            if let Some((d, i)) = s.difference.zip(s.difference_interval) {
                prop_assert!(i.holds(d) && -1.0 <= i.low && i.high <= 1.0);
            }
            if let (Some(a), Some(b)) = (s.interval, t.interval) {
                prop_assert!(same(Some(a.low), Some(1.0 / b.high)));
                prop_assert!(a.holds(s.odds_ratio.unwrap()));
            }
            prop_assert_eq!(s.reversal == Reversal::Everywhere, t.reversal == Reversal::Everywhere);
            prop_assert_eq!(s.reversal, t.reversal);
        }
    }
}
