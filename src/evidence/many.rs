//! Many questions asked at once: how many of the answers may be chance.

/// How often a test may find a difference where there is none: the usual 5 %.
pub const ALPHA: f64 = 0.05;

/// For each p-value, in the given order, the lowest false discovery rate at which it is kept, 0 to 1.
///
/// If everything at or below 0.05 is kept, at most about 5 % of it is chance. A value that is not a number counts as 1.
/// Benjamini & Hochberg 1995, *J. R. Stat. Soc. B* 57:289.
pub fn false_discovery(p: &[f64]) -> Vec<f64> {
    let p: Vec<f64> = p.iter().map(|v| if v.is_nan() { 1.0 } else { v.clamp(0.0, 1.0) }).collect();
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|a, b| p[*a].total_cmp(&p[*b]));
    let mut rates = vec![1.0; p.len()];
    let mut least = 1.0_f64;
    for (place, at) in order.iter().enumerate().rev() {
        least = least.min(p[*at] * (p.len() as f64 / (place + 1) as f64));
        rates[*at] = least;
    }
    rates
}

/// The probability that at least one of this many independent questions, each tested at 5 %, finds something by chance.
pub fn any_false_alarm(questions: usize) -> f64 {
    1.0 - (1.0 - ALPHA).powf(questions as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::near;
    use proptest::prelude::*;

    /// Benjamini & Hochberg 1995, *JRSS B* 57: their 15 p-values; 4 kept at 0.05. The rates are `stats.bh1995` of the
    /// project's vectors, recomputed outside this program.
    #[test]
    fn as_published_by_benjamini_and_hochberg() {
        let p = [
            0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719,
            0.6528, 0.759, 1.0,
        ];
        let wanted = [
            0.0015, 0.003, 0.0095, 0.035_625, 0.0603, 0.063_857, 0.063_857, 0.0645, 0.0765, 0.486, 0.581_182,
            0.714_875, 0.753_231, 0.813_214, 1.0,
        ];
        let q = false_discovery(&p);
        for (q, wanted) in q.iter().zip(wanted) {
            assert!((q - wanted).abs() <= 5.1e-7, "{q} is not {wanted}");
        }
        assert_eq!(q.iter().filter(|q| **q <= ALPHA).count(), 4);
    }

    /// `stats.p_any_false_alarm` of the project's vectors.
    #[test]
    fn twenty_questions_mostly_raise_an_alarm() {
        for (questions, wanted) in
            [(0, 0.0), (1, 0.05), (5, 0.226_219), (10, 0.401_263), (20, 0.641_514), (40, 0.871_488)]
        {
            assert!((any_false_alarm(questions) - wanted).abs() < 5.1e-7);
        }
    }

    #[test]
    fn what_is_not_a_number_is_kept_out() {
        let q = false_discovery(&[f64::NAN, 0.01, -1.0]);
        near(q[0], 1.0, 0.0);
        near(q[1], 0.015, 1e-15);
        near(q[2], 0.0, 0.0);
        assert!(false_discovery(&[]).is_empty());
    }

    proptest! {
        #[test]
        fn never_below_p_and_in_its_order(p in prop::collection::vec(0.0f64..=1.0, 1..40)) {
            let q = false_discovery(&p);
            for (i, (a, q_a)) in p.iter().zip(&q).enumerate() {
                prop_assert!(q_a >= a && *q_a <= 1.0);
                for (b, q_b) in p.iter().zip(&q).skip(i) {
                    prop_assert!(a > b || q_a <= q_b, "{} and {}", a, b);
                    prop_assert!(b > a || q_b <= q_a, "{} and {}", a, b);
                }
            }
        }

        #[test]
        fn the_order_asked_does_not_matter(p in prop::collection::vec(0.0f64..=1.0, 1..40)) {
            let mut turned = false_discovery(&p.iter().rev().copied().collect::<Vec<_>>());
            turned.reverse();
            prop_assert_eq!(turned, false_discovery(&p));
        }

        #[test]
        fn one_more_hopeless_question_costs(p in prop::collection::vec(0.0f64..=1.0, 1..40)) {
            let (q, mut more) = (false_discovery(&p), p);
            more.push(1.0);
            for (before, after) in q.iter().zip(false_discovery(&more)) {
                prop_assert!(after >= *before);
            }
        }
    }
}
