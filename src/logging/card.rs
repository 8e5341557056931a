//! The key card: the file that gives keys their meaning.
//!
//! A TOML file with a table `[keys]` (action = key or list of keys) and any number of `[[tags]]` (a key and the tag
//! that it puts on a point). A key that would mean two things is an error that names both.
//!
//! A key goes by its sign or by its place. Where on a layout a sign stands at a place that the card uses, the place wins;
//! [`KeyCard::lost`] tells what can then no longer be typed.

use std::collections::HashMap;

use serde::Deserialize;
use thiserror::Error;
use toml::Spanned;

use super::action::{ACTIONS, Action, Group};
use super::ball::{PAD, PadKey};
use super::code::Layout;
use super::key::{Key, Name, Press, near_key};
use crate::near::Hint;
use crate::record::MOST_NAME;
use crate::wording::in_toml;

/// The card that is built in.
pub const BUILT_IN: &str = include_str!("../../sample-tags/built-in.keys.toml");

/// The one with the pad under the left hand.
pub const LEFT_HANDED: &str = include_str!("../../sample-tags/left-handed.keys.toml");

/// The one with the pad on the numeric keypad.
pub const NUMPAD: &str = include_str!("../../sample-tags/numpad.keys.toml");

/// The one for those who tag points and log no shots.
pub const TAGS_ONLY: &str = include_str!("../../sample-tags/tags-only.keys.toml");

/// Why a key card cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum CardError {
    /// Not TOML, or not a key card.
    #[error("line {line}, column {column}: {message}")]
    Syntax {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What the reader says.
        message: String,
    },
    /// A key that is no key.
    #[error(
        "line {line}: \"{found}\" is not a key; write a letter, a sign, a name such as space, Left or F5, or a place such as KeyU or Numpad5, with ctrl+, alt+ or shift+ before it{hint}"
    )]
    NotAKey {
        /// Line, from 1.
        line: usize,
        /// The text found.
        found: String,
        /// The nearest key that has a name.
        hint: Hint,
    },
    /// An action that does not exist.
    #[error("line {line}: there is no action \"{found}\"; see changeover keys{hint}")]
    NoAction {
        /// Line, from 1.
        line: usize,
        /// The name found.
        found: String,
        /// The nearest name.
        hint: Hint,
    },
    /// One key, two meanings.
    #[error(
        "line {line}: key \"{key}\" means \"{second}\" here, but key \"{other_key}\" on line {first_line} already means \"{first}\" and is the same key; give one of them another key"
    )]
    Conflict {
        /// Line of the second use, from 1.
        line: usize,
        /// The key as written there.
        key: String,
        /// What it means there.
        second: String,
        /// The key as written at its first use.
        other_key: String,
        /// Line of the first use, from 1.
        first_line: usize,
        /// What it means there.
        first: String,
    },
    /// A tag without text.
    #[error("line {line}: a tag needs at least one letter")]
    EmptyTag {
        /// Line, from 1.
        line: usize,
    },
    /// A tag or a name that is no word any more.
    #[error("line {line}: {what} of {letters} letters; at most {MOST_NAME} are allowed")]
    Long {
        /// Line, from 1.
        line: usize,
        /// What is too long.
        what: &'static str,
        /// Its letters.
        letters: usize,
    },
}

/// What a key means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meaning {
    /// An action of the table.
    Do(Action),
    /// Put this tag on the current point, or take it off.
    Tag(String),
}

impl Meaning {
    fn words(&self) -> String {
        match self {
            Self::Do(a) => a.name().into(),
            Self::Tag(t) => format!("tag {t}"),
        }
    }

