//! Everything that a lesson or its clips are written as, while the disk fills up and while the program is killed: no half-written
//! file at the final name.
//!
//! The full disk is a limit on the size of files (`ulimit -f`), which every user may set: a write that would go beyond it fails. It
//! is half of what the whole export needs. The kills come at random moments of the work, as often as `CHANGEOVER_KILLS` says.
#![cfg(all(feature = "video", target_os = "linux"))]
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use changeover::demo::{Demo, make};
use changeover::record::footage::fingerprint;
use changeover::record::{Footage, Point, Record, Store};
use changeover::time::MatchTime;
use changeover::video::probe;

const PROGRAM: &str = env!("CARGO_BIN_EXE_changeover");
const TAGGED: [&str; 3] = ["m.points.json", "--tag", "good choice"];
const OUT: &str = "out";

/// The verbs, and what is written where.
const EXPORTS: [(&str, &str, &[&str]); 24] = [
    ("lesson", "out.lesson.json", &[]),
    ("reel", "out.mp4", &["--size", "160x90"]),
    ("reel", "out.webm", &["--size", "160x90"]),
    ("reel", "out.mkv", &["--size", "160x90"]),
    ("page", OUT, &[]),
    ("cut", OUT, &[]),
    ("sheet", "out.pdf", &[]),
    ("clips", "out.otio", &["--format", "otio"]),
    ("clips", "out.edl", &["--format", "edl"]),
    ("clips", "out.xml", &["--format", "mkv-chapters"]),
    ("clips", "out.vtt", &["--format", "webvtt"]),
    ("clips", "out.txt", &["--format", "chapter-lines"]),
    ("clips", "out.xspf", &["--format", "xspf"]),
    ("clips", "out.csv", &["--format", "csv"]),
    ("clips", "out.json", &["--format", "json"]),
    ("lesson", "out.otio", &["--format", "otio"]),
    ("lesson", "out.edl", &["--format", "edl"]),
    ("lesson", "out.xml", &["--format", "mkv-chapters"]),
    ("lesson", "out.vtt", &["--format", "webvtt"]),
    ("lesson", "out.txt", &["--format", "chapter-lines"]),
    ("lesson", "out.xspf", &["--format", "xspf"]),
    ("lesson", "out.csv", &["--format", "csv"]),
    ("lesson", "out.json", &["--format", "json"]),
    ("export", "out.points.csv", &["--format", "csv"]),
];

fn of((verb, name, more): (&str, &'static str, &[&'static str])) -> Vec<String> {
    let from: &[&str] = match verb {
        "reel" | "page" | "sheet" => &["l.lesson.json"],
        // The clips of a lesson as a list.
        "lesson" if !more.is_empty() => &["l.lesson.json"],
        "export" => &TAGGED[..1],
        _ => &TAGGED,
    };
    [&[verb][..], from, more, &["--out", name]].concat().into_iter().map(String::from).collect()
}

/// Footage of an invented match, a record of two tagged points, and a lesson of them.
fn lay_out(folder: &Path) {
    let demo = Demo { points: Some(2), brisk: true, width: 160, height: 90, ..Demo::default() };
    make(&demo, folder, &mut |_, _| {}).unwrap();
    let film = folder.join("holt-okafor.mp4");
    let media = probe(&film).unwrap();
    let footage = Footage {
        file: "holt-okafor.mp4".into(),
        start: MatchTime::ZERO,
        duration: media.duration,
        fingerprint: fingerprint(&film).ok(),
        rate: "30".parse().ok(),
        rotation: 0,
    };
    let point = |from: u64, to: u64| Point {
        start: Some(MatchTime::from_millis(from)),
        end: Some(MatchTime::from_millis(to)),
        tags: ["good choice".into()].into(),
        ..Point::default()
    };
    let points = [point(3_100, 7_000), point(11_000, 14_033)].into();
    let record = Record { points, footage: [footage].into(), ..Record::default() };
    drop(Store::create(&folder.join("m.points.json"), record).unwrap());
    let args = [&["lesson"][..], &TAGGED, &["--out", "l.lesson.json"]].concat();
    let made = Command::new(PROGRAM).args(args).current_dir(folder).output().unwrap();
    assert!(made.status.success(), "{}", said(&made));
}

fn said(out: &Output) -> String {
    String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr)
}

