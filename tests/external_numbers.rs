//! The match in numbers, counted again by a script in another language that reads the record alone; needs
//! `CHANGEOVER_PYTHON`, which `scripts/test` sets. The records are the samples, some made up at random, and simulated matches
//! with everything that the simulation knows, all of them the same in every run.

use std::path::Path;
use std::process::Command;

use assert_cmd::Command as Program;
use changeover::record::{Finish, Hand, Logged, Point, Record, Shot};
use changeover::tennis::Side;
use changeover::tennis::stroke::{Cell, Column, Depth, Miss, Row, Stroke, Wing};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

/// How many records at random.
const MANY: usize = 12;

/// How many simulated matches, from this number on: no other test has them.
#[cfg(feature = "video")]
const PLAYED: std::ops::Range<u64> = 300..320;

/// Whole matches as a careful coach would log them: every shot, the aims of missed shots, the kinds of faults, which serves did
/// not come back. Of every third one only parts are known, as after a hurry.
#[cfg(feature = "video")]
#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn played() -> Vec<Record> {
    use changeover::demo::{Demo, logged, truth};
    let one = |number| {
        let demo = Demo { number, ..Demo::default() };
        let mut record = logged(&truth(&demo).unwrap(), false);
        let hurry = number.is_multiple_of(3);
        for (n, point) in record.points.iter_mut().enumerate() {
            // The return that was missed is not logged: the key for a serve that did not come back says it.
            if point.shots.len() == 2 && point.finish == Some(Finish::ForcedError) {
                point.shots.truncate(1);
                (point.unreturned, point.finish, point.miss) = (true, None, None);
            }
            if hurry && n % 4 == 1 {
                point.finish = None;
            }
            if hurry && n % 5 == 2 {
                (point.logged, point.faults) = (Some(Logged::Opening), None);
            }
        }
        record
    };
    let all: Vec<Record> = PLAYED.map(one).collect();
    // Of 20 matches some have none of a kind; all together have each.
    let points = || all.iter().flat_map(|r| &r.points);
    assert!(points().flat_map(|p| &p.shots).any(|s| s.aim.is_some()), "no aims");
    assert!(points().flat_map(|p| &p.serves_out).any(|s| s.fault.is_some()), "no kinds of faults");
    let unreturned = points().filter(|p| p.unreturned).count();
    println!("{unreturned} serves that did not come back, of {} points", points().count());
    assert!(unreturned > 0, "no serve that did not come back");
    all
}

/// Without the simulation there are no such matches.
#[cfg(not(feature = "video"))]
const fn played() -> Vec<Record> {
    Vec::new()
}

/// A shot of which anything may be known.
fn shot() -> impl Strategy<Value = Shot> {
    let cell = prop::option::weighted(0.9, (0..3usize, prop::option::of(0..3usize)));
    let wing = prop::option::weighted(0.9, prop::bool::ANY);
    let stroke = prop::option::weighted(0.9, 0..5usize);
    (cell, wing, stroke, prop::bool::weighted(0.1)).prop_map(|(cell, wing, stroke, approach)| Shot {
        cell: cell.map(|(c, r)| Cell { column: Column::ALL[c], row: r.map(|r| Row::ALL[r]) }),
        wing: wing.map(|w| if w { Wing::Forehand } else { Wing::Backhand }),
        stroke: stroke.map(|s| Stroke::WORDS[s].1),
        approach,
        ..Shot::default()
    })
}

/// A serve: a third of the box, if it was seen.
fn serve() -> impl Strategy<Value = Shot> {
    prop::option::weighted(0.9, 0..3usize)
        .prop_map(|c| Shot { cell: c.map(|c| Cell { column: Column::ALL[c], row: None }), ..Shot::default() })
}

