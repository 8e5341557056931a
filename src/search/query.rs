//! A search, from what was typed.

use std::fmt;

use super::build::parts;
use super::chip::{Chip, Subject};
use super::part::{Part, What};
use super::read::chips;
use super::vocabulary::Vocabulary;
use crate::near::Hint;

/// A search: what was typed, and what it asks of a point.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Search {
    /// Its phrases, in the order in which they were typed.
    pub chips: Vec<Chip>,
    /// What a point must meet, all of it.
    pub(super) parts: Vec<Part>,
}

impl Search {
    /// Understands what was typed. Phrases that are not understood ask nothing: see [`Search::unknown`].
    pub fn read(text: &str, vocabulary: &Vocabulary) -> Self {
        let chips = chips(text, vocabulary);
        let parts = parts(&chips);
        Self { chips, parts }
    }

    /// This, and only points with this tag.
    ///
    /// # Errors
    /// The nearest tag when no point has it.
    pub fn and_tag(mut self, tag: &str, vocabulary: &Vocabulary) -> Result<Self, Hint> {
        let tag = vocabulary.tag(tag)?;
        self.parts.push(Part { who: None, what: What::Tag(vec![tag]), not: false });
        Ok(self)
    }

    /// This, and only points of matches of this player, by the whole name or a part of it.
    ///
    /// # Errors
    /// The nearest name when nobody has it.
    pub fn and_player(mut self, name: &str, vocabulary: &Vocabulary) -> Result<Self, Hint> {
        let names = vocabulary.players(name)?;
        self.parts.push(Part { who: Some(Subject::Players(names)), what: What::Plays, not: false });
        Ok(self)
    }

    /// The chips that were not understood.
    pub fn unknown(&self) -> impl Iterator<Item = &Chip> {
        self.chips.iter().filter(|c| !c.is_known())
    }

    /// Whether it asks for anything.
    pub const fn is_empty(&self) -> bool {
        self.parts.is_empty()
    }

    /// What was typed, without one chip.
    pub fn without(text: &str, chip: &Chip) -> String {
        let (before, after) = (text.get(..chip.place.start), text.get(chip.place.end..));
        let [before, after] = [before, after].map(|t| t.unwrap_or_default().trim());
        [before, after].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(" ")
    }
}

/// How it was understood: `drop shot by Holt · Holt behind in the game · break point`.
impl fmt::Display for Search {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let named = |who: &Subject| {
            self.parts.iter().any(|p| p.who.as_ref() == Some(who) && !matches!(p.what, What::Plays))
        };
        let told = (self.parts.iter())
            .filter(|p| !(matches!(p.what, What::Plays) && p.who.as_ref().is_some_and(named)))
            .map(ToString::to_string);
        f.write_str(&told.collect::<Vec<_>>().join(" · "))
    }
}
