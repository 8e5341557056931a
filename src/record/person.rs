//! A person who is erased: the name, what stands in its place, and where a text says it.

use serde::Serialize;
use unicode_normalization::UnicodeNormalization;

/// Whoever is erased.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Person {
    /// The name that was there.
    pub name: String,
    /// The pseudonym in its place.
    pub pseudonym: String,
}

impl Person {
    /// A text without the person: the pseudonym stands in the place of the whole name, or of each word by which they are called. `None`
    /// if the text does not name them.
    pub fn out_of(&self, text: &str) -> Option<String> {
        let whole = same_name(text, &self.name) && text != self.pseudonym;
        let whole = whole.then(|| self.pseudonym.clone());
        whole.or_else(|| without(text, &self.name, &self.pseudonym))
    }

    /// Whether the name of a file contains theirs. Words run together in file names; short ones are in too many others (`li` in `clip`).
    pub fn is_in_file_name(&self, file: &str) -> bool {
        let within = |file: &str, word: &str| {
            word.chars().count() > 2 && file.to_lowercase().contains(&word.to_lowercase())
        };
        let (file, name) = (composed(file), composed(&self.name));
        called(&name).any(|word| within(&file, word) || replaced(&file, word, "").is_some())
    }
}

/// Whether two names are the same, in capitals or not, accents put in either of the two ways.
pub(super) fn same_name(name: &str, who: &str) -> bool {
    composed(name.trim()).to_lowercase() == composed(who.trim()).to_lowercase()
}

/// A text with each accented letter as one character: some programs and file systems write the letter and its accent as
/// two, which look the same.
fn composed(text: &str) -> String {
    text.nfc().collect()
}

/// The words of a name by which somebody is called: first and family names, not the small ones between them (`van`).
fn called(name: &str) -> impl Iterator<Item = &str> {
    let capital = |word: &str| word.chars().any(char::is_uppercase);
    let any = capital(name);
    let words = name.split_whitespace().map(|w| w.trim_matches(|c: char| !c.is_alphanumeric()));
    // A letter alone is no name that could be told from a word.
    words.filter(move |w| w.chars().count() > 1 && (!any || capital(w)))
}

/// A text with the pseudonym in place of each whole-word mention of the name or of a word by which they are called;
/// `None` when it has none. Capitals do not matter.
fn without(text: &str, name: &str, pseudonym: &str) -> Option<String> {
    let (text, name) = (composed(text), composed(name.trim()));
    let words = std::iter::once(name.as_str()).filter(|n| n.chars().count() > 1).chain(called(&name));
    words.fold(None, |done, word| replaced(done.as_deref().unwrap_or(&text), word, pseudonym).or(done))
}

fn replaced(text: &str, word: &str, by: &str) -> Option<String> {
    let same = |other: &str| other.to_lowercase() == word.to_lowercase();
    if same(by) || by.split_whitespace().any(same) {
        return None;
    }
    let (mut out, mut rest, mut hit) = (String::new(), text, false);
    let mut before = None;
    while let Some(c) = rest.chars().next() {
        let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
        match same_start(rest, word) {
            Some(len) if edge(before) && edge(rest[len..].chars().next()) => {
                out.push_str(by);
                (hit, before, rest) = (true, Some('x'), &rest[len..]);
            }
            _ => {
                out.push(c);
                (before, rest) = (Some(c), &rest[c.len_utf8()..]);
            }
        }
    }
    hit.then_some(out)
}

/// How many bytes of the text's start are the word, in capitals or not.
fn same_start(text: &str, word: &str) -> Option<usize> {
    let mut wanted = word.chars().flat_map(char::to_lowercase).peekable();
    let mut len = 0;
    for c in text.chars() {
        if wanted.peek().is_none() {
            break;
        }
        if !c.to_lowercase().all(|l| wanted.next() == Some(l)) {
            return None;
        }
        len += c.len_utf8();
    }
    wanted.peek().is_none().then_some(len)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_whole_words_are_names() {
        let at = |text, name| without(text, name, "Player A");
        assert_eq!(at("HOLT to Holt", "Dana Holt").as_deref(), Some("Player A to Player A"));
        assert_eq!(at("dana holt, Dana", "Dana Holt").as_deref(), Some("Player A, Player A"));
        assert_eq!(at("upholt holts", "Holt"), None);
        assert_eq!(at("li", "Li van Holt").as_deref(), Some("Player A"));
        assert_eq!(at("a van and an h", "H. Li van Holt"), None);
        assert_eq!(at("mia", "mia holt").as_deref(), Some("Player A"));
        assert_eq!(at("Jero\u{302}me!", "J\u{e9}r\u{f4}me"), None);
        assert_eq!(at("JE\u{301}RO\u{302}ME!", "J\u{e9}r\u{f4}me").as_deref(), Some("Player A!"));
        assert_eq!(without("Art, partner", "Art", "Partner of A").as_deref(), Some("Partner of A, partner"));
        assert_eq!(at("İzmir ÖZGE!", "özge").as_deref(), Some("İzmir Player A!"));
        assert_eq!(at("a b", "a"), None);
        assert_eq!(at("player a", "Player A"), None);
    }
}
