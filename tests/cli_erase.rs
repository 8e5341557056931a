//! `changeover erase` and the reminder that asks for it, as a user sees them.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use insta::assert_snapshot;

/// Answer, complaints and exit code as one text.
fn run(dir: &Path, args: &[&str]) -> String {
    let mut program = Command::new(assert_cmd::cargo::cargo_bin!("changeover"));
    for (name, below) in [("XDG_CACHE_HOME", "cache"), ("XDG_DATA_HOME", "data")] {
        program.env(name, dir.join(below));
    }
    let out = program.args(args).current_dir(dir).output();
    let out = out.unwrap();
    let text = |b: &[u8]| String::from_utf8(b.to_vec()).unwrap();
    format!("{}--\n{}exit code {}", text(&out.stdout), text(&out.stderr), out.status.code().unwrap())
}

fn folder() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let sample = include_str!("../sample-tags/holt-okafor.points.json");
    let late = sample.replacen(
        "\"name\": \"Okafor\"",
        "\"name\": \"Okafor\",\n      \"keep_until\": \"2020-02-29\"",
        1,
    );
    assert_ne!(late, sample);
    fs::write(dir.path().join("m.points.json"), late).unwrap();
    fs::write(dir.path().join("m.points.json.aside-20250101-120000"), "Okafor").unwrap();
    dir
}

#[test]
fn a_day_that_has_passed_is_told_by_check() {
    assert_snapshot!(run(folder().path(), &["check", "m.points.json"]), @r#"
    m.points.json: warning: match: footage of Okafor could be kept until 2020-02-29, which has passed: delete it, and delete the name with changeover erase --player b
    m.points.json: note: footage 1: "holt-okafor.mp4" is not in the record's folder; put it there to play it
    --
    exit code 1
    "#);
}

#[test]
fn without_yes_nothing_is_changed() {
    let dir = folder();
    let before = fs::read(dir.path().join("m.points.json")).unwrap();
    assert_snapshot!(run(dir.path(), &["erase", "m.points.json", "--player", "okafor"]), @r#"
    m.points.json: Okafor would become Player B; nothing is changed yet; --yes erases it
      notes to be deleted: 3
      older version to be deleted: m.points.json.aside-20250101-120000
      not reached: footage holt-okafor.mp4: it shows who played, and its file name, which stays, contains the name
      not reached: exports, pictures and copies elsewhere, backups, and remains of deleted files on the disk
    --
    exit code 1
    "#);
    assert_eq!(fs::read(dir.path().join("m.points.json")).unwrap(), before);
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 2);
}

#[test]
fn with_yes_it_is_done() {
    let dir = folder();
    assert_snapshot!(run(dir.path(), &["erase", "m.points.json", "--player", "b", "--yes"]), @r#"
    m.points.json: Okafor is Player B now; this cannot be undone
      notes deleted: 3
      older version deleted: m.points.json.aside-20250101-120000
      not reached: footage holt-okafor.mp4: it shows who played, and its file name, which stays, contains the name
      not reached: exports, pictures and copies elsewhere, backups, and remains of deleted files on the disk
    --
    exit code 0
    "#);
    assert!(!fs::read_to_string(dir.path().join("m.points.json")).unwrap().contains("Okafor\""));
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
    assert_snapshot!(run(dir.path(), &["erase", "m.points.json", "--player", "b", "--yes", "--json"]), @r#"
    {
      "name": "Player B",
      "pseudonym": "Player B",
      "notes": 0,
      "tags": [],
      "fields": [],
      "files": [],
      "failed": [],
      "not_reached": [
        "footage holt-okafor.mp4: it shows who played",
        "exports, pictures and copies elsewhere, backups, and remains of deleted files on the disk"
      ],
      "pictures": [],
      "recent": []
    }
    --
    exit code 0
    "#);
}

#[test]
fn what_the_start_page_shows_of_the_match_goes_too() {
    let dir = folder();
    let film = dir.path().join("holt-okafor.mp4");
    fs::write(&film, "pictures").unwrap();
    let print = changeover::record::footage::fingerprint(&film).unwrap();
    let name: String = print.chars().filter(char::is_ascii_alphanumeric).collect();
    let picture = dir.path().join("cache/changeover/pictures").join(format!("{name}.png"));
    let recent = dir.path().join("data/changeover/recent.json");
    for (file, text) in [
        (&picture, String::new()),
        (&recent, serde_json::to_string(&[&film, &dir.path().join("other.mp4")]).unwrap()),
    ] {
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(file, text).unwrap();
    }
    let said = run(dir.path(), &["erase", "m.points.json", "--player", "b"]);
    assert!(said.contains("small picture of the footage to be deleted: ") && picture.exists(), "{said}");
    let said = run(dir.path(), &["erase", "m.points.json", "--player", "b", "--yes"]);
    assert!(said.contains("line in the list of recent matches deleted: "), "{said}");
    assert!(!picture.exists());
    let left = fs::read_to_string(&recent).unwrap();
    assert!(left.contains("other.mp4") && !left.contains("holt-okafor"), "{left}");
}

/// A lesson of clips of the record, in a talk too.
fn with_lesson() -> tempfile::TempDir {
    let dir = folder();
    let footage = r#"{"file": "m.mp4", "duration": "00:10:00.000"}"#;
    let clip = format!(
        r#"{{"footage": {footage}, "from": "00:00:01.000", "to": "00:00:09.000", "caption": "Okafor waits", "notes": "ask her",
            "of": {{"record": "m.points.json", "point": 0}}}}"#
    );
    let lesson = format!(
        r#"{{"format": "changeover-lesson", "version": 1, "title": "Drops", "player": "Okafor", "parts": [{{"clip": {clip}}}],
            "talk": {{"takes": [{{"voice": {}, "clips": [{{"clip": {clip}}}],
                "actions": [{{"at": "00:00:00.000", "does": {{"clip": {{"clip": 0, "moment": "00:00:01.000"}}}}}}]}}],
                "pieces": [{{"take": 0, "from": "00:00:00.000", "to": "00:10:00.000"}}]}}}}"#,
        footage.replace("m.mp4", "drops.talk/take-1.wav")
    );
    fs::write(dir.path().join("drops.lesson.json"), lesson).unwrap();
    dir
}

