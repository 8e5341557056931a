//! Tests of erasing a person from a lesson with its talk.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::erase::{erase, preview};
use super::take::TakeWriter;
use crate::drawing::Colour;
use crate::lesson::talk::{Action, Deed, Shown};
use crate::lesson::{Clip, Edit, Lesson, LessonStore, create, load};
use crate::record::RecordError;
use crate::time::MatchTime;

const WHO: &str = "Dana Holt";
/// What is planted: the whole name, one of its words, and a name beside another letter, which is nobody's.
const SAID: &str = "DANA\nand upholts, dana holt's \"late\" Holt";

fn footage(file: &str) -> Value {
    json!({"file": file, "duration": "00:10:00.000"})
}

/// A lesson with everything that a lesson can hold: each kind of part, a clip with all its fields, a talk.
fn full() -> Value {
    let text = json!({"text": {"at": {"picture": [1, 2]}, "words": "here"}});
    let drawing = json!({"shape": text, "from": "00:00:00.000", "to": "00:00:02.000"});
    let clip = json!({
        "footage": footage("m.mp4"), "from": "00:00:00.000", "to": "00:01:30.000", "caption": "c", "score": "1–0", "notes": "n",
        "of": {"record": "m.points.json", "point": 3}, "pattern": "Drop shot",
        "conditions": [{"words": "opponent deep", "met": "missed"}],
        "freezes": [{"at": "00:01:05.000", "lasts": "00:00:02.000", "drawings": [drawing]}],
        "drawings": [drawing],
    });
    let talk = json!({
        "takes": [{
            "voice": footage("d.talk/take-1.wav"), "clips": [{"chapter": "First", "clip": clip}],
            "actions": [
                {"at": "00:00:00.000", "does": {"clip": {"clip": 0, "moment": "00:00:00.000"}}},
                {"at": "00:00:01.000", "does": {"draw": {"shape": text, "took": "00:00:00.000"}}},
            ],
        }],
        "pieces": [{"take": 0, "from": "00:00:00.000", "to": "00:10:00.000"}],
    });
    json!({
        "format": "changeover-lesson", "version": 1, "title": "Drops", "player": "Reyes",
        "parts": [
            {"chapter": {"title": "First", "notes": "x"}},
            {"clip": clip},
            {"pair": {"left": clip, "right": clip, "left_at": "00:01:05.000", "right_at": "00:01:06.000",
                "caption": "both", "notes": "y"}},
            {"still": {"caption": "court", "lasts": "00:00:05.000", "shows": {"court": [drawing]}, "notes": "z"}},
            {"still": {"lasts": "00:00:05.000", "shows": {"words": "Now you"}}},
        ],
        "talk": talk,
    })
}

/// Where the texts of a value are.
fn texts(value: &Value, at: String) -> Vec<String> {
    match value {
        Value::String(_) => vec![at],
        Value::Array(all) => {
            all.iter().enumerate().flat_map(|(n, v)| texts(v, format!("{at}/{n}"))).collect()
        }
        Value::Object(all) => all.iter().flat_map(|(key, v)| texts(v, format!("{at}/{key}"))).collect(),
        _ => Vec::new(),
    }
}

/// Of each file below a folder that names the person: its path.
fn naming(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for path in fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
        if path.is_dir() {
            out.extend(naming(&path));
        } else {
            let text =
                String::from_utf8_lossy(&fs::read(&path).unwrap()).to_lowercase().replace("upholts", "");
            out.extend((text.contains("dana") || text.contains("holt")).then_some(path));
        }
    }
    out.sort();
    out
}

fn written(dir: &Path, value: &Value) -> PathBuf {
    let path = dir.join("d.lesson.json");
    fs::write(&path, value.to_string()).unwrap();
    path
}

