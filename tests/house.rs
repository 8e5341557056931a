//! The docs and scripts say what is so: the checks that a reader cannot make at every change.

#[path = "house/uses.rs"]
mod uses;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use std::{fs, io};

use changeover::logging::{Action, Key, KeyCard, Layout, Meaning, Press};

use uses::House;

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
fn the_keys_in_the_guide_are_those_of_the_built_in_card() {
    let guide: Vec<String> = fs::read_dir(root().join("docs/guide"))
        .unwrap()
        .map(|chapter| fs::read_to_string(chapter.unwrap().path()).unwrap())
        .collect();
    let guide = guide.join("\n");
    let card = KeyCard::parse(&text("sample-tags/built-in.keys.toml").unwrap()).unwrap();
    for (key, tag) in card.tags() {
        let given = format!("`{}` {tag}", key.cap().replace("Ctrl ", "ctrl+"));
        assert!(guide.contains(&given), "docs/guide does not say that {key} is {tag}: wanted {given}");
    }
    for (action, key) in [
        (Action::PlayPause, "space"),
        (Action::PlayBackward, "shift+space"),
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
        (Action::GoToTime, "ctrl+g"),
        (Action::Export, "ctrl+shift+e"),
        (Action::Correct, "ctrl+k"),
        (Action::Patterns, "ctrl+p"),
        (Action::Explain, "ctrl+e"),
        (Action::RoomStudy, "ctrl+2"),
        (Action::RoomLibrary, "ctrl+3"),
        (Action::LogWithout, "ctrl+n"),
        (Action::AttachFootage, "ctrl+f"),
        (Action::Preferences, "ctrl+,"),
    ] {
        let press = Press::typed(&key.parse::<Key>().unwrap(), &Layout::us());
        assert_eq!(card.pressed(&press), Some(&Meaning::Do(action)), "{key}");
        assert!(guide.contains(&format!("`{key}`")), "docs/guide does not name the key {key}");
    }
}

/// Files of more than 400 lines of code and functions of more than 40, with the reason.
const LONG: &[(&str, &str)] = &[
    ("cli::dispatch", "one line for each verb"),
    ("demo::figure::swing_keys", "a table of the joints' angles, one line each"),
    ("facts::point::one", "one line for each field of the facts"),
    ("pattern::say::words", "one line for each kind of condition"),
];

/// This crate. Reading all of it takes long, so that the tests share it.
#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
static HOUSE: LazyLock<House> = LazyLock::new(|| House::read(&root().join("src")).unwrap());

/// Files of `gui` that use the window, though they are neither the window nor the application that opens it.
fn knowing_the_window(house: &House) -> Vec<String> {
    let may = ["gui::window", "gui::app"];
    let within = |name: &str| may.iter().any(|m| name == *m || name.starts_with(&format!("{m}::")));
    let knows = |used: &uses::Module| uses::named(used).starts_with("gui::window");
    let files = house.files.iter().map(|(file, source)| (uses::named(file), source));
    files
        .filter(|(name, source)| !within(name) && source.uses.iter().any(knows))
        .map(|(name, _)| name)
        .collect()
}

#[test]
fn only_the_application_knows_the_window() {
    let knows = knowing_the_window(&HOUSE);
    assert!(knows.is_empty(), "{knows:?} know the window: ask the model instead");
}

#[test]
fn a_widget_that_knows_the_window_is_found() {
    let files = [
        ("lib.rs", "pub mod gui;"),
        ("gui/mod.rs", "mod app; mod log; mod window;"),
        ("gui/app.rs", "use super::window::Window;"),
        ("gui/log.rs", "fn on() { crate::gui::window::frame::Window::new(); }"),
        ("gui/window/mod.rs", "mod frame; pub use frame::Window;"),
        ("gui/window/frame.rs", "pub struct Window;"),
    ];
    let house = House::of(&files.map(|(name, text)| (name.to_owned(), text.to_owned()))).unwrap();
    assert_eq!(knowing_the_window(&house), ["gui::log"]);
}

