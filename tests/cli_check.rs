//! The command line as a user sees it: answers, complaints and exit codes.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::fs;
use std::path::Path;
use std::process::{Output, Stdio};

use assert_cmd::Command;
use changeover::record::Record;
use insta::assert_snapshot;

const SAMPLE: &str = include_str!("../sample-tags/holt-okafor.points.json");

/// Answer, complaints and exit code as one text.
fn run(dir: &Path, args: &[&str]) -> String {
    let out = Command::new(assert_cmd::cargo::cargo_bin!("changeover")).args(args).current_dir(dir).output();
    shown(&out.unwrap())
}

fn shown(out: &Output) -> String {
    let text = |b: &[u8]| String::from_utf8(b.to_vec()).unwrap();
    let code = out.status.code().map_or("killed".into(), |c| c.to_string());
    format!("{}--\n{}exit code {code}", text(&out.stdout), text(&out.stderr))
}

/// Runs `check` on one file with this content.
fn check(text: &str) -> String {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("m.points.json"), text).unwrap();
    let answer = run(dir.path(), &["check", "m.points.json"]);
    assert_eq!(fs::read_to_string(dir.path().join("m.points.json")).unwrap(), text, "nothing is changed");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "nothing is left behind");
    answer
}

/// The sample with one text changed.
fn with(from: &str, to: &str) -> String {
    assert!(SAMPLE.contains(from), "{from}");
    SAMPLE.replacen(from, to, 1)
}

