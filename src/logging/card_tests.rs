//! Key cards: those that are shipped, on keyboards of several layouts; errors; what nobody should write.

use proptest::prelude::*;

use super::*;
use crate::logging::Code;

fn card(keys: &str) -> Result<KeyCard, CardError> {
    KeyCard::parse(&format!("name = \"Mine\"\n[keys]\n{keys}"))
}

fn shipped(name: &str) -> KeyCard {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tags").join(name);
    KeyCard::parse(&std::fs::read_to_string(path).unwrap()).unwrap()
}

const FULL: [&str; 3] = ["built-in.keys.toml", "left-handed.keys.toml", "numpad.keys.toml"];

#[test]
fn the_cards_give_every_action_a_key() {
    for name in FULL {
        let card = shipped(name);
        for row in ACTIONS {
            assert!(card.keys_of(row.action).next().is_some(), "{name}: {}", row.name);
        }
        assert!(card.tags().count() >= 4);
    }
    let tags_only = shipped("tags-only.keys.toml");
    for row in ACTIONS {
        let balls = matches!(row.group, Group::Pad | Group::Balls) || BALL_ENDINGS.contains(&row.action);
        assert!(balls || tags_only.keys_of(row.action).next().is_some(), "{}", row.name);
    }
    assert!(tags_only.tags().count() >= 8);
}

/// What a card needs no key for where no shots are logged.
const BALL_ENDINGS: [Action; 18] = [
    Action::MissLongWide,
    Action::MissNet,
    Action::MissLong,
    Action::MissWide,
    Action::UnforcedNet,
    Action::UnforcedLong,
    Action::UnforcedWide,
    Action::ForcedNet,
    Action::ForcedLong,
    Action::ForcedWide,
    Action::ForcedKeyed,
    Action::UnforcedKeyed,
    Action::NetKeyed,
    Action::LongKeyed,
    Action::WideKeyed,
    Action::Let,
    Action::RestNotLogged,
    Action::Plan,
];

/// The nine plain pad keys lie as on the court: three rows of three, each key beside the next.
#[test]
fn the_pad_is_a_block_on_every_card() {
    let blocks = [
        ["KeyU KeyI KeyO", "KeyJ KeyK KeyL", "KeyM Comma Period"],
        ["KeyW KeyE KeyR", "KeyS KeyD KeyF", "KeyX KeyC KeyV"],
        ["Numpad7 Numpad8 Numpad9", "Numpad4 Numpad5 Numpad6", "Numpad1 Numpad2 Numpad3"],
    ];
    for (name, block) in FULL.iter().zip(blocks) {
        let card = shipped(name);
        let keys = block.iter().flat_map(|row| row.split(' '));
        for (i, key) in keys.enumerate() {
            for (hand, shift) in ["", "shift+", "alt+", "alt+shift+"].iter().enumerate() {
                let key: Key = format!("{shift}{key}").parse().unwrap();
                assert_eq!(card.meaning(&key), Some(&Meaning::Do(PAD[hand][i])), "{name} {key}");
            }
        }
    }
}

/// Letters and signs of the main block as these layouts have them, plain and with Shift, row by row from `Digit1`,
/// `KeyQ`, `KeyA`, `KeyZ` (xkeyboard-config: fr, de, us(dvorak), es); `~` stands for a dead key.
const LAYOUTS: [(&str, [&str; 8]); 4] = [
    (
        "AZERTY",
        [
            "&é\"'(-è_çà)=",
            "1234567890°+",
            "azertyuiop~$",
            "AZERTYUIOP~£",
            "qsdfghjklmù",
            "QSDFGHJKLM%",
            "wxcvbn,;:!",
            "WXCVBN?./§",
        ],
    ),
    (
        "QWERTZ",
        [
            "1234567890ß~",
            "!\"§$%&/()=?~",
            "qwertzuiopü+",
            "QWERTZUIOPÜ*",
            "asdfghjklöä",
            "ASDFGHJKLÖÄ",
            "yxcvbnm,.-",
            "YXCVBNM;:_",
        ],
    ),
    (
        "Dvorak",
        [
            "1234567890[]",
            "!@#$%^&*(){}",
            "',.pyfgcrl/=",
            "\"<>PYFGCRL?+",
            "aoeuidhtns-",
            "AOEUIDHTNS_",
            ";qjkxbmwvz",
            ":QJKXBMWVZ",
        ],
    ),
    (
        "Spanish",
        [
            "1234567890'¡",
            "!\"·$%&/()=?¿",
            "qwertyuiop~+",
            "QWERTYUIOP~*",
            "asdfghjklñ~",
            "ASDFGHJKLÑ~",
            "zxcvbnm,.-",
            "ZXCVBNM;:_",
        ],
    ),
];

