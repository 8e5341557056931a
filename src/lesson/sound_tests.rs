//! What a lesson may hold, and what is said of one that does not fit.

use std::path::Path;

use serde_json::{Value, json};

use crate::lesson::{Lesson, load};
use crate::record::RecordError;

/// A lesson with a clip that has everything.
fn good() -> Value {
    let clip = json!({
        "footage": {"file": "m.mp4", "fingerprint": "sha256:0", "duration": "00:10:00.000", "rate": "30000/1001"},
        "from": "00:01:00.000", "to": "00:01:30.000", "caption": "a \" <b>", "score": "1–0 15–0", "notes": "n",
        "of": {"record": "m.points.json", "point": 3, "start": "00:01:02.000"},
        "conditions": [{"words": "opponent deep", "met": "missed"}],
        "stretches": [
            {"from": "00:01:01.000", "to": "00:01:02.000", "pace": 50},
            {"from": "00:01:02.000", "to": "00:01:03.000", "pace": 25},
        ],
        "freezes": [{"at": "00:01:05.000", "lasts": "00:00:02.000", "drawings": [
            {"shape": {"arrow": [{"ground": [0, 1000]}, {"picture": [1, 2]}]}, "colour": "blue",
             "from": "00:00:00.000", "to": "00:00:02.000"},
        ]}],
        "drawings": [{"shape": {"text": {"at": {"picture": [1, 2]}, "words": "here"}}, "from": "00:01:05.000", "to": "00:01:06.000"}],
        "times": 2,
    });
    json!({
        "format": "changeover-lesson", "version": 1, "title": "Drops", "player": "Reyes",
        "parts": [
            {"chapter": {"title": "First", "notes": "x"}},
            {"clip": clip.clone()},
            {"pair": {"left": clip.clone(), "right": clip, "left_at": "00:01:05.000", "right_at": "00:01:06.000"}},
            {"still": {"caption": "court", "lasts": "00:00:05.000", "shows": {"court": []}}},
            {"still": {"lasts": "00:00:05.000", "shows": {"words": "Now you"}}},
        ],
    })
}

fn read(value: &Value) -> Result<(Lesson, Vec<String>), RecordError> {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("d.lesson.json");
    std::fs::write(&path, serde_json::to_vec_pretty(value).unwrap()).unwrap();
    load(&path)
}

#[test]
fn a_lesson_is_read_and_written_as_it_was() {
    let (lesson, notices) = read(&good()).unwrap();
    assert!(notices.is_empty(), "{notices:?}");
    let text = super::super::to_text(Path::new("d.lesson.json"), &lesson).unwrap();
    let mut wanted = good();
    wanted["parts"][1]["clip"]["drawings"][0]["colour"] = json!("yellow");
    for side in ["left", "right"] {
        wanted["parts"][2]["pair"][side]["drawings"][0]["colour"] = json!("yellow");
    }
    assert_eq!(serde_json::from_slice::<Value>(&text).unwrap(), wanted);
    let schema = serde_json::to_value(schemars::schema_for!(Lesson)).unwrap();
    assert!(schema["properties"]["parts"].is_object());
}

/// What is said when a field of the good lesson holds this instead.
fn said(pointer: &str, value: Value) -> String {
    let mut lesson = good();
    *lesson.pointer_mut(pointer).unwrap() = value;
    let error = read(&lesson).unwrap_err().to_string();
    let said = error.split_once("d.lesson.json").unwrap().1.to_owned();
    // The line and the column say nothing here.
    said.split_once("column ").map_or(said.clone(), |(_, rest)| rest.split_once(", ").unwrap().1.to_owned())
}

#[test]
fn what_does_not_fit_is_told_with_its_place() {
    let clip = |field: &str| format!("/parts/1/clip/{field}");
    let long = |n: usize| json!("é".repeat(n));
    let cases = [
        (clip("from"), json!("00:01:30.000")),
        (clip("to"), json!("00:10:00.001")),
        (clip("to"), json!(7)),
        (clip("footage/file"), json!("")),
        (clip("footage/rate"), json!("29.97")),
        (clip("times"), json!(21)),
        (clip("conditions/0/met"), json!("yes")),
        (clip("stretches/0/to"), json!("00:01:01.000")),
        (clip("stretches/0/from"), json!("00:00:59.000")),
        (clip("stretches/1/from"), json!("00:01:01.500")),
        (clip("stretches/1/pace"), json!(9)),
        (clip("freezes/0/at"), json!("00:01:30.000")),
        (clip("freezes/0/lasts"), json!("00:00:00.000")),
        (clip("freezes/0/drawings/0/to"), json!("00:00:00.000")),
        (clip("drawings/0/colour"), json!("red")),
        (clip("caption"), long(10_001)),
        ("/parts/2/pair/right_at".into(), json!("00:02:00.000")),
        ("/parts/3/still/lasts".into(), json!("02:00:00.000")),
        ("/parts/0/chapter/title".into(), json!(null)),
        ("/title".into(), long(1_001)),
        ("/parts/0".into(), json!({"film": {}})),
        ("/parts".into(), Value::Array(vec![json!({"chapter": {"title": ""}}); 2_001])),
        ("/format".into(), json!("changeover-record")),
        ("/version".into(), json!(0)),
    ];
    let all: Vec<String> = cases
        .into_iter()
        .map(|(at, value)| {
            let colour = at.ends_with("colour");
            if colour { with_colour(value) } else { said(&at, value) }
        })
        .collect();
    insta::assert_snapshot!(all.join("\n"));
}

fn with_colour(value: Value) -> String {
    let mut lesson = good();
    lesson["parts"][1]["clip"]["drawings"][0]["colour"] = value;
    let error = read(&lesson).unwrap_err().to_string();
    error.split_once("column ").unwrap().1.split_once(", ").unwrap().1.to_owned()
}

#[test]
fn what_a_later_version_wrote_is_read_only() {
    let mut lesson = good();
    lesson["parts"][1]["clip"]["mood"] = json!("calm");
    let (_, notices) = read(&lesson).unwrap();
    let notices = notices.join(" ");
    assert!(
        notices.starts_with(
            "it has fields that this version does not know and would lose: parts[1].mood (part 2)"
        ),
        "{notices}"
    );
    let mut lesson = good();
    lesson["version"] = json!(2);
    let (_, notices) = read(&lesson).unwrap();
    assert_eq!(
        notices.join(" "),
        "it has version 2, but this program writes version 1; update the program to change the lesson"
    );
}