    /// What it does, for people.
    pub fn title(&self) -> String {
        match self {
            Self::Do(a) => a.title().into(),
            Self::Tag(t) => format!("tag {t}"),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawCard {
    name: Spanned<String>,
    #[serde(default)]
    keys: HashMap<Spanned<String>, Spanned<OneOrMany>>,
    #[serde(default)]
    tags: Vec<RawTag>,
}

#[derive(Deserialize)]
#[serde(untagged, expecting = "this is not a key; allowed: a key in quotes, or a list of keys")]
enum OneOrMany {
    One(String),
    Many(Vec<String>),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawTag {
    key: Spanned<String>,
    tag: Spanned<String>,
}

/// What each key means, in the order in which the card gives it.
#[derive(Debug, Clone)]
pub struct KeyCard {
    name: String,
    entries: Vec<(Key, Meaning)>,
    by_key: HashMap<Key, usize>,
    /// Where it is known.
    layout: Option<Layout>,
}

/// What cannot be typed on a layout, since each of its keys stands where the card has another.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error(
    "on this keyboard {key} already means \"{by}\", so \"{what}\" has no key; give it another key in the key card"
)]
pub struct Lost {
    /// The key by its sign, as on its cap.
    pub key: String,
    /// What it would do.
    pub what: String,
    /// What is done instead.
    pub by: String,
}

struct Entry {
    line: usize,
    text: String,
    meaning: Meaning,
}

/// A line of the help on keys.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HelpRow {
    /// The keys that do it, each as it is written on the keyboard; of the pad a row of keys in one.
    pub keys: Vec<String>,
    /// What they do.
    pub what: String,
}

impl HelpRow {
    fn new(keys: String, what: &str) -> Self {
        Self { keys: vec![keys], what: what.into() }
    }
}

impl KeyCard {
    /// Reads a card.
    ///
    /// # Errors
    /// [`CardError`], with the line.
    pub fn parse(text: &str) -> Result<Self, CardError> {
        let raw: RawCard = toml::from_str(text).map_err(|e| syntax(text, &e))?;
        short(raw.name.get_ref(), "a name", line_of(text, raw.name.span().start))?;
        let mut entries = Vec::new();
        for (name, keys) in raw.keys {
            let line = line_of(text, name.span().start);
            let action = Action::named(name.get_ref()).ok_or_else(|| no_action(line, name.get_ref()))?;
            let keys = match keys.into_inner() {
                OneOrMany::One(k) => vec![k],
                OneOrMany::Many(ks) => ks,
            };
            entries.extend(keys.into_iter().map(|text| Entry { line, text, meaning: Meaning::Do(action) }));
        }
        for tag in raw.tags {
            let line = line_of(text, tag.key.span().start);
            let word = tag.tag.into_inner().trim().to_owned();
            if word.is_empty() {
                return Err(CardError::EmptyTag { line });
            }
            short(&word, "a tag", line)?;
            entries.push(Entry { line, text: tag.key.into_inner(), meaning: Meaning::Tag(word) });
        }
        entries.sort_by_key(|e| e.line);
        Self::without_conflicts(raw.name.into_inner(), &entries)
    }

    fn without_conflicts(name: String, entries: &[Entry]) -> Result<Self, CardError> {
        let mut seen: HashMap<Key, usize> = HashMap::new();
        let mut kept: Vec<(Key, Meaning)> = Vec::new();
        for (i, e) in entries.iter().enumerate() {
            let key: Key = e.text.parse().map_err(|_| not_a_key(e))?;
            if let Some(first) = seen.insert(key.clone(), i).map(|at| &entries[at]) {
                return Err(CardError::Conflict {
                    line: e.line,
                    key: e.text.clone(),
                    second: e.meaning.words(),
                    other_key: first.text.clone(),
                    first_line: first.line,
                    first: first.meaning.words(),
                });
            }
            kept.push((key, e.meaning.clone()));
        }
        Ok(Self { name, entries: kept, by_key: seen, layout: None })
    }

    /// The card's name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The same card on a keyboard of this layout.
    #[must_use]
    pub fn on_layout(self, layout: Layout) -> Self {
        Self { layout: Some(layout), ..self }
    }