/// `Path::display` hands on whatever a name holds, such as the codes that drive a terminal; `system::shown` does not. The window and
/// its session write on no terminal.
#[test]
fn a_path_in_a_message_cannot_drive_a_terminal() {
    let src = root().join("src");
    let window = ["gui", "session"].map(|room| src.join(room));
    let all = below(&src).unwrap();
    let raw = all.iter().filter(|file| {
        let is_test = file.file_stem().is_some_and(|n| n.to_string_lossy().ends_with("tests"));
        let text = fs::read_to_string(file).unwrap();
        let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
        !is_test && !window.iter().any(|w| file.starts_with(w)) && code.contains(".display()")
    });
    assert_eq!(raw.collect::<Vec<_>>(), Vec::<&PathBuf>::new());
}

/// All files below a folder.
fn below(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() { found.extend(below(&path)?) } else { found.push(path) }
    }
    Ok(found)
}

#[test]
fn the_window_knows_few_widgets() {
    let files = below(&root().join("src/gui/window")).unwrap();
    let texts = files.iter().map(|file| fs::read_to_string(file).unwrap());
    let known: usize = texts.map(|text| text.matches("#[template_child").count()).sum();
    assert!((1..15).contains(&known), "src/gui/window knows {known} widgets: fewer than 15 are allowed");
}

#[test]
fn each_ui_file_lies_as_its_widget_does() {
    let (src, ui) = (root().join("src/gui"), root().join("ui"));
    let mut named = BTreeSet::new();
    for file in below(&src).unwrap() {
        let text = fs::read_to_string(&file).unwrap();
        for template in text.split("#[template(file = \"").skip(1) {
            let template = template.split('"').next().unwrap();
            let stem = file.strip_prefix(&src).unwrap().with_extension("ui");
            assert!(template.ends_with(&format!("/ui/{}", stem.display())), "{}: {template}", file.display());
            named.insert(stem);
        }
    }
    let there = below(&ui).unwrap().into_iter().filter(|f| f.extension().is_some_and(|e| e == "ui"));
    let there: BTreeSet<_> = there.map(|f| f.strip_prefix(&ui).unwrap().to_owned()).collect();
    assert_eq!(named, there, "the templates that src/gui names (left), and those in ui/ (right)");
}

#[test]
fn no_files_use_each_other_in_a_circle() {
    let circles: Vec<String> = HOUSE.circles().iter().map(ToString::to_string).collect();
    assert!(circles.is_empty(), "these files use each other in a circle:\n{}", circles.join("\n"));
}

#[test]
fn the_table_of_rooms_names_every_arrow_and_no_other() {
    let told = uses::table(&text("DEVELOPERS.md").unwrap());
    let arrows = HOUSE.arrows();
    for (room, used) in &arrows {
        assert_eq!(
            told.get(room),
            Some(used),
            "the table of rooms in DEVELOPERS.md (left) does not say which rooms {room} uses (right)"
        );
    }
    let gone: Vec<_> = told.keys().filter(|room| !arrows.contains_key(*room)).collect();
    assert!(gone.is_empty(), "the table of rooms in DEVELOPERS.md names {gone:?}, which are not there");
}

#[test]
fn files_and_functions_are_short() {
    let mut long = Vec::new();
    for (file, source) in &HOUSE.files {
        let file = uses::named(file);
        if source.lines > 400 {
            long.push((file.clone(), source.lines));
        }
        long.extend(
            source
                .functions
                .iter()
                .filter(|f| f.lines > 40)
                .map(|f| (format!("{file}::{}", f.name), f.lines)),
        );
    }
    for (name, _) in LONG {
        assert!(long.iter().any(|(other, _)| other == name), "{name} is short by now: take it off the list");
    }
    long.retain(|(name, _)| LONG.iter().all(|(other, _)| other != name));
    assert!(long.is_empty(), "longer than 400 lines (a file) or 40 (a function): {long:?}");
}

