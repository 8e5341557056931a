//! The key card that is used: one of those built in, or a file.

use std::path::Path;

use super::settings::Card;
use crate::logging::KeyCard;
use crate::logging::card::{BUILT_IN, LEFT_HANDED, NUMPAD, TAGS_ONLY};
use crate::textfile::{self, Limit};

/// Reads the key card of a file, or the one built in.
///
/// # Errors
/// A message for the user that names the file and the place in it.
pub fn key_card(file: Option<&Path>) -> Result<KeyCard, String> {
    let Some(file) = file else {
        return KeyCard::parse(BUILT_IN).map_err(|e| format!("the built-in key card: {e}"));
    };
    let text = textfile::text(file, Limit::SETTINGS).map_err(|e| format!("{}: {e}", file.display()))?;
    KeyCard::parse(&text).map_err(|e| format!("{}: {e}", file.display()))
}

impl Card {
    /// Reads the card.
    ///
    /// # Errors
    /// A message for the user that names the file and the place in it.
    pub fn load(&self) -> Result<KeyCard, String> {
        let built_in = |text| KeyCard::parse(text).map_err(|e| format!("a key card that is built in: {e}"));
        match self {
            Self::BuiltIn => built_in(BUILT_IN),
            Self::LeftHanded => built_in(LEFT_HANDED),
            Self::Numpad => built_in(NUMPAD),
            Self::TagsOnly => built_in(TAGS_ONLY),
            Self::File(path) => key_card(Some(path)),
        }
    }
}
