//! `changeover cuts` from outside: an edited film of an invented match, its cuts against the truth.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::path::Path;

use changeover::demo::{Demo, Truth, make};

fn footage(folder: &Path) -> Truth {
    let demo = Demo { points: Some(6), brisk: true, cut: true, width: 480, height: 270, ..Demo::default() };
    make(&demo, folder, &mut |_, _| {}).unwrap()
}

fn cuts(folder: &Path, words: &[&str]) -> (i32, String) {
    let mut program = assert_cmd::Command::new(env!("CARGO_BIN_EXE_changeover"));
    for name in ["XDG_CACHE_HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"] {
        program.env(name, folder.join("home"));
    }
    let out = program.arg("cuts").args(words).current_dir(folder).output().unwrap();
    (out.status.code().unwrap(), String::from_utf8(out.stdout).unwrap())
}

/// Every cut that is named is one of the truth, at its frame; the second time they come from the cache and are the same.
#[test]
fn the_cuts_that_are_named_are_cuts_and_are_kept() {
    let folder = tempfile::tempdir().unwrap();
    let truth = footage(folder.path());
    let (code, said) = cuts(folder.path(), &["holt-okafor.mp4"]);
    assert_eq!(code, 0, "{said}");
    let lines: Vec<&str> = said.lines().collect();
    assert!(lines[0].starts_with("holt-okafor.mp4: ") && lines.len() > 1, "{said}");
    for line in &lines[1..] {
        let (at, frame) = line.split_once("  frame ").unwrap();
        let frame: u64 = frame.parse().unwrap();
        let near =
            |t: &changeover::time::MatchTime| t.nanos().abs_diff(frame * 1_000_000_000 / 30) < 20_000_000;
        assert!(truth.cuts.iter().any(near), "{line} is none of {:?}", truth.cuts);
        assert!(at.starts_with("00:00:"), "{line}");
    }
    // Some are missed: where the players are nearly where they were.
    assert!(lines.len() > truth.cuts.len().div_ceil(2), "{said} of {:?}", truth.cuts);
    assert_eq!(cuts(folder.path(), &["holt-okafor.mp4"]), (0, said.clone()));
    let (code, json) = cuts(folder.path(), &["--json", "holt-okafor.mp4"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!((code, json[0]["cuts"].as_array().unwrap().len()), (0, lines.len() - 1));
    assert!(json[0]["error"].is_null());
}

#[test]
fn a_file_that_cannot_be_read_is_complained_of_and_the_others_are_looked_at() {
    let folder = tempfile::tempdir().unwrap();
    footage(folder.path());
    std::fs::write(folder.path().join("notes.mp4"), "no footage").unwrap();
    let (code, said) = cuts(folder.path(), &["notes.mp4", "holt-okafor.mp4"]);
    assert_eq!(code, 1);
    assert!(said.starts_with("holt-okafor.mp4: "), "{said}");
    assert_eq!(cuts(folder.path(), &[]).0, 2);
}
