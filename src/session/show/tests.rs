use std::path::Path;
use std::sync::Arc;

use async_channel::Receiver;

use super::act::{Act, Useless, edit_of};
use super::adding::{Adding, lesson_name};
use super::keeper::{Ask, Done, Keeper, ShowError, Told};
use super::run::{Run, Step};
use super::view::{Kind, caption};
use crate::clips::Lead;
use crate::facts::PointRef;
use crate::facts::tests::record;
use crate::lesson::{Chapter, Clip, Footage, Freeze, Lesson, Pace, Part, Stretch, load};
use crate::library::Kept;
use crate::record::Store;
use crate::session::library::finds::Finds;
use crate::time::MatchTime;

const fn at(ms: u64) -> MatchTime {
    MatchTime::from_millis(ms)
}

fn clip(caption: &str, from: u64, to: u64) -> Clip {
    Clip {
        footage: Footage { file: "match.webm".into(), fingerprint: None, duration: at(90_000), rate: None },
        from: at(from),
        to: at(to),
        caption: caption.into(),
        score: String::new(),
        notes: String::new(),
        of: None,
        pattern: String::new(),
        conditions: Vec::new(),
        stretches: Vec::new(),
        freezes: Vec::new(),
        drawings: Vec::new(),
        times: None,
    }
}

fn lesson() -> Lesson {
    let part = |c: Clip| Part::Clip(Box::new(c));
    let head = Part::Chapter(Chapter { title: "Drop shots".into(), notes: String::new() });
    let parts = vec![head, part(clip("one", 1000, 5000)), part(clip("two", 6000, 9000))];
    Lesson { parts, ..Lesson::default() }
}

/// The captions, in their order.
fn captions(lesson: &Lesson) -> Vec<&str> {
    lesson.parts.iter().map(caption).collect()
}

/// A keeper on a new lesson in a folder, and its first answer.
fn open(folder: &Path, lesson: Lesson) -> (Keeper, Receiver<Told>, Told) {
    std::fs::write(folder.join("match.webm"), "pictures").unwrap();
    let (keeper, told) = Keeper::start(folder.join("drops.lesson.json"), Some(lesson));
    let first = told.recv_blocking().unwrap();
    (keeper, told, first)
}

fn ask(keeper: &Keeper, told: &Receiver<Told>, ask: Ask) -> Told {
    keeper.ask(ask);
    told.recv_blocking().unwrap()
}

#[test]
fn every_change_is_on_the_disk_and_is_taken_back() {
    let folder = tempfile::tempdir().unwrap();
    let (keeper, told, first) = open(folder.path(), lesson());
    assert_eq!(
        first.view.rows().iter().map(|r| r.kind).collect::<Vec<_>>(),
        [Kind::Chapter, Kind::Clip, Kind::Clip]
    );
    assert_eq!(first.view.items().len(), 2, "the footage is found");
    let path = folder.path().join("drops.lesson.json");
    ask(&keeper, &told, Ask::Choose(Some(1)));
    let changes = [
        Act::From(at(2000)),
        Act::To(at(4000)),
        Act::Split(at(3000)),
        Act::Up,
        Act::Caption("three".into()),
        Act::Notes("look at the feet".into()),
        Act::Freeze(at(3200)),
        Act::Slow(at(3400)),
        Act::Chapter("Returns".into()),
        Act::Remove,
        Act::Down,
    ];
    let n = changes.len();
    for act in changes {
        let said = format!("{act:?}");
        let done = ask(&keeper, &told, Ask::Act(act));
        assert_eq!(done.outcome.unwrap(), Done::Changed, "{said}");
        assert_eq!(*done.view.lesson, load(&path).unwrap().0, "{said}: a crash now loses nothing");
    }
    for _ in 0..n {
        assert_eq!(ask(&keeper, &told, Ask::Undo).outcome.unwrap(), Done::Undone);
    }
    let back = ask(&keeper, &told, Ask::Undo);
    assert_eq!(back.outcome.unwrap(), Done::Nothing);
    assert_eq!(*back.view.lesson, lesson());
    for _ in 0..n {
        assert_eq!(ask(&keeper, &told, Ask::Redo).outcome.unwrap(), Done::Redone);
    }
    let after = ask(&keeper, &told, Ask::Save).view.lesson;
    keeper.close().join().unwrap_or_default();
    assert_eq!(*after, load(&path).unwrap().0);
}

