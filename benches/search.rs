//! How long the library and the search take over many records, beside `serde_json` alone.
//!
//! `cargo bench --no-default-features --bench search [RECORDS]`. The records are made up: shot by shot, 140 points each, so that
//! 2,000 of them have 280,000 points. Medians of 5, the time as it passes.

#![expect(clippy::unwrap_used, reason = "a measuring script, where a panic is the message")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use changeover::library::{Cache, Kept, list};
use changeover::pattern::PatternFile;
use changeover::record::{Finish, Footage, Hand, Logged, Player, Point, Record, Shot};
use changeover::search::Search;
use changeover::tennis::Side;
use changeover::tennis::stroke::{Cell, Column, Row, Stroke, Wing};
use changeover::time::MatchTime;
use chrono::NaiveDate;

const NAMES: [&str; 8] = ["Holt", "Okafor", "Reyes", "Mensah", "Mia Vale", "Tove Lind", "Amari", "Sato"];
const TAGS: [&str; 5] = ["good choice", "late", "wide serve", "open court", "drop shot"];

/// What is searched for: words of the match, of the point, of shots, and a pattern.
const SEARCHES: [&str; 8] = [
    "Holt drop shot behind break point clay",
    "drop shot answered by lob",
    "Mia Vale backhand winner deuce court",
    "9+ shots set 1",
    "good choice",
    "unforced error second serve hard",
    "no ace",
    "serve and volley",
];

/// Numbers that look random and are the same each time (Knuth's MMIX constants).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n
    }

    fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }
}

fn shot(dice: &mut Dice, n: usize, at: u64) -> Shot {
    let row = (n > 0).then(|| dice.one(&Row::ALL));
    let strokes = [Stroke::Groundstroke, Stroke::Groundstroke, Stroke::Volley, Stroke::Lob, Stroke::DropShot];
    Shot {
        at: Some(MatchTime::from_millis(at + 1_250 * n as u64)),
        stroke: (n > 0).then(|| dice.one(&strokes)),
        wing: (n > 0).then(|| dice.one(&[Wing::Forehand, Wing::Backhand])),
        cell: Some(Cell { column: dice.one(&Column::ALL), row }),
        ..Shot::default()
    }
}

fn point(dice: &mut Dice, n: u64) -> Point {
    let at = 25_000 * n;
    let length = 1 + dice.below(9);
    Point {
        start: Some(MatchTime::from_millis(at)),
        end: Some(MatchTime::from_millis(at + 12_000)),
        faults: Some(dice.below(2) as u8),
        winner: Some(dice.one(&[Side::A, Side::B])),
        finish: Some(dice.one(&[Finish::Winner, Finish::UnforcedError, Finish::ForcedError])),
        shots: (0..length).map(|n| shot(dice, n, at)).collect(),
        logged: Some(Logged::Every),
        tags: (0..dice.below(3)).map(|_| dice.one(&TAGS).to_owned()).collect::<BTreeSet<_>>(),
        ..Point::default()
    }
}

fn record(dice: &mut Dice, n: usize) -> Record {
    let mut record = Record::default();
    let a = dice.below(NAMES.len());
    let b = (a + 1 + dice.below(NAMES.len() - 1)) % NAMES.len();
    record.about.a = Player { hand: Some(Hand::Right), ..Player::named(NAMES[a]) };
    record.about.b = Player { hand: Some(Hand::Left), ..Player::named(NAMES[b]) };
    record.about.surface = dice.one(&["clay", "hard", "grass"]).into();
    record.about.date = NaiveDate::from_yo_opt(2020 + (n % 7) as i32, 1 + (n % 360) as u32);
    record.about.rules.best_of = 5;
    record.points = (0..140).map(|n| point(dice, n)).collect();
    record.footage = vec![Footage {
        file: format!("{n}.mp4"),
        fingerprint: Some(format!("sha256:{n:064x}")),
        duration: MatchTime::from_secs(140 * 25),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    }];
    record
}

fn median(mut of: impl FnMut()) -> Duration {
    let mut all: Vec<Duration> = (0..5)
        .map(|_| {
            let since = Instant::now();
            of();
            since.elapsed()
        })
        .collect();
    all.sort();
    all[2]
}

/// Memory in use, in MiB; 0 without Linux.
fn memory() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:"));
    line.and_then(|l| l.split_whitespace().next()?.parse::<u64>().ok()).unwrap_or(0) / 1024
}

fn main() {
    let wanted = std::env::args().skip(1).find_map(|a| a.parse().ok()).unwrap_or(2000);
    let folder = tempfile::tempdir().unwrap();
    let mut dice = Dice(1);
    let paths: Vec<PathBuf> = (0..wanted)
        .map(|n| {
            let sub = folder.path().join((n % 40).to_string());
            std::fs::create_dir_all(&sub).unwrap();
            let path = sub.join(format!("{n}.points.json"));
            std::fs::write(&path, serde_json::to_vec(&record(&mut dice, n)).unwrap()).unwrap();
            std::fs::write(sub.join(format!("{n}.mp4")), "pictures").unwrap();
            path
        })
        .collect();
    let parse = median(|| {
        for path in &paths {
            let _: Record = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
        }
    });
    println!("{wanted} records; serde_json alone on one processor: {parse:.2?}");
    listing(folder.path(), parse);
    searching(&paths, parse);
}

fn listing(folder: &Path, parse: Duration) {
    let folders = [folder.to_owned()];
    let file = folder.join("library.json");
    let today = NaiveDate::from_yo_opt(2026, 200).unwrap();
    let of = |cache: &Cache| list(&folders, cache, today, &|_, _| true).unwrap();
    let first = median(|| of(&Cache::default()).cache.unwrap().write(&file).unwrap());
    let mut rows = 0;
    let again = median(|| rows = of(&Cache::read(&file)).records.len());
    let ratio = |t: Duration| t.as_secs_f64() / parse.as_secs_f64();
    println!("library, first time: {first:.2?} ({:.2} of serde_json alone)", ratio(first));
    println!("library, from the cache: {again:.2?} ({:.3} of serde_json alone), {rows} rows", ratio(again));
}

fn searching(paths: &[PathBuf], parse: Duration) {
    let before = memory();
    let since = Instant::now();
    let kept = Kept::read(paths, &Kept::default(), &|_, _| true).unwrap();
    let read = since.elapsed();
    let ratio = |t: Duration| t.as_secs_f64() / parse.as_secs_f64();
    println!(
        "search: {} points read in {read:.2?} ({:.2} of serde_json alone), {} MiB kept",
        kept.points(),
        ratio(read),
        memory().saturating_sub(before)
    );
    let patterns = PatternFile::starter().unwrap().patterns;
    let since = Instant::now();
    let words = kept.vocabulary(&patterns);
    println!("search: its words found in {:.2?}", since.elapsed());
    for typed in SEARCHES {
        let mut found = 0;
        let one = median(|| {
            let search = Search::read(typed, &words);
            assert_eq!(search.unknown().count(), 0, "{typed}");
            found = kept.answer(&search).points.len();
        });
        println!("  {one:>9.1?} ({:.3} of serde_json alone): {typed}, {found} points", ratio(one));
    }
    let typing = median(|| drop(words.suggest("Holt dro", 8)));
    println!("  {typing:>9.1?}: what can follow \"Holt dro\"");
}