const ROWS: [&str; 4] = [
    "Digit1 Digit2 Digit3 Digit4 Digit5 Digit6 Digit7 Digit8 Digit9 Digit0 Minus Equal",
    "KeyQ KeyW KeyE KeyR KeyT KeyY KeyU KeyI KeyO KeyP BracketLeft BracketRight",
    "KeyA KeyS KeyD KeyF KeyG KeyH KeyJ KeyK KeyL Semicolon Quote",
    "KeyZ KeyX KeyC KeyV KeyB KeyN KeyM Comma Period Slash",
];

fn layout(rows: [&str; 8]) -> Layout {
    Layout::of(|code, shift| {
        let row = ROWS.iter().position(|r| r.split(' ').any(|c| c == code.name()))?;
        let place = ROWS[row].split(' ').position(|c| c == code.name())?;
        let sign = rows[2 * row + usize::from(shift)].chars().nth(place)?;
        (sign != '~').then(|| sign.to_string())
    })
}

/// Shots, where missed ones were aimed, and why serves were faults: by the same places on a US keyboard and on four others.
#[test]
fn the_same_pad_keys_log_aims_on_five_layouts() {
    let script = "alt+KeyH shift+Comma KeyL KeyI shift+KeyM KeyO alt+Digit6 shift+KeyI shift+KeyK KeyU KeyK shift+KeyO \
                  Digit5 Digit3 shift+KeyY";
    let typed = |layout: Layout| {
        let card = shipped(FULL[0]).on_layout(layout.clone());
        let mut typist = crate::logging::typing::Typist::default();
        (typist.card, typist.layout) = (card, layout);
        for key in script.split_whitespace() {
            typist.press(key, crate::time::MatchTime::from_secs(1 + typist.presses as u64));
        }
        assert_eq!(typist.said, Vec::<String>::new());
        typist.record
    };
    let us = typed(Layout::us());
    let all = || us.points.iter().flat_map(|p| p.shots.iter().chain(&p.serves_out));
    assert_eq!(all().filter(|s| s.aim.is_some()).count(), 2);
    assert_eq!(all().filter(|s| s.fault.is_some()).count(), 3);
    for (name, rows) in LAYOUTS {
        assert_eq!(typed(layout(rows)), us, "{name}");
    }
}

#[test]
fn on_other_layouts_every_place_means_the_same_and_nothing_is_lost() {
    for (name, rows) in LAYOUTS {
        for file in FULL {
            let layout = layout(rows);
            let card = shipped(file).on_layout(layout.clone());
            assert_eq!(card.lost(), [], "{name} {file}");
            for (key, meaning) in &card.entries {
                assert_eq!(card.pressed(&Press::typed(key, &layout)), Some(meaning), "{name} {file} {key}");
            }
        }
    }
    let azerty = shipped(FULL[0]).on_layout(layout(LAYOUTS[0].1));
    assert_eq!(
        [Action::WinnerA, Action::PadDownLeft, Action::FinishWinner].map(|a| azerty.cap(a)),
        ["Q", ",", "2"]
    );
    assert_eq!(azerty.cap(Action::Undo), "Ctrl Z");
    let dvorak = shipped(FULL[0]).on_layout(layout(LAYOUTS[2].1));
    assert_eq!(
        [Action::PadUpLeft, Action::PadDown, Action::PointStart].map(|a| dvorak.cap(a)),
        ["G", "W", "O"]
    );
}

/// Digits stand above the letters on every keyboard, plain or with Shift.
fn no_digits() -> Vec<Code> {
    Code::all().filter(|c| !c.name().starts_with("Digit")).collect()
}

