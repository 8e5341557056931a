//! The allowed word nearest to one that was mistyped.

/// The candidate that fewest single-letter changes turn into `word`, if it is near enough to be meant. Case does
/// not count.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.trim().to_lowercase();
    (candidates.into_iter())
        .map(|c| (distance(&word, &c.to_lowercase()), c))
        .filter(|(d, c)| *d <= (c.chars().count() / 3).max(1))
        .min_by_key(|(d, _)| *d)
        .map(|(_, c)| c)
}

/// Letters to put in, take out or change (Levenshtein 1966), and neighbours to swap.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().take(60).collect(), b.chars().take(60).collect());
    let mut rows = vec![(0..=b.len()).collect::<Vec<_>>()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let change = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut least = change.min(rows[i - 1][j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            row.push(least);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_what_was_meant() {
        let words = ["server", "receiver", "a", "b"];
        assert_eq!(nearest("sevrer", words), Some("server"));
        assert_eq!(nearest("Reciever", words), Some("receiver"));
        assert_eq!(nearest("umpire", words), None);
        assert_eq!(distance("kitten", "sitting"), 3);
        assert_eq!(nearest("", []), None);
    }
}
