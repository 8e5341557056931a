//! Exports read back by other people's libraries; needs `CHANGEOVER_PYTHON`, which `scripts/test` sets.

mod ask;

use std::path::Path;
use std::process::Command;

use ask::{said, write};

#[test]
fn other_libraries_read_the_exports() {
    let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    write(at);
    let keep = |name: &str, args: &[&str]| std::fs::write(at.join(name), said(at, args)).unwrap();
    for (name, format) in
        [("clips.json", "json"), ("clips.csv", "csv"), ("clips.vtt", "webvtt"), ("clips.xspf", "xspf")]
    {
        keep(name, &["clips", "final.points.json", "--pattern", "Drop shot", "--format", format]);
    }
    keep("summary.json", &["summary", "final.points.json", "--json"]);
    keep("clips.schema.json", &["schema", "clips"]);
    keep("summary.schema.json", &["schema", "summary"]);
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/external/check_exports.py");
    let out = Command::new(python).arg(script).arg(at).output().unwrap();
    let text = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    println!("{text}");
    assert!(out.status.success(), "{text}");
}