#[test]
fn a_lesson_is_erased_by_its_own_name_and_told_beside_the_record() {
    let dir = with_lesson();
    let said = run(dir.path(), &["erase", "m.points.json", "--player", "b"]);
    let told = "not reached: drops.lesson.json, a lesson: erase the player there too, with changeover erase";
    assert!(said.contains(told), "{said}");
    let picture = dir.path().join("cache/changeover/small-pictures/sha2560-7.png");
    fs::create_dir_all(picture.parent().unwrap()).unwrap();
    fs::write(&picture, "").unwrap();
    let lesson = dir.path().join("drops.lesson.json");
    let known = fs::read_to_string(&lesson).unwrap();
    let known = known.replacen(r#""file": "m.mp4","#, r#""file": "m.mp4", "fingerprint": "sha256:0","#, 1);
    fs::write(&lesson, known).unwrap();
    let said = run(dir.path(), &["erase", "drops.lesson.json", "--player", "okafor"]);
    assert!(said.contains("nothing is changed yet") && picture.exists(), "{said}");
    assert!(fs::read_to_string(&lesson).unwrap().contains("Okafor"));
    let said = run(dir.path(), &["erase", "drops.lesson.json", "--player", "okafor", "--yes"]);
    assert_snapshot!(said.replace(&*dir.path().to_string_lossy(), "HERE"), @r#"
    drops.lesson.json: okafor is Player now; this cannot be undone
      notes deleted: 2
      Player in place of the name: player
      Player in place of the name: captions
      small picture of the footage deleted: HERE/cache/changeover/small-pictures/sha2560-7.png
      not reached: footage m.mp4: it shows who played
      not reached: the voice drops.talk/take-1.wav: it may say the name, and a voice cannot be searched; listen to it
      not reached: the record m.points.json, which clips are from: erase the player there too
      not reached: exports, pictures and copies elsewhere, backups, and remains of deleted files on the disk
    --
    exit code 0
    "#);
    assert!(!fs::read_to_string(&lesson).unwrap().to_lowercase().contains("okafor"));
    assert!(!picture.exists());
    assert_snapshot!(run(dir.path(), &["erase", "drops.lesson.json", "--player", "b", "--yes"]), @r#"
    --
    changeover: nothing in this lesson names "b"; write the name as the lesson has it
    exit code 1
    "#);
}

#[test]
fn what_cannot_be_done_is_told() {
    let dir = folder();
    assert_snapshot!(run(dir.path(), &["erase", "m.points.json", "--player", "Reyes", "--yes"]), @r#"
    --
    changeover: no player here is called "Reyes"; allowed: a (Holt), b (Okafor)
    exit code 1
    "#);
    assert_snapshot!(run(dir.path(), &["erase", "m.points.json", "--yes"]), @r#"
    --
    changeover: the following required arguments were not provided:
      --player <WHO>

    Usage: changeover erase --player <WHO> --yes <FILE>

    For more information, try '--help'.
    exit code 2
    "#);
    assert_snapshot!(run(dir.path(), &["erase", "no.points.json", "--player", "a"]), @r#"
    --
    changeover: no.points.json: cannot open it: there is no such file; check the name
    exit code 1
    "#);
}