/// The name is planted in one text after another; wherever the file is still a lesson, that is a text that anybody may have written.
/// File names are told, not changed.
#[test]
fn no_text_of_a_lesson_keeps_the_name() {
    let whole = full();
    let mut free = Vec::new();
    for place in texts(&whole, String::new()) {
        let dir = tempfile::tempdir().unwrap();
        let mut named = whole.clone();
        *named.pointer_mut(&place).unwrap() = SAID.into();
        let path = written(dir.path(), &named);
        if load(&path).is_err() {
            continue;
        }
        if ["/file", "/record"].iter().any(|end| place.ends_with(end)) {
            let said = preview(&path, WHO).unwrap().not_reached;
            assert!(said.iter().any(|line| line.contains("upholts")), "{place}: {said:?}");
            continue;
        }
        assert_eq!(naming(dir.path()), std::slice::from_ref(&path), "{place}");
        let erased = erase(&path, WHO).unwrap();
        assert_eq!(naming(dir.path()), [""; 0].map(PathBuf::from), "{place}");
        let kind = if place.ends_with("/notes") { erased.notes > 0 } else { erased.fields.len() == 1 };
        assert!(kind && erased.failed.is_empty(), "{place}: {erased:?}");
        // Nothing else has changed, but for the notes.
        let mut left = serde_json::to_value(load(&path).unwrap().0).unwrap();
        let mut before =
            serde_json::to_value(serde_json::from_value::<Lesson>(whole.clone()).unwrap()).unwrap();
        if !place.ends_with("/notes") {
            let text = left.pointer(&place).and_then(Value::as_str).unwrap_or_default();
            assert_eq!(text, "Player\nand upholts, Player's \"late\" Player", "{place}");
            *left.pointer_mut(&place).unwrap() = before.pointer(&place).unwrap().clone();
        }
        without_notes(&mut before);
        assert_eq!(left, before, "{place}");
        free.push(place);
    }
    // Title, player; chapter 2; clips 4 × (caption, score, notes, pattern, condition, 2 drawings), pair 2, stills 4; talk: chapter, drawing.
    assert_eq!(free.len(), 2 + 2 + 4 * 7 + 2 + 4 + 2, "{free:?}");
}

fn without_notes(value: &mut Value) {
    match value {
        Value::Object(all) => {
            all.remove("notes");
            all.values_mut().for_each(without_notes);
        }
        Value::Array(all) => all.iter_mut().for_each(without_notes),
        _ => {}
    }
}

fn named_clip() -> Clip {
    let mut value = full()["parts"][1]["clip"].clone();
    value["caption"] = SAID.into();
    value["notes"] = SAID.into();
    serde_json::from_value(value).unwrap()
}

/// A lesson that says the name nowhere any more, but whose journal does, with a talk that was cut off and copies from before.
fn with_a_past(dir: &Path) -> PathBuf {
    let path = written(dir, &full());
    let mut store = LessonStore::open(&path).unwrap();
    for title in [SAID, "Drops"] {
        let _ = store.apply(Edit::SetHead { title: title.into(), player: String::new() }).unwrap();
    }
    drop(store);
    for old in ["d.lesson.json.aside-20250101-120000", ".d.lesson.json-x1.tmp"] {
        fs::write(dir.join(old), SAID).unwrap();
    }
    let mut take = TakeWriter::begin(&path, None).unwrap();
    take.show(Shown { chapter: SAID.into(), clip: named_clip() }).unwrap();
    let shape = serde_json::from_value(json!({"text": {"at": {"picture": [1, 2]}, "words": SAID}})).unwrap();
    take.act(Action { at: MatchTime::ZERO, does: Deed::Clip { clip: 0, moment: MatchTime::ZERO } }).unwrap();
    let does = Deed::Draw { shape, colour: Colour::default(), took: MatchTime::ZERO };
    take.act(Action { at: MatchTime::ZERO, does }).unwrap();
    take.hear(&vec![9; 48_000]).unwrap();
    // What was heard is brought to the disk four times a second.
    std::thread::sleep(std::time::Duration::from_millis(300));
    take.hear(&[9]).unwrap();
    // As a kill leaves it, in the middle of a line.
    drop(take);
    let log = dir.join("d.talk/take-1.actions.part");
    let torn = format!("{}{{\"action\": \"{SAID}", fs::read_to_string(&log).unwrap());
    fs::write(&log, torn).unwrap();
    path
}

