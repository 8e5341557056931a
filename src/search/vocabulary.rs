//! Every phrase that a search understands.

use std::collections::{BTreeSet, HashMap};

use super::chip::{Meaning, Subject};
use super::phrases::phrases;
use crate::near::Hint;
use crate::pattern::Pattern;
use crate::record::{Player, Record, STAR, printable};
use crate::tennis::Side;

/// What a phrase names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A player.
    Player,
    /// A word of tennis.
    Word,
    /// A tag.
    Tag,
    /// A pattern.
    Pattern,
    /// A surface.
    Surface,
    /// A venue.
    Venue,
}

impl Kind {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Player => "player",
            Self::Word => "tennis",
            Self::Tag => "tag",
            Self::Pattern => "pattern",
            Self::Surface => "surface",
            Self::Venue => "venue",
        }
    }
}

/// A phrase that is understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Phrase {
    /// As the screens write it.
    pub(super) words: String,
    pub(super) kind: Kind,
    pub(super) meaning: Meaning,
}

/// Every phrase that a search understands: the trade's, and the names in the records.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    /// By its words as [`normal`] has them, joined by blanks.
    phrases: HashMap<String, Phrase>,
    /// The most words that one of them has.
    longest: usize,
}

impl Vocabulary {
    /// The trade's words, and what these records and patterns name. A word of the trade comes before a name.
    pub fn of<'a>(records: impl IntoIterator<Item = &'a Record>, patterns: &[Pattern]) -> Self {
        let mut v = Self::default();
        for (all, meaning) in phrases() {
            let words = all.first().copied().unwrap_or_default();
            for phrase in all {
                // Each filler stands for itself.
                let words = if meaning == Meaning::Filler { phrase } else { words };
                v.add(phrase, Phrase { words: words.into(), kind: Kind::Word, meaning: meaning.clone() });
            }
        }
        for record in records {
            v.add_record(record);
        }
        // It is understood before any point has it.
        v.add_name(Phrase { words: STAR.into(), kind: Kind::Tag, meaning: Meaning::Tag(vec![STAR.into()]) });
        for p in patterns {
            let meaning = Meaning::Pattern(Box::new(p.clone()));
            v.add_name(Phrase { words: p.name.clone(), kind: Kind::Pattern, meaning });
        }
        v
    }

    fn add_record(&mut self, record: &Record) {
        let about = &record.about;
        for about in record.matches() {
            for side in [Side::A, Side::B] {
                for player in [Some(about.player(side)), about.partner(side)].into_iter().flatten() {
                    self.add_player(player);
                }
            }
        }
        let named = |words: &str, kind, meaning: fn(Vec<String>) -> Meaning| Phrase {
            words: words.into(),
            kind,
            meaning: meaning(vec![words.into()]),
        };
        self.add(&about.surface, named(about.surface.trim(), Kind::Surface, Meaning::Surface));
        self.add(&about.venue, named(about.venue.trim(), Kind::Venue, Meaning::Venue));
        let tags: BTreeSet<&String> = record.points.iter().flat_map(|p| &p.tags).collect();
        for tag in tags {
            self.add_name(named(tag, Kind::Tag, Meaning::Tag));
        }
    }

    /// A player is found by the whole name, and by each of its words and of the words that hyphens join.
    fn add_player(&mut self, player: &Player) {
        let name = player.name.trim();
        if name.is_empty() {
            return;
        }
        let one = |words: &str| Phrase {
            words: words.into(),
            kind: Kind::Player,
            meaning: Meaning::Subject(Subject::Players(vec![name.into()])),
        };
        self.add(name, one(name));
        let words = name.split_whitespace();
        let parts = words.flat_map(|word| std::iter::once(word).chain(word.split(HYPHENS)));
        for part in parts.filter(|p| *p != name && p.chars().count() > 1) {
            let key = normal(part).join(" ");
            match self.phrases.get_mut(&key) {
                Some(Phrase { meaning: Meaning::Subject(Subject::Players(names)), .. }) => {
                    if !names.iter().any(|n| n == name) {
                        names.push(name.into());
                    }
                }
                Some(_) => {}
                None => self.add(part, one(part)),
            }
        }
    }

    /// A name that the words of the trade say as well is read as these, so that they can be somebody's. With `tag` or
    /// `pattern` before it, it is always the name.
    fn add_name(&mut self, meant: Phrase) {
        let name = meant.words.clone();
        self.add(&format!("{} {name}", meant.kind.words()), meant.clone());
        let words = normal(&name);
        let mut rest: Vec<&str> = words.iter().map(String::as_str).collect();
        while let Some((n, _)) = self.longest_of(&rest, |kind| kind == Kind::Word) {
            rest.drain(..n);
        }
        if !rest.is_empty() {
            self.add(&name, meant);
        }
    }

    fn add(&mut self, phrase: &str, meant: Phrase) {
        let words = normal(phrase);
        if words.is_empty() {
            return;
        }
        self.longest = self.longest.max(words.len());
        self.phrases.entry(words.join(" ")).or_insert(meant);
    }

    /// The longest phrase of such a kind at the start of these words, and how many of them it takes.
    pub(super) fn longest_of(&self, words: &[&str], is: impl Fn(Kind) -> bool) -> Option<(usize, &Phrase)> {
        let first = |n: usize| self.get(&words[..n]).filter(|p| is(p.kind));
        (1..=words.len().min(self.longest)).rev().find_map(|n| Some((n, first(n)?)))
    }

    /// A phrase of exactly these words; in the plural too.
    fn get(&self, words: &[&str]) -> Option<&Phrase> {
        let key = words.join(" ");
        let one = |ending: &str, instead: &str| {
            self.phrases.get(&format!("{}{instead}", key.strip_suffix(ending)?))
        };
        (self.phrases.get(&key))
            .or_else(|| one("s", ""))
            .or_else(|| one("es", ""))
            .or_else(|| one("ies", "y"))
    }

    /// The tag of this name, as the records write it.
    pub(super) fn tag(&self, name: &str) -> Result<String, Hint> {
        let key = format!("{} {}", Kind::Tag.words(), normal(name).join(" "));
        match self.phrases.get(&key) {
            Some(phrase) => Ok(phrase.words.clone()),
            None => Err(self.nearest(Kind::Tag, name)),
        }
    }

    /// The players of this name, or with this word in their names.
    pub(super) fn players(&self, name: &str) -> Result<Vec<String>, Hint> {
        match self.phrases.get(&normal(name).join(" ")).map(|p| &p.meaning) {
            Some(Meaning::Subject(Subject::Players(names))) => Ok(names.clone()),
            _ => Err(self.nearest(Kind::Player, name)),
        }
    }

    fn nearest(&self, kind: Kind, name: &str) -> Hint {
        let mut names: Vec<&str> =
            self.phrases.values().filter(|p| p.kind == kind).map(|p| p.words.as_str()).collect();
        names.sort_unstable();
        Hint::of(name, names)
    }

    /// The phrases, in no order: how they are typed, and what they name.
    pub(super) fn all(&self) -> impl Iterator<Item = (&str, &Phrase)> {
        self.phrases.iter().map(|(typed, phrase)| (typed.as_str(), phrase))
    }
}

