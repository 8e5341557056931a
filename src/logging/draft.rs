//! A key card that is being changed: which key does what, and the card as a file.

use std::fmt::Write;

use thiserror::Error;

use super::action::{ACTIONS, Action, Group};
use super::card::{KeyCard, Meaning};
use super::key::Key;

/// The key already does something else.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{key} already means \"{by}\"")]
pub struct Taken {
    /// The key, as on its cap.
    pub key: String,
    /// What it does.
    pub by: String,
}

/// A card that is being changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    keys: Vec<(Key, Meaning)>,
}

impl Draft {
    /// The current card.
    pub fn of(card: &KeyCard) -> Self {
        let actions = ACTIONS.iter().flat_map(|row| {
            card.keys_of(row.action).map(|key| (key.clone(), Meaning::Do(row.action))).collect::<Vec<_>>()
        });
        let tags = card.tags().map(|(key, tag)| (key.clone(), Meaning::Tag(tag.to_owned())));
        Self { keys: actions.chain(tags).collect() }
    }

    /// The keys of something.
    pub fn keys_of<'a>(&'a self, what: &'a Meaning) -> impl Iterator<Item = &'a Key> {
        self.keys.iter().filter(move |(_, m)| m == what).map(|(k, _)| k)
    }

    /// Everything that can have a key: the actions, then the tags.
    pub fn all(&self) -> Vec<Meaning> {
        let mut all: Vec<Meaning> = ACTIONS.iter().map(|r| Meaning::Do(r.action)).collect();
        for (_, meaning) in &self.keys {
            if !all.contains(meaning) {
                all.push(meaning.clone());
            }
        }
        all
    }

    /// Makes a key the only one of something.
    ///
    /// # Errors
    /// [`Taken`], and nothing changes, when it does something else.
    pub fn give(&mut self, key: &Key, to: &Meaning) -> Result<(), Taken> {
        if let Some((_, by)) = self.keys.iter().find(|(k, m)| k == key && m != to) {
            return Err(Taken { key: key.cap(), by: by.title() });
        }
        self.take_over(key, to);
        Ok(())
    }

    /// Makes a key the only one of something, and takes it from what it did before.
    pub fn take_over(&mut self, key: &Key, to: &Meaning) {
        let place = self.keys.iter().position(|(_, m)| m == to).unwrap_or(self.keys.len());
        self.keys.insert(place, (key.clone(), to.clone()));
        let mut at = 0;
        self.keys.retain(|(k, m)| {
            at += 1;
            at == place + 1 || (k != key && m != to)
        });
    }

    /// The card as a file.
    pub fn text(&self, name: &str) -> String {
        let quoted = |text: &str| toml::Value::String(text.to_owned()).to_string();
        let mut text = format!("name = {}\n\n[keys]\n", quoted(name));
        for group in Group::ALL {
            let rows: Vec<String> = ACTIONS
                .iter()
                .filter(|r| r.group == group)
                .filter_map(|r| self.line(r.action, quoted))
                .collect();
            if !rows.is_empty() {
                let _ = writeln!(text, "# {}\n{}\n", group.title(), rows.join("\n"));
            }
        }
        for (key, meaning) in &self.keys {
            if let Meaning::Tag(tag) = meaning {
                let _ =
                    writeln!(text, "[[tags]]\nkey = {}\ntag = {}\n", quoted(&key.to_string()), quoted(tag));
            }
        }
        text.truncate(text.trim_end().len());
        text.push('\n');
        text
    }

    fn line(&self, action: Action, quoted: impl Fn(&str) -> String) -> Option<String> {
        let what = Meaning::Do(action);
        let keys: Vec<String> = self.keys_of(&what).map(|k| quoted(&k.to_string())).collect();
        match &keys[..] {
            [] => None,
            [one] => Some(format!("{} = {one}", action.name())),
            many => Some(format!("{} = [{}]", action.name(), many.join(", "))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::card::BUILT_IN;
    use super::*;
    use proptest::prelude::*;

    fn key(text: &str) -> Key {
        text.parse().unwrap()
    }

    #[test]
    fn a_card_written_reads_back_as_it_was() {
        let card = KeyCard::parse(BUILT_IN).unwrap();
        let draft = Draft::of(&card);
        let again = KeyCard::parse(&draft.text("Mine \"own\"")).unwrap();
        assert_eq!(again.name(), "Mine \"own\"");
        assert_eq!(Draft::of(&again), draft);
        assert_eq!(again.help(["Holt", "Okafor"]), card.help(["Holt", "Okafor"]));
    }

    #[test]
    fn a_key_that_does_something_else_is_told_by_name() {
        let mut draft = Draft::of(&KeyCard::parse(BUILT_IN).unwrap());
        let before = draft.clone();
        let undo = Meaning::Do(Action::Undo);
        let e = draft.give(&key("ctrl+s"), &undo).unwrap_err();
        assert_eq!(e.to_string(), "Ctrl S already means \"Save now\"");
        assert_eq!(draft, before);
        draft.take_over(&key("ctrl+s"), &undo);
        assert_eq!(draft.keys_of(&undo).collect::<Vec<_>>(), [&key("ctrl+s")]);
        assert_eq!(draft.keys_of(&Meaning::Do(Action::Save)).count(), 0);
        draft.give(&key("ctrl+s"), &undo).unwrap();
        assert!(draft.all().contains(&Meaning::Do(Action::Save)), "what has no key can be given one again");
    }

    proptest! {
        /// Whatever keys are assigned, no key has two meanings, and the file can be read.
        #[test]
        fn a_draft_is_always_a_card(gifts in proptest::collection::vec((0usize..200, "[a-z]|Key[A-Z]|F[1-9]|ctrl\\+[a-z]"), 0..40)) {
            let mut draft = Draft::of(&KeyCard::parse(BUILT_IN).unwrap());
            for (what, name) in gifts {
                let all = draft.all();
                let what = &all[what % all.len()];
                draft.take_over(&key(&name), what);
                prop_assert_eq!(draft.keys_of(what).count(), 1);
            }
            let card = KeyCard::parse(&draft.text("x")).unwrap();
            prop_assert_eq!(Draft::of(&card).text("x"), draft.text("x"));
        }
    }
}