    /// A key's cap on its layout; where that is not known, on a US keyboard.
    pub fn cap_of(&self, key: &Key) -> String {
        self.layout.as_ref().map_or_else(|| key.cap(), |l| key.cap_on(l))
    }

    /// The layout that the caps are those of, where it is known.
    pub const fn layout(&self) -> Option<&Layout> {
        self.layout.as_ref()
    }

    /// What a key means on this card, as it is written there.
    pub fn meaning(&self, key: &Key) -> Option<&Meaning> {
        self.by_key.get(key).map(|i| &self.entries[*i].1)
    }

    /// What a key press means: by its place first, then by its sign, and where that is of no Latin alphabet, by what a
    /// US keyboard has there.
    pub fn pressed(&self, press: &Press) -> Option<&Meaning> {
        let by_place =
            press.place.as_ref().filter(|k| !self.by_altgr(press, k)).and_then(|k| self.meaning(k));
        by_place.or_else(|| self.meaning(&press.sign)).or_else(|| {
            let Name::Sign(sign) = &press.sign.name else { return None };
            let Some(Key { ctrl, alt, shift, name: Name::Place(code) }) = press.place else { return None };
            if sign.is_ascii() {
                return None;
            }
            self.meaning(&Key::new(ctrl, alt, shift, Layout::us().sign(code, shift)?))
        })
    }

    /// Whether the press types a sign that its place gives neither plain nor with Shift: then AltGr is held.
    fn by_altgr(&self, press: &Press, place: &Key) -> bool {
        let (Name::Sign(typed), Name::Place(code)) = (&press.sign.name, &place.name) else { return false };
        let signs: Vec<_> = [false, true]
            .into_iter()
            .filter_map(|shift| self.layout.as_ref()?.sign(*code, shift))
            .map(str::to_lowercase)
            .collect();
        typed.chars().count() == 1 && !press.sign.ctrl && !signs.is_empty() && !signs.contains(typed)
    }

    /// What the card gives keys to that cannot be typed on its layout.
    pub fn lost(&self) -> Vec<Lost> {
        let mut lost: Vec<(&Meaning, Lost)> = Vec::new();
        for (key, meaning) in &self.entries {
            if let Some(by) = self.taken(key) {
                let (what, by) = (meaning.title(), by.title());
                lost.push((meaning, Lost { key: self.cap_of(key), what, by }));
            }
        }
        let reachable =
            |m: &Meaning| self.entries.iter().any(|(k, other)| other == m && self.taken(k).is_none());
        lost.retain(|(m, _)| !reachable(m));
        lost.into_iter().map(|(_, l)| l).collect()
    }

    /// What is done in a key's stead, wherever it is typed on the layout.
    fn taken(&self, key: &Key) -> Option<&Meaning> {
        let Name::Sign(sign) = &key.name else { return None };
        let typed = self.layout.as_ref()?.places(sign).into_iter();
        let mut ways =
            typed.map(|(code, held)| Key::at(key.ctrl, key.alt, key.shift || held, code)).peekable();
        ways.peek()?;
        let by: Option<Vec<&Meaning>> = ways.map(|k| self.meaning(&k)).collect();
        by?.first().copied()
    }

    /// The keys of an action.
    pub fn keys_of(&self, action: Action) -> impl Iterator<Item = &Key> {
        self.entries.iter().filter(move |(_, m)| *m == Meaning::Do(action)).map(|(k, _)| k)
    }

    /// The tags and their keys.
    pub fn tags(&self) -> impl Iterator<Item = (&Key, &str)> {
        self.entries.iter().filter_map(|(k, m)| match m {
            Meaning::Tag(t) => Some((k, t.as_str())),
            Meaning::Do(_) => None,
        })
    }

    /// The first key of an action as a cap, or nothing.
    pub fn cap(&self, action: Action) -> String {
        self.keys_of(action).next().map(|k| self.cap_of(k)).unwrap_or_default()
    }

