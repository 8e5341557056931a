//! `changeover cut` as a program: a file for each clip, or nothing.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::fs;
use std::path::Path;
use std::process::Output;

use assert_cmd::Command;
use changeover::demo::{Demo, make};
use changeover::record::footage::{fingerprint, name_text};
use changeover::record::{Footage, Point, Record, Store};
use changeover::time::MatchTime;
use changeover::video::probe;

fn run(dir: &Path, verb: &str, args: &[&str]) -> Output {
    let program = assert_cmd::cargo::cargo_bin!("changeover");
    Command::new(program).arg(verb).args(args).current_dir(dir).output().unwrap()
}

fn cut(dir: &Path, args: &[&str]) -> Output {
    run(dir, "cut", args)
}

/// A record with three tagged points, the last of them in footage that is not there.
fn tagged() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let demo = Demo { points: Some(2), brisk: true, width: 160, height: 90, ..Demo::default() };
    make(&demo, dir.path(), &mut |_, _| {}).unwrap();
    let mut files = fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().path());
    let film = files.find(|p| p.extension().is_some_and(|e| e == "mp4")).unwrap();
    let media = probe(&film).unwrap();
    let footage = |file: String, start, duration, print| Footage {
        file,
        fingerprint: print,
        duration,
        rate: media.index.rate(),
        rotation: 0,
        start,
    };
    let name = name_text(film.file_name().unwrap().as_ref());
    let here = footage(name, MatchTime::ZERO, media.duration, fingerprint(&film).ok());
    let start = media.duration.later(std::time::Duration::from_secs(10));
    let away = footage("away.mp4".into(), start, MatchTime::from_secs(60), None);
    let point = |from: u64, to: u64| Point {
        start: Some(MatchTime::from_millis(from)),
        end: Some(MatchTime::from_millis(to)),
        tags: ["good choice".into()].into(),
        ..Point::default()
    };
    let late = start.nanos() / 1_000_000;
    let points = [point(3_100, 12_000), point(17_000, 18_033), point(late + 5_000, late + 9_000)].into();
    let record = Record { points, footage: [here, away].into(), ..Record::default() };
    drop(Store::create(&dir.path().join("m.points.json"), record).unwrap());
    dir
}

const ALL: [&str; 5] = ["m.points.json", "--tag", "good choice", "--out", "cut"];

#[test]
fn each_clip_becomes_a_file_with_its_frames() {
    let dir = tagged();
    let out = cut(dir.path(), &[&ALL[..], &["--json"]].concat());
    let said = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(1), "one clip has no footage: {said}");
    assert!(said.contains("away.mp4"), "{said}");
    let made: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let made = made.as_array().unwrap();
    assert_eq!(made.len(), 2);
    assert_eq!(fs::read_dir(dir.path().join("cut")).unwrap().count(), 2);
    for one in made {
        let name = one["file"].as_str().unwrap();
        let film = probe(&dir.path().join("cut").join(name)).unwrap();
        assert_eq!(film.index.len() as u64, one["frames"].as_u64().unwrap());
        assert!(film.has_audio);
    }
    in_a_browser(&dir.path().join("cut"));
    assert_eq!(made[0]["file"], "001 0-00-01 tag good choice.mp4");
    // The film has a key frame every 250 frames: the first clip holds one, before which it is encoded.
    assert!(made[0]["encoded"].as_u64() < made[0]["frames"].as_u64(), "{}", made[0]);
    assert_eq!(made[0]["from"], "00:00:01.100");
    // Once more: the folder is there.
    let again = cut(dir.path(), &ALL);
    let said = String::from_utf8(again.stderr).unwrap();
    assert_eq!(again.status.code(), Some(1));
    assert!(
        said.contains("cut is there already; give the name of a folder that does not exist yet"),
        "{said}"
    );
}

#[test]
fn a_file_has_the_frames_that_the_list_for_editors_says() {
    let dir = tagged();
    let out = cut(dir.path(), &[&ALL[..], &["--lead-in", "1.27", "--lead-out", "0.513", "--json"]].concat());
    let made: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let list = run(
        dir.path(),
        "clips",
        &[
            "m.points.json",
            "--tag",
            "good choice",
            "--lead-in",
            "1.27",
            "--lead-out",
            "0.513",
            "--format",
            "otio",
        ],
    );
    let list: serde_json::Value = serde_json::from_slice(&list.stdout).unwrap();
    let clips = list["tracks"]["children"][0]["children"].as_array().unwrap();
    let mut film = fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().path());
    let film = probe(&film.find(|p| p.extension().is_some_and(|e| e == "mp4")).unwrap()).unwrap();
    for (made, clip) in made.as_array().unwrap().iter().zip(clips) {
        let at = |range: &str| clip["source_range"][range]["value"].as_f64().unwrap();
        let from: MatchTime = made["from"].as_str().unwrap().parse().unwrap();
        assert_eq!(film.index.exact(from).map(|i| i as f64), Some(at("start_time")), "{made}");
        assert_eq!(made["frames"].as_f64(), Some(at("duration")), "{made}");
    }
    assert!(clips.len() >= 2);
}

