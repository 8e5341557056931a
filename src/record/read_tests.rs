//! The quick way says of every text what the careful way says.

use std::path::PathBuf;

use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};

use super::*;
use crate::drawing::{Anchor, Colour, Drawing, Shape};
use crate::record::model::{FORMAT, VERSION};
use crate::record::{
    Corner, CourtMark, CourtMarks, Dot, Edit, Footage, FoundBy, Player, Point, Position, Record, Shot, Touch,
};
use crate::tennis::mark::Mark;
use crate::tennis::pair::SetOrder;
use crate::tennis::rules::Rules;

fn root(file: &str) -> Vec<u8> {
    std::fs::read(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(file)).unwrap()
}

/// A record with something in nearly every field.
fn full() -> Value {
    let mut full = logged();
    let positions = json!([{"of": "a", "frame": "0:01.2", "at": {"x": 640.25, "y": 500}, "by": "found"},
                                      {"of": "ball", "frame": "0:01.9", "at": {"x": 1, "y": 2},
                                       "measured": {"place": {"x_mm": 1, "y_mm": 2}, "spread_mm2": [9, -1, 25]}}]);
    full["points"][0]["shots"][0]["positions"] = positions;
    full["calibrations"] = json!([{"file": "m.mp4", "at": "00:00:02.000", "size": {"width": 1280, "height": 720}, "by": "checked", "moving": true,
                          "centre": {"x": 600, "y": 350.5}, "marks": [
                            {"landmark": "near-left-singles-corner", "at": {"x": 294.25, "y": 622}}]}]);
    full["drawings"] = json!([{"shape": {"arrow": [{"ground": [0, 1000]}, {"picture": [5000, 4000]}]}, "from": "0:01", "to": "0:04"},
                     {"shape": {"ring": {"middle": {"ground": [0, 1000]}, "radius": 700}}, "colour": "blue", "from": "0:01", "to": "0:04"},
                     {"shape": {"text": {"at": {"picture": [1, 2]}, "words": "wide"}}, "from": "0:01", "to": "0:04"},
                     {"shape": {"distance": [{"ground": [0, 1]}, {"ground": [0, 2]}]}, "from": "0:01", "to": "0:04"}]);
    full
}

fn logged() -> Value {
    json!({
        "format": FORMAT, "version": VERSION,
        "match": {
            "date": "2026-05-01", "clock_started": "2026-05-01T10:00:00+02:00", "venue": "Court 3", "surface": "clay",
            "a": {"name": "Holt", "hand": "right", "backhand": "two-handed", "gender": "woman", "consent": true},
            "b": {"name": "Okafor", "keep_until": "2027-05-01"},
            "a_partner": {"name": "Reyes"}, "b_partner": {"name": "Marsh"},
            "rules": Rules::default(), "first_server": "a", "a_starts": "near",
            "order": [null, SetOrder::default()], "outcome": {"retired": "a"},
        },
        "footage": [{"file": "m.mp4", "duration": "01:00:00.000", "rate": "25/1", "rotation": 90, "start": "0:05.5"}],
        "points": [
            {"start": "00:00:01.000", "end": "00:00:02.5", "faults": 1, "winner": "a", "finish": "winner",
             "served_by": "a1", "received_by": "second", "side": "deuce", "server_end": "far", "miss": "net",
             "shots": [{"at": "00:00:01.200", "stroke": "volley", "wing": "forehand", "spin": "slice",
                        "cell": {"column": "left", "row": "up"}, "landing": {"x_mm": 1, "y_mm": -2},
                        "players": [{"x_mm": 1, "y_mm": -2}, {"x_mm": 3, "y_mm": 4}]},
                       {"stroke": "volley", "volley": "half", "at_net": true, "net_cord": true, "depth": "mid",
                        "aim": {"column": "right", "row": "down"}, "aim_place": {"x_mm": 9, "y_mm": 8}}, {}],
             "also_wide": true, "unreturned": true, "lets": 2, "penalty": "b", "time_violation": "a",
             "logged": "every", "serves_out": [{"approach": false, "fault": "foot"}], "plan": "serve plus one", "tags": ["x", "y"],
             "note": "a \\ \" \u{e9}"},
            {"replayed": true, "score_before": Mark::default()},
        ],
        "closing_score": Mark::default(),
    })
}

