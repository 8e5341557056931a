//! Physical places on a keyboard, by their standard names.
//!
//! The names are the `code` values of W3C UI Events (<https://www.w3.org/TR/uievents-code/>): `KeyU` is the place that
//! bears U on a US keyboard, whatever is written on it elsewhere. Numbers are those of Linux's input-event-codes.h; X11,
//! Wayland's keyboards and GTK count 8 more.

use std::collections::HashMap;
use std::fmt;
use std::str::FromStr;

use super::error::NotAKey;

/// A place on the keyboard that bears a sign: letters, digits and signs of the main block, and the numeric keypad.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Code(u8);

/// Number, name, and what a US keyboard has there, plain and with Shift. The keypad bears no sign of its own.
const PLACES: &[(u8, &str, &str, &str)] = &[
    (2, "Digit1", "1", "!"),
    (3, "Digit2", "2", "@"),
    (4, "Digit3", "3", "#"),
    (5, "Digit4", "4", "$"),
    (6, "Digit5", "5", "%"),
    (7, "Digit6", "6", "^"),
    (8, "Digit7", "7", "&"),
    (9, "Digit8", "8", "*"),
    (10, "Digit9", "9", "("),
    (11, "Digit0", "0", ")"),
    (12, "Minus", "-", "_"),
    (13, "Equal", "=", "+"),
    (16, "KeyQ", "q", "Q"),
    (17, "KeyW", "w", "W"),
    (18, "KeyE", "e", "E"),
    (19, "KeyR", "r", "R"),
    (20, "KeyT", "t", "T"),
    (21, "KeyY", "y", "Y"),
    (22, "KeyU", "u", "U"),
    (23, "KeyI", "i", "I"),
    (24, "KeyO", "o", "O"),
    (25, "KeyP", "p", "P"),
    (26, "BracketLeft", "[", "{"),
    (27, "BracketRight", "]", "}"),
    (30, "KeyA", "a", "A"),
    (31, "KeyS", "s", "S"),
    (32, "KeyD", "d", "D"),
    (33, "KeyF", "f", "F"),
    (34, "KeyG", "g", "G"),
    (35, "KeyH", "h", "H"),
    (36, "KeyJ", "j", "J"),
    (37, "KeyK", "k", "K"),
    (38, "KeyL", "l", "L"),
    (39, "Semicolon", ";", ":"),
    (40, "Quote", "'", "\""),
    (41, "Backquote", "`", "~"),
    (43, "Backslash", "\\", "|"),
    (44, "KeyZ", "z", "Z"),
    (45, "KeyX", "x", "X"),
    (46, "KeyC", "c", "C"),
    (47, "KeyV", "v", "V"),
    (48, "KeyB", "b", "B"),
    (49, "KeyN", "n", "N"),
    (50, "KeyM", "m", "M"),
    (51, "Comma", ",", "<"),
    (52, "Period", ".", ">"),
    (53, "Slash", "/", "?"),
    (55, "NumpadMultiply", "", ""),
    (71, "Numpad7", "", ""),
    (72, "Numpad8", "", ""),
    (73, "Numpad9", "", ""),
    (74, "NumpadSubtract", "", ""),
    (75, "Numpad4", "", ""),
    (76, "Numpad5", "", ""),
    (77, "Numpad6", "", ""),
    (78, "NumpadAdd", "", ""),
    (79, "Numpad1", "", ""),
    (80, "Numpad2", "", ""),
    (81, "Numpad3", "", ""),
    (82, "Numpad0", "", ""),
    (83, "NumpadDecimal", "", ""),
    (86, "IntlBackslash", "<", ">"),
    (89, "IntlRo", "", ""),
    (96, "NumpadEnter", "", ""),
    (98, "NumpadDivide", "", ""),
    (117, "NumpadEqual", "", ""),
    (121, "NumpadComma", "", ""),
    (124, "IntlYen", "", ""),
];

impl Code {
    /// The place with this hardware number, as X11 and GTK count; none for keys without a sign of their own.
    pub fn from_hardware(number: u32) -> Option<Self> {
        let evdev = u8::try_from(number.checked_sub(8)?).ok()?;
        PLACES.iter().any(|p| p.0 == evdev).then_some(Self(evdev))
    }

    /// Its hardware number, as X11 and GTK count.
    pub const fn hardware(self) -> u32 {
        self.0 as u32 + 8
    }

    /// Every place.
    pub fn all() -> impl Iterator<Item = Self> {
        PLACES.iter().map(|p| Self(p.0))
    }