#[test]
fn another_shorter_film_of_the_same_name_is_told() {
    let (dir, other) = (tagged(), tempfile::tempdir().unwrap());
    let demo = Demo { points: Some(1), brisk: true, width: 96, height: 64, ..Demo::default() };
    make(&demo, other.path(), &mut |_, _| {}).unwrap();
    let films = |dir: &Path| -> Vec<_> {
        let all = fs::read_dir(dir).unwrap().map(|e| e.unwrap().path());
        all.filter(|p| p.extension().is_some_and(|e| e == "mp4")).collect()
    };
    let (here, new) = (films(dir.path()).remove(0), films(other.path()).remove(0));
    assert!(probe(&new).unwrap().duration < MatchTime::from_secs(15), "the second clip is not in it");
    fs::copy(new, &here).unwrap();
    let out = cut(dir.path(), &ALL);
    let said = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(1), "{said}");
    assert!(said.contains("is not the file that was tagged: its content is another."), "{said}");
    assert!(said.contains("so this clip is left out; see whether the file was copied whole"), "{said}");
    assert_eq!(fs::read_dir(dir.path().join("cut")).unwrap().count(), 1, "{said}");
    let checked = run(dir.path(), "check", &["m.points.json"]);
    let said = String::from_utf8(checked.stdout).unwrap();
    assert_eq!(checked.status.code(), Some(1), "{said}");
    assert!(
        said.contains("warning: footage 1: ") && said.contains("is not the file that was tagged"),
        "{said}"
    );
}

/// Chromium plays every file to its end.
fn in_a_browser(folder: &Path) {
    let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/external/check_films.py");
    let files = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    let out = std::process::Command::new(python).arg(script).args(files).output().unwrap();
    let said = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    println!("{said}");
    assert!(out.status.success(), "{said}");
}

/// Its clips are left out, as those of footage that is away.
#[test]
fn a_film_that_cannot_be_read_does_not_end_the_others() {
    let dir = tagged();
    fs::write(dir.path().join("away.mp4"), "no film at all").unwrap();
    let out = cut(dir.path(), &ALL);
    let (said, told) = (String::from_utf8(out.stdout).unwrap(), String::from_utf8(out.stderr).unwrap());
    assert_eq!(out.status.code(), Some(1), "{told}");
    let line = told.lines().find(|l| l.contains("away.mp4") && l.ends_with("; its clips are left out"));
    assert!(line.is_some(), "{told}");
    assert!(said.lines().last().unwrap().starts_with("cut: 2 clips, "), "{said}");
    assert_eq!(fs::read_dir(dir.path().join("cut")).unwrap().count(), 2);
}

#[test]
fn at_key_frames_all_is_copied() {
    let dir = tagged();
    let out = cut(dir.path(), &[&ALL[..], &["--key-frames"]].concat());
    let said = String::from_utf8(out.stdout).unwrap();
    let ways: Vec<&str> = said.lines().take(2).filter_map(|l| l.rsplit(", ").next()).collect();
    assert_eq!(ways, ["copied", "copied"], "{said}");
    assert!(said.lines().last().unwrap().starts_with("cut: 2 clips, "), "{said}");
}

#[test]
fn without_anything_to_cut_nothing_is_made() {
    let dir = tagged();
    for (args, code, says) in [
        (vec!["m.points.json", "--out", "cut"], 1, "nothing says which clips to cut"),
        (vec!["m.points.json", "--tag", "never", "--out", "cut"], 1, "no tag is called"),
        (vec!["m.points.json", "--tag", "good choice"], 2, "--out"),
        (vec!["gone.points.json", "--tag", "good choice", "--out", "cut"], 1, "gone.points.json"),
        (
            vec!["m.points.json", "--tag", "good choice", "--out", "no/such/folder"],
            1,
            "cannot make no/such/folder",
        ),
    ] {
        let out = cut(dir.path(), &args);
        let said = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(code), "{args:?}: {said}");
        assert!(said.contains(says), "{args:?}: {said}");
        assert!(!dir.path().join("cut").exists());
    }
    let left: Vec<_> = fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(!left.iter().any(|n| n.to_string_lossy().contains(".part")), "{left:?}");
}