/// The files below a folder that do not have a hidden name, with their sizes.
fn files(folder: &Path) -> BTreeMap<String, u64> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.starts_with('.') {
            continue;
        }
        if entry.path().is_dir() {
            found.extend(files(&entry.path()).into_iter().map(|(f, n)| (format!("{name}/{f}"), n)));
        } else {
            found.insert(name, entry.metadata().unwrap().len());
        }
    }
    found
}

/// What an export writes, with the sizes, and how long it takes; it is deleted again.
fn whole(folder: &Path, args: &[String]) -> (BTreeMap<String, u64>, Duration) {
    let before = files(folder);
    let begun = Instant::now();
    let out = Command::new(PROGRAM).args(args).current_dir(folder).output().unwrap();
    assert!(out.status.success(), "{args:?}: {}", said(&out));
    let took = begun.elapsed();
    let mut made = files(folder);
    made.retain(|name, _| !before.contains_key(name));
    assert!(!made.is_empty(), "{args:?}");
    take_away(folder);
    (made, took)
}

/// Deletes what exports have written, whole or not.
fn take_away(folder: &Path) {
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let name = entry.file_name().to_string_lossy().into_owned();
        match (name.starts_with(OUT) || name.starts_with('.'), entry.path().is_dir()) {
            (true, true) => fs::remove_dir_all(entry.path()).unwrap(),
            (true, false) => fs::remove_file(entry.path()).unwrap(),
            (false, _) => {}
        }
    }
}

fn all_names(folder: &Path) -> Vec<String> {
    let mut names: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn a_full_disk_leaves_nothing() {
    let dir = tempfile::tempdir().unwrap();
    lay_out(dir.path());
    for export in EXPORTS {
        let args = of(export);
        let (made, _) = whole(dir.path(), &args);
        let before = all_names(dir.path());
        let blocks = made.values().max().unwrap() / 2 / 1024;
        let out = Command::new("bash")
            .args([
                "-c",
                "trap '' XFSZ; ulimit -f \"$0\"; exec timeout 60 \"$@\"",
                &blocks.to_string(),
                PROGRAM,
            ])
            .args(&args)
            .current_dir(dir.path())
            .output()
            .unwrap();
        println!("{args:?}, {blocks} KiB: {}", said(&out).trim());
        assert_eq!(out.status.code(), Some(1), "{args:?}: {}", said(&out));
        let why = said(&out);
        assert!(why.contains("cannot"), "{args:?} does not say why: {why}");
        // By the name that was given, not by that of a part that nobody sees.
        assert!(why.contains(export.1) && !why.contains(".changeover-"), "{args:?}: {why}");
        assert!(!why.contains("resource"), "the encoder's own words: {why}");
        assert_eq!(all_names(dir.path()), before, "{args:?}");
    }
}

#[test]
fn a_kill_leaves_no_half_written_file() {
    let kills: u32 = std::env::var("CHANGEOVER_KILLS").ok().and_then(|k| k.parse().ok()).unwrap_or(5);
    let dir = tempfile::tempdir().unwrap();
    lay_out(dir.path());
    for export in EXPORTS {
        let args = of(export);
        let (made, took) = whole(dir.path(), &args);
        let (before, mut killed) = (files(dir.path()), 0);
        for k in 0..kills {
            let mut child = Command::new(PROGRAM)
                .args(&args)
                .current_dir(dir.path())
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .spawn()
                .unwrap();
            std::thread::sleep(took * (2 * k + 1) / (2 * kills));
            child.kill().unwrap();
            killed += usize::from(!child.wait().unwrap().success());
            let mut now = files(dir.path());
            now.retain(|name, _| !before.contains_key(name));
            // All of it or nothing. An encoder may make a few bytes more or less of the same pictures.
            if !now.is_empty() {
                let names = |of: &BTreeMap<String, u64>| of.keys().cloned().collect::<Vec<_>>();
                assert_eq!(names(&now), names(&made), "{args:?}, kill {k}");
                for (name, bytes) in &now {
                    assert!(
                        bytes.abs_diff(made[name]) <= made[name] / 10,
                        "{name}: {bytes} of {}",
                        made[name]
                    );
                }
            }
            take_away(dir.path());
        }
        println!("{args:?}: {killed} of {kills} killed before their end");
    }
}
