//! Records of every version that was ever released open, can be changed, and lose nothing. `tests/records/` keeps one of each.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use changeover::record::{Edit, Store, load};

fn records() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/records");
    let all = fs::read_dir(folder).unwrap().map(|f| f.unwrap().path());
    let mut records: Vec<_> = all.filter(|p| p.extension().is_some_and(|e| e == "json")).collect();
    records.sort();
    records
}

#[test]
fn there_is_a_record_of_each_version() {
    let found: Vec<_> =
        records().iter().map(|p| p.file_name().unwrap().to_string_lossy().into_owned()).collect();
    let now: serde_json::Value = serde_json::to_value(changeover::record::Record::default()).unwrap();
    let wanted: Vec<String> =
        (1..=now["version"].as_u64().unwrap()).map(|v| format!("version-{v}.json")).collect();
    assert_eq!(found, wanted, "keep a record of the new version in tests/records");
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
