//! `changeover lesson`: a lesson made from clips, and shown.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::time::Duration;

use changeover::lesson::{Met, Part, load};
use changeover::time::MatchTime;
use serde_json::Value;

fn sample(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tags").join(name)
}

fn run(dir: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_changeover")).args(args).current_dir(dir).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn a_lesson_is_made_shown_and_never_replaced() {
    let dir = tempfile::tempdir().unwrap();
    let (matches, lessons) = (dir.path().join("matches"), dir.path().join("lessons"));
    fs::create_dir(&matches).unwrap();
    fs::create_dir(&lessons).unwrap();
    fs::copy(sample("holt-okafor.points.json"), matches.join("m.points.json")).unwrap();
    let make = ["lesson", "matches", "--pattern", "Drop shot", "--out", "lessons/drops.lesson.json"];
    let made = run(dir.path(), &make);
    assert!(made.status.success(), "{}", text(&made.stderr));
    let (lesson, notices) = load(&lessons.join("drops.lesson.json")).unwrap();
    assert!(notices.is_empty());
    assert_eq!(lesson.title, "Drop shot");
    let clips = run(dir.path(), &["clips", "matches", "--pattern", "Drop shot", "--json"]);
    let clips: Value = serde_json::from_slice(&clips.stdout).unwrap();
    let clips = clips["clips"].as_array().unwrap();
    assert_eq!(lesson.parts.len(), clips.len());
    assert!(!clips.is_empty());
    for (part, wanted) in lesson.parts.iter().zip(clips) {
        let Part::Clip(clip) = part else { panic!("{part:?}") };
        assert_eq!(clip.from.to_string(), wanted["file_span"]["start"].as_str().unwrap());
        assert_eq!(clip.to.to_string(), wanted["file_span"]["end"].as_str().unwrap());
        assert_eq!(clip.caption, wanted["about"].as_str().unwrap());
        assert_eq!(format!("../{}", wanted["file"].as_str().unwrap()), clip.footage.file);
        assert_eq!(clip.of.as_ref().unwrap().record, "../matches/m.points.json");
    }
    let before = fs::read(lessons.join("drops.lesson.json")).unwrap();
    let again = run(dir.path(), &make);
    assert_eq!(again.status.code(), Some(1));
    assert!(text(&again.stderr).contains("a lesson is already there"), "{}", text(&again.stderr));
    let over =
        ["clips", "matches", "--pattern", "Drop shot", "--out", "lessons/drops.lesson.json", "--force"];
    assert!(text(&run(dir.path(), &over).stderr).contains("is a lesson, which is never replaced"));
    assert_eq!(fs::read(lessons.join("drops.lesson.json")).unwrap(), before);
    let shown = run(&lessons, &["lesson", "drops.lesson.json", "--json"]);
    assert_eq!(shown.stdout, before);
    assert!(text(&shown.stderr).contains("is not there; put it back"), "{}", text(&shown.stderr));
    let listed = text(&run(&lessons, &["lesson", "drops.lesson.json"]).stdout);
    assert_eq!(listed.lines().count(), 1 + clips.len(), "{listed}");
}

#[test]
fn what_the_record_has_drawn_comes_with_the_clips() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("m.points.json");
    let mut record: Value =
        serde_json::from_slice(&fs::read(sample("holt-okafor.points.json")).unwrap()).unwrap();
    // The file has a clock of its own.
    record["footage"][0]["start"] = "00:00:02.000".into();
    fs::write(&path, record.to_string()).unwrap();
    let clips = run(dir.path(), &["clips", "m.points.json", "--pattern", "Drop shot", "--json"]);
    let clips: Value = serde_json::from_slice(&clips.stdout).unwrap();
    let time = |span: &str, end: &str| -> MatchTime {
        clips["clips"][0][span][end].as_str().unwrap().parse().unwrap()
    };
    let second = Duration::from_secs(1);
    let drawn = |from: MatchTime| {
        serde_json::json!({ "shape": {"ring": {"middle": {"ground": [0, -9000]}, "radius": 600}},
            "from": from, "to": from.later(second) })
    };
    let (begins, ends) = (time("span", "start"), time("span", "end"));
    record["drawings"] = serde_json::json!([drawn(begins.later(second)), drawn(ends.later(second))]);
    fs::write(&path, record.to_string()).unwrap();
    let made =
        run(dir.path(), &["lesson", "m.points.json", "--pattern", "Drop shot", "--out", "d.lesson.json"]);
    assert!(made.status.success(), "{}", text(&made.stderr));
    let (lesson, _) = load(&dir.path().join("d.lesson.json")).unwrap();
    let Part::Clip(first) = &lesson.parts[0] else { panic!("{:?}", lesson.parts[0]) };
    let from = time("file_span", "start").later(second);
    assert_eq!(begins - time("file_span", "start"), 2 * second);
    let spans: Vec<_> = first.drawings.iter().map(|d| (d.from, d.to, d.is_on_ground())).collect();
    assert_eq!(spans, [(from, from.later(second), true)]);
}

#[test]
fn conditions_come_with_the_clips() {
    let dir = tempfile::tempdir().unwrap();
    fs::copy(sample("holt-okafor.points.json"), dir.path().join("m.points.json")).unwrap();
    let args =
        ["lesson", "m.points.json", "--pattern", "Drop shot, a condition missed", "--out", "d.lesson.json"];
    let made = run(dir.path(), &args);
    if made.status.success() {
        let (lesson, _) = load(&dir.path().join("d.lesson.json")).unwrap();
        let clips: Vec<_> = lesson.parts.iter().flat_map(Part::clips).collect();
        assert!(clips.iter().all(|c| c.conditions.len() == 3), "{clips:?}");
        assert!(clips.iter().all(|c| c.conditions.iter().any(|c| c.met == Met::Missed)));
    } else {
        assert!(text(&made.stderr).contains("no point with footage is found"), "{}", text(&made.stderr));
    }
}

#[test]
fn what_cannot_be_made_is_told() {
    let dir = tempfile::tempdir().unwrap();
    fs::copy(sample("holt-okafor.points.json"), dir.path().join("m.points.json")).unwrap();
    let said = |args: &[&str]| {
        let out = run(dir.path(), args);
        assert_eq!(out.status.code(), Some(1), "{}", text(&out.stderr));
        text(&out.stderr)
    };
    assert!(said(&["lesson", "m.points.json"]).contains("give --pattern, --where, --tag or --player"));
    let named = said(&["lesson", "m.points.json", "--pattern", "Drop shot", "--out", "a.json"]);
    assert!(
        named.contains("the name of a lesson ends with .lesson.json; write --out a.lesson.json"),
        "{named}"
    );
    fs::write(dir.path().join("x.lesson.json"), "{\"format\": \"changeover-record\"}").unwrap();
    let other = said(&["lesson", "x.lesson.json"]);
    assert!(other.contains("in a lesson it is \"changeover-lesson\""), "{other}");
    assert!(said(&["lesson", "x.lesson.json", "--title", "T"]).contains("is only shown"));
}
