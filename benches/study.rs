//! How long the questions of the Study room and the patterns of the starter file take over many records, and loading them,
//! beside `serde_json` alone.
//!
//! `cargo bench --no-default-features --bench study [RECORDS]`. The records are made up: ball by ball, about 143 points
//! each, so that 700 of them have 100,000 points.

#![expect(clippy::unwrap_used, reason = "a measuring script, where a panic is the message")]

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use changeover::facts::facts;
use changeover::pattern::{Answer, Pattern, PatternFile, answer};
use changeover::record::{Finish, Hand, Logged, Player, Point, Record, Shot, load};
use changeover::summary::study::{Facets, Pool, ask, starter};
use changeover::summary::{Whose, summarise};
use changeover::tennis::Side;
use changeover::tennis::stroke::{Cell, Column, Row, Stroke, Wing};
use changeover::time::MatchTime;

/// Numbers that look random and are the same each time (Knuth's MMIX constants).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n
    }
}

fn shot(dice: &mut Dice, n: usize, at: u64) -> Shot {
    let row = (n > 0).then(|| Row::ALL[dice.below(3)]);
    let strokes = [Stroke::Groundstroke, Stroke::Volley, Stroke::Lob, Stroke::DropShot];
    Shot {
        at: Some(MatchTime::from_millis(at + 1_250 * n as u64)),
        stroke: (n > 0).then(|| strokes[dice.below(4)]),
        wing: (n > 0).then(|| if dice.below(2) == 0 { Wing::Forehand } else { Wing::Backhand }),
        cell: Some(Cell { column: Column::ALL[dice.below(3)], row }),
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
        winner: Some(if dice.below(2) == 0 { Side::A } else { Side::B }),
        finish: Some([Finish::Winner, Finish::UnforcedError][dice.below(2)]),
        shots: (0..length).map(|n| shot(dice, n, at)).collect(),
        logged: Some(Logged::Every),
        tags: BTreeSet::from(["wide serve".to_owned(), "open court".to_owned()]),
        ..Point::default()
    }
}

fn record(dice: &mut Dice) -> Record {
    let mut record = Record::default();
    record.about.a = Player { hand: Some(Hand::Right), ..Player::named("Holt") };
    record.about.b = Player { hand: Some(Hand::Left), ..Player::named("Okafor") };
    record.points = (0..143).map(|n| point(dice, n)).collect();
    // A match is over some time; what is played after that would have no score.
    record.about.rules.best_of = 5;
    record
}

/// Time on all processors, threads that ended too, in ticks of a hundredth of a second; without Linux, time as it passes.
fn spent_by_all(since: Instant) -> Duration {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // After the name in brackets: the 12th and 13th are the ticks of the user and of the system.
    let ticks = stat.rsplit_once(')').map(|(_, rest)| rest.split(' ').skip(12).take(2));
    let sum = ticks.map(|t| t.filter_map(|n| n.parse::<u64>().ok()).sum::<u64>());
    sum.map_or_else(|| since.elapsed(), |n| Duration::from_millis(10 * n))
}

/// Time on the processor, so that what else a busy machine does is not counted; without Linux, time as it passes.
fn spent(since: Instant) -> Duration {
    let schedule = std::fs::read_to_string("/proc/self/schedstat").unwrap_or_default();
    let nanos = schedule.split(' ').next().and_then(|n| n.parse().ok());
    nanos.map_or_else(|| since.elapsed(), Duration::from_nanos)
}

fn median(mut of: impl FnMut()) -> Duration {
    let since = Instant::now();
    let mut all: Vec<Duration> = (0..5)
        .map(|_| {
            let before = spent(since);
            of();
            spent(since).saturating_sub(before)
        })
        .collect();
    all.sort();
    all[2]
}

fn main() {
    let wanted = std::env::args().skip(1).find_map(|a| a.parse().ok()).unwrap_or(700);
    let folder = tempfile::tempdir().unwrap();
    let mut dice = Dice(1);
    let paths: Vec<PathBuf> = (0..wanted)
        .map(|n| {
            let path = folder.path().join(format!("{n}.points.json"));
            std::fs::write(&path, serde_json::to_vec(&record(&mut dice)).unwrap()).unwrap();
            path
        })
        .collect();
    let records: Vec<Record> = paths.iter().map(|p| load(p).unwrap().0).collect();
    let points: usize = records.iter().map(|r| r.points.len()).sum();
    println!("{} records, {points} points; time on the processor, medians of 5", records.len());

    let parse = median(|| {
        for path in &paths {
            let _: Record = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
        }
    });
    let value = median(|| {
        for path in &paths {
            let _: serde_json::Value = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
        }
    });
    let ours = median(|| {
        for path in &paths {
            let _ = load(path).unwrap();
        }
    });
    let [typed, untyped] = [parse, value].map(|t| t.as_secs_f64() / ours.as_secs_f64());
    println!("serde_json alone: as records {parse:?}, as values {value:?}; load {ours:?}");
    println!("load has {typed:.2} of the speed of the former, {untyped:.2} of the latter");

    let patterns = PatternFile::starter().unwrap().patterns;
    let derive = median(|| records.iter().for_each(|r| drop(facts(r))));
    let all: Vec<_> = records.iter().map(facts).collect();
    let mut yes = 0;
    let ask = median(|| {
        yes = all
            .iter()
            .flatten()
            .map(|f| patterns.iter().filter(|p| answer(p, f) == Answer::Yes).count())
            .sum();
    });
    let borrowed: Vec<&Record> = records.iter().collect();
    let whole = median(|| drop(summarise(&borrowed, &patterns, &Whose::Both)));
    println!(
        "facts {derive:?}, {} patterns asked {ask:?} ({yes} yes), summary from records {whole:?}",
        patterns.len()
    );
    drop(all);
    study(records, &patterns, parse);
}

/// Every question to start with, asked of both players and of one; facts are made when records are loaded.
fn study(records: Vec<Record>, patterns: &[Pattern], parse: Duration) {
    let since = Instant::now();
    let before = spent(since);
    let pool = Pool::new(records);
    println!("a pool of them: {:.1?} on the processor", spent(since).saturating_sub(before));
    let questions = starter(patterns);
    for whose in [Whose::Both, Whose::Named("Holt".into())] {
        let facets = Facets { whose, ..Facets::default() };
        let rounds = 5;
        let (since, mut waited) = (Instant::now(), Duration::ZERO);
        let before = spent_by_all(since);
        for question in &questions {
            let mut passed: Vec<Duration> = (0..rounds)
                .map(|_| {
                    let since = Instant::now();
                    drop(ask(&pool, question, &facets));
                    since.elapsed()
                })
                .collect();
            passed.sort();
            println!("  waited {:>9.1?}: {}", passed[rounds as usize / 2], question.name);
            waited += passed[rounds as usize / 2];
        }
        let spent = spent_by_all(since).saturating_sub(before) / rounds;
        let ratio = spent.as_secs_f64() / parse.as_secs_f64();
        println!(
            "study, {:?}: {} questions, {spent:.0?} of processors ({ratio:.2} of serde_json alone), waited {waited:.0?}",
            facets.whose,
            questions.len()
        );
    }
}
