//! A real file system that fills up while a match is logged: one of 64 KiB in memory, mounted by the test where that is
//! allowed. What `src/record/store_faults.rs` simulates at every operation is shown here once with the system's own.
#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::fs;
use std::path::Path;
use std::process::Command;

use changeover::record::{Edit, Point, Record, Store, load};

/// A small file system; gone again when dropped.
struct Mounted(tempfile::TempDir);

impl Mounted {
    fn of_64_kib() -> Option<Self> {
        let dir = tempfile::tempdir().unwrap();
        let run =
            Command::new("mount").args(["-t", "tmpfs", "-o", "size=64k", "tmpfs"]).arg(dir.path()).output();
        run.is_ok_and(|out| out.status.success()).then(|| Self(dir))
    }

    fn path(&self) -> &Path {
        self.0.path()
    }
}

impl Drop for Mounted {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0.path()).status();
    }
}

fn add(store: &mut Store, n: usize) {
    let point = Point { note: format!("{n} {}", "x".repeat(700)), ..Point::default() };
    let at = store.record().points.len();
    let _ = store.apply(Edit::InsertPoint { at, point }).unwrap();
}

#[test]
fn a_disk_that_fills_up_while_logging_loses_nothing() {
    let Some(disk) = Mounted::of_64_kib() else {
        println!("skipped: this user may not mount a file system");
        return;
    };
    let path = disk.path().join("m.points.json");
    // Each run leaves less room, so that each fills up at another edit, some in the middle of a save.
    for run in 0..12usize {
        for old in fs::read_dir(disk.path()).unwrap() {
            fs::remove_file(old.unwrap().path()).unwrap();
        }
        fs::write(disk.path().join("ballast"), vec![0; run * 4096 + 1]).unwrap();
        let mut store = Store::create(&path, Record::default()).unwrap();
        let mut safe = 0;
        for n in 0..80 {
            add(&mut store, n);
            if n % 9 == 8 {
                // It may fail; then the journal goes on.
                let _ = store.save();
            }
            if store.trouble().is_none() {
                safe = n + 1;
            }
        }
        assert!(safe < 80, "run {run}: 80 notes do not fit");
        let why = store.trouble().unwrap();
        assert!(why.contains("the disk is full") && why.contains("make room, or save elsewhere"), "{why}");
        assert_eq!(store.record().points.len(), 80, "editing goes on in memory");
        let (seen, _) = load(&path).unwrap();
        assert!((safe..=80).contains(&seen.points.len()), "run {run}: {} of {safe}", seen.points.len());
        let acknowledged: Vec<_> = store.record().points.iter().take(seen.points.len()).collect();
        assert_eq!(seen.points.iter().collect::<Vec<_>>(), acknowledged);
        // Room again, for some of it: with half of the runs the process ends first.
        let elsewhere = tempfile::tempdir().unwrap();
        let all = store.record().clone();
        store.move_to(&elsewhere.path().join("m.points.json")).unwrap();
        drop(store);
        assert_eq!(load(&elsewhere.path().join("m.points.json")).unwrap().0, all, "run {run}");
        let store = Store::open(&path).unwrap();
        assert!(store.record().points.len() >= safe, "run {run}");
    }
}
