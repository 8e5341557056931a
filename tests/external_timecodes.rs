//! Timelines, edit decision lists and chapters, read back by other people's libraries to the frame; needs `CHANGEOVER_PYTHON`, which
//! `scripts/test` sets.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::path::Path;
use std::process::{Command, Output};

use changeover::export::timecode::Labels;
use changeover::record::{Footage, Point, Record, Store};
use changeover::tennis::Side;
use changeover::time::MatchTime;

const PROGRAM: &str = env!("CARGO_BIN_EXE_changeover");

/// Points at odd moments, each with the tag that is asked for.
fn record(rate: &str) -> Record {
    let footage = Footage {
        file: "m.mp4".into(),
        fingerprint: None,
        duration: MatchTime::from_secs(5_000),
        rate: rate.parse().ok(),
        rotation: 0,
        start: MatchTime::ZERO,
    };
    let mut record = Record { footage: vec![footage], ..Record::default() };
    record.about.a.name = "Holt \"<b>\u{202e}&".into();
    record.points = (0..40u64)
        .map(|n| Point {
            start: Some(MatchTime::from_nanos(2_000_000_000 + n * 97_133_333_337)),
            end: Some(MatchTime::from_nanos(9_000_000_001 + n * 97_133_333_337)),
            winner: Some(Side::A),
            tags: [format!("x\u{1}\"<{}", if n == 3 { "é".repeat(900) } else { String::new() })].into(),
            ..Point::default()
        })
        .collect();
    record
}

fn run(dir: &Path, rate: &str, args: &[&str]) -> Output {
    let mut all = vec!["clips", "m.points.json", "--where", "set 1"];
    all.extend(args);
    let out = Command::new(PROGRAM).args(&all).current_dir(dir).output().unwrap();
    assert!(out.status.success(), "{rate}: {}", String::from_utf8_lossy(&out.stderr));
    out
}

#[test]
fn other_libraries_read_every_clip_to_the_frame() {
    let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let mut rates = serde_json::Map::new();
    for (n, (rate, start)) in [
        ("24000/1001", "10:00:00:00"),
        ("25", "00:59:30:24"),
        ("30000/1001", "01:00:00;00"),
        ("30000/1001", "01:00:00:00"),
        ("50", "00:00:00:00"),
        ("60000/1001", "09:59:59:59"),
        ("60000/1001", "00:10:00;00"),
    ]
    .into_iter()
    .enumerate()
    {
        let dir = tempfile::tempdir().unwrap();
        drop(Store::create(&dir.path().join("m.points.json"), record(rate)).unwrap());
        let name = format!("r{n}");
        for (ending, format) in [
            ("json", "json"),
            ("otio", "otio"),
            ("edl", "edl"),
            ("xml", "mkv-chapters"),
            ("vtt", "webvtt"),
            ("txt", "chapter-lines"),
        ] {
            let out = run(dir.path(), rate, &["--format", format, "--start-timecode", start]);
            std::fs::write(folder.path().join(format!("{name}.{ending}")), out.stdout).unwrap();
        }
        let labels = Labels::new(rate.parse().unwrap(), start.contains(';')).unwrap();
        let first = labels.frame(start.parse().unwrap()).unwrap();
        rates.insert(name, serde_json::json!({"rate": rate, "first": first}));
    }
    std::fs::write(folder.path().join("rates.json"), serde_json::to_vec(&rates).unwrap()).unwrap();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/external/check_timecodes.py");
    let out = Command::new(python).arg(script).arg(folder.path()).output().unwrap();
    let text = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    println!("{text}");
    assert!(out.status.success(), "{text}");
}

#[test]
fn a_label_that_drop_frame_leaves_out_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    drop(Store::create(&dir.path().join("m.points.json"), record("30000/1001")).unwrap());
    for format in ["otio", "edl"] {
        let args = [
            "clips",
            "m.points.json",
            "--where",
            "set 1",
            "--format",
            format,
            "--start-timecode",
            "00:01:00;01",
        ];
        let out = Command::new(PROGRAM).args(args).current_dir(dir.path()).output().unwrap();
        let said = String::from_utf8_lossy(&out.stderr).into_owned();
        assert_eq!(out.status.code(), Some(1), "{said}");
        assert!(said.contains("no frame has the timecode 00:01:00;01"), "{said}");
    }
}
