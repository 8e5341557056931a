//! Records and lessons of every version that was ever released open, can be changed, and lose nothing. `tests/records/` keeps one of
//! each; several where one record cannot hold all that its version has.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use changeover::lesson::{self, LessonStore};
use changeover::record::{Edit, Store, load};
use serde_json::Value;

fn records() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/records");
    let all = fs::read_dir(folder).unwrap().map(|f| f.unwrap().path());
    let mut records: Vec<_> = all.filter(|p| name(p).starts_with("version-")).collect();
    records.sort();
    records
}

fn name(path: &Path) -> String {
    path.file_name().unwrap().to_string_lossy().into_owned()
}

fn kept(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/records").join(name)
}

#[test]
fn there_is_a_record_and_a_lesson_of_each_version() {
    let version = |document: Value| document["version"].as_u64().unwrap();
    let record = serde_json::to_value(changeover::record::Record::default()).unwrap();
    for v in 1..=version(record) {
        let wanted = kept(&format!("version-{v}.json"));
        assert!(wanted.is_file(), "keep a record of the new version: {}", wanted.display());
    }
    let lesson = serde_json::to_value(lesson::Lesson::default()).unwrap();
    for v in 1..=version(lesson) {
        let wanted = kept(&format!("lesson-{v}.lesson.json"));
        assert!(wanted.is_file(), "keep a lesson of the new version: {}", wanted.display());
    }
}

/// Every field that a document holds somewhere, by its name.
fn fields_in(document: &Value, found: &mut BTreeSet<String>) {
    match document {
        Value::Object(fields) => {
            for (name, value) in fields {
                found.insert(name.clone());
                fields_in(value, found);
            }
        }
        Value::Array(all) => all.iter().for_each(|one| fields_in(one, found)),
        _ => {}
    }
}

/// The records of the newest version together hold each field that there is now, and so does the lesson: whoever adds one, adds it there.
#[test]
fn the_newest_records_and_the_newest_lesson_hold_every_field() {
    for (what, start) in [("record", "version-3"), ("lesson", "lesson-1")] {
        let out = Command::new(assert_cmd::cargo::cargo_bin!("changeover")).args(["schema", what]).output();
        let schema: Value = serde_json::from_slice(&out.unwrap().stdout).unwrap();
        let folder = fs::read_dir(kept("")).unwrap().map(|file| file.unwrap().path());
        let mut held = BTreeSet::new();
        for path in folder.filter(|path| name(path).starts_with(start)) {
            fields_in(&serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap(), &mut held);
        }
        let there: BTreeSet<String> =
            parts(&schema).flat_map(|(_, part)| fields(part)).map(str::to_owned).collect();
        assert!(there.len() > 30, "{what}: {there:?}");
        let missing: Vec<_> = there.difference(&held).collect();
        assert!(missing.is_empty(), "tests/records has no {what} with {missing:?}");
    }
}

#[test]
fn lessons_of_each_version_open_and_can_be_changed() {
    let old = kept("lesson-1.lesson.json");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("drops.lesson.json");
    fs::copy(&old, &path).unwrap();
    let (before, notices) = lesson::load(&path).unwrap();
    assert!(notices.is_empty(), "{notices:?}");
    assert_eq!((before.parts.len(), before.talk.as_ref().unwrap().takes[0].actions.len()), (4, 7));
    let written: Value = serde_json::from_str(&fs::read_to_string(&old).unwrap()).unwrap();
    assert_eq!(serde_json::to_value(&before).unwrap(), written, "nothing is lost or added");
    let mut store = LessonStore::open(&path).unwrap();
    assert_eq!(store.read_only(), None);
    let _ = store.apply(lesson::Edit::SetHead { title: "Drop shots".into(), player: "R.".into() }).unwrap();
    store.save().unwrap();
    drop(store);
    let (after, _) = lesson::load(&path).unwrap();
    assert_eq!(after.title, "Drop shots");
    assert_eq!((after.parts, after.talk), (before.parts, before.talk));
}

#[test]
fn records_of_each_version_open_and_can_be_changed() {
    for old in records() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("match.points.json");
        fs::copy(&old, &path).unwrap();
        let (before, notices) = load(&path).unwrap();
        assert!(!before.points.is_empty() && notices.is_empty(), "{}: {notices:?}", old.display());
        let mut store = Store::open(&path).unwrap();
        assert_eq!(store.read_only(), None, "{}", old.display());
        let mut about = store.record().about.clone();
        about.venue = "Court 3".into();
        let _ = store.apply(Edit::SetMatch(about.into())).unwrap();
        store.save().unwrap();
        drop(store);
        let (after, _) = load(&path).unwrap();
        assert_eq!(after.points, before.points, "{}", old.display());
        assert_eq!(after.about.venue, "Court 3");
        let score = Command::new(assert_cmd::cargo::cargo_bin!("changeover"))
            .arg("score")
            .arg(&old)
            .output()
            .unwrap();
        assert!(score.status.success(), "{}: {score:?}", old.display());
    }
}

