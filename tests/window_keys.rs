//! The main job in the real window, by real key presses: the binary, a display, xdotool, footage made on the spot.
//! `scripts/drive-window` types a match ball by ball, leaves, opens it again, and compares the record and the window with
//! the truth; `tests/external/log_points.py` logs points of many matches, some joined late or left early, and compares the
//! record with the truth; `tests/external/log_a_point.py` logs one point and corrects it, on several keyboard layouts;
//! `tests/external/footage_leads.py` plays, presses a key between two points, and drags along the time
//! line and the score ribbon.
#![cfg(feature = "gui")]
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::path::Path;
use std::process::Command;
use std::sync::{Mutex, PoisonError};

use changeover::demo::{Demo, make, make_all_points};

/// One display has one keyboard.
static KEYBOARD: Mutex<()> = Mutex::new(());

/// Footage of an invented match, small and with short breaks.
fn footage(points: u32) -> tempfile::TempDir {
    footage_of(points, false)
}

/// The same; with `cut` the breaks are cut out.
fn footage_of(points: u32, cut: bool) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let demo = Demo { points: Some(points), brisk: true, cut, width: 320, height: 180, ..Demo::default() };
    make(&demo, folder.path(), &mut |_, _| {}).unwrap();
    folder
}

/// Runs a script with its own settings and list of files; what it printed, and whether it was content.
fn run(command: &mut Command, folder: &Path) -> (String, bool) {
    let _keyboard = KEYBOARD.lock().unwrap_or_else(PoisonError::into_inner);
    let out = command
        .env("XDG_DATA_HOME", folder.join("data"))
        .env("XDG_CONFIG_HOME", folder.join("config"))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    (said, out.status.success())
}

#[test]
fn a_match_logged_by_keys_is_the_match_that_was_played() {
    drive(&footage(4));
}

#[test]
fn an_edited_match_logged_by_keys_is_the_match_that_was_played() {
    drive(&footage_of(4, true));
}

fn drive(folder: &tempfile::TempDir) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut drive = Command::new(root.join("scripts/drive-window"));
    drive.arg(folder.path()).args([
        "--points",
        "3",
        "--slow",
        "1",
        "--program",
        env!("CARGO_BIN_EXE_changeover"),
    ]);
    let (said, content) = run(&mut drive, folder.path());
    assert!(content, "{said}");
    assert!(
        said.contains("3 points at speed 1, 1 at speed ½, 0 differences; reopened with 0 changes"),
        "{said}"
    );
}

/// Four points of one match, one joined in mid-rally and one left early, are logged as footage of many matches.
#[test]
fn points_of_many_matches_logged_by_keys_are_what_was_seen() {
    let folder = tempfile::tempdir().unwrap();
    let demo = Demo { brisk: true, width: 320, height: 180, ..Demo::default() };
    make_all_points(&demo, 1, folder.path()).unwrap();
    let mut script = Command::new(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/external/log_points.py"));
    script.arg(env!("CARGO_BIN_EXE_changeover")).arg(folder.path());
    let (said, content) = run(&mut script, folder.path());
    println!("{said}");
    assert!(content, "{said}");
    assert!(said.contains("4 points, 1 joined late, 1 left early, 0 differences"), "{said}");
}

#[test]
fn a_point_of_seven_balls_is_logged_by_the_pad_and_corrected_on_any_layout() {
    let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for layout in ["us", "fr", "de", "us dvorak", "gr", "cz", "ru"] {
        let folder = footage(1);
        let mut script = Command::new(&python);
        script.arg(root.join("tests/external/log_a_point.py")).arg(env!("CARGO_BIN_EXE_changeover"));
        script.arg(folder.path().join("holt-okafor.mp4")).arg(layout);
        let (said, content) = run(&mut script, folder.path());
        println!("{layout}: {said}");
        assert!(content, "{layout}: {said}");
    }
}

#[test]
fn the_point_follows_the_footage_while_it_plays_and_is_dragged() {
    let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let mut demo = Command::new(env!("CARGO_BIN_EXE_changeover"));
    demo.arg("demo-footage").arg(folder.path()).args(["--games", "1", "--brisk", "--logged"]);
    assert!(demo.output().unwrap().status.success());
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut script = Command::new(&python);
    script.arg(root.join("tests/external/footage_leads.py")).arg(env!("CARGO_BIN_EXE_changeover"));
    script.arg(folder.path().join("holt-okafor.mp4"));
    let (said, content) = run(&mut script, folder.path());
    println!("{said}");
    assert!(content, "{said}");
}
