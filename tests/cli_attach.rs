//! Points logged courtside by the wall clock, and the footage that came later.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::fs;
use std::path::Path;
use std::process::Output;

use assert_cmd::Command;
use changeover::demo::{Demo, make};
use changeover::record::{Point, Record, Store, load};
use changeover::time::MatchTime;

fn attach(dir: &Path, args: &[&str]) -> Output {
    let program = assert_cmd::cargo::cargo_bin!("changeover");
    Command::new(program).arg("attach").args(args).current_dir(dir).output().unwrap()
}

/// A folder with a record without footage and, in a folder below it, a film with quotes in its name.
fn courtside() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let point = |s| Point { start: Some(MatchTime::from_secs(s)), ..Point::default() };
    let mut record = Record { points: [point(2), point(30)].into(), ..Record::default() };
    record.about.clock_started = "2026-05-09T10:00:00+02:00".parse().ok();
    drop(Store::create(&dir.path().join("m.points.json"), record).unwrap());
    let film = dir.path().join("film");
    fs::create_dir(&film).unwrap();
    let demo = Demo { points: Some(1), brisk: true, width: 160, height: 90, ..Demo::default() };
    make(&demo, &film, &mut |_, _| {}).unwrap();
    let mut files = fs::read_dir(&film).unwrap().map(|e| e.unwrap().path());
    let made = files.find(|p| p.extension().is_some_and(|e| e == "mp4")).unwrap();
    fs::rename(made, film.join("set \"1\".mp4")).unwrap();
    dir
}

#[test]
fn footage_is_attached_by_one_moment() {
    let dir = courtside();
    let path = dir.path().join("m.points.json");
    let before = load(&path).unwrap().0;
    let out = attach(dir.path(), &["m.points.json", "film/set \"1\".mp4", "--sync", "2=4.5"]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let said = String::from_utf8(out.stdout).unwrap();
    let doubt = String::from_utf8(out.stderr).unwrap();
    assert_eq!(doubt, "changeover: no footage shows the start of 1 of 2 points; check --sync\n");
    assert!(said.starts_with("m.points.json: film/set \"1\".mp4 is from 00:00:00.000 to 00:00:"), "{said}");
    let (after, notices) = load(&path).unwrap();
    assert!(notices.is_empty(), "saved, not only in the journal");
    assert_eq!(after.points[0].start, Some(MatchTime::from_millis(4_500)));
    assert_eq!(after.points[1].start, Some(MatchTime::from_millis(32_500)));
    let clock = after.about.clock_started.unwrap().to_rfc3339();
    assert_eq!(clock, "2026-05-09T09:59:57.500+02:00");
    assert!(after.footage[0].fingerprint.is_some() && after.footage[0].duration > MatchTime::ZERO);
    // The verb saved; the same footage at the moment that was there before is the way back.
    let out = attach(dir.path(), &["m.points.json", "film/set \"1\".mp4", "--sync", "4.5=2"]);
    assert!(out.status.success());
    let back = load(&path).unwrap().0;
    assert_eq!(back.footage[0].start, MatchTime::from_millis(2_500));
    assert_eq!(back.points, after.points, "footage that starts on the clock moves nothing");
    assert_ne!(back, before);
}

#[test]
fn what_cannot_be_attached_is_told_and_changes_nothing() {
    let dir = courtside();
    let path = dir.path().join("m.points.json");
    let before = fs::read(&path).unwrap();
    fs::write(dir.path().join("note.mp4"), "no film").unwrap();
    let elsewhere = tempfile::tempdir().unwrap();
    let outside = elsewhere.path().join("x.mp4");
    fs::write(&outside, "no film").unwrap();
    for (args, code, says) in [
        (["m.points.json", "note.mp4", "--sync", "1=2"], 1, "note.mp4"),
        (["m.points.json", outside.to_str().unwrap(), "--sync", "1=2"], 1, "is not in the record's folder"),
        (["m.points.json", "gone.mp4", "--sync", "1=2"], 1, "there is no such file"),
        (["m.points.json", "film/set \"1\".mp4", "--sync", "2=12:30"], 1, "so 00:12:30.000 is not in it"),
        (["m.points.json", "note.mp4", "--sync", "soon"], 2, "is not a time; write hours:minutes:seconds"),
    ] {
        let out = attach(dir.path(), &args);
        let said = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(code), "{said}");
        assert!(said.contains(says), "{said}");
        assert_eq!(fs::read(&path).unwrap(), before);
    }
}