#[test]
fn what_cannot_be_done_is_said_and_changes_nothing() {
    let all = lesson();
    let refused = |at, act| edit_of(&all, at, act).unwrap_err();
    assert!(matches!(refused(None, Act::Remove), Useless::NothingChosen));
    assert!(matches!(refused(Some(9), Act::Up), Useless::NothingChosen));
    assert!(matches!(refused(Some(0), Act::From(at(1))), Useless::NoClip));
    assert!(matches!(refused(Some(1), Act::From(at(5000))), Useless::Nothing));
    assert!(matches!(refused(Some(1), Act::To(at(1000))), Useless::Nothing));
    assert!(matches!(refused(Some(1), Act::Split(at(1000))), Useless::NoSplit));
    assert!(matches!(refused(Some(1), Act::Split(at(5000))), Useless::NoSplit));
    assert!(matches!(refused(Some(1), Act::Freeze(at(5000))), Useless::Outside));
    assert!(matches!(refused(Some(1), Act::Slow(at(900))), Useless::Outside));
    for (place, act) in [(0, Act::Up), (2, Act::Down), (1, Act::Caption("one".into()))] {
        assert_eq!(edit_of(&all, Some(place), act).unwrap(), None, "nothing is to do");
    }
    let (_, chosen) = edit_of(&Lesson::default(), None, Act::Chapter("A".into())).unwrap().unwrap();
    assert_eq!(chosen, Some(0), "an empty lesson may begin with a chapter");
    let past = edit_of(&all, Some(1), Act::To(at(900_000))).unwrap().unwrap().0;
    let mut longer = all.clone();
    longer.apply(past).unwrap();
    assert!(matches!(&longer.parts[1], Part::Clip(c) if c.to == at(90_000)), "not past the footage");
}

#[test]
fn the_last_part_taken_off_leaves_an_empty_lesson() {
    let folder = tempfile::tempdir().unwrap();
    let (keeper, told, _) = open(folder.path(), lesson());
    for left in [2, 1, 0] {
        let view = ask(&keeper, &told, Ask::Act(Act::Remove)).view;
        assert_eq!((view.rows().len(), view.chosen.is_some()), (left, left > 0));
    }
    let refused = ask(&keeper, &told, Ask::Act(Act::Remove)).outcome;
    assert!(matches!(refused, Err(ShowError::Useless(Useless::NothingChosen))));
}

#[test]
fn a_lesson_that_is_not_there_or_is_there_already_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("none.lesson.json");
    let (_none, told) = Keeper::start(path.clone(), None);
    assert!(told.recv_blocking().unwrap().outcome.is_err());
    assert!(!path.exists());
    std::fs::write(&path, "mine").unwrap();
    let (_there, told) = Keeper::start(path.clone(), Some(Lesson::default()));
    assert!(told.recv_blocking().unwrap().outcome.is_err());
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
}

#[test]
fn the_words_of_a_part_are_kept_though_another_is_chosen_meanwhile() {
    let folder = tempfile::tempdir().unwrap();
    let (keeper, told, _) = open(folder.path(), lesson());
    ask(&keeper, &told, Ask::Choose(Some(2)));
    let view = ask(&keeper, &told, Ask::At(1, Act::Caption("first".into()))).view;
    assert_eq!(captions(&view.lesson), ["Drop shots", "first", "two"]);
    assert_eq!(view.chosen, Some(2));
}

