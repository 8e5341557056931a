//! The word that was meant, where one was mistyped.

use std::fmt;

use thiserror::Error;

/// More letters than any word of ours has: a stranger's word may be of any length.
const MOST: usize = 60;

/// The candidate that fewest single-letter changes turn into `word`, if it is near enough to be meant: letters put in,
/// taken out, changed or swapped with their neighbour. Case does not count.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let start = |word: &str| word.to_lowercase().chars().take(MOST).collect::<String>();
    let word = start(word.trim());
    (candidates.into_iter())
        .map(|c| (strsim::osa_distance(&word, &start(c)), c))
        // One letter for another is no near miss when there is no other letter.
        .filter(|(d, c)| *d <= (c.chars().count() / 3).max(1) && *d < c.chars().count())
        .min_by_key(|(d, _)| *d)
        .map(|(_, c)| c)
}

/// `; did you mean "serve"?`, or nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hint(pub Option<Box<str>>);

impl Hint {
    /// The nearest of these words.
    pub fn of<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Self {
        Self(nearest(word, candidates).map(Into::into))
    }
}

impl fmt::Display for Hint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.as_ref().map_or(Ok(()), |near| write!(f, "; did you mean \"{near}\"?"))
    }
}

/// A word is not one of those that are allowed: these, and the nearest.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("allowed: {}{}{hint}", words.join(", "), but.map(|b| format!(" ({b})")).unwrap_or_default())]
pub struct Allowed {
    /// The words.
    pub words: Vec<&'static str>,
    /// The nearest of them.
    pub hint: Hint,
    but: Option<&'static str>,
}

impl Allowed {
    /// These words, and the nearest to the one found.
    pub fn of(found: &str, words: impl IntoIterator<Item = &'static str>) -> Self {
        let words: Vec<&str> = words.into_iter().collect();
        Self { hint: Hint::of(found, words.iter().copied()), words, but: None }
    }

    /// With a remark in brackets.
    #[must_use]
    pub fn but(self, remark: &'static str) -> Self {
        Self { but: Some(remark), ..self }
    }
}

/// What one of a few words means; case and outer blanks do not count.
///
/// # Errors
/// The words that are allowed.
pub fn one_of<T: Copy>(found: &str, words: &[(&'static str, T)]) -> Result<T, Allowed> {
    let is = |(word, _): &&(&str, T)| word.eq_ignore_ascii_case(found.trim());
    words
        .iter()
        .find(is)
        .map(|(_, x)| *x)
        .ok_or_else(|| Allowed::of(found, words.iter().map(|(word, _)| *word)))
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
        assert_eq!(nearest("", []), None);
        let long = "x".repeat(1 << 20);
        assert_eq!(nearest(&long, words), None);
    }

    #[test]
    fn says_what_is_allowed() {
        let words = [("ahead", 1), ("level", 0)];
        assert_eq!(one_of(" Ahead", &words), Ok(1));
        assert_eq!(
            one_of("lvel", &words).unwrap_err().to_string(),
            "allowed: ahead, level; did you mean \"level\"?"
        );
        assert_eq!(
            one_of("x", &words).unwrap_err().but("or none").to_string(),
            "allowed: ahead, level (or none)"
        );
    }
}
