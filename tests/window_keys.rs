//! The main job in the real window, by real key presses: the binary, a display, xdotool, footage made on the spot.
//! `scripts/drive-window` types, leaves, opens it again, and compares the record and the window with the truth.
#![cfg(feature = "gui")]

use std::path::Path;
use std::process::Command;

use changeover::demo::{Demo, make};

#[test]
fn a_match_logged_by_keys_is_the_match_that_was_played() {
    let folder = tempfile::tempdir().unwrap();
    let demo = Demo { points: Some(4), brisk: true, width: 320, height: 180, ..Demo::default() };
    make(&demo, folder.path(), &mut |_, _| {}).unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let typed = Command::new(root.join("scripts/drive-window"))
        .arg(folder.path())
        .args(["--points", "3", "--slow", "1", "--program", env!("CARGO_BIN_EXE_changeover")])
        .env("XDG_DATA_HOME", folder.path().join("data"))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&typed.stdout);
    assert!(typed.status.success(), "{said}{}", String::from_utf8_lossy(&typed.stderr));
    assert!(
        said.contains("3 points at speed 1, 1 at speed ½, 0 differences; reopened with 0 changes"),
        "{said}"
    );
}
