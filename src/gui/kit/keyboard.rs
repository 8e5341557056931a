//! The user's keyboard: what is written on its keys, asked of the display, and the key of a key event.

use gtk::gdk;
use gtk::prelude::*;

use crate::logging::{Code, Layout, Press};

/// The signs on the keys. `group` is the layout that is switched on, counted from 0.
pub fn read(display: &gdk::Display, group: i32) -> Layout {
    Layout::of(|code, shift| {
        let all = display.map_keycode(code.hardware())?;
        let of = |group: i32| {
            all.iter().find(|(k, _)| k.level() == i32::from(shift) && k.group() == group).map(|(_, key)| *key)
        };
        // A key that is the same in all layouts has one group only.
        of(group).or_else(|| of(0)).and_then(written)
    })
}

/// The sign that a key gives, a dead key's too.
fn written(key: gdk::Key) -> Option<String> {
    let dead = [
        (gdk::Key::dead_acute, '´'),
        (gdk::Key::dead_grave, '`'),
        (gdk::Key::dead_circumflex, '^'),
        (gdk::Key::dead_diaeresis, '¨'),
        (gdk::Key::dead_tilde, '~'),
        (gdk::Key::dead_cedilla, '¸'),
        (gdk::Key::dead_caron, 'ˇ'),
        (gdk::Key::dead_abovering, '°'),
    ];
    let dead = dead.into_iter().find(|(k, _)| *k == key).map(|(_, sign)| sign);
    let sign = dead.or_else(|| key.to_unicode()).filter(|c| !c.is_whitespace() && !c.is_control())?;
    Some(sign.to_string())
}

/// The key of a key event, as a card spells it.
pub fn press_of(key: gdk::Key, number: u32, mods: gdk::ModifierType, layout: Option<&Layout>) -> Press {
    let sign = key.to_unicode().filter(|c| !c.is_whitespace() && !c.is_control());
    let name = match (sign, key) {
        (Some(c), _) => c.to_string(),
        (None, gdk::Key::KP_Enter) => "return".into(),
        (None, gdk::Key::ISO_Left_Tab) => "tab".into(),
        _ => key.name().map_or_else(String::new, |n| n.to_string()),
    };
    let has = |m| mods.contains(m);
    Press::new(
        has(gdk::ModifierType::CONTROL_MASK),
        has(gdk::ModifierType::ALT_MASK),
        has(gdk::ModifierType::SHIFT_MASK),
        &name,
        Code::from_hardware(number).filter(|code| !by_third_level(sign, *code, layout)),
    )
}

/// Whether a sign was typed with AltGr, as the ones that a place gives plain and with Shift tell.
fn by_third_level(sign: Option<char>, code: Code, layout: Option<&Layout>) -> bool {
    let of = |shift| layout?.sign(code, shift).map(str::to_lowercase);
    match (sign, of(false), of(true)) {
        (Some(typed), Some(plain), Some(shifted)) => {
            let typed: String = typed.to_lowercase().collect();
            !code.name().starts_with("Numpad") && typed != plain && typed != shifted
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[gtk::test]
    fn a_layout_names_the_keys_of_this_keyboard() {
        let layout = read(&gdk::Display::default().unwrap(), 0);
        let sign = |name: &str, shift| layout.sign(name.parse().unwrap(), shift).map(str::to_owned);
        // Tests run on a virtual display, whose keyboard is a US one.
        assert_eq!([sign("KeyU", false), sign("KeyU", true)], [Some("u".into()), Some("U".into())]);
        assert_eq!([sign("Semicolon", false), sign("Digit1", true)], [Some(";".into()), Some("!".into())]);
    }
}
