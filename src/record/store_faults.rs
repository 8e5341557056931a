//! The store on a disk that fails: at each single operation, in each way, and for good.
//!
//! A step is safe once it returned without [`Store::trouble`]. Whatever fails, every safe step is found again.

use std::fs;

use super::super::disk::Op;
use super::super::disk::fault::{Fault, count, plan};
use super::*;
use crate::record::Point;
use crate::record::edit::Edit;
use crate::time::MatchTime;

const FULL: i32 = 28;
const BROKEN: i32 = 5;
const DENIED: i32 = 13;

fn memory_dir() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap()
}

fn point(k: usize) -> Point {
    let start = Some(MatchTime::from_secs(k as u64 * 20));
    Point { start, note: format!("step {k}"), ..Point::default() }
}

/// The `k`-th step of a session: edits, now and then an undo, a redo, a save.
fn step(store: &mut Store, k: usize) -> Result<(), RecordError> {
    let len = store.record().points.len();
    match k % 11 {
        4 => store.undo().map(drop),
        5 => store.redo().map(drop),
        7 => store.apply(Edit::SetPoint { at: k % len, point: point(k) }).map(drop),
        9 => store.apply(Edit::RemovePoint { at: k % len }).map(drop),
        10 => store.save(),
        _ => store.apply(Edit::InsertPoint { at: len, point: point(k) }).map(drop),
    }
}

const STEPS: usize = 66;

/// A session under a fault, as far as its process lives: the record after each step, and the last safe one.
fn session(path: &Path, fault: Option<Fault>) -> (Vec<Record>, usize, usize) {
    let mut store = Store::create(path, Record::default()).unwrap();
    let (mut states, mut safe) = (vec![store.record().clone()], 0);
    plan(fault);
    for k in 0..STEPS {
        match step(&mut store, k) {
            Ok(()) | Err(RecordError::Io { doing: "save it", .. }) => {}
            Err(other) => panic!("{other}: only a save may fail"),
        }
        states.push(store.record().clone());
        match store.trouble() {
            None => safe = states.len() - 1,
            Some(why) => assert!(why.contains("save elsewhere"), "no way out named: {why}"),
        }
    }
    let operations = count();
    drop(store);
    plan(None);
    (states, safe, operations)
}

/// After the fault: the record opens, holds every safe step, and can be changed and saved.
fn found_again(path: &Path, states: &[Record], safe: usize, what: &str) {
    let (seen, _) = load(path).unwrap_or_else(|e| panic!("{what}: {e}"));
    let mut store = Store::open(path).unwrap_or_else(|e| panic!("{what}: {e}"));
    assert_eq!((store.read_only(), store.trouble()), (None, None), "{what}");
    assert!(states[safe..].contains(store.record()), "{what}: step {safe} is lost");
    assert_eq!(&seen, store.record(), "{what}");
    let _ = store.apply(Edit::InsertPoint { at: 0, point: point(999) }).unwrap();
    store.save().unwrap();
    let record = store.record().clone();
    drop(store);
    assert_eq!(load(path).unwrap(), (record, vec![]), "{what}");
}

fn no_space(op: Op) -> bool {
    !matches!(op, Op::Remove | Op::Lock | Op::Cut)
}

/// How many operations the session does when nothing fails; each run below makes another of them fail.
fn operations() -> usize {
    let dir = memory_dir();
    let (states, safe, n) = session(&dir.path().join("m.points.json"), None);
    assert_eq!(safe, states.len() - 1);
    n
}

fn each_operation(errno: i32, times: usize, hits: fn(Op) -> bool) -> usize {
    let n = operations();
    // A disk that breaks for good is much the same from one operation to the next.
    let every = if times > 1 && errno == BROKEN { 5 } else { 1 };
    for from in (0..n).step_by(every) {
        let dir = memory_dir();
        let path = dir.path().join("m.points.json");
        let (states, safe, _) = session(&path, Some(Fault { from, times, errno, hits }));
        found_again(&path, &states, safe, &format!("error {errno}, {times} times from operation {from}"));
    }
    n
}

#[test]
fn a_disk_full_from_any_operation_on_loses_nothing_safe() {
    let runs = each_operation(FULL, usize::MAX, no_space);
    assert!(runs >= 150, "{runs} runs are too few");
    println!("{runs} runs on a disk that is full for good");
}

