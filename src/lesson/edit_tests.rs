//! Whatever is done to a lesson, it can be taken back, comes through the journal, and can be read again.

use proptest::prelude::*;

use super::Edit;
use crate::lesson::{
    Chapter, Clip, Footage, Lesson, LessonStore, Pace, Part, Picture, Still, Stretch, load, to_text,
};
use crate::record::Document;
use crate::time::MatchTime;

const fn secs(n: u64) -> MatchTime {
    MatchTime::from_secs(n)
}

fn clip(from: u64, to: u64) -> Part {
    Part::Clip(Box::new(Clip {
        footage: Footage {
            file: "m.mp4".into(),
            fingerprint: None,
            duration: secs(100),
            rate: "25".parse().ok(),
        },
        from: secs(from),
        to: secs(to),
        caption: format!("from {from}"),
        score: String::new(),
        notes: String::new(),
        of: None,
        pattern: String::new(),
        conditions: Vec::new(),
        stretches: Vec::new(),
        freezes: Vec::new(),
        drawings: Vec::new(),
        times: None,
    }))
}

/// A step, by numbers: what a coach does, at a place, at moments.
type Step = (u8, usize, u64, u64);

fn edit(lesson: &Lesson, (what, at, a, b): Step) -> Option<Edit> {
    let at = at % (lesson.parts.len() + 1);
    let (from, to) = (a.min(b), a.max(b));
    match what % 12 {
        0 | 1 => Some(Edit::InsertPart { at, part: clip(from, to) }),
        2 => Some(Edit::RemovePart { at }),
        3 => Some(Edit::MovePart { from: at, to: b as usize % (lesson.parts.len() + 1) }),
        4 => lesson.trim(at, secs(from), secs(to)).ok(),
        5 => lesson.split(at, secs(a)).ok(),
        6 => lesson.caption(at, format!("said {a}\u{202e}\0")).ok(),
        7 => lesson.notes(at, format!("notes {b}")).ok(),
        8 => {
            let pace = Pace([50, 100, 25, 5][a as usize % 4]);
            lesson.pace(at, Stretch { from: secs(from), to: secs(to), pace }).ok()
        }
        9 => lesson.freeze(at, secs(a), secs(b)).ok(),
        10 => lesson.pair(at, secs(a), secs(b)).ok(),
        _ => {
            let chapter = Part::Chapter(Chapter { title: format!("C{a}"), notes: String::new() });
            let shows = Picture::Words("now".into());
            let still = Still { caption: String::new(), lasts: secs(a), shows, notes: String::new() };
            let head = Edit::SetHead { title: "T".into(), player: format!("{b}") };
            Some(Edit::Together(vec![
                Edit::InsertPart { at, part: chapter },
                head,
                Edit::InsertPart { at, part: Part::Still(Box::new(still)) },
            ]))
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_edit_can_be_taken_back_and_made_again(
        steps in prop::collection::vec((0u8..12, 0usize..8, 0u64..101, 0u64..101), 1..40),
    ) {
        let mut lesson = Lesson::default();
        let mut states = vec![lesson.clone()];
        let mut undo = Vec::new();
        for step in steps {
            let Some(edit) = edit(&lesson, step) else { continue };
            let before = lesson.clone();
            if let Ok((_, inverse)) = lesson.apply(edit) {
                undo.push(inverse);
                states.push(lesson.clone());
            } else {
                prop_assert_eq!(&lesson, &before, "an edit that is refused changes nothing");
            }
            prop_assert_eq!(lesson.sound(), Ok(()));
        }
        let mut redo = Vec::new();
        for (edit, wanted) in undo.into_iter().zip(&states[..states.len() - 1]).rev() {
            redo.push(lesson.apply(edit).unwrap().1);
            prop_assert_eq!(&lesson, wanted);
        }
        for (edit, wanted) in redo.into_iter().rev().zip(&states[1..]) {
            lesson.apply(edit).unwrap();
            prop_assert_eq!(&lesson, wanted);
        }
    }

    #[test]
    fn what_was_not_saved_comes_back_from_the_journal(
        steps in prop::collection::vec((0u8..12, 0usize..8, 0u64..101, 0u64..101), 1..12),
        undone in 0usize..5,
    ) {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("d.lesson.json");
        let mut store = LessonStore::create(&path, Lesson::default()).unwrap();
        let mut made = 0;
        for step in steps {
            if let Some(edit) = edit(store.document(), step) && store.apply(edit).is_ok() {
                made += 1;
            }
        }
        for _ in 0..undone.min(made) {
            prop_assert!(store.undo().unwrap().is_some());
        }
        let wanted = store.document().clone();
        let edits = made + undone.min(made);
        prop_assert_eq!(&load(&path).unwrap().0, &wanted);
        drop(store);
        let mut store = LessonStore::open(&path).unwrap();
        prop_assert_eq!(store.document(), &wanted);
        prop_assert_eq!(store.unsaved(), edits);
        store.save().unwrap();
        drop(store);
        prop_assert_eq!(std::fs::read(&path).unwrap(), to_text(&path, &wanted).unwrap());
        prop_assert!(!dir.path().join("d.lesson.journal").exists());
    }
}

#[test]
fn two_do_not_write_one_lesson() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("d.lesson.json");
    let _first = LessonStore::create(&path, Lesson::default()).unwrap();
    let mut second = LessonStore::open(&path).unwrap();
    assert!(second.read_only().unwrap().starts_with("it is open in process"), "{:?}", second.read_only());
    let refused = second.apply(Edit::RemovePart { at: 0 }).unwrap_err().to_string();
    assert!(refused.contains("this lesson is open for reading only"), "{refused}");
}

#[test]
fn a_trim_keeps_what_lies_within() {
    let mut lesson = Lesson::default();
    let slow = |from, to, pace| Stretch { from: secs(from), to: secs(to), pace: Pace(pace) };
    lesson.apply(Edit::InsertPart { at: 0, part: clip(10, 30) }).unwrap();
    lesson.apply(lesson.pace(0, slow(12, 20, 50)).unwrap()).unwrap();
    lesson.apply(lesson.pace(0, slow(14, 16, 25)).unwrap()).unwrap();
    lesson.apply(lesson.freeze(0, secs(29), secs(2)).unwrap()).unwrap();
    let Part::Clip(now) = &lesson.parts[0] else { panic!() };
    assert_eq!(now.stretches, [slow(12, 14, 50), slow(14, 16, 25), slow(16, 20, 50)]);
    lesson.apply(lesson.trim(0, secs(15), secs(25)).unwrap()).unwrap();
    let Part::Clip(now) = &lesson.parts[0] else { panic!() };
    assert_eq!(now.stretches, [slow(15, 16, 25), slow(16, 20, 50)]);
    assert!(now.freezes.is_empty());
    let refused = lesson.apply(lesson.trim(0, secs(15), secs(101)).unwrap()).unwrap_err().to_string();
    assert!(
        refused.contains("parts[0].clip.to: found 00:01:41.000; allowed: a moment within the footage"),
        "{refused}"
    );
}