proptest! {
    /// Whatever is written on the keys but the digits, each place means the same, and no sign is out of reach.
    #[test]
    fn on_any_layout_every_key_is_there(order in Just(no_digits()).prop_shuffle()) {
        let (us, places) = (Layout::us(), no_digits());
        let layout = Layout::of(|code, shift| {
            let at = places.iter().position(|c| *c == code);
            us.sign(at.map_or(code, |at| order[at]), shift).map(str::to_owned)
        });
        for file in FULL {
            let card = shipped(file).on_layout(layout.clone());
            prop_assert_eq!(card.lost(), vec![]);
            for (key, meaning) in &card.entries {
                prop_assert_eq!(card.pressed(&Press::typed(key, &layout)), Some(meaning), "{} {}", file, key);
            }
        }
    }
}

#[test]
fn the_help_names_every_key() {
    for file in FULL {
        let card = shipped(file);
        let groups = card.help(["Player A", "Player B"]);
        let rows = groups.iter().flat_map(|(_, rows)| rows).flat_map(|row| &row.keys);
        let help = rows.cloned().collect::<Vec<_>>().join("  ") + "  ";
        assert!(help.contains("with ⇧"), "{help}");
        for (key, meaning) in &card.entries {
            if PAD[1..].iter().flatten().any(|a| *meaning == Meaning::Do(*a)) {
                continue;
            }
            assert!(help.contains(&format!("{}  ", card.cap_of(key))), "{file}: {key}");
        }
    }
}

#[test]
fn what_lies_under_a_place_is_told() {
    let dvorak = || layout(LAYOUTS[2].1);
    let mine = card(
        "point-start = \"s\"\nball-back = \"Semicolon\"\nundo = [\"ctrl+z\", \"n\"]\npad-right = \"KeyL\"",
    )
    .unwrap();
    assert_eq!(mine.lost(), [], "no layout is known");
    let mine = mine.on_layout(dvorak());
    let told: Vec<_> = mine.lost().iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "on this keyboard S already means \"Select the previous shot\", so \"Start the point at this frame\" has no key; give it another key in the key card"
        ]
    );
    let s = Press::typed(&"s".parse().unwrap(), &dvorak());
    assert_eq!(mine.pressed(&s), Some(&Meaning::Do(Action::BallBack)), "the place wins");
}

/// AltGr and 5 types a bracket on a French keyboard; it is not the key at that place. A Russian keyboard has no Latin
/// letters, so Ctrl goes by the place.
#[test]
fn altgr_and_other_alphabets() {
    let azerty = card("miss-net = \"Digit5\"\nslower = \"[\"").unwrap().on_layout(layout(LAYOUTS[0].1));
    let place = "Digit5".parse().ok();
    let press = |sign| Press::new(false, false, false, sign, place);
    assert_eq!(azerty.pressed(&press("(")), Some(&Meaning::Do(Action::MissNet)));
    assert_eq!(azerty.pressed(&press("[")), Some(&Meaning::Do(Action::Slower)));
    let ctrl_z = Press::new(true, false, false, "я", "KeyZ".parse().ok());
    assert_eq!(shipped(FULL[0]).pressed(&ctrl_z), Some(&Meaning::Do(Action::Undo)));
}

#[test]
fn a_conflict_names_both_keys_and_places() {
    let e = card("undo = \"Shift+Z\"\nredo = [\"ctrl+y\", \"Z\"]\n").unwrap_err().to_string();
    assert_eq!(
        e,
        "line 4: key \"Z\" means \"redo\" here, but key \"Shift+Z\" on line 3 already means \"undo\" and is the same key; give one of them another key"
    );
    let e = card("note = \"n\"\n[[tags]]\nkey = \"n\"\ntag = \"net\"\n").unwrap_err().to_string();
    assert!(e.contains("tag net") && e.contains("line 5") && e.contains("\"note\""), "{e}");
}

#[test]
fn errors_say_where_and_what_is_near() {
    let e = card("undoo = \"z\"").unwrap_err();
    assert_eq!(e, CardError::NoAction { line: 3, found: "undoo".into(), hint: Hint(Some("undo".into())) });
    let e = card("undo = \"hyper+z\"").unwrap_err();
    assert_eq!(e, CardError::NotAKey { line: 3, found: "hyper+z".into(), hint: Hint(None) });
    assert!(matches!(card("undo = = 1").unwrap_err(), CardError::Syntax { line: 3, column: 8.., .. }));
    assert!(matches!(KeyCard::parse("").unwrap_err(), CardError::Syntax { .. }));
}

proptest! {
    #[test]
    fn no_text_makes_a_card_panic(text in "\\PC{0,200}") {
        let _ = KeyCard::parse(&text);
        let _ = card(&text);
    }
}
