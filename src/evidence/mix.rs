//! How mixed a choice is, and how much the choice before tells about it. In bits: a fair coin has 1 bit.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;

/// How uncertain a choice is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Entropy {
    /// How many choices were seen.
    pub n: usize,
    /// Bits as seen; too low in small samples.
    pub bits: f64,
    /// Bits, corrected for what small samples lack on average. It may exceed the maximum for the number of kinds.
    pub corrected: f64,
}

/// The entropy of a mix, from how often each kind was chosen; `None` without choices. Kinds that were never chosen do not count.
///
/// Shannon 1948; correction (m - 1)/(2 n ln 2) bits for m kinds seen: Miller 1955.
pub fn entropy(counts: &[usize]) -> Option<Entropy> {
    let n: usize = counts.iter().sum();
    let seen = counts.iter().filter(|c| **c > 0);
    let kinds = seen.clone().count();
    // log2(n/c), not -log2(c/n): a single kind gives 0, not -0.
    let bits = seen.map(|c| *c as f64 / n as f64 * (n as f64 / *c as f64).log2()).sum();
    (n > 0).then(|| Entropy { n, bits, corrected: bits + lacking(kinds - 1, n) })
}

/// The entropy of a choice given the one before, from all pairs (before, after); `None` without pairs.
///
/// Pairs must not reach across a break that forgets, such as two matches: that is the caller's to see to. Corrected as
/// the entropy of the pairs less that of the first ones.
pub fn conditional_entropy<T: Ord>(pairs: &[(T, T)]) -> Option<Entropy> {
    let mut then: BTreeMap<&T, BTreeMap<&T, usize>> = BTreeMap::new();
    for (before, after) in pairs {
        *then.entry(before).or_default().entry(after).or_default() += 1;
    }
    let n = pairs.len();
    let mut bits = 0.0;
    let mut free = 0;
    for kinds in then.values() {
        let counts: Vec<usize> = kinds.values().copied().collect();
        let within = entropy(&counts)?;
        bits += within.n as f64 / n as f64 * within.bits;
        free += counts.len() - 1;
    }
    (n > 0).then(|| Entropy { n, bits, corrected: bits + lacking(free, n) })
}

/// Bits that `n` choices lack on average, with so many free kinds.
fn lacking(free: usize, n: usize) -> f64 {
    free as f64 / (2.0 * n as f64 * std::f64::consts::LN_2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::near;
    use proptest::prelude::*;

    fn pairs(serves: &str) -> Vec<(u8, u8)> {
        serves.as_bytes().windows(2).map(|w| (w[0], w[1])).collect()
    }

    /// `stats.entropy_bits` of the project's vectors: Shannon 1948; correction for n = 10, m = 3: Miller 1955.
    #[test]
    fn as_shannon_and_miller_have_it() {
        for (counts, bits) in [
            (&[1, 1][..], 1.0),
            (&[1, 1, 1], 1.584_962_500_721),
            (&[5, 3, 2], 1.485_475_297_227),
            (&[9, 1], 0.468_995_593_589),
            (&[24, 6], 0.721_928_094_887),
            (&[30, 0, 0], 0.0),
        ] {
            near(entropy(counts).unwrap().bits, bits, 1e-12);
        }
        let mix = entropy(&[5, 3, 2]).unwrap();
        assert!((mix.corrected - mix.bits - 0.144_270).abs() < 5.1e-7);
        near(entropy(&[30, 0, 0]).unwrap().corrected, 0.0, 0.0);
    }

    /// `stats.cond_entropy_bits` of the project's vectors, recomputed outside this program.
    #[test]
    fn turn_by_turn_is_a_mix_that_gives_itself_away() {
        near(conditional_entropy(&pairs("WTWTWTWTWT")).unwrap().bits, 0.0, 0.0);
        let nearly = conditional_entropy(&pairs("WTWTWTWTTWTWTWTWTWWT")).unwrap();
        near(nearly.bits, 0.485_225_313_098_611_7, 1e-12);
        assert_eq!(nearly.n, 19);
        // Two kinds after each of two: 4 - 2 free ones.
        near(nearly.corrected - nearly.bits, 2.0 / (38.0 * std::f64::consts::LN_2), 1e-12);
    }

    #[test]
    fn no_serve_no_mix() {
        assert_eq!(entropy(&[]), None);
        assert_eq!(entropy(&[0, 0]), None);
        assert_eq!(conditional_entropy::<u8>(&[]), None);
    }

    proptest! {
        #[test]
        fn between_none_and_all_kinds_alike(counts in prop::collection::vec(0usize..50, 1..6)) {
            prop_assume!(counts.iter().any(|c| *c > 0));
            let e = entropy(&counts).unwrap();
            prop_assert!(e.bits >= 0.0 && e.bits <= (counts.len() as f64).log2() + 1e-12);
            prop_assert!(e.corrected >= e.bits);
            let mut turned = counts.clone();
            turned.reverse();
            turned.push(0);
            prop_assert!((entropy(&turned).unwrap().bits - e.bits).abs() < 1e-12);
        }

        #[test]
        fn knowing_the_last_never_hides_the_next(serves in "[WBT]{2,60}") {
            let pairs = pairs(&serves);
            let given = conditional_entropy(&pairs).unwrap();
            let count = |k: u8| pairs.iter().filter(|p| p.1 == k).count();
            let next = entropy(&[count(b'W'), count(b'B'), count(b'T')]).unwrap();
            prop_assert!(given.bits >= 0.0 && given.bits <= next.bits + 1e-12);
        }
    }
}