#[test]
fn clips_of_a_list_are_added_at_the_end_with_one_undo() {
    let folder = tempfile::tempdir().unwrap();
    let (keeper, told, _) = open(folder.path(), lesson());
    let path = folder.path().join("m.points.json");
    drop(Store::create(&path, record("AABB")).unwrap());
    let kept = Kept::read(std::slice::from_ref(&path), &Kept::default(), &|_, _| true).unwrap();
    let points = vec![PointRef { record: 0, point: 2 }, PointRef { record: 0, point: 0 }];
    let finds = Finds::new(Arc::new(kept), "x".into(), points, 0);
    let adding = Adding { finds, lead: Lead::default(), pattern: None };
    let added = ask(&keeper, &told, Ask::Add(Box::new(adding)));
    assert_eq!(added.outcome.unwrap(), Done::Added(2, 0));
    let starts: Vec<MatchTime> =
        added.view.lesson.parts.iter().flat_map(Part::clips).map(|c| c.from).collect();
    assert_eq!(starts[2..], [at(28_000), at(8_000)], "in the order of the list");
    assert_eq!(added.view.chosen, Some(3), "the first that was added");
    assert_eq!(*ask(&keeper, &told, Ask::Undo).view.lesson, lesson());
    let none = Adding { finds: Finds::default(), lead: Lead::default(), pattern: None };
    assert_eq!(ask(&keeper, &told, Ask::Add(Box::new(none))).outcome.unwrap(), Done::Added(0, 0));
}

#[test]
fn footage_that_is_gone_is_said_in_its_row() {
    let folder = tempfile::tempdir().unwrap();
    let (keeper, told, _) = open(folder.path(), lesson());
    drop(keeper);
    drop(told);
    std::fs::remove_file(folder.path().join("match.webm")).unwrap();
    let path = folder.path().join("drops.lesson.json");
    let view = loop {
        // The first keeper may still hold the lock.
        let (_keeper, told) = Keeper::start(path.clone(), None);
        let first = told.recv_blocking().unwrap();
        if first.outcome.is_ok() {
            break first.view;
        }
    };
    assert!(view.items().is_empty());
    let said = view.rows()[1].astray.clone().unwrap();
    assert_eq!(said, "match.webm is not there; put it back");
}

#[test]
fn keys_walk_along_the_lesson_however_fast_they_come() {
    let folder = tempfile::tempdir().unwrap();
    let (keeper, told, _) = open(folder.path(), lesson());
    for (by, wanted) in [(1, 1), (1, 2), (1, 2), (-1, 1), (isize::MIN, 0), (isize::MAX, 2)] {
        keeper.ask(Ask::Walk(by));
        let view = told.recv_blocking().unwrap().view;
        assert_eq!(view.chosen, Some(wanted));
    }
    let empty = tempfile::tempdir().unwrap();
    let (keeper, told, _) = open(empty.path(), Lesson::default());
    assert_eq!(ask(&keeper, &told, Ask::Walk(1)).view.chosen, None);
}

#[test]
fn a_clip_runs_with_its_freezes_stretches_and_rounds() {
    let mut one = clip("x", 1000, 5000);
    one.times = Some(2);
    one.stretches = vec![Stretch { from: at(2000), to: at(3000), pace: Pace(50) }];
    one.freezes = vec![Freeze { at: at(1500), lasts: at(700), drawings: Vec::new() }];
    let mut run = Run::new(one);
    assert_eq!(run.at(at(1460)), Step::Play(1.0));
    // A frame may be left out while it plays: the freeze comes all the same, at its own frame.
    let stand = Step::Freeze(at(1500), std::time::Duration::from_millis(700));
    assert_eq!(run.at(at(1540)), stand);
    run.go_on();
    assert_eq!(run.at(at(1540)), Step::Play(1.0), "once only");
    assert_eq!(run.at(at(2000)), Step::Play(0.5));
    assert_eq!(run.at(at(3000)), Step::Play(1.0));
    run.jumped(at(1000));
    assert_eq!(run.at(at(1500)), stand, "again after a replay");
    assert!(run.again(), "the second round");
    assert_eq!(run.at(at(1500)), stand);
    assert!(!run.again());
}

#[test]
fn a_lesson_has_the_ending_of_one() {
    let named = |name: &str| lesson_name(Path::new(name)).to_string_lossy().into_owned();
    assert_eq!(named("a/drops"), "a/drops.lesson.json");
    assert_eq!(named("a/drops.json"), "a/drops.lesson.json");
    assert_eq!(named("a/drops.lesson.json"), "a/drops.lesson.json");
}
