//! Tests of the store: what was acknowledged is never lost, whatever becomes of the files.

use std::fs;
use std::path::PathBuf;

use super::*;
use crate::tennis::Side;
use crate::time::MatchTime;

fn fresh() -> (tempfile::TempDir, PathBuf, Store) {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("m.points.json");
    let store = Store::create(&path, Record::default()).unwrap();
    (dir, path, store)
}

fn point(n: u64) -> Point {
    Point {
        start: Some(MatchTime::from_secs(n * 20)),
        end: Some(MatchTime::from_secs(n * 20 + 8)),
        winner: Some(if n.is_multiple_of(3) { Side::B } else { Side::A }),
        ..Point::default()
    }
}

fn add(store: &mut Store, n: u64) {
    let at = store.record().points.len();
    let _ = store.apply(Edit::InsertPoint { at, point: point(n) }).unwrap();
}

#[test]
fn an_edit_is_found_again_without_a_save() {
    let (_dir, path, mut store) = fresh();
    add(&mut store, 1);
    add(&mut store, 2);
    assert_eq!(store.unsaved(), 2);
    drop(store);
    let mut store = Store::open(&path).unwrap();
    assert_eq!(store.record().points, [point(1), point(2)]);
    assert_eq!(store.notices(), ["recovered 2 edits from the journal after an interrupted session"]);
    assert_eq!(store.unsaved(), 2);
    store.save().unwrap();
    assert_eq!(store.unsaved(), 0);
    drop(store);
    let store = Store::open(&path).unwrap();
    assert_eq!(store.record().points.len(), 2);
    assert!(store.notices().is_empty() && store.trouble().is_none());
    drop(store);
    assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1, "only the sidecar is left");
}
