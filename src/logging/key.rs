//! A key: by its sign (`s`, `ctrl+z`, `Left`) or by its physical place (`KeyU`), and a key press, which has both.

use std::fmt;
use std::str::FromStr;

use super::code::{Code, Layout};
use super::error::NotAKey;
use crate::near::nearest;

/// What a key goes by.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Name {
    /// A character, or the key's name in lower case: wherever it is on the keyboard.
    Sign(String),
    /// A place: whatever is written on it.
    Place(Code),
}

/// A key with its modifiers, in one spelling: `ctrl+shift+z`, `space`, `?`, `shift+KeyU`.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Key {
    /// The control key is down.
    pub ctrl: bool,
    /// The alt key is down.
    pub alt: bool,
    /// The shift key is down; never with a sign, which shift is part of.
    pub shift: bool,
    /// Which key.
    pub name: Name,
}

impl Key {
    /// A key by its sign, in its one spelling: letters in lower case, shift dropped where the sign itself holds it.
    pub fn new(ctrl: bool, alt: bool, shift: bool, sign: &str) -> Self {
        let mut chars = sign.chars();
        let single = match (chars.next(), chars.next()) {
            (Some(c), None) => Some(c),
            _ => None,
        };
        let lower = sign.to_lowercase();
        let shift = match single {
            Some(c) if c.is_alphabetic() => shift || lower != sign,
            Some(_) => false,
            None => shift,
        };
        Self { ctrl, alt, shift, name: Name::Sign(lower) }
    }

    /// A key by its place.
    pub const fn at(ctrl: bool, alt: bool, shift: bool, place: Code) -> Self {
        Self { ctrl, alt, shift, name: Name::Place(place) }
    }

    /// Whether it goes by this sign, whatever its modifiers.
    pub fn is(&self, sign: &str) -> bool {
        matches!(&self.name, Name::Sign(s) if s == sign)
    }

    /// As shown on a key cap of a US keyboard: `Ctrl Z`, `←`, `Space`.
    pub fn cap(&self) -> String {
        self.cap_on(&Layout::us())
    }

    /// As shown on a key cap.
    pub fn cap_on(&self, layout: &Layout) -> String {
        let name = match &self.name {
            Name::Place(code) => layout.cap(*code),
            Name::Sign(sign) => sign_cap(sign),
        };
        let mut caps = Vec::new();
        if self.ctrl {
            caps.push("Ctrl");
        }
        if self.alt {
            caps.push("Alt");
        }
        let last = if self.shift { format!("⇧{name}") } else { name };
        caps.push(&last);
        caps.join(" ")
    }
}

fn sign_cap(sign: &str) -> String {
    match sign {
        "left" => "←".into(),
        "right" => "→".into(),
        "up" => "↑".into(),
        "down" => "↓".into(),
        "return" => "↵".into(),
        "backspace" => "⌫".into(),
        "escape" => "Esc".into(),
        "delete" => "Del".into(),
        "insert" => "Ins".into(),
        "page_up" => "PgUp".into(),
        "page_down" => "PgDn".into(),
        n => {
            let mut c = n.chars();
            c.next().map_or_else(String::new, |f| f.to_uppercase().chain(c).collect())
        }
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (on, word) in [(self.ctrl, "ctrl+"), (self.alt, "alt+"), (self.shift, "shift+")] {
            if on {
                f.write_str(word)?;
            }
        }
        match &self.name {
            Name::Sign(sign) => f.write_str(sign),
            Name::Place(code) => f.write_str(code.name()),
        }
    }
}

/// The keys that go by a name and not by what is written on them, but for the function keys.
const NAMED: [&str; 15] = [
    "space",
    "left",
    "right",
    "up",
    "down",
    "home",
    "end",
    "return",
    "escape",
    "delete",
    "insert",
    "tab",
    "backspace",
    "page_up",
    "page_down",
];

/// The key that was meant by a text that is none.
pub(super) fn near_key(text: &str) -> Option<String> {
    let is_key = |word: &str| word.parse::<Key>().is_ok();
    let (held, last) = text.rsplit_once('+').unwrap_or(("", text));
    let held = held.split('+').filter(|w| !w.is_empty()).map(|w| nearest(w, ["ctrl", "alt", "shift"]));
    let names = || NAMED.iter().copied().chain(Code::all().map(Code::name));
    let last = if is_key(last) { Some(last) } else { nearest(last, names()) };
    let parts: Option<Vec<&str>> = held.chain([last]).collect();
    Some(parts?.join("+")).filter(|near| is_key(near))
}

