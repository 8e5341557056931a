//! A process that logs is killed at random moments; whatever it acknowledged is in the record at the next start.
//!
//! The test runs itself again as the process to be killed: [`writer`] does nothing unless it is told a file. It kills
//! 100 times, or as often as `CHANGEOVER_KILLS` says.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use changeover::record::{Edit, Point, Record, Store, load};
use changeover::time::MatchTime;

const FILE: &str = "CHANGEOVER_KILL_TEST_FILE";
const SEED: &str = "CHANGEOVER_KILL_TEST_SEED";
const STEPS: u64 = 400;
/// How often when the environment does not say.
const KILLS: u64 = 100;

/// Small, repeatable numbers (SplitMix64).
fn mixed(n: u64) -> u64 {
    let mut z = n.wrapping_mul(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

enum Step {
    Edit(Box<Edit>),
    Undo,
    Redo,
    Save,
}

/// The `k`-th step of a script, for a record with `len` points.
fn step(seed: u64, k: u64, len: usize) -> Step {
    let dice = mixed(seed.wrapping_mul(1009).wrapping_add(k));
    let at = (dice >> 32) as usize % (len + 1);
    let start = Some(MatchTime::from_millis(k * 1000));
    let point = Point { start, note: format!("step {k}"), ..Point::default() };
    match dice % 10 {
        0 => Step::Save,
        1 => Step::Undo,
        2 => Step::Redo,
        3 if at < len => Step::Edit(Box::new(Edit::SetPoint { at, point })),
        4 if at < len => Step::Edit(Box::new(Edit::RemovePoint { at })),
        _ => Step::Edit(Box::new(Edit::InsertPoint { at, point })),
    }
}

/// Not a test by itself: the process that is killed.
#[test]
fn writer() {
    let (Some(file), Ok(seed)) = (std::env::var_os(FILE), std::env::var(SEED)) else { return };
    let seed: u64 = seed.parse().unwrap();
    let mut store = Store::create(Path::new(&file), Record::default()).unwrap();
    let mut out = std::io::stdout();
    writeln!(out, "\nack 0").unwrap();
    for k in 1..=STEPS {
        match step(seed, k, store.record().points.len()) {
            Step::Edit(edit) => drop(store.apply(*edit).unwrap()),
            Step::Undo => drop(store.undo().unwrap()),
            Step::Redo => drop(store.redo().unwrap()),
            Step::Save => store.save().unwrap(),
        }
        assert_eq!(store.trouble(), None);
        writeln!(out, "ack {k}").unwrap();
    }
    // Longer than any test waits: this process ends only by being killed.
    std::thread::sleep(Duration::from_secs(60));
}

/// Starts the writer, kills it after `delay`, and says the last step that it acknowledged. The delay counts from the
/// moment the record is there; at every tenth run from the start of the process, so that its making is hit too.
fn run_and_kill(file: &Path, seed: u64, delay: Duration) -> Option<u64> {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "writer", "--nocapture", "--test-threads=1"])
        .env(FILE, file)
        .env(SEED, seed.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok);
    let mut steps = lines.filter_map(|l| l.strip_prefix("ack ")?.parse().ok());
    let first = if seed.is_multiple_of(10) { None } else { steps.next() };
    std::thread::sleep(delay);
    child.kill().unwrap();
    let last = steps.last().or(first);
    child.wait().unwrap();
    last
}

/// The record after each step, worked out in memory alone.
fn states(seed: u64, upto: u64) -> Vec<Record> {
    let mut record = Record::default();
    let (mut undo, mut redo): (Vec<Edit>, Vec<Edit>) = (Vec::new(), Vec::new());
    let mut states = vec![record.clone()];
    for k in 1..=upto.min(STEPS) {
        match step(seed, k, record.points.len()) {
            Step::Edit(edit) => {
                undo.push(record.apply(*edit).unwrap().1);
                redo.clear();
            }
            Step::Undo => redo.extend(undo.pop().map(|e| record.apply(e).unwrap().1)),
            Step::Redo => undo.extend(redo.pop().map(|e| record.apply(e).unwrap().1)),
            Step::Save => {}
        }
        states.push(record.clone());
    }
    states
}

#[derive(Default)]
struct Tally {
    acknowledged: u64,
    recovered: u64,
    before_creation: u64,
}

fn one_kill(dir: &Path, seed: u64, tally: &mut Tally) {
    let file: PathBuf = dir.join(format!("m{seed}.points.json"));
    let delay = Duration::from_micros(mixed(seed ^ 0xfeed) % 120_000);
    let acknowledged = run_and_kill(&file, seed, delay);
    let Some(acked) = acknowledged else {
        // Killed before the record was there, or before it could say so; if it is there, it opens.
        tally.before_creation += 1;
        assert!(!file.exists() || Store::open(&file).is_ok());
        return;
    };
    tally.acknowledged += acked;
    let states = states(seed, acked + 1);
    let possible = [acked as usize, (acked as usize + 1).min(states.len() - 1)];
    let fits = |found: &Record| possible.iter().any(|i| &states[*i] == found);
    assert!(fits(&load(&file).unwrap().0), "seed {seed}: step {acked} is lost to a reader");
    let mut store = Store::open(&file).unwrap();
    assert!(fits(store.record()), "seed {seed}: step {acked} is lost");
    assert_eq!((store.read_only(), store.trouble()), (None, None));
    assert!(
        !store.notices().iter().any(|n| n.contains("aside") || n.contains("kept as")),
        "{:?}",
        store.notices()
    );
    tally.recovered += u64::from(store.unsaved() > 0);
    store.save().unwrap();
    let record = store.record().clone();
    drop(store);
    assert_eq!(load(&file).unwrap(), (record, vec![]));
}

#[test]
fn a_killed_process_loses_nothing_it_acknowledged() {
    if std::env::var_os(FILE).is_some() {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let mut tally = Tally::default();
    let kills = std::env::var("CHANGEOVER_KILLS").map_or(KILLS, |n| n.parse().unwrap());
    for seed in 0..kills {
        one_kill(dir.path(), seed, &mut tally);
    }
    let Tally { acknowledged, recovered, before_creation } = tally;
    println!(
        "{kills} kills: {acknowledged} steps acknowledged and found again, {recovered} recoveries, {before_creation} before the record was there"
    );
    assert!(acknowledged > 0 && recovered > 0, "the kills must hit a process at work");
    let left: Vec<_> = std::fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(left.iter().all(|n| !n.to_string_lossy().contains("aside")), "{left:?}");
}
