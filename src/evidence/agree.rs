//! Do two people who tag the same points agree more than by chance?

use std::collections::BTreeSet;

/// How two sorted the same things into the same kinds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Agreement {
    /// Rows: the one's kinds; columns: the other's; square.
    table: Vec<Vec<usize>>,
}

impl Agreement {
    /// From the two lists of tags, item by item; the kinds are in their own order.
    pub fn of<T: Ord>(called: &[(T, T)]) -> Self {
        let kinds: BTreeSet<&T> = called.iter().flat_map(|(a, b)| [a, b]).collect();
        let kinds: Vec<&T> = kinds.into_iter().collect();
        let mut table = vec![vec![0; kinds.len()]; kinds.len()];
        for (a, b) in called {
            // Both are among the kinds, since the kinds are made of them.
            if let (Ok(row), Ok(column)) = (kinds.binary_search(&a), kinds.binary_search(&b)) {
                table[row][column] += 1;
            }
        }
        Self { table }
    }

    /// From a table: a row for each kind of the first person, a column for each kind of the second.
    pub fn table<const K: usize>(table: [[usize; K]; K]) -> Self {
        Self { table: table.iter().map(|row| row.to_vec()).collect() }
    }

    /// Cohen's kappa: 1 for full agreement, 0 for no more than chance; `None` if chance alone would agree
    /// throughout, and without things.
    ///
    /// Cohen 1960, *Educ. Psychol. Meas.* 20:37.
    pub fn kappa(&self) -> Option<f64> {
        self.weighted(|a, b| if a == b { 0.0 } else { 1.0 })
    }

    /// Cohen's weighted kappa, for kinds of which some disagree more than others: `apart` gives the weight of two kinds by
    /// their places, 0 for the same kind. |a - b| and its square are usual where kinds have an order, as depths and rally bands do.
    ///
    /// Cohen 1968, *Psychol. Bull.* 70:213.
    pub fn weighted(&self, apart: impl Fn(usize, usize) -> f64) -> Option<f64> {
        let rows: Vec<f64> = self.table.iter().map(|row| row.iter().sum::<usize>() as f64).collect();
        let columns: Vec<f64> =
            (0..rows.len()).map(|c| self.table.iter().map(|row| row[c]).sum::<usize>() as f64).collect();
        let n: f64 = rows.iter().sum();
        let (mut seen, mut chance) = (0.0, 0.0);
        for (r, row) in self.table.iter().enumerate() {
            for (c, count) in row.iter().enumerate() {
                seen += apart(r, c) * *count as f64;
                chance += apart(r, c) * rows[r] * columns[c] / n;
            }
        }
        (n > 0.0 && chance > 0.0).then(|| 1.0 - seen / chance)
    }

    /// The share of items with the same tag from both, 0 to 1; `None` without items.
    pub fn share(&self) -> Option<f64> {
        let n: usize = self.table.iter().flatten().sum();
        let same: usize = self.table.iter().enumerate().map(|(i, row)| row[i]).sum();
        (n > 0).then(|| same as f64 / n as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::near;
    use proptest::prelude::*;

    /// Cohen 1968, table 1, and the small table: `stats.kappa` of the project's vectors; Cohen 1960.
    #[test]
    fn as_cohen_has_it() {
        let t = Agreement::table([[88, 10, 2], [14, 40, 6], [18, 10, 12]]);
        near(t.kappa().unwrap(), 0.491_525_423_729, 1e-11);
        let worse = [[0.0, 1.0, 3.0], [1.0, 0.0, 6.0], [3.0, 6.0, 0.0]];
        near(t.weighted(|a, b| worse[a][b]).unwrap(), 0.347_826_086_957, 1e-11);
        near(Agreement::table([[20, 5], [10, 15]]).kappa().unwrap(), 0.4, 1e-14);
    }

    /// Brown & O'Donoghue 2008 (table recomputed): 1,356 tennis points, kappa .8875; Cohen 1960. Kappa depends only on
    /// the totals and the diagonal: where the two disagreed is filled in here so that the totals hold.
    #[test]
    fn as_brown_and_o_donoghue_have_it() {
        let rows = [79, 42, 237, 19, 169, 92, 718];
        let columns = [80, 41, 243, 19, 151, 78, 744];
        let diagonal = [78, 38, 232, 17, 131, 70, 690];
        let t = Agreement::table(filled(rows, columns, diagonal));
        near(t.share().unwrap(), 0.926_253_687_315_634_2, 1e-14);
        near(t.kappa().unwrap(), 0.887_548_668_786_877_3, 1e-13);
        assert!((t.kappa().unwrap() - 0.8875).abs() < 0.000_051);
    }

    /// Puts what is left of each row into the columns that still have room, off the diagonal.
    fn filled<const K: usize>(
        rows: [usize; K],
        columns: [usize; K],
        diagonal: [usize; K],
    ) -> [[usize; K]; K] {
        let mut table = [[0; K]; K];
        let mut room = columns;
        for i in 0..K {
            table[i][i] = diagonal[i];
            room[i] -= diagonal[i];
        }
        for r in (0..K).rev() {
            let mut left = rows[r] - diagonal[r];
            for c in (0..K).filter(|c| *c != r) {
                let put = left.min(room[c]);
                table[r][c] += put;
                room[c] -= put;
                left -= put;
            }
            assert_eq!(left, 0, "row {r} does not fit");
        }
        table
    }

    #[test]
    fn nothing_to_agree_on() {
        assert_eq!(Agreement::of::<u8>(&[]).kappa(), None);
        assert_eq!(Agreement::of::<u8>(&[]).share(), None);
        assert_eq!(Agreement::table([[0, 0], [0, 0]]).kappa(), None);
        // Both gave every item the same tag: chance would agree as well.
        assert_eq!(Agreement::of(&[("wide", "wide"); 5]).kappa(), None);
    }

    proptest! {
        #[test]
        fn who_is_first_does_not_matter(called in prop::collection::vec((0u8..4, 0u8..4), 1..80)) {
            let turned: Vec<(u8, u8)> = called.iter().map(|(a, b)| (*b, *a)).collect();
            let (a, b) = (Agreement::of(&called), Agreement::of(&turned));
            let far = |x: usize, y: usize| (x as f64 - y as f64).powi(2);
            for (x, y) in [(a.kappa(), b.kappa()), (a.weighted(far), b.weighted(far))] {
                prop_assert_eq!(x.is_some(), y.is_some());
                if let (Some(x), Some(y)) = (x, y) {
                    prop_assert!((x - y).abs() < 1e-12 && x <= 1.0 + 1e-12);
                }
            }
        }

        #[test]
        fn agreeing_throughout_is_one(kinds in prop::collection::vec(0u8..4, 2..40)) {
            prop_assume!(kinds.iter().any(|k| *k != kinds[0]));
            let called: Vec<(u8, u8)> = kinds.iter().map(|k| (*k, *k)).collect();
            prop_assert!((Agreement::of(&called).kappa().unwrap() - 1.0).abs() < 1e-12);
        }
    }
}