fn seeds() -> Vec<Value> {
    let files = ["tests/corpus/record/newer.json", "tests/records/version-1.json"];
    let sample = root("sample-tags/holt-okafor.points.json");
    let read = |bytes: &[u8]| serde_json::from_slice(bytes).unwrap();
    files.map(|f| read(&root(f))).into_iter().chain([read(&sample), full()]).collect()
}

/// What came of it, to the last letter.
fn told(outcome: &Result<Parsed<Record>, RecordError>) -> String {
    match outcome {
        Ok(parsed) => format!("{parsed:?}"),
        Err(e) => format!("{e:?}: {e}"),
    }
}

fn same(bytes: &[u8]) {
    let path = Path::new("m.points.json");
    let plain = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let before = careful(path, plain).and_then(|text| judged(path, text));
    assert_eq!(told(&parse::<Record>(path, bytes)), told(&before), "{}", String::from_utf8_lossy(bytes));
}

/// A place within a value, chosen by numbers.
fn somewhere<'v>(mut value: &'v mut Value, way: &[Index]) -> &'v mut Value {
    for step in way {
        let inside = match value {
            Value::Array(all) => all.len(),
            Value::Object(all) => all.len(),
            _ => 0,
        };
        if inside == 0 {
            break;
        }
        value = match value {
            Value::Array(all) => &mut all[step.index(inside)],
            Value::Object(all) => all.values_mut().nth(step.index(inside)).unwrap(),
            other => other,
        };
    }
    value
}

