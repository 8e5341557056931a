//! What the word being typed may become.

use super::chip::Meaning;
use super::vocabulary::{Kind, Vocabulary, normal};

/// A phrase that what was typed may become.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Suggestion {
    /// What it names.
    pub kind: Kind,
    /// As the screens write it.
    pub words: String,
    /// All of what was typed, with the phrase at its end.
    pub text: String,
}

impl Vocabulary {
    /// The phrases that the end of what was typed may become, at most so many: players first, then the trade's words.
    pub fn suggest(&self, typed: &str, most: usize) -> Vec<Suggestion> {
        let starts: Vec<usize> = (typed.char_indices())
            .filter(|(at, c)| {
                !c.is_whitespace() && typed[..*at].chars().next_back().is_none_or(char::is_whitespace)
            })
            .map(|(at, _)| at)
            .collect();
        // The longest end that starts some phrase: `down th` before `th`.
        let from = starts.len().saturating_sub(LONGEST);
        for start in starts.get(from..).unwrap_or_default() {
            let found = self.becoming(&typed[..*start], &typed[*start..]);
            if !found.is_empty() {
                return found.into_iter().take(most).collect();
            }
        }
        Vec::new()
    }

    fn becoming(&self, before: &str, end: &str) -> Vec<Suggestion> {
        let begun = normal(end).join(" ");
        if begun.is_empty() {
            return Vec::new();
        }
        let asks = |m: &Meaning| !matches!(m, Meaning::Filler);
        let mut found: Vec<Suggestion> = (self.all())
            .filter(|(phrase, p)| phrase.starts_with(&begun) && *phrase != begun && asks(&p.meaning))
            .map(|(_, p)| Suggestion {
                kind: p.kind,
                words: p.words.clone(),
                text: format!("{before}{}", p.words),
            })
            .collect();
        found.sort_unstable();
        found.dedup();
        found
    }
}

/// The most words of a phrase that are looked at while it is typed.
const LONGEST: usize = 5;