#[test]
fn a_disk_full_for_a_while_loses_nothing_at_all() {
    let n = operations();
    for from in 0..n {
        let dir = memory_dir();
        let path = dir.path().join("m.points.json");
        // Room again before the end: then everything is on disk.
        let fault = Fault { from, times: 9, errno: FULL, hits: no_space };
        let (states, safe, _) = session(&path, Some(fault));
        if from + 40 < n {
            assert_eq!(safe, STEPS, "operation {from}");
        }
        found_again(&path, &states, safe, &format!("full for a while from operation {from}"));
    }
}

#[test]
fn a_single_failure_of_any_operation_loses_nothing() {
    each_operation(BROKEN, 1, |_| true);
    each_operation(FULL, 1, |op| op == Op::Write);
    each_operation(BROKEN, 1, |op| op == Op::Sync);
    each_operation(BROKEN, usize::MAX, |op| op == Op::Rename);
    each_operation(BROKEN, usize::MAX, |op| op == Op::Remove);
    each_operation(BROKEN, usize::MAX, |_| true);
}

/// The process is killed while the disk is full: nobody flushes on the way out.
#[test]
fn killed_on_a_full_disk_every_safe_step_is_found() {
    for from in (0..operations()).step_by(3) {
        let dir = memory_dir();
        let path = dir.path().join("m.points.json");
        let fault = Fault { from, times: usize::MAX, errno: FULL, hits: no_space };
        let (states, safe, _) = session(&path, Some(fault));
        fs::write(beside(&path, "lock"), r#"{"pid":4194305,"since":"before"}"#).unwrap();
        found_again(&path, &states, safe, &format!("killed, full from operation {from}"));
    }
}

#[test]
fn a_folder_that_takes_nothing_says_so_and_the_record_can_be_saved_elsewhere() {
    let dir = memory_dir();
    let path = dir.path().join("m.points.json");
    drop(Store::create(&path, Record::default()).unwrap());
    let before = fs::read(&path).unwrap();
    plan(Some(Fault { from: 0, times: usize::MAX, errno: DENIED, hits: |_| true }));
    let mut store = Store::open(&path).unwrap();
    assert_eq!(store.read_only(), None);
    let why = store.trouble().unwrap();
    assert!(why.starts_with("the record's folder cannot be written to (you may not write there)"), "{why}");
    assert!(why.ends_with("save the record elsewhere before you close it"), "{why}");
    assert!(!store.needs_place(), "nothing is logged yet");
    for k in 0..3 {
        step(&mut store, k).unwrap();
        assert!(store.trouble().unwrap().ends_with("save the record elsewhere before you close it"));
        assert!(store.needs_place());
    }
    assert!(store.save().is_err());
    assert_eq!((store.record().points.len(), store.unsaved()), (3, 3));
    plan(None);
    let taken = dir.path().join("taken.points.json");
    fs::write(&taken, "mine").unwrap();
    assert!(matches!(store.move_to(&taken), Err(RecordError::Exists { .. })));
    assert_eq!((fs::read(&taken).unwrap(), store.path()), (b"mine".to_vec(), path.as_path()));
    goes_on_at(&mut store, &dir.path().join("elsewhere.points.json"));
    drop(store);
    assert_eq!(fs::read(&path).unwrap(), before);
}

/// Moves a record of three points, logs on, and undoes what was logged before the move.
fn goes_on_at(store: &mut Store, elsewhere: &Path) {
    store.move_to(elsewhere).unwrap();
    assert_eq!((store.path(), store.trouble(), store.needs_place()), (elsewhere, None, false));
    assert_eq!(load(elsewhere).unwrap().0, *store.record());
    step(store, 3).unwrap();
    assert_eq!((store.trouble(), store.record().points.len()), (None, 4));
    assert_eq!(load(elsewhere).unwrap().0, *store.record(), "the journal has moved too");
    assert!(elsewhere.with_extension("lock").exists(), "and the lock");
    for left in (0..4).rev() {
        let _ = store.undo().unwrap().unwrap();
        assert_eq!(store.record().points.len(), left);
    }
    assert_eq!(load(elsewhere).unwrap().0.points.len(), 0);
}

fn names_in(dir: &Path) -> Vec<String> {
    let mut all: Vec<String> =
        fs::read_dir(dir).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    all.sort();
    all
}

#[test]
fn what_is_only_looked_at_writes_nothing() {
    let dir = memory_dir();
    let path = dir.path().join("m.points.json");
    let mut store = Store::draft(&path, Record::default()).unwrap();
    store.save().unwrap();
    assert_eq!((store.undo().unwrap(), store.trouble(), store.unsaved()), (None, None, 0));
    drop(store);
    assert_eq!(names_in(dir.path()), [""; 0]);
    let mut store = Store::draft(&path, Record::default()).unwrap();
    step(&mut store, 0).unwrap();
    assert_eq!(names_in(dir.path()), ["m.points.journal", "m.points.json", "m.points.lock"]);
    assert_eq!(load(&path).unwrap().0, *store.record());
    store.save().unwrap();
    drop(store);
    assert_eq!(names_in(dir.path()), ["m.points.json"]);
    assert!(matches!(Store::draft(&path, Record::default()), Err(RecordError::Exists { .. })));
}

#[test]
fn on_a_card_that_is_locked_a_new_record_is_logged_in_memory_and_moves() {
    const LOCKED: i32 = 30;
    let dir = memory_dir();
    let path = dir.path().join("m.points.json");
    plan(Some(Fault { from: 0, times: usize::MAX, errno: LOCKED, hits: |_| true }));
    let mut store = Store::draft(&path, Record::default()).unwrap();
    assert_eq!((store.trouble(), store.read_only()), (None, None));
    for k in 0..3 {
        step(&mut store, k).unwrap();
        let why = store.trouble().unwrap();
        assert!(why.contains("(the disk or card is write-protected)"), "{why}");
        assert_eq!((store.needs_place(), store.unsaved()), (true, k + 1));
    }
    assert!(store.save().is_err());
    plan(None);
    assert_eq!(names_in(dir.path()), [""; 0]);
    goes_on_at(&mut store, &dir.path().join("elsewhere.points.json"));
}

/// Unlocked again while it is open, the card takes the record at the next edit.
#[test]
fn a_record_in_memory_is_written_as_soon_as_its_folder_takes_it() {
    for errno in [DENIED, FULL, BROKEN] {
        let dir = memory_dir();
        let path = dir.path().join("m.points.json");
        plan(Some(Fault { from: 0, times: usize::MAX, errno, hits: |op| op != Op::Remove }));
        let mut store = Store::draft(&path, Record::default()).unwrap();
        for k in 0..3 {
            step(&mut store, k).unwrap();
            assert!(store.trouble().is_some());
        }
        plan(None);
        step(&mut store, 3).unwrap();
        assert_eq!((store.trouble(), store.needs_place()), (None, false));
        assert_eq!(load(&path).unwrap().0, *store.record());
    }
}

#[test]
fn a_record_that_another_program_made_meanwhile_is_not_replaced() {
    let dir = memory_dir();
    let path = dir.path().join("m.points.json");
    let mut late = Store::draft(&path, Record::default()).unwrap();
    let mut first = Store::draft(&path, Record::default()).unwrap();
    step(&mut first, 0).unwrap();
    assert!(matches!(step(&mut late, 0), Err(RecordError::InUse { .. })));
    assert!(late.record().points.is_empty(), "the edit was refused");
    late.give_way().unwrap();
    assert_eq!((late.record(), late.is_held()), (first.record(), true));
    assert!(!late.take_over().unwrap(), "it is still held");
    step(&mut first, 1).unwrap();
    let record = first.record().clone();
    drop(first);
    assert!(late.take_over().unwrap());
    assert_eq!((late.record(), late.read_only()), (&record, None));
    step(&mut late, 2).unwrap();
    drop(late);
    let mut late = Store::draft(&dir.path().join("n.points.json"), Record::default()).unwrap();
    drop(Store::create(&dir.path().join("n.points.json"), record.clone()).unwrap());
    assert!(matches!(step(&mut late, 0), Err(RecordError::Exists { .. })));
    late.give_way().unwrap();
    assert_eq!((late.record(), late.read_only()), (&record, None));
}

#[test]
fn a_file_system_without_locks_is_told() {
    let dir = memory_dir();
    let path = dir.path().join("m.points.json");
    drop(Store::create(&path, Record::default()).unwrap());
    plan(Some(Fault { from: 0, times: usize::MAX, errno: 37, hits: |op| op == Op::Lock }));
    let mut store = Store::open(&path).unwrap();
    assert!(store.notices()[0].starts_with("this folder cannot lock files (No locks available"));
    let second = Store::open(&path).unwrap();
    assert!(second.read_only().unwrap().contains("according to m.points.lock"), "{:?}", second.read_only());
    drop(second);
    step(&mut store, 0).unwrap();
    assert_eq!((store.read_only(), store.trouble()), (None, None));
    drop(store);
    assert!(!beside(&path, "lock").exists());
    plan(None);
}

#[cfg(all(unix, not(feature = "portable")))]
#[test]
fn a_journal_taken_away_is_noticed_at_the_next_edit() {
    for stranger in [None, Some("x"), Some("much longer than what was in it\n")] {
        let dir = memory_dir();
        let path = dir.path().join("m.points.json");
        let mut store = Store::create(&path, Record::default()).unwrap();
        step(&mut store, 0).unwrap();
        step(&mut store, 1).unwrap();
        fs::remove_file(beside(&path, "journal")).unwrap();
        if let Some(text) = stranger {
            fs::write(beside(&path, "journal"), text).unwrap();
        }
        step(&mut store, 2).unwrap();
        assert!(store.notices()[0].starts_with("another program removed the journal"), "{stranger:?}");
        assert_eq!((store.trouble(), store.unsaved()), (None, 0));
        step(&mut store, 3).unwrap();
        let record = store.record().clone();
        drop(store);
        assert_eq!(Store::open(&path).unwrap().record(), &record);
    }
}

/// As when a drive is pulled out and put in again.
#[cfg(all(unix, not(feature = "portable")))]
#[test]
fn a_folder_taken_away_and_brought_back_loses_nothing() {
    let dir = memory_dir();
    let (folder, gone) = (dir.path().join("m"), dir.path().join("gone"));
    fs::create_dir(&folder).unwrap();
    let path = folder.join("m.points.json");
    let mut store = Store::create(&path, Record::default()).unwrap();
    step(&mut store, 0).unwrap();
    fs::rename(&folder, &gone).unwrap();
    for k in 1..4 {
        step(&mut store, k).unwrap();
        let why = store.trouble().unwrap();
        assert!(
            why.contains("its folder is not there")
                && why.ends_with("bring the folder back, or save elsewhere"),
            "{why}"
        );
    }
    assert!(!folder.exists(), "no folder is made up");
    fs::rename(&gone, &folder).unwrap();
    step(&mut store, 6).unwrap();
    assert_eq!(store.trouble(), None);
    let record = store.record().clone();
    assert_eq!(load(&path).unwrap(), (record.clone(), vec![]));
    drop(store);
    fs::remove_dir_all(&folder).unwrap();
    assert!(Store::create(&path, record).is_err());
}

/// The last entries of a journal cut at each of their bytes: 200 cuts and more, each opened, read and gone on with.
#[test]
fn torn_at_every_byte_of_the_last_entries() {
    let dir = memory_dir();
    let path = dir.path().join("m.points.json");
    let mut store = Store::create(&path, Record::default()).unwrap();
    for k in 0..6 {
        let at = store.record().points.len();
        let _ = store.apply(Edit::InsertPoint { at, point: point(k) }).unwrap();
    }
    drop(store);
    let journal = beside(&path, "journal");
    let whole = fs::read(&journal).unwrap();
    let ends: Vec<usize> = (0..whole.len()).filter(|i| whole[*i] == b'\n').collect();
    let first = ends[3] + 1;
    assert!(whole.len() - first >= 200, "{} cuts are too few", whole.len() - first);
    for cut in first..whole.len() {
        fs::write(&journal, &whole[..cut]).unwrap();
        // The header is the first line; a line that lacks only its end is whole.
        let edits = ends.iter().filter(|e| **e <= cut).count() - 1;
        let mut store = Store::open(&path).unwrap();
        let notes: Vec<_> = store.record().points.iter().map(|p| p.note.clone()).collect();
        assert_eq!(notes, (0..edits).map(|k| format!("step {k}")).collect::<Vec<_>>(), "cut at {cut}");
        let told = store.notices().iter().any(|n| n.contains("is incomplete"));
        assert_eq!(told, !ends.contains(&cut) && !ends.contains(&(cut - 1)), "cut at {cut}");
        let _ = store.apply(Edit::InsertPoint { at: 0, point: point(7) }).unwrap();
        drop(store);
        assert_eq!(Store::open(&path).unwrap().record().points.len(), edits + 1, "cut at {cut}");
        fs::write(&path, read::to_bytes(&path, &Record::default()).unwrap()).unwrap();
    }
}
