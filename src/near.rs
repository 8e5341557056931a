//! Finds what typed words mean: the nearest of some words, and the names that contain them, best first.

use std::fmt;

use thiserror::Error;

/// More letters than any of our words has. A stranger's word may have any length.
const MOST: usize = 60;

/// Fewer letters begin too many words.
const BEGUN: usize = 3;

/// The candidate that fewest single-letter changes turn into `word`, if it is near enough to be meant: letters put in,
/// taken out, changed or swapped with their neighbour. Case does not count.
///
/// If none is, the shortest candidate that begins with the word, if that has at least three letters.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let start = |word: &str| word.to_lowercase().chars().take(MOST).collect::<String>();
    let word = start(word.trim());
    let all: Vec<(String, &str)> = candidates.into_iter().map(|c| (start(c), c)).collect();
    let near = (all.iter())
        .map(|(lower, c)| (strsim::osa_distance(&word, lower), *c))
        // For a word of one letter, another letter is not a near match.
        .filter(|(d, c)| *d <= (c.chars().count() / 3).max(1) && *d < c.chars().count())
        .min_by_key(|(d, _)| *d)
        .map(|(_, c)| c);
    let begun = |(lower, _): &&(String, &str)| word.chars().count() >= BEGUN && lower.starts_with(&word);
    near.or_else(|| all.iter().filter(begun).min_by_key(|(lower, _)| lower.chars().count()).map(|(_, c)| *c))
}

/// How well a name matches the typed text, the best match first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Fit {
    /// The name begins with it.
    Start,
    /// Each typed word begins a word of the name.
    Words,
    /// Each typed word is somewhere in the name.
    Inside,
    /// Each typed word is somewhere in the name, or is a mistyped word of it.
    Mistyped,
}

/// In lower case, with a hyphen for every dash, because people type scores with a hyphen.
fn folded(text: &str) -> String {
    text.to_lowercase().replace('–', "-")
}

fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty())
}

/// How well a name matches the typed text, both folded.
fn fit(typed: &str, name: &str) -> Option<Fit> {
    if name.starts_with(typed.trim()) {
        return Some(Fit::Start);
    }
    let one = |t: &str| match () {
        () if words(name).any(|w| w.starts_with(t)) => Some(Fit::Words),
        () if name.contains(t) => Some(Fit::Inside),
        () if t.chars().count() > 3 && nearest(t, words(name)).is_some() => Some(Fit::Mistyped),
        () => None,
    };
    typed.split_whitespace().map(one).try_fold(Fit::Words, |worst, f| Some(worst.max(f?)))
}

/// Whether a text contains all typed words, each anywhere in it.
pub fn has(typed: &str, text: &str) -> bool {
    let text = folded(text);
    folded(typed).split_whitespace().all(|w| text.contains(w))
}

/// The places of the names that have what was typed, the best first, else in their order. Mistyped words count only where no
/// name has them as they are.
pub fn found(typed: &str, names: &[impl AsRef<str>]) -> Vec<usize> {
    let typed = folded(typed);
    let fits = names.iter().map(|n| fit(&typed, &folded(n.as_ref())));
    let mut all: Vec<(Fit, usize)> = fits.zip(0..).filter_map(|(f, n)| Some((f?, n))).collect();
    all.sort();
    let exact = all.first().is_some_and(|(f, _)| *f < Fit::Mistyped);
    all.into_iter().filter(|(f, _)| !exact || *f < Fit::Mistyped).map(|(_, n)| n).collect()
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
        assert_eq!(nearest("drop", ["drop shot winner", "drop shot", "lob"]), Some("drop shot"));
        assert_eq!(nearest("dr", ["drop shot"]), None, "two letters begin too much");
        assert_eq!(
            nearest("serve", ["server", "serve and volley"]),
            Some("server"),
            "a near word goes first"
        );
        let long = "x".repeat(1 << 20);
        assert_eq!(nearest(&long, words), None);
    }

    #[test]
    fn names_are_found_by_any_part_best_first() {
        let names = [
            "All points",
            "Pattern: Wide serve, then open court",
            "opening",
            "Drop shot",
            "Shot back",
            "Body–T",
        ];
        let found = |typed: &str| found(typed, &names).into_iter().map(|n| names[n]).collect::<Vec<_>>();
        assert_eq!(found(""), names);
        assert_eq!(
            found("OPEN"),
            ["opening", "Pattern: Wide serve, then open court"],
            "the name's start first"
        );
        assert_eq!(found("shot"), ["Shot back", "Drop shot"]);
        assert_eq!(found("court wide"), [names[1]], "in any order");
        assert_eq!(found("erve"), [names[1]], "in the middle of a word");
        assert_eq!(found("patern"), [names[1]], "one letter is missing");
        assert_eq!(found("body-t"), ["Body–T"]);
        assert!(found("smash").is_empty() && found("xyz").is_empty());
        assert!(has("T bod", "Body–T") && !has("body q", "Body–T"));
    }

    proptest::proptest! {
        /// Any part of a name finds it, and nothing panics.
        #[test]
        fn any_part_finds_its_name(name in "[\\w –]{1,20}", from in 0usize..20, long in 1usize..20) {
            let part: String = name.chars().skip(from).take(long).collect();
            proptest::prop_assert!(super::found(&part, &[&name]) == [0], "{part:?} in {name:?}");
        }
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