impl FromStr for Key {
    type Err = NotAKey;

    fn from_str(text: &str) -> Result<Self, NotAKey> {
        let (mut rest, mut ctrl, mut alt, mut shift) = (text, false, false, false);
        while let Some((word, after)) = rest.split_once('+').filter(|(_, after)| !after.is_empty()) {
            let flag = match word.to_ascii_lowercase().as_str() {
                "ctrl" => &mut ctrl,
                "alt" => &mut alt,
                "shift" => &mut shift,
                _ => return Err(NotAKey),
            };
            if std::mem::replace(flag, true) {
                return Err(NotAKey);
            }
            rest = after;
        }
        if let Ok(place) = rest.parse() {
            return Ok(Self::at(ctrl, alt, shift, place));
        }
        let lower = rest.to_lowercase();
        let function =
            lower.strip_prefix('f').and_then(|n| n.parse::<u8>().ok()).is_some_and(|n| (1..=12).contains(&n));
        let single = rest.chars().count() == 1 && rest.chars().all(|c| !c.is_whitespace() && !c.is_control());
        if single || function || NAMED.contains(&lower.as_str()) {
            Ok(Self::new(ctrl, alt, shift, rest))
        } else {
            Err(NotAKey)
        }
    }
}

/// A key press: the sign that it gives on the user's layout, and the place that was pressed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Press {
    /// The key by its sign.
    pub sign: Key,
    /// The key by its place; none for keys that bear no sign.
    pub place: Option<Key>,
}

impl Press {
    /// A press with its modifiers.
    pub fn new(ctrl: bool, alt: bool, shift: bool, sign: &str, place: Option<Code>) -> Self {
        Self {
            sign: Key::new(ctrl, alt, shift, sign),
            place: place.map(|code| Key::at(ctrl, alt, shift, code)),
        }
    }

    /// How a key is pressed on a keyboard of this layout: a sign at its first place there.
    pub fn typed(key: &Key, layout: &Layout) -> Self {
        let Key { ctrl, alt, shift, .. } = *key;
        match &key.name {
            Name::Place(code) => {
                let sign = layout.sign(*code, shift).unwrap_or_default();
                Self::new(ctrl, alt, shift, sign, Some(*code))
            }
            Name::Sign(sign) => {
                let place = layout.places(sign).first().copied();
                let shift = shift || place.is_some_and(|(_, held)| held);
                Self::new(ctrl, alt, shift, sign, place.map(|(code, _)| code))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn shift_belongs_to_the_sign() {
        assert_eq!(Key::new(false, false, true, "?"), "?".parse().unwrap());
        assert_eq!(Key::new(false, false, true, "S"), "shift+s".parse().unwrap());
        assert!("ctrl++".parse::<Key>().unwrap().is("+"));
        for bad in ["", "ctrl+", "a b", "ctrl+ctrl+a", "F13", "ab", "\n", "Key", "KeyUU", "Numpad10"] {
            assert!(bad.parse::<Key>().is_err(), "{bad:?}");
        }
    }

    #[test]
    fn places_go_by_their_standard_names() {
        let key: Key = "ctrl+shift+keyu".parse().unwrap();
        assert_eq!((key.to_string(), key.cap()), ("ctrl+shift+KeyU".into(), "Ctrl ⇧U".into()));
        assert_eq!("shift+Slash".parse::<Key>().unwrap().cap(), "⇧/");
    }

    #[test]
    fn a_press_has_a_sign_and_a_place() {
        let press = |key: &str| Press::typed(&key.parse().unwrap(), &Layout::us());
        assert_eq!(press("?").place, "shift+Slash".parse().ok());
        assert_eq!(press("shift+s").place, "shift+KeyS".parse().ok());
        assert_eq!(press("shift+KeyU").sign, "shift+u".parse().unwrap());
        assert_eq!(press("Left").place, None);
    }

    proptest! {
        #[test]
        fn a_key_prints_and_parses_back(ctrl: bool, alt: bool, shift: bool, name in "[a-z0-9.,;?]|space|Left|F[1-9]|Key[A-Z]|Numpad[0-9]") {
            let key = match name.parse() {
                Ok(place) => Key::at(ctrl, alt, shift, place),
                Err(_) => Key::new(ctrl, alt, shift, &name),
            };
            prop_assert_eq!(key.to_string().parse::<Key>(), Ok(key));
        }
    }
}
