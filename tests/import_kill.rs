//! `import` killed at any moment: the next one finds the folder as it was before, or with every record of the first.
//!
//! `CHANGEOVER_KILLS` says how often; each kill is of the program itself, by the system.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

/// Records of the import that is killed; every second one is there before.
const MATCHES: usize = 400;

fn import(dir: &Path, chart: &str, force: bool) -> Child {
    fs::write(dir.join("chart.csv"), chart).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_changeover"));
    command.args(["import", "-", "--rules", "one-set", "--out", "recs"]).args(force.then_some("--force"));
    command.current_dir(dir).stdin(File::open(dir.join("chart.csv")).unwrap());
    command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

fn done(child: Child) -> String {
    let Output { status, stderr, .. } = child.wait_with_output().unwrap();
    let said = String::from_utf8(stderr).unwrap();
    assert!(status.success(), "{said}");
    said
}

fn chart(matches: impl Iterator<Item = usize>, winner: char) -> String {
    matches.fold("match,winner\n".into(), |text, n| text + &format!("m{n},{winner}\n"))
}

/// What the import writes aside, while it is there.
fn stage(recs: &Path) -> Option<PathBuf> {
    let entries = fs::read_dir(recs).unwrap().flatten().map(|e| e.path());
    entries.into_iter().find(|p| p.extension().is_some_and(|e| e == "tmp"))
}

/// Records of the old state, of the new one, and none.
fn states(recs: &Path) -> [usize; 3] {
    let mut count = [0; 3];
    for n in 0..MATCHES {
        let text = fs::read_to_string(recs.join(format!("m{n}.points.json")));
        count[text.map_or(2, |t| usize::from(t.contains(r#""winner": "b""#)))] += 1;
    }
    count
}

#[test]
fn a_killed_import_has_done_all_or_nothing() {
    let kills = std::env::var("CHANGEOVER_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(16);
    let (mut half, mut dice) = (0, 20_260_509_u64);
    for kill in 0..kills {
        let dir = tempfile::tempdir().unwrap();
        let recs = dir.path().join("recs");
        done(import(dir.path(), &chart((0..MATCHES).step_by(2), 'a'), false));
        let mut child = import(dir.path(), &chart(0..MATCHES, 'b'), true);
        // Every fourth while it still writes, the others while it moves.
        let begun = |s: PathBuf| kill % 4 == 0 || s.join(".moves").exists();
        let start = Instant::now();
        while !stage(&recs).is_some_and(begun) && child.try_wait().unwrap().is_none() {
            assert!(start.elapsed() < Duration::from_secs(60));
            std::thread::sleep(Duration::from_micros(100));
        }
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        std::thread::sleep(Duration::from_micros((dice >> 33) % 20_000));
        let _ = child.kill();
        drop(child.wait());
        let [old, new, _] = states(&recs);
        let halfway = (1..MATCHES).contains(&new) || old + new < MATCHES / 2;
        half += usize::from(halfway);
        let said = done(import(dir.path(), "match,winner\nanother,a\n", false));
        assert_eq!(said.contains("was interrupted"), halfway, "{said}");
        let after = states(&recs);
        assert!([[MATCHES / 2, 0, MATCHES / 2], [0, MATCHES, 0]].contains(&after), "kill {kill}: {after:?}");
        let names: Vec<_> = fs::read_dir(&recs).unwrap().map(|e| e.unwrap().file_name()).collect();
        // What was replaced is kept.
        let ours = |n: &str| n.ends_with(".points.json") || n.contains(".points.json.aside-");
        let odd = names.iter().find(|n| !ours(&n.to_string_lossy()));
        assert_eq!(odd, None, "kill {kill}: nothing else is left");
    }
    println!("{kills} kills, {half} of them between the first record and the last");
    assert!(half > 0, "no kill came between the first record and the last");
}