#[test]
fn journal_copies_and_talks_that_were_cut_off_go_too() {
    let dir = tempfile::tempdir().unwrap();
    let path = with_a_past(dir.path());
    assert_eq!(naming(dir.path()).len(), 4, "{:?}", naming(dir.path()));
    let before = naming(dir.path());
    let said = preview(&path, WHO).unwrap();
    assert_eq!(naming(dir.path()), before, "a preview changes nothing");
    let done = erase(&path, WHO).unwrap();
    assert_eq!(naming(dir.path()), [""; 0].map(PathBuf::from));
    assert_eq!(
        (done.fields.clone(), done.failed.len()),
        (vec!["chapters".into(), "captions".into(), "drawings".into()], 0)
    );
    assert_eq!((said.fields, said.notes, said.not_reached), (done.fields, done.notes, done.not_reached));
    assert!(!LessonStore::open(&path).unwrap().can_undo());
    // The talk that was cut off is still a talk.
    let kept = super::recover(&path, None).remove(0).unwrap();
    assert_eq!(
        (kept.take.clips[0].chapter.as_str(), kept.take.actions.len()),
        ("Player\nand upholts, Player's \"late\" Player", 2)
    );
    assert_eq!(kept.take.clips[0].clip.notes, "");
}

#[test]
fn voices_and_whatever_else_may_say_the_name_are_told() {
    let dir = tempfile::tempdir().unwrap();
    let mut named = full();
    named["title"] = WHO.into();
    named["parts"][1]["clip"]["footage"]["file"] = "holt.mp4".into();
    let path = written(dir.path(), &named);
    fs::create_dir(dir.path().join("d.talk")).unwrap();
    for n in 1..3 {
        fs::write(dir.path().join(format!("d.talk/take-{n}.wav")), "sound").unwrap();
    }
    let voice = "it may say the name, and a voice cannot be searched; listen to it";
    assert_eq!(
        erase(&path, "dana holt").unwrap().not_reached,
        [
            "footage holt.mp4: it shows who played, and its file name, which stays, contains the name"
                .to_owned(),
            "footage m.mp4: it shows who played".to_owned(),
            format!("the voice d.talk/take-1.wav: {voice}"),
            format!("the voice d.talk/take-2.wav, which the lesson does not use: {voice}, or delete it"),
            "the record m.points.json, which clips are from: erase the player there too".to_owned(),
            "exports, pictures and copies elsewhere, backups, and remains of deleted files on the disk"
                .to_owned(),
        ]
    );
    assert_eq!(fs::read(dir.path().join("d.talk/take-1.wav")).unwrap(), b"sound");
}

/// Notes would be deleted although the name was only mistyped.
#[test]
fn a_name_that_the_lesson_does_not_have_changes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("d.lesson.json");
    create(&path, &serde_json::from_value(full()).unwrap()).unwrap();
    let before = fs::read(&path).unwrap();
    for who in ["Dana Hotl", "a"] {
        assert!(matches!(erase(&path, who), Err(RecordError::NotNamed { .. })), "{who}");
    }
    let said = preview(&path, "Dana Hotl").unwrap_err().to_string();
    assert_eq!(said, "nothing in this lesson names \"Dana Hotl\"; write the name as the lesson has it");
    assert_eq!(fs::read(&path).unwrap(), before);
    let _open = LessonStore::open(&path).unwrap();
    assert!(matches!(erase(&path, "Reyes"), Err(RecordError::ReadOnly { .. })), "it is open elsewhere");
}