#[test]
fn no_error_is_a_mere_text() {
    let house = &*HOUSE;
    let found = house.files.iter().flat_map(|(file, source)| {
        source.text_errors.iter().map(move |line| format!("{}, line {line}", uses::named(file)))
    });
    let found: Vec<String> = found.collect();
    assert!(found.is_empty(), "errors that are texts; make them an enum with thiserror: {found:?}");
}

#[test]
fn a_planted_error_that_is_a_text_is_found() {
    let lines = |text: &str| {
        let house = House::of(&[("lib.rs".into(), text.into())]).unwrap();
        house.files[&Vec::new()].text_errors.clone()
    };
    for text in [
        "fn a() -> Result<Vec<u8>, String> { todo() }",
        "fn a(then: impl Fn(Result<(), &'static str>)) {}",
        "enum A { B(Box<std::result::Result<u8, Box<str>>>) }",
        "struct A; impl A { fn a() -> Result<(), std::string::String> { todo() } }",
        "fn a() { let b: Result<u8, Cow<'static, str>> = c(); }",
        "fn a() { b(|found: Result<u8, String>| drop(found)); }",
    ] {
        assert_eq!(lines(text), [1], "{text}");
    }
    for text in [
        "fn a() -> Result<String, Wrong> { todo() }",
        "fn a() -> io::Result<String> { todo() }",
        "#[cfg(test)] mod tests { fn a() -> Result<u8, String> { todo() } }",
    ] {
        assert!(lines(text).is_empty(), "{text}");
    }
}

/// A house in which `a/mod.rs` hands on what its child defines, and the child takes something from it again.
fn planted(child: &str) -> io::Result<House> {
    let files = [
        ("lib.rs", "pub mod a; pub mod b;"),
        ("a/mod.rs", "mod child; pub use child::Thing; pub struct Other;"),
        ("a/child.rs", child),
        ("b.rs", "use crate::a::{Thing, Other as Mine};"),
    ];
    House::of(&files.map(|(name, text)| (name.to_owned(), text.to_owned())))
}

#[test]
fn a_planted_circle_is_found() {
    assert!(planted("pub struct Thing;").unwrap().circles().is_empty());
    for child in [
        "use super::Other; pub struct Thing;",
        "use crate::{a::{self, Other}}; pub struct Thing;",
        "pub struct Thing(super::Other);",
        "mod inner { use super::super::*; } pub struct Thing;",
        "fn say() { println!(\"{}\", super::Other::WORD); } pub struct Thing;",
    ] {
        let circles = planted(child).unwrap().circles();
        assert_eq!(circles.len(), 1, "{child}");
        assert_eq!(circles[0].files, ["a", "a::child"], "{child}");
    }
    for child in [
        "pub(super) struct Thing;",
        "#[cfg(test)] mod tests { use super::super::*; } pub struct Thing;",
        "#[cfg(all(test, unix))] use super::Other; pub struct Thing;",
        "use std::fmt; use self::Kind::One; enum Kind { One } pub struct Thing;",
    ] {
        assert!(planted(child).unwrap().circles().is_empty(), "{child}");
    }
}

#[test]
fn a_planted_arrow_is_found() {
    let told = uses::table(
        "# Rooms\n\n| room (`src/`) | holds | uses |\n|---|---|---|\n| `a/` | x | – |\n| `b.rs` | y | a |\n",
    );
    assert_eq!(planted("pub struct Thing;").unwrap().arrows(), told);
    assert_ne!(planted("use crate::b; pub struct Thing;").unwrap().arrows(), told);
}

#[test]
fn code_is_counted_without_comments_and_tests() {
    let text = "//! What it is.\n\n/// Says it.\nfn one() {\n    // Why.\n    let text = \"a\n    b\";\n}\n\n\
                #[cfg(test)]\nmod tests {\n    fn two() {}\n}\n";
    let house = House::of(&[("lib.rs".into(), text.into())]).unwrap();
    let file = &house.files[&Vec::new()];
    assert_eq!(file.lines, 4);
    assert_eq!(file.functions.len(), 1);
    assert_eq!(file.functions[0].lines, 2);
}
