//! The key card in use: a built-in one, or a file.

use std::path::{Path, PathBuf};

use super::error::OwnFileError;
use super::folders;
use super::settings::Card;
use crate::logging::KeyCard;
use crate::logging::card::{BUILT_IN, LEFT_HANDED, NUMPAD, TAGS_ONLY};
use crate::logging::draft::Draft;
use crate::saving::update;
use crate::textfile::{self, Limit};

/// Reads the key card of a file, or the one built in.
///
/// # Errors
/// [`OwnFileError`], which names the file and the place in it.
pub fn key_card(file: Option<&Path>) -> Result<KeyCard, OwnFileError> {
    let Some(file) = file else {
        return KeyCard::parse(BUILT_IN).map_err(|why| OwnFileError::BuiltIn(Box::new(why)));
    };
    let path = || file.to_owned();
    let text =
        textfile::text(file, Limit::SETTINGS).map_err(|why| OwnFileError::Text { path: path(), why })?;
    KeyCard::parse(&text).map_err(|why| OwnFileError::Card { path: path(), why: Box::new(why) })
}

/// The name of a card that was changed in the window, and of its file.
const OWN: (&str, &str) = ("My own keys", "own");

/// Saves a changed card in the user's folder and returns its file. It replaces the earlier file only if the window wrote that
/// file. A file that was written by hand, or belongs to another card, stays, and the new card gets another name.
///
/// # Errors
/// [`OwnFileError`], which names the file.
pub fn keep(before: &Draft, changed: &Draft) -> Result<PathBuf, OwnFileError> {
    keep_in(&folders::config(), before, changed)
}

fn keep_in(folder: &Path, before: &Draft, changed: &Draft) -> Result<PathBuf, OwnFileError> {
    let before = before.text(OWN.0);
    let numbered = (2..).map(|n| format!("{}-{n}.keys.toml", OWN.1));
    let names = std::iter::once(format!("{}.keys.toml", OWN.1)).chain(numbered);
    let free = |path: &PathBuf| match textfile::text(path, Limit::SETTINGS) {
        Ok(there) => there == before,
        // What cannot be made there, the writing says.
        Err(e) => e.is_missing() || path.symlink_metadata().is_err(),
    };
    let place = names.take(1_000).map(|name| folder.join(name)).find(free);
    let path = place.ok_or_else(|| OwnFileError::TooManyCards { folder: folder.to_owned() })?;
    let was = if path.exists() { before.as_str() } else { "" };
    update(&path, was, &changed.text(OWN.0))?;
    Ok(path)
}

impl Card {
    /// Reads the card.
    ///
    /// # Errors
    /// [`OwnFileError`], which names the file and the place in it.
    pub fn load(&self) -> Result<KeyCard, OwnFileError> {
        let built_in = |text| KeyCard::parse(text).map_err(|why| OwnFileError::BuiltIn(Box::new(why)));
        match self {
            Self::BuiltIn => built_in(BUILT_IN),
            Self::LeftHanded => built_in(LEFT_HANDED),
            Self::Numpad => built_in(NUMPAD),
            Self::TagsOnly => built_in(TAGS_ONLY),
            Self::File(path) => key_card(Some(path)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logging::{Action, Meaning};

    #[test]
    fn a_card_written_by_hand_is_not_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let before = Draft::of(&key_card(None).unwrap());
        let mut changed = before.clone();
        changed.take_over(&"F9".parse().unwrap(), &Meaning::Do(Action::Undo));
        let by_hand = folder.path().join("own.keys.toml");
        std::fs::write(&by_hand, "# mine\nname = \"Mine\"\n").unwrap();
        let first = keep_in(folder.path(), &before, &changed).unwrap();
        assert_eq!(first, folder.path().join("own-2.keys.toml"));
        assert_eq!(std::fs::read_to_string(by_hand).unwrap(), "# mine\nname = \"Mine\"\n");
        // What the window wrote, it writes over.
        let mut again = changed.clone();
        again.take_over(&"F8".parse().unwrap(), &Meaning::Do(Action::Redo));
        assert_eq!(keep_in(folder.path(), &changed, &again).unwrap(), first);
        let card = key_card(Some(&first)).unwrap();
        assert_eq!(Draft::of(&card), again);
        // A card of before is not lost to one that is made from another.
        let third = keep_in(folder.path(), &before, &changed).unwrap();
        assert_eq!(third, folder.path().join("own-3.keys.toml"));
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 3);
    }
}
