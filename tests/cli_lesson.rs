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

/// The clips of a lesson are where those are that it was made of, in each format; what a list cannot hold is told.
#[test]
fn the_clips_of_a_lesson_are_written_as_those_of_a_record() {
    let dir = tempfile::tempdir().unwrap();
    fs::copy(sample("holt-okafor.points.json"), dir.path().join("m.points.json")).unwrap();
    let asked = ["m.points.json", "--pattern", "Drop shot"];
    let made = run(dir.path(), &[&["lesson"], &asked[..], &["--out", "d.lesson.json"]].concat());
    assert!(made.status.success(), "{}", text(&made.stderr));
    let both = |format: &str, more: &[&str]| {
        let clips = run(dir.path(), &[&["clips"], &asked[..], &["--format", format], more].concat());
        let lesson = run(dir.path(), &[&["lesson", "d.lesson.json", "--format", format], more].concat());
        assert!(lesson.status.success(), "{format}: {}", text(&lesson.stderr));
        (text(&clips.stdout), text(&lesson.stdout), text(&lesson.stderr))
    };
    let json = |text: &str| serde_json::from_str::<Value>(text).unwrap();
    let (clips, lesson, said) = both("json", &[]);
    let part = |sheet: &Value, key: &str| -> Vec<Value> {
        sheet["clips"].as_array().unwrap().iter().map(|clip| clip[key].clone()).collect()
    };
    for key in ["file", "file_span", "points", "record"] {
        assert_eq!(part(&json(&lesson), key), part(&json(&clips), key), "{key}");
    }
    assert_eq!(part(&json(&lesson), "label"), part(&json(&clips), "about"), "the captions");
    assert_eq!(json(&lesson)["records"], json(&clips)["records"]);
    let count = part(&json(&lesson), "file").len();
    assert!(count > 1);
    assert!(!said.contains("left out") && json(&lesson).get("left_out").is_none(), "{said}");
    // Timecodes, and how the footage is named.
    let lines = |text: &str, word: &str| -> Vec<String> {
        text.lines().filter(|line| line.contains(word)).map(str::to_owned).collect()
    };
    let (clips, lesson, _) = both("edl", &["--start-timecode", "10:00:00:00"]);
    assert_eq!(lines(&lesson, " V     C "), lines(&clips, " V     C "));
    assert_eq!(
        (lines(&lesson, " V     C ").len(), lines(&lesson, "* SOURCE").len()),
        (count, count),
        "{lesson}"
    );
    let ranges = |text: &str| -> Vec<Value> {
        let clips = json(text)["tracks"]["children"][0]["children"].as_array().unwrap().clone();
        clips.into_iter().map(|clip| clip["source_range"].clone()).collect()
    };
    let (clips, lesson, _) = both("otio", &[]);
    assert_eq!(ranges(&lesson), ranges(&clips));
    for (format, word) in [("xspf", "<location>"), ("webvtt", "-->"), ("mkv-chapters", "ChapterTime")] {
        let (clips, lesson, _) = both(format, &[]);
        assert_eq!(lines(&lesson, word), lines(&clips, word), "{format}");
        assert!(!lines(&lesson, word).is_empty(), "{format}");
    }
    // A file is written once, and what the list lacks is told.
    let path = dir.path().join("d.lesson.json");
    let mut whole = json(&fs::read_to_string(&path).unwrap());
    whole["parts"][0]["clip"]["times"] = 2.into();
    fs::write(&path, whole.to_string()).unwrap();
    let save = ["lesson", "d.lesson.json", "--format", "csv", "--out", "d.csv"];
    let said = text(&run(dir.path(), &save).stderr);
    assert!(said.contains("this is left out: the repeats of 1 clip"), "{said}");
    let (_, lesson, _) = both("json", &[]);
    assert_eq!(json(&lesson)["left_out"], serde_json::json!(["the repeats of 1 clip"]));
    let before = fs::read(dir.path().join("d.csv")).unwrap();
    assert_eq!(run(dir.path(), &save).status.code(), Some(1));
    assert_eq!(fs::read(dir.path().join("d.csv")).unwrap(), before);
    let said = text(&run(dir.path(), &["lesson", "m.points.json", "--format", "edl"]).stderr);
    assert!(said.contains("changeover clips"), "{said}");
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
    assert!(other.contains("this is a record and not a lesson; name a lesson (NAME.lesson.json)"), "{other}");
    assert!(said(&["lesson", "x.lesson.json", "--title", "T"]).contains("is only shown"));
}
