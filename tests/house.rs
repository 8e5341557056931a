//! The docs and scripts say what is so: the checks that a reader cannot make at every change.

use std::path::Path;
use std::{fs, io};

use changeover::logging::{Action, Key, KeyCard, Layout, Meaning, Press};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn text(name: &str) -> io::Result<String> {
    fs::read_to_string(root().join(name))
}

#[test]
fn every_room_has_its_row() {
    let map = text("DEVELOPERS.md").unwrap();
    for entry in fs::read_dir(root().join("src")).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().into_string().unwrap();
        let room = if entry.path().is_dir() { format!("| `{name}/` |") } else { format!("| `{name}` |") };
        if !["main.rs", "lib.rs"].contains(&name.as_str()) {
            assert!(map.contains(&room), "DEVELOPERS.md has no row {room}");
        }
    }
}

#[test]
fn every_dependency_has_its_reason() {
    let map = text("DEVELOPERS.md").unwrap();
    let cargo: toml::Table = text("Cargo.toml").unwrap().parse().unwrap();
    for kind in ["dependencies", "dev-dependencies"] {
        for (key, value) in cargo[kind].as_table().unwrap() {
            let name = value.get("package").and_then(|p| p.as_str()).unwrap_or(key);
            assert!(map.contains(&format!("`{name}`")), "DEVELOPERS.md does not say why {name} is there");
        }
    }
}

#[test]
fn the_oldest_rust_is_the_one_promised() {
    let cargo: toml::Table = text("Cargo.toml").unwrap().parse().unwrap();
    let oldest = cargo["package"]["rust-version"].as_str().unwrap();
    assert!(
        text("DEVELOPERS.md").unwrap().contains(&format!("(Rust {oldest}")),
        "DEVELOPERS.md names another than {oldest}"
    );
}

#[test]
fn the_keys_in_the_readme_are_those_of_the_built_in_card() {
    let readme = text("README.md").unwrap();
    let card = KeyCard::parse(&text("sample-tags/built-in.keys.toml").unwrap()).unwrap();
    for (key, tag) in card.tags() {
        let given = format!("`{}` {tag}", key.cap());
        assert!(readme.contains(&given), "README.md does not say that {key} is {tag}: wanted {given}");
    }
    for (action, key) in [
        (Action::PlayPause, "space"),
        (Action::FrameForward, "="),
        (Action::FrameBack, "-"),
        (Action::SkipBack, "alt+Left"),
        (Action::SkipForward, "alt+Right"),
        (Action::PointStart, "s"),
        (Action::PointEnd, "e"),
        (Action::Fault, "f"),
        (Action::WinnerA, "a"),
        (Action::WinnerB, "b"),
        (Action::FinishAce, "1"),
        (Action::FinishWinner, "2"),
        (Action::FinishForced, "3"),
        (Action::FinishUnforced, "4"),
        (Action::MissNet, "5"),
        (Action::MissLong, "6"),
        (Action::MissWide, "7"),
        (Action::Let, "z"),
        (Action::RestNotLogged, "g"),
        (Action::Plan, "p"),
        (Action::PadUpLeft, "u"),
        (Action::PadMiddle, "k"),
        (Action::PadDownRight, "."),
        (Action::UnknownBall, "h"),
        (Action::BallBack, ";"),
        (Action::BallForward, "'"),
        (Action::BallOut, "Backspace"),
        (Action::BallIn, "Insert"),
        (Action::DropShot, "d"),
        (Action::Volley, "v"),
        (Action::Overhead, "x"),
        (Action::Lob, "c"),
        (Action::Slice, "q"),
        (Action::Topspin, "t"),
        (Action::Approach, "r"),
        (Action::Backhand, "w"),
        (Action::Undo, "ctrl+z"),
        (Action::StartHere, "shift+s"),
        (Action::EndHere, "shift+e"),
        (Action::Filter, "/"),
        (Action::Help, "?"),
    ] {
        let press = Press::typed(&key.parse::<Key>().unwrap(), &Layout::us());
        assert_eq!(card.pressed(&press), Some(&Meaning::Do(action)), "{key}");
        assert!(readme.contains(&format!("`{key}`")), "README.md does not name the key {key}");
    }
}
