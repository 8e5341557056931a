//! The window as a screen reader sees it: names, roles, focus. `tests/external/walk_window.py` walks; it needs
//! `CHANGEOVER_PYTHON`, which `scripts/test` sets.
#![cfg(feature = "gui")]

use std::path::Path;
use std::process::Command;

use changeover::demo::{Demo, make};
use changeover::record::{Footage, Point, Record, Store, sidecar_for};
use changeover::time::MatchTime;

#[test]
fn every_control_has_a_name() {
    let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let demo = Demo { points: Some(1), brisk: true, width: 320, height: 180, ..Demo::default() };
    make(&demo, folder.path(), &mut |_, _| {}).unwrap();
    let film = folder.path().join("holt-okafor.mp4");
    let footage = Footage {
        file: "holt-okafor.mp4".into(),
        fingerprint: None,
        duration: MatchTime::from_secs(5),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    };
    let point = |s| Point { start: Some(MatchTime::from_secs(s)), ..Point::default() };
    let record =
        Record { footage: vec![footage], points: vec![point(1), point(2)].into(), ..Record::default() };
    drop(Store::create(&sidecar_for(&film), record).unwrap());
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/external/walk_window.py");
    let out = Command::new(python)
        .arg(script)
        .arg(env!("CARGO_BIN_EXE_changeover"))
        .arg(&film)
        .arg("--patterns")
        .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tags/starter-patterns.toml"))
        .env("XDG_DATA_HOME", folder.path().join("data"))
        .output()
        .unwrap();
    let text = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    println!("{text}");
    assert!(out.status.success(), "{text}");
}