/// `changeover schema record` of version 2, as it printed it, and of this version.
fn schemas() -> [Value; 2] {
    let old = include_str!("upgrades/schema-2.json");
    let new = Command::new(assert_cmd::cargo::cargo_bin!("changeover")).args(["schema", "record"]).output();
    [serde_json::from_str(old).unwrap(), serde_json::from_slice(&new.unwrap().stdout).unwrap()]
}

/// The parts of a schema by name: the record itself first.
fn parts(schema: &Value) -> impl Iterator<Item = (&str, &Value)> {
    let parts = schema["$defs"].as_object().unwrap();
    std::iter::once(("Record", schema)).chain(parts.iter().map(|(name, part)| (name.as_str(), part)))
}

fn fields(part: &Value) -> BTreeSet<&str> {
    part["properties"].as_object().into_iter().flatten().map(|(name, _)| name.as_str()).collect()
}

/// The words that may stand in a field of this kind.
fn words(part: &Value) -> BTreeSet<String> {
    let ways = ["oneOf", "anyOf"].iter().flat_map(|key| part[*key].as_array().into_iter().flatten());
    let one = |part: &Value| {
        let listed = part["enum"].as_array().cloned().unwrap_or_default();
        listed.into_iter().chain(part.get("const").cloned()).map(|w| w.to_string()).collect::<Vec<_>>()
    };
    one(part).into_iter().chain(ways.flat_map(one)).collect()
}

/// The rule by which version 2 opens a record read-only: it has a field that version 2 does not know. So all that version 3
/// added must stand in fields of its own, and no field of version 2 may have a new word or be needed no longer. The schema of
/// version 2 was printed by the last program that wrote it.
#[test]
fn what_version_3_added_version_2_opens_read_only() {
    let [old, new] = schemas();
    let mut added = Vec::new();
    for (name, before) in parts(&old) {
        let (_, now) = parts(&new).find(|(n, _)| *n == name).unwrap_or_else(|| panic!("{name} is gone"));
        assert!(fields(before).is_subset(&fields(now)), "{name} lost a field");
        assert_eq!(words(before), words(now), "{name}: version 2 could not read the record at all");
        assert_eq!(before["required"], now["required"], "{name}");
        let more: Vec<_> = fields(now).difference(&fields(before)).copied().collect();
        // Parts that allow no other field, as cells and rules, make the whole record unreadable: nothing may be added to them.
        assert!(more.is_empty() || before.get("additionalProperties").is_none(), "{name}: {more:?}");
        added.extend(more.into_iter().map(|field| format!("{name}.{field}")));
    }
    for field in [
        "Shot.aim",
        "Shot.aim_place",
        "Shot.fault",
        "Shot.volley",
        "Shot.at_net",
        "Shot.net_cord",
        "Shot.depth",
        "Point.lets",
        "Point.also_wide",
        "Point.unreturned",
        "Point.penalty",
        "Point.time_violation",
    ] {
        assert!(added.iter().any(|a| a == field), "version 2 knows {field}: {added:?}");
    }
    assert!(added.iter().any(|a| a == "MatchInfo.shows"), "{added:?}");
}

/// A field that this version does not know, at every place where version 4 could add one: read-only, named, nothing lost.
#[test]
fn a_field_of_the_next_version_opens_read_only_wherever_it_is() {
    let text = include_str!("corpus/record/aims-and-kinds.json");
    let record: Value = serde_json::from_str(text).unwrap();
    for place in ["", "/match", "/match/a", "/footage/0", "/points/0", "/points/0/shots/2"] {
        let mut newer = record.clone();
        let object = newer.pointer_mut(place).and_then(Value::as_object_mut);
        object.unwrap_or_else(|| panic!("no {place}")).insert("spin_rate".into(), 3100.into());
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("match.points.json");
        let written = newer.to_string();
        fs::write(&path, &written).unwrap();
        let mut store = Store::open(&path).unwrap();
        let why = store.read_only().unwrap_or_else(|| panic!("{place} can be changed")).to_owned();
        assert!(why.contains("spin_rate"), "{place}: {why}");
        assert_eq!(store.record().points.len(), record["points"].as_array().unwrap().len());
        let about = store.record().about.clone();
        assert!(store.apply(Edit::SetMatch(about.into())).is_err(), "{place}");
        assert!(store.save().is_err() || fs::read_to_string(&path).unwrap() == written, "{place}");
        drop(store);
        assert_eq!(fs::read_to_string(&path).unwrap(), written, "{place}");
    }
}