#[derive(Debug, Clone)]
enum Change {
    Put(Value),
    Unknown(&'static str, Value),
    Without(Index),
    /// An object as the list of what it holds.
    Unnamed,
}

fn a_change() -> impl Strategy<Value = Change> {
    let value = prop_oneof![
        Just(Value::Null),
        Just(json!(0)),
        Just(json!(-1)),
        Just(json!(2.5)),
        Just(json!(u64::MAX)),
        Just(json!(true)),
        Just(json!("a")),
        Just(json!("00:00:09.000")),
        Just(json!([])),
        Just(json!({})),
        Just(json!({"x": [1, {"y": null}]})),
    ];
    let name = prop::sample::select(vec!["colour", "name", "format", "version", "shots", "\u{1b}[2J", ""]);
    prop_oneof![
        value.clone().prop_map(Change::Put),
        (name, value).prop_map(|(name, value)| Change::Unknown(name, value)),
        any::<Index>().prop_map(Change::Without),
        Just(Change::Unnamed),
    ]
}

fn change(at: &mut Value, how: Change) {
    match (how, at) {
        (Change::Put(value), at) => *at = value,
        (Change::Unknown(name, value), Value::Object(fields)) => {
            fields.insert(name.into(), value);
        }
        (Change::Without(which), Value::Object(fields)) if !fields.is_empty() => {
            let name = fields.keys().nth(which.index(fields.len())).cloned().unwrap();
            fields.remove(&name);
        }
        (Change::Unnamed, at @ Value::Object(_)) => {
            *at = at.as_object().map(|fields| fields.values().cloned().collect()).unwrap();
        }
        _ => {}
    }
}

#[test]
fn what_a_save_wrote_is_read_the_quick_way_and_nothing_unknown_is() {
    let read = |value: &Value| quick::<Record>(value.to_string().as_bytes()).is_some();
    strict::known_only::<Record>(full().to_string().as_bytes()).unwrap();
    assert!(read(&full()));
    assert!(quick::<Record>(&root("sample-tags/holt-okafor.points.json")).is_some());
    let mut odd = full();
    odd["points"][0]["shots"][0]["cell"]["colour"] = json!(1);
    assert!(!read(&odd));
    for (at, value) in [("format", json!("x")), ("version", json!(0)), ("colour", json!(null))] {
        let mut odd = full();
        odd[at] = value;
        assert!(!read(&odd), "{at}");
    }
}

#[test]
fn files_kept_for_tests_come_out_alike() {
    let places = ["tests/corpus/record", "tests/records", "sample-tags"];
    let mut seen = 0;
    for place in places {
        let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(place);
        for entry in std::fs::read_dir(folder).unwrap() {
            same(&std::fs::read(entry.unwrap().path()).unwrap());
            seen += 1;
        }
    }
    assert!(seen > 5, "{seen}");
    // A record without names; a name twice, known and unknown; what follows the end.
    let fields = serde_json::to_string(&Record::default()).unwrap();
    let values: Vec<Value> =
        ["format", "version", "match", "footage", "points"].map(|f| full()[f].clone()).to_vec();
    same(json!(values).to_string().as_bytes());
    for text in [
        fields.replacen('{', r#"{"points":[],"#, 1),
        fields.replacen('{', r#"{"colour":1,"colour":2,"#, 1),
        format!("{fields} {{}}"),
        format!("\u{c}{fields}"),
        format!(" \n{fields}\t"),
    ] {
        same(text.as_bytes());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn a_changed_value_comes_out_alike(
        seed in any::<Index>(),
        changes in prop::collection::vec((prop::collection::vec(any::<Index>(), 0..6), a_change()), 0..3),
        pretty in any::<bool>(),
    ) {
        let mut value = seed.get(&seeds()).clone();
        for (way, how) in changes {
            change(somewhere(&mut value, &way), how);
        }
        let bytes = if pretty { serde_json::to_vec_pretty(&value) } else { serde_json::to_vec(&value) };
        same(&bytes.unwrap());
    }

    #[test]
    fn a_changed_text_comes_out_alike(
        seed in any::<Index>(),
        changes in prop::collection::vec((any::<Index>(), any::<Index>(), any::<u8>(), 0..4_u8), 1..4),
    ) {
        let mut bytes = seed.get(&seeds()).to_string().into_bytes();
        for (at, until, byte, how) in changes {
            if bytes.is_empty() {
                break;
            }
            let (at, until) = (at.index(bytes.len()), until.index(bytes.len()));
            match how {
                0 => bytes[at] = byte,
                1 => bytes.insert(at, byte),
                2 => bytes.truncate(at),
                _ => {
                    let part = bytes[at.min(until)..at.max(until)].to_vec();
                    bytes.splice(at..at, part);
                }
            }
        }
        same(&bytes);
    }
}

fn court(file: &str, marks: usize) -> CourtMarks {
    let mark = CourtMark { landmark: Corner::NearT, at: Dot::default() };
    CourtMarks {
        file: file.into(),
        at: crate::time::MatchTime::ZERO,
        size: crate::measure::Size::new(1280, 720),
        marks: vec![mark; marks],
        by: FoundBy::Found,
        centre: None,
        moving: false,
    }
}

fn seen_often() -> Shot {
    let frame = crate::time::MatchTime::ZERO;
    let one = Position { of: Touch::A, frame, at: Dot::default(), by: FoundBy::Hand, measured: None };
    Shot { positions: vec![one; 101], ..Shot::default() }
}

fn text(words: &str) -> Shape {
    Shape::Text { at: Anchor::Picture(0, 0), words: words.into() }
}

fn drawn(shape: Shape) -> Drawing {
    let (from, to) = (crate::time::MatchTime::ZERO, crate::time::MatchTime::from_secs(1));
    Drawing { shape, colour: Colour::Yellow, from, to }
}

/// A text of the record with so many of something, and what is said of it.
fn too_much(change: impl FnOnce(&mut Record)) -> String {
    let mut record = Record { points: [Point::default()].into(), ..Record::default() };
    change(&mut record);
    let text = serde_json::to_vec(&record).unwrap();
    let path = Path::new("m.points.json");
    assert!(to_bytes(path, &record).is_err(), "it could be written, and not be read again");
    parse::<Record>(path, &text).unwrap_err().to_string()
}

#[test]
fn more_than_any_match_has_is_refused() {
    let long = "x".repeat(100_000);
    let tags = || (0..100_000).map(|n| n.to_string()).collect();
    let file = Footage {
        file: "m.mp4".into(),
        fingerprint: None,
        duration: crate::time::MatchTime::ZERO,
        rate: None,
        rotation: 0,
        start: crate::time::MatchTime::ZERO,
    };
    for (said, place) in [
        (too_much(|r| r.about.a.name.clone_from(&long)), "match.a.name: 100000 letters; at most 1000"),
        (
            too_much(|r| r.about.b_partner = Some(Player::named(&long))),
            "match.b_partner.name: 100000 letters",
        ),
        (too_much(|r| r.about.venue.clone_from(&long)), "match.venue: 100000 letters"),
        (too_much(|r| r.footage = vec![file.clone(); 1_000]), "footage: 1000 files; at most 500"),
        (
            too_much(|r| r.footage = vec![Footage { file: long.clone(), ..file.clone() }]),
            "footage[0].file: 100000",
        ),
        (
            too_much(|r| r.calibrations = vec![court("m.mp4", 0); 501]),
            "calibrations: 501 marked pictures; at most 500",
        ),
        (too_much(|r| r.calibrations = vec![court(&long, 0)]), "calibrations[0].file: 100000 letters"),
        (too_much(|r| r.calibrations = vec![court("m.mp4", 29)]), "calibrations[0].marks: 29 marks"),
        (
            too_much(|r| r.points[0].shots = vec![seen_often()]),
            "points[0].shots[0].positions: 101 positions; at most 100",
        ),
        (
            too_much(|r| r.points[0].serves_out = vec![seen_often()]),
            "points[0].serves_out[0].positions: 101 positions",
        ),
        (
            too_much(|r| r.drawings = vec![drawn(Shape::Line(Vec::new())); 5_001]),
            "drawings: 5001 drawings; at most 5000",
        ),
        (
            too_much(|r| r.drawings = vec![drawn(Shape::Zone(vec![Anchor::Ground(0, 0); 5_001]))]),
            "drawings[0].shape: 5001 places; at most 5000",
        ),
        (
            too_much(|r| r.drawings = vec![drawn(text(&long))]),
            "drawings[0].shape.text.words: 100000 letters; at most 1000",
        ),
        (too_much(|r| r.points[0].tags = tags()), "points[0].tags: 100000 tags; at most 500"),
        (too_much(|r| r.points[0].tags = [long.clone()].into()), "points[0].tags: 100000 letters"),
        (too_much(|r| r.points[0].plan.clone_from(&long)), "points[0].plan: 100000 letters"),
        (
            too_much(|r| r.points[0].note = long.repeat(11)),
            "points[0].note: 1100000 letters; at most 1048576",
        ),
        (
            too_much(|r| r.points = vec![Point::default(); 20_001].into()),
            "points: 20001 points; at most 20000",
        ),
    ] {
        assert!(said.starts_with(&format!("m.points.json: {place}")), "{said}");
        assert!(said.ends_with("are allowed; no match has as many, so the file is left as it is"), "{said}");
    }
}

/// What cannot be read again is not let in by an edit either.
#[test]
fn an_edit_is_held_to_the_same_limits() {
    let mut record = Record::default();
    let note = "x".repeat((1 << 20) + 1);
    let edit = Edit::InsertPoint { at: 0, point: Point { note, ..Point::default() } };
    let said = record.apply(edit).unwrap_err().to_string();
    assert_eq!(said, "points[0].note: 1048577 letters; at most 1048576 are allowed");
    assert_eq!(record, Record::default());
}
