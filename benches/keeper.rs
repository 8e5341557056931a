//! How long the keeper takes to settle a key, in records of 300 and of 19,900 points (the most is 20,000).
//!
//! `cargo bench --no-default-features --bench keeper`. For each kind of key it prints the median and the 95th percentile
//! from asking to being told, in milliseconds, and the median as a multiple of what `serde_json` takes to write the record.

#![expect(clippy::unwrap_used, reason = "a measuring script, where a panic is the message")]

use std::sync::Arc;
use std::time::{Duration, Instant};

use changeover::facts::facts;
use changeover::logging::Action;
use changeover::record::store::Store;
use changeover::record::{Kind, Logged, Player, Point, Record, Shot, Source};
use changeover::session::keeper::{Ask, Keeper};
use changeover::tennis::Side;
use changeover::tennis::rules::Play;
use changeover::tennis::stroke::{Cell, Column, Row};
use changeover::time::MatchTime;

fn point(n: u64) -> Point {
    let at = 25_000 * n;
    let cell = |i: u64| Cell {
        column: Column::ALL[((n + i) % 3) as usize],
        row: (i > 0).then_some(Row::ALL[((n + 2 * i) % 3) as usize]),
    };
    let shot = |i: u64| Shot {
        at: Some(MatchTime::from_millis(at + 1_250 * i)),
        cell: Some(cell(i)),
        ..Shot::default()
    };
    Point {
        start: Some(MatchTime::from_millis(at)),
        end: Some(MatchTime::from_millis(at + 12_000)),
        faults: Some((n % 2) as u8),
        winner: Some(if n * 7 % 11 < 6 { Side::A } else { Side::B }),
        shots: (0..5).map(shot).collect(),
        logged: Some(Logged::Every),
        tags: ["wide serve".to_owned(), "open court".to_owned()].into(),
        ..Point::default()
    }
}

/// A drill, whose score never ends; the same with 61 possible scores at every point; a match most of whose points come
/// after its end; a match in which no winner was noted; and points of many matches.
fn record(kind: &str, points: u64) -> Record {
    let mut record = Record { points: (0..points).map(point).collect(), ..Record::default() };
    match kind {
        "drill" => record.about.rules.play = Play::Drill,
        "drill, 60 winners unknown" => {
            record.about.rules.play = Play::Drill;
            record.points.iter_mut().take(60).for_each(|p| p.winner = None);
        }
        "points of 40 players" => {
            let people: Vec<_> = (0..40).map(|n| Player::named(&format!("Player {n}"))).collect();
            record.about.shows = Kind::Points;
            for (n, point) in record.points.iter_mut().enumerate() {
                let name = |n: usize| people[n % 40].name.clone();
                let source = Source { a: name(n), b: name(n + 1), ..Source::default() };
                point.source = Some(Box::new(source));
            }
            record.people = people;
        }
        "unknown" => record.points.iter_mut().for_each(|p| p.winner = None),
        _ => record.about.rules.best_of = 5,
    }
    record
}

fn median(times: &mut [Duration], part: f64) -> f64 {
    times.sort_unstable();
    times[((times.len() - 1) as f64 * part) as usize].as_secs_f64() * 1e3
}

fn main() {
    // In memory where that is possible: how long the disk takes is not asked here.
    let folder = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap();
    for (kind, points) in [
        ("match", 300),
        ("drill", 300),
        ("match", 19_900),
        ("drill", 19_900),
        ("unknown", 19_900),
        ("drill, 60 winners unknown", 19_900),
        ("points of 40 players", 19_900),
    ] {
        let record = record(kind, points);
        let writing = (0..5).map(|_| {
            let start = Instant::now();
            std::hint::black_box(serde_json::to_vec(&record).unwrap());
            start.elapsed()
        });
        let writing = median(&mut writing.collect::<Vec<_>>(), 0.5);
        let start = Instant::now();
        let _ = std::hint::black_box(facts(&record));
        let whole = start.elapsed().as_secs_f64() * 1e3;
        println!("{kind}, {points} points; writing it takes {writing:.1} ms, its facts {whole:.1} ms");
        let path = folder.path().join(format!("{kind}-{points}.points.json"));
        let (mut keeper, mut view, told) =
            Keeper::start(Store::create(&path, record).unwrap(), Arc::default());
        let mut asked = |name: &str, asks: &dyn Fn(u64) -> Ask| {
            let mut times = Vec::new();
            for n in 0..20 {
                let start = Instant::now();
                keeper.ask(asks(n));
                let answer = told.recv_blocking().unwrap();
                times.push(start.elapsed());
                assert!(answer.outcome.is_ok(), "{:?}", answer.outcome);
                // The window keeps what it was told last.
                view = answer.view;
            }
            let (half, most) = (median(&mut times, 0.5), median(&mut times, 0.95));
            println!("  {name:28} {half:8.2} {most:8.2}   ratio {:.3}", half / writing);
        };
        let end = 25_000 * points;
        let moment = |ms: u64| MatchTime::from_millis(ms).into();
        asked("tag on the last point", &|n| Ask::Tag(format!("tag {n}")));
        asked("winner of the last point", &|n| {
            Ask::Act(if n % 2 == 0 { Action::WinnerA } else { Action::WinnerB }, moment(end))
        });
        asked("start and end of a point", &|n| {
            Ask::Act(if n % 2 == 0 { Action::PointStart } else { Action::WinnerA }, moment(end + 5_000 * n))
        });
        asked("undo", &|_| Ask::Undo);
        asked("choose the first point", &|_| Ask::Choose(Some(0)));
        asked("tag on the first point", &|n| Ask::Tag(format!("tag {n}")));
        asked("winner of the first point", &|n| {
            Ask::Act(if n % 2 == 0 { Action::WinnerB } else { Action::WinnerA }, moment(0))
        });
        asked("delete the first point", &|n| {
            if n % 2 == 0 { Ask::Act(Action::DeletePoint, moment(0)) } else { Ask::Undo }
        });
        asked("balls of a new point", &|n| Ask::Act(Action::PadLeft, moment(end + 500_000 + 1_000 * n)));
    }
}