fn point() -> impl Strategy<Value = Point> {
    let finish = prop::option::weighted(0.95, 0..5usize);
    let miss = prop::option::weighted(0.8, 0..3usize);
    let rally = (serve(), prop::collection::vec(shot(), 0..11));
    let out = prop::collection::vec(serve(), 2);
    let seen = (
        prop::option::weighted(0.9, 0..2u8),
        prop::bool::weighted(0.8),
        prop::option::weighted(0.8, prop::bool::ANY),
    );
    (prop::bool::ANY, finish, miss, rally, out, seen, prop::bool::weighted(0.03))
        .prop_map(|(a, finish, miss, (serve, rest), out, (faults, placed, every), replayed)| {
            let finish = finish.map(|n| Finish::ALL[n]);
            let faults = if finish == Some(Finish::DoubleFault) { faults.map(|_| 2) } else { faults };
            let shots = match finish {
                Some(Finish::DoubleFault) => Vec::new(),
                Some(Finish::Ace) => vec![serve],
                _ => [vec![serve], rest].concat(),
            };
            let kept = if placed { usize::from(faults.unwrap_or(0)) } else { 0 };
            Point {
                winner: Some(if a { Side::A } else { Side::B }),
                finish,
                miss: miss.map(|n| [Miss::Net, Miss::Long, Miss::Wide][n]),
                faults,
                shots,
                serves_out: out.into_iter().take(kept).collect(),
                logged: every.map(|e| if e { Logged::Every } else { Logged::Opening }),
                replayed,
                ..Point::default()
            }
        })
        .prop_flat_map(|point| (Just(point), 0..20u8, prop::bool::weighted(0.7), shot()))
        .prop_map(|(point, kind, aimed, other)| rare(point, kind, aimed.then_some(other)))
}

/// What is seldom noted: where a missed shot was aimed, a serve that did not come back, a point penalty, a depth without a place.
fn rare(mut point: Point, kind: u8, other: Option<Shot>) -> Point {
    let error = matches!(point.finish, Some(Finish::ForcedError | Finish::UnforcedError));
    let rally = point.shots.len() > 1;
    match (kind, point.shots.last_mut()) {
        (0, _) => {
            return Point {
                penalty: point.winner.map(Side::other),
                winner: point.winner,
                ..Point::default()
            };
        }
        (1, Some(_)) => {
            point.shots.truncate(2);
            (point.unreturned, point.finish, point.logged) = (true, None, None);
        }
        (2, Some(last)) => (last.cell, last.depth) = (None, Some(Depth::Mid)),
        (_, Some(last)) if error && rally && point.logged == Some(Logged::Every) => {
            if let Some(other) = other {
                (last.aim, last.cell, last.at_net) = (other.cell, None, kind.is_multiple_of(2));
                point.also_wide = point.miss == Some(Miss::Long) && kind > 15;
            }
        }
        _ => {}
    }
    point
}

/// A hundred points, few enough that the fifth set is not over.
fn record() -> impl Strategy<Value = Record> {
    let hand = || prop::option::weighted(0.8, prop::bool::ANY);
    (prop::collection::vec(point(), 100), hand(), hand(), prop::bool::ANY).prop_map(
        |(points, a, b, first)| {
            let mut record = Record::default();
            let hand = |right: bool| if right { Hand::Right } else { Hand::Left };
            record.about.rules.best_of = 5;
            (record.about.a.hand, record.about.b.hand) = (a.map(hand), b.map(hand));
            record.about.first_server = if first { Side::A } else { Side::B };
            record.points = points.into();
            record
        },
    )
}

#[test]
fn another_language_counts_the_same() {
    let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let (folder, root) = (tempfile::tempdir().unwrap(), Path::new(env!("CARGO_MANIFEST_DIR")));
    let at = folder.path();
    let mut names = vec!["holt-okafor".to_owned(), "holt-okafor-2".to_owned()];
    for name in &names {
        let file = format!("{name}.points.json");
        std::fs::copy(root.join("sample-tags").join(&file), at.join(&file)).unwrap();
    }
    let mut dice = TestRunner::deterministic();
    let random = (0..MANY).map(|n| (format!("random-{n}"), record().new_tree(&mut dice).unwrap().current()));
    let played = (1..).map(|n| format!("played-{n}")).zip(played());
    for (name, record) in random.chain(played) {
        let text = serde_json::to_string(&record).unwrap();
        std::fs::write(at.join(format!("{name}.points.json")), text).unwrap();
        names.push(name);
    }
    for name in &names {
        let mut program = Program::cargo_bin("changeover").unwrap();
        let record = format!("{name}.points.json");
        let out = program.current_dir(at).args(["numbers", "--json", &record]).assert().success();
        std::fs::write(at.join(format!("{name}.numbers.json")), &out.get_output().stdout).unwrap();
    }
    let script = root.join("tests/external/recount_numbers.py");
    let out = Command::new(python).arg(script).arg(at).output().unwrap();
    let text = String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    println!("{text}");
    assert!(out.status.success(), "{text}");
}