    fn row(self) -> Option<&'static (u8, &'static str, &'static str, &'static str)> {
        PLACES.iter().find(|p| p.0 == self.0)
    }

    /// Its standard name.
    pub fn name(self) -> &'static str {
        self.row().map_or("", |r| r.1)
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Code {
    type Err = NotAKey;

    fn from_str(text: &str) -> Result<Self, NotAKey> {
        PLACES.iter().find(|p| p.1.eq_ignore_ascii_case(text)).map(|p| Self(p.0)).ok_or(NotAKey)
    }
}

/// What a keyboard has written on its places.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout(HashMap<Code, [Option<String>; 2]>);

impl Layout {
    /// The layout that gives these signs: asked of each place, plain and with Shift.
    pub fn of(sign: impl Fn(Code, bool) -> Option<String>) -> Self {
        Self(Code::all().map(|c| (c, [false, true].map(|shift| sign(c, shift)))).collect())
    }

    /// A US keyboard.
    pub fn us() -> Self {
        Self::of(|code, shift| {
            let row = code.row().filter(|r| !r.2.is_empty())?;
            Some(if shift { row.3 } else { row.2 }.to_owned())
        })
    }

    /// The sign at a place.
    pub fn sign(&self, code: Code, shift: bool) -> Option<&str> {
        self.0.get(&code)?[usize::from(shift)].as_deref()
    }

    /// The places of a sign, and whether Shift is held there.
    pub fn places(&self, sign: &str) -> Vec<(Code, bool)> {
        let mut found: Vec<_> = Code::all()
            .flat_map(|c| [(c, false), (c, true)])
            .filter(|(c, shift)| self.sign(*c, *shift) == Some(sign))
            .collect();
        found.sort_by_key(|(c, shift)| (c.name() == "IntlBackslash", *shift));
        found
    }

    /// What stands on the key cap of a place: its plain sign in capitals, `Num 7` on the keypad, else the place's name.
    pub fn cap(&self, code: Code) -> String {
        if let Some(key) = code.name().strip_prefix("Numpad") {
            let word = match key {
                "Multiply" => "×",
                "Subtract" => "−",
                "Add" => "+",
                "Decimal" => ".",
                "Divide" => "÷",
                "Equal" => "=",
                "Comma" => ",",
                "Enter" => "↵",
                digit => digit,
            };
            return format!("Num {word}");
        }
        // A French key bears its digit too, under Shift.
        let digit = code.name().strip_prefix("Digit");
        let digit = digit.filter(|d| [false, true].iter().any(|shift| self.sign(code, *shift) == Some(d)));
        let sign = digit.or_else(|| self.sign(code, false));
        sign.map_or_else(|| code.name().to_owned(), capital)
    }
}

/// A sign in capitals, where that is one sign too.
fn capital(sign: &str) -> String {
    let upper = sign.to_uppercase();
    if upper.chars().count() == sign.chars().count() { upper } else { sign.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Spot values from input-event-codes.h, where 0 row and home row are counted through.
    #[test]
    fn numbers_and_names_agree_with_the_standards() {
        for (number, name) in
            [(30, "KeyU"), (59, "Comma"), (47, "Semicolon"), (79, "Numpad7"), (10, "Digit1")]
        {
            let code = Code::from_hardware(number).unwrap();
            assert_eq!((code.name(), code.hardware()), (name, number));
            assert_eq!(name.to_lowercase().parse(), Ok(code));
        }
        assert_eq!(Code::from_hardware(7), None);
        assert_eq!(Code::from_hardware(65), None, "space is a name, not a place");
        assert!("KeyÄ".parse::<Code>().is_err());
    }

    #[test]
    fn caps_follow_the_layout() {
        let azerty = Layout::of(|code, shift| match (code.name(), shift) {
            ("KeyQ", false) => Some("a".into()),
            ("KeyM", false) => Some(",".into()),
            ("Minus", false) => Some("ß".into()),
            _ => None,
        });
        let cap = |name: &str| azerty.cap(name.parse().unwrap());
        assert_eq!([cap("KeyQ"), cap("KeyM"), cap("Minus"), cap("Numpad7")], ["A", ",", "ß", "Num 7"]);
        assert_eq!(cap("KeyU"), "KeyU", "what is not known is named");
        assert_eq!(azerty.places("a"), [("KeyQ".parse().unwrap(), false)]);
        assert_eq!(Layout::us().cap("Semicolon".parse().unwrap()), ";");
    }
}