/// The words of a phrase: small letters, hyphens between letters as blanks, no possessive ending. Numbers keep their hyphens.
pub(super) fn normal(text: &str) -> Vec<String> {
    let text: String = printable(text, MOST_LETTERS).to_lowercase();
    let dashes = |c: char| if HYPHENS.contains(&c) { '-' } else { c };
    let text: String = text.chars().map(dashes).collect();
    text.split_whitespace().flat_map(words_of).collect()
}

/// What joins the words of a name, or is typed in place of a hyphen.
const HYPHENS: [char; 5] = ['-', '–', '—', '‑', '−'];

/// More letters than any phrase of a record has.
const MOST_LETTERS: usize = 400;

fn words_of(word: &str) -> Vec<String> {
    let word = word.trim_matches(|c: char| !c.is_alphanumeric() && c != '+');
    let word = word.strip_suffix("'s").or_else(|| word.strip_suffix("’s")).unwrap_or(word);
    if word.chars().any(|c| c.is_ascii_digit()) {
        // `10-shot rally`
        return match word.split_once('-') {
            Some((n, rest)) if rest.chars().all(char::is_alphabetic) && !rest.is_empty() => {
                vec![n.into(), rest.into()]
            }
            _ => vec![word.into()],
        };
    }
    word.split('-').filter(|w| !w.is_empty()).map(Into::into).collect()
}
