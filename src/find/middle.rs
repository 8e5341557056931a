//! The median of many rows of bytes, for each place in them.

/// So many bytes are worked on at once: the processor keeps them at hand.
const AT_ONCE: usize = 64;

/// More rows than this cannot be counted in a byte.
pub(super) const MOST: usize = 255;

/// Of the values that the rows have at each place, the one that half of them are less than: of sorted values `v` the one at `v.len() / 2`.
/// Rows after the 255th are not looked at; all are as long as `to`.
///
/// It is found bit by bit, from the highest: the greatest value that at most half of all are less than. That takes eight passes without
/// a branch, of many places at once, where sorting takes one place after another.
pub(super) fn middle(rows: &[&[u8]], to: &mut [u8]) {
    let rows = &rows[..rows.len().min(MOST)];
    let half = (rows.len() / 2) as u8;
    for (k, to) in to.chunks_mut(AT_ONCE).enumerate() {
        let from = k * AT_ONCE;
        if to.len() == AT_ONCE {
            let mut found = [0; AT_ONCE];
            search(&rows.iter().filter_map(|row| row[from..].first_chunk()), half, &mut found);
            to.copy_from_slice(&found);
        } else {
            for (n, to) in to.iter_mut().enumerate() {
                let mut found = [0];
                search(&rows.iter().filter_map(|row| row[from + n..].first_chunk()), half, &mut found);
                *to = found[0];
            }
        }
    }
}

fn search<'a, const N: usize>(
    rows: &(impl Iterator<Item = &'a [u8; N]> + Clone),
    half: u8,
    found: &mut [u8; N],
) {
    for bit in (0..8).rev() {
        let tried = found.map(|v| v | 1 << bit);
        let mut less = [0_u8; N];
        for row in rows.clone() {
            for ((less, v), tried) in less.iter_mut().zip(row).zip(&tried) {
                *less += u8::from(v < tried);
            }
        }
        for ((found, less), tried) in found.iter_mut().zip(&less).zip(&tried) {
            if *less <= half {
                *found = *tried;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// As `select_nth_unstable` of the standard library says.
        #[test]
        fn it_is_the_value_that_sorting_finds(
            wide in 1..200_usize,
            values in proptest::collection::vec(any::<u8>(), 1..2000),
        ) {
            let rows: Vec<&[u8]> = values.chunks_exact(wide).collect();
            prop_assume!(!rows.is_empty());
            let mut to = vec![0; wide];
            middle(&rows, &mut to);
            for (x, found) in to.iter().enumerate() {
                let mut column: Vec<u8> = rows.iter().take(MOST).map(|row| row[x]).collect();
                let half = column.len() / 2;
                prop_assert_eq!(*found, *column.select_nth_unstable(half).1, "at {}", x);
            }
        }
    }
}