    /// The card as text for people: groups, keys, what they do, with the names of the two sides. The keyboard help and the
    /// manual show the same.
    pub fn help(&self, names: [&str; 2]) -> Vec<(String, Vec<HelpRow>)> {
        let mut groups: Vec<(String, Vec<HelpRow>)> = Group::ALL
            .iter()
            .map(|g| {
                let pad = if *g == Group::Pad { self.pad_help() } else { Vec::new() };
                let shown = ACTIONS.iter().filter(|r| r.group == *g && PadKey::of(r.action).is_none());
                let rows = shown.filter_map(|r| {
                    let keys: Vec<String> = self.keys_of(r.action).map(|k| self.cap_of(k)).collect();
                    (!keys.is_empty()).then(|| HelpRow { keys, what: r.action.title_for(names) })
                });
                (g.title().to_owned(), pad.into_iter().chain(rows).collect())
            })
            .collect();
        groups.push(("Tags".into(), self.tags().map(|(k, t)| HelpRow::new(self.cap_of(k), t)).collect()));
        groups.retain(|(_, rows)| !rows.is_empty());
        groups
    }

    /// The pad's keys as they lie, three in a row; those of backhands and slices in one row each, if they are the same keys with
    /// Shift or Alt.
    fn pad_help(&self) -> Vec<HelpRow> {
        let rows = |hand: usize| {
            let what = ["Away from the camera", "Between", "Toward the camera"];
            PAD[hand].chunks(3).zip(what).filter_map(|(row, what)| {
                let caps: Vec<String> = row.iter().map(|a| self.cap(*a)).filter(|c| !c.is_empty()).collect();
                (!caps.is_empty()).then(|| HelpRow::new(caps.join("  "), what))
            })
        };
        let held = |hand: usize, (alt, shift): (bool, bool)| {
            PAD[0].iter().zip(PAD[hand]).all(|(plain, other)| {
                let keys = self.keys_of(*plain).map(|k| Key { alt, shift, ..k.clone() });
                keys.eq(self.keys_of(other).cloned())
            })
        };
        let others = [
            ((false, true), "with ⇧", "A backhand; for a serve, a fault"),
            ((true, false), "with Alt", "A slice"),
            ((true, true), "with Alt ⇧", "A backhand slice; for a serve, a sliced fault"),
        ];
        let mut help: Vec<_> = rows(0).collect();
        for (hand, (keys, with, what)) in (1..).zip(others) {
            if rows(hand).next().is_none() {
                continue;
            }
            if held(hand, keys) {
                help.push(HelpRow::new(with.into(), what));
            } else {
                help.extend(rows(hand).map(|row| HelpRow { what: format!("{}: {what}", row.what), ..row }));
            }
        }
        help
    }
}

fn line_of(text: &str, at: usize) -> usize {
    text.as_bytes().iter().take(at).filter(|b| **b == b'\n').count() + 1
}

/// Refuses what no name or tag is as long as.
fn short(text: &str, what: &'static str, line: usize) -> Result<(), CardError> {
    let letters = text.chars().count();
    if letters > MOST_NAME { Err(CardError::Long { line, what, letters }) } else { Ok(()) }
}

fn syntax(text: &str, e: &toml::de::Error) -> CardError {
    let at = e.span().map_or(0, |s| s.start).min(text.len());
    let before = text.get(..at).unwrap_or_default();
    let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
    CardError::Syntax { line: line_of(text, at), column, message: in_toml(text, e) }
}

fn not_a_key(e: &Entry) -> CardError {
    let hint = Hint(near_key(&e.text).map(Into::into));
    CardError::NotAKey { line: e.line, found: e.text.chars().take(60).collect(), hint }
}

fn no_action(line: usize, found: &str) -> CardError {
    let hint = Hint::of(found, ACTIONS.iter().map(|r| r.name));
    CardError::NoAction { line, found: found.chars().take(60).collect(), hint }
}

#[cfg(test)]
#[path = "card_tests.rs"]
mod tests;
