//! The user guide: the chapters of `docs/guide`, with the keys of the user's card.

use crate::logging::card::BUILT_IN;
use crate::logging::{Key, KeyCard, Layout, Meaning, Press};

/// A chapter: its name, its title in the list, its Markdown.
pub struct Chapter {
    /// Its name.
    pub name: &'static str,
    /// Its title.
    pub title: &'static str,
    /// Its text.
    pub text: &'static str,
}

macro_rules! chapter {
    ($name:literal, $title:literal) => {
        Chapter {
            name: $name,
            title: $title,
            text: include_str!(concat!("../../../docs/guide/", $name, ".md")),
        }
    };
}

/// The chapters, in their order.
pub const CHAPTERS: [Chapter; 10] = [
    chapter!("log", "Log a match"),
    chapter!("study", "Study a match"),
    chapter!("library", "Library and search"),
    chapter!("show", "Lessons and the show"),
    chapter!("courtside", "Courtside"),
    chapter!("patterns", "Patterns"),
    chapter!("exports", "Export"),
    chapter!("files", "Files and safety"),
    chapter!("keys", "Keys and settings"),
    chapter!("install", "Install"),
];

/// The keys that the guide names are those of the built-in card; this says them as the user's card has them.
pub struct Caps<'c> {
    built_in: Option<KeyCard>,
    card: &'c KeyCard,
}

impl<'c> Caps<'c> {
    /// For the user's card.
    pub fn of(card: &'c KeyCard) -> Self {
        Self { built_in: KeyCard::parse(BUILT_IN).ok(), card }
    }

    /// What stands between backquotes, with the key on the user's card where it is one.
    pub fn say(&self, code: &str) -> String {
        let meant = self.built_in.as_ref().and_then(|card| meaning(card, code));
        let cap = match meant {
            Some(Meaning::Do(action)) => self.card.cap(action),
            Some(Meaning::Tag(tag)) => {
                let key = self.card.tags().find(|(_, other)| **other == *tag).map(|(key, _)| key);
                key.map(|k| self.card.cap_of(k)).unwrap_or_default()
            }
            None => return code.to_owned(),
        };
        if cap.is_empty() { format!("{code} (no key)") } else { cap }
    }
}

/// What a key of the guide means on a card; `None` where it is no key, as a file's name.
fn meaning(card: &KeyCard, code: &str) -> Option<Meaning> {
    let key: Key = code.parse().ok()?;
    card.pressed(&Press::typed(&key, &Layout::us())).cloned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gui::kit::markdown::blocks;
    use crate::logging::Action;
    use crate::logging::card::LEFT_HANDED;
    use std::cell::RefCell;

    #[test]
    fn every_key_of_the_guide_is_on_the_built_in_card() {
        let card = KeyCard::parse(BUILT_IN).unwrap();
        for chapter in &CHAPTERS {
            let wrong = RefCell::new(Vec::new());
            blocks(chapter.text, |code| {
                // A key alone, and not a part of what is typed: `+30`.
                if code.parse::<Key>().is_ok() && meaning(&card, code).is_none() {
                    wrong.borrow_mut().push(code.to_owned());
                }
                code.to_owned()
            });
            assert!(wrong.borrow().is_empty(), "{}: no meaning: {:?}", chapter.name, wrong.borrow());
        }
    }

    #[test]
    fn the_guide_says_the_keys_of_the_users_card() {
        let built_in = KeyCard::parse(BUILT_IN).unwrap();
        let left = KeyCard::parse(LEFT_HANDED).unwrap();
        assert_eq!(Caps::of(&built_in).say("s"), built_in.cap(Action::PointStart));
        assert_eq!(Caps::of(&left).say("s"), left.cap(Action::PointStart));
        assert_eq!(Caps::of(&left).say("NAME.points.json"), "NAME.points.json");
        assert_eq!(Caps::of(&left).say("1:23:45"), "1:23:45");
        let tags_only = KeyCard::parse(crate::logging::card::TAGS_ONLY).unwrap();
        assert_eq!(Caps::of(&tags_only).say("u"), "u (no key)");
    }
}