#[test]
fn a_good_record() {
    assert_snapshot!(check(SAMPLE), @r#"
    m.points.json: note: footage 1: "holt-okafor.mp4" is not in the record's folder; put it there to play it
    m.points.json: 12 points, nothing wrong
    --
    exit code 0
    "#);
}

#[test]
fn a_record_with_mistakes() {
    let text = with("00:00:17.920", "00:00:02.000")
        .replacen("\"winner\": \"b\",", "", 1)
        .replacen("\"faults\": 2", "\"faults\": 1", 1)
        .replacen("00:06:10.240", "00:05:40.000", 1)
        .replacen("holt-okafor.mp4", "../../secret.mp4", 1)
        .replacen("00:06:30.000", "00:06:00.000", 1);
    assert_snapshot!(check(&text), @r#"
    m.points.json: error: footage 1: "../../secret.mp4" is outside the record's folder, so it is not opened; move it into the folder
    m.points.json: error: point 1: it ends at 00:00:02.000, not after its start at 00:00:12.480
    m.points.json: warning: point 2: how it ended is known, but not who won it
    m.points.json: warning: point 2: its winner is not known, so the score after it is not known
    m.points.json: error: point 7: it is a double fault, but the number of faults is 1; it must be 2
    m.points.json: error: point 12: it starts at 00:05:40.000, before the point before it ends at 00:05:51.120
    m.points.json: warning: point 12: no footage shows its end at 00:06:20.040
    --
    exit code 1
    "#);
}

#[test]
fn a_broken_record() {
    assert_snapshot!(check(&with("\"winner\": \"b\"", "\"winner\": \"Okafor\"")), @r#"
    --
    changeover: m.points.json, line 54, column 24, points[1].winner (point 2): found "Okafor"; allowed: a, b; the file is left as it is
    exit code 1
    "#);
    assert_snapshot!(check(&with("00:01:10.120", "1 minute")), @r#"
    --
    changeover: m.points.json, line 58, column 25, points[2].start (point 3): "1 minute" is not a time; write hours:minutes:seconds, as 01:02:03.500 (up to nine decimals); the file is left as it is
    exit code 1
    "#);
    assert_snapshot!(check(&SAMPLE[..700]), @r"
    --
    changeover: m.points.json, line 38, column 9: the file ends within a text in quotes; the file is left as it is
    exit code 1
    ");
    assert_snapshot!(check("{\"format\": \"something\\u001b[2J\"}"), @r#"
    --
    changeover: m.points.json: its first field "format" is "something\u001b[2J"; in a record it is "changeover-record"
    exit code 1
    "#);
}

#[test]
fn a_newer_record_and_an_unknown_field() {
    assert_snapshot!(check(&with("\"version\": 3", "\"version\": 4")), @r#"
    m.points.json: warning: match: it can be read but not changed: it has version 4, but this program writes version 3; update the program to change the record
    m.points.json: note: footage 1: "holt-okafor.mp4" is not in the record's folder; put it there to play it
    --
    exit code 1
    "#);
    assert_snapshot!(check(&with("\"tags\"", "\"speed\": 181, \"tags\"")), @r#"
    m.points.json: warning: match: it can be read but not changed: it has fields that this version does not know and would lose: points[0].speed (point 1); delete them, or update the program
    m.points.json: note: footage 1: "holt-okafor.mp4" is not in the record's folder; put it there to play it
    --
    exit code 1
    "#);
}

#[test]
fn no_file_and_a_folder() {
    let dir = tempfile::tempdir().unwrap();
    assert_snapshot!(run(dir.path(), &["check", "none.points.json"]), @r"
    --
    changeover: none.points.json: cannot open it: there is no such file; check the name
    exit code 1
    ");
    assert_snapshot!(run(dir.path(), &["check", "."]), @r"
    --
    changeover: .: this is not a file; name a record (NAME.points.json) or a footage file
    exit code 1
    ");
    assert_snapshot!(run(dir.path(), &["check"]), @r"
    --
    changeover: the following required arguments were not provided:
      <FILE>...

    Usage: changeover check <FILE>...

    For more information, try '--help'.
    exit code 2
    ");
}

#[test]
fn as_json() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("m.points.json"), with("\"faults\": 2", "\"faults\": 0")).unwrap();
    assert_snapshot!(run(dir.path(), &["check", "--json", "m.points.json", "none"]), @r#"
    [
      {
        "file": "m.points.json",
        "points": 12,
        "error": null,
        "notices": [],
        "findings": [
          {
            "place": "footage 1",
            "message": "\"holt-okafor.mp4\" is not in the record's folder; put it there to play it",
            "severity": "note"
          },
          {
            "place": "point 7",
            "message": "it is a double fault, but the number of faults is 0; it must be 2",
            "severity": "error"
          }
        ]
      },
      {
        "file": "none",
        "points": null,
        "error": "none: cannot open it: there is no such file; check the name",
        "notices": [],
        "findings": []
      }
    ]
    --
    exit code 1
    "#);
}

#[test]
fn edits_in_the_journal_are_seen() {
    use changeover::record::{Edit, Store};
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("m.points.json");
    fs::write(&path, SAMPLE).unwrap();
    let mut store = Store::open(&path).unwrap();
    let _ = store.apply(Edit::RemovePoint { at: 11 }).unwrap();
    assert_snapshot!(run(dir.path(), &["check", "m.points.json"]), @r#"
    m.points.json: note: with 1 edit from its journal, not yet saved
    m.points.json: note: footage 1: "holt-okafor.mp4" is not in the record's folder; put it there to play it
    m.points.json: 11 points, nothing wrong
    --
    exit code 0
    "#);
}

/// The sample fits the schema's own idea of what a record requires.
#[test]
fn the_schema_of_a_record() {
    let out = Command::new(assert_cmd::cargo::cargo_bin!("changeover"))
        .args(["schema", "record"])
        .output()
        .unwrap();
    let schema: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let sample: serde_json::Value = serde_json::from_str(SAMPLE).unwrap();
    for needed in schema["required"].as_array().unwrap() {
        assert!(sample.get(needed.as_str().unwrap()).is_some(), "{needed}");
    }
    for (name, _) in sample.as_object().unwrap() {
        assert!(schema["properties"].get(name).is_some(), "{name}");
    }
    assert_eq!(schema["$defs"]["MatchTime"]["type"], "string");
    assert_eq!(schema["properties"]["format"]["const"], "changeover-record");
    assert_eq!(schema["properties"]["version"]["minimum"], 1);
}

#[test]
fn a_closed_pipe_is_no_failure() {
    let mut child = std::process::Command::new(assert_cmd::cargo::cargo_bin!("changeover"))
        .args(["schema", "record"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let out = child.wait_with_output().unwrap();
    assert_snapshot!(shown(&out), @r"
    --
    exit code 0
    ");
}

/// Footage that is missing, renamed, or outside the record's folder.
#[test]
fn footage_that_is_not_where_the_record_says() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("m.points.json");
    fs::write(dir.path().join("Day 1.mp4"), "pictures").unwrap();
    let print = changeover::record::fingerprint(&dir.path().join("Day 1.mp4")).unwrap();
    let mut record: Record = serde_json::from_str(SAMPLE).unwrap();
    let name = record.footage[0].file.clone();
    record.footage[0].fingerprint = Some(print);
    let write = |record: &Record| fs::write(&path, serde_json::to_string(record).unwrap()).unwrap();
    let clips = || {
        fs::write(dir.path().join("all.toml"), "[[pattern]]\nname = \"all\"\nserver = \"a\"\n").unwrap();
        let said = run(
            dir.path(),
            &["clips", "m.points.json", "--pattern", "all", "--patterns", "all.toml", "--json"],
        );
        said.split_once("\n--\n").unwrap().1.to_owned()
    };
    write(&record);
    assert_snapshot!(run(dir.path(), &["check", "m.points.json"]), @r#"
    m.points.json: note: footage 1: "holt-okafor.mp4" is now named "Day 1.mp4"; open the record in the window to save the new name
    m.points.json: 12 points, nothing wrong
    --
    exit code 0
    "#);
    assert_snapshot!(clips(), @r#"
    changeover: m.points.json: footage "holt-okafor.mp4" is now named "Day 1.mp4"; open the record in the window to save the new name
    exit code 0
    "#);
    fs::remove_file(dir.path().join("Day 1.mp4")).unwrap();
    assert_snapshot!(run(dir.path(), &["check", "m.points.json"]), @r#"
    m.points.json: note: footage 1: "holt-okafor.mp4" is not in the record's folder; put it there to play it
    m.points.json: 12 points, nothing wrong
    --
    exit code 0
    "#);
    assert_snapshot!(clips(), @r#"
    changeover: m.points.json: footage "holt-okafor.mp4" is not in the record's folder; put it there to play it
    exit code 0
    "#);
    fs::write(dir.path().join(&name), "pictures").unwrap();
    assert_snapshot!(run(dir.path(), &["check", "m.points.json"]), @r#"
    m.points.json: 12 points, nothing wrong
    --
    exit code 0
    "#);
    assert_snapshot!(clips(), @r#"
    exit code 0
    "#);
    record.footage[0].file = "../film.mp4".into();
    write(&record);
    assert_snapshot!(run(dir.path(), &["check", "m.points.json"]), @r#"
    m.points.json: error: footage 1: "../film.mp4" is outside the record's folder, so it is not opened; move it into the folder
    --
    exit code 1
    "#);
    assert_snapshot!(clips(), @r#"
    changeover: m.points.json: footage "../film.mp4" is outside the record's folder, so it is not opened; move it into the folder
    exit code 0
    "#);
}
