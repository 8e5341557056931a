//! A small record on disk for the tests of `summary` and `clips`.

#![expect(clippy::unwrap_used, reason = "helpers of tests, where a panic is the message")]

use std::path::{Path, PathBuf};

use assert_cmd::Command;
use changeover::record::{Finish, Footage, Player, Point, Record};
use changeover::tennis::Side;
use changeover::time::MatchTime;

/// The name of the footage: blanks, a colon, a hash and letters that a URI must encode.
pub const FOOTAGE: &str = "Day 1: court #2, \u{fc}ben.webm";

/// Twelve points of a game each ten seconds, tagged; the last has no end.
pub fn record() -> Record {
    let mut record = Record::default();
    record.about.a = Player::named("=Holt <b> \"x\"");
    record.about.b = Player::named("Okafor --> &amp;");
    record.footage = vec![Footage {
        file: FOOTAGE.into(),
        fingerprint: None,
        duration: MatchTime::from_secs(600),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    }];
    record.points = (0u64..12).map(point).collect();
    record
}

fn point(n: u64) -> Point {
    let tags: &[&str] = match n % 3 {
        0 => &["wide serve", "open court"],
        1 => &["drop shot", "body serve"],
        _ => &[],
    };
    Point {
        start: Some(MatchTime::from_nanos(10_000_000_000 * (n + 1) + 33_366_667)),
        end: (n < 11).then(|| MatchTime::from_secs(10 * (n + 1) + 6)),
        faults: Some(u8::from(n.is_multiple_of(2))),
        winner: Some(if n.is_multiple_of(4) { Side::B } else { Side::A }),
        finish: Some(Finish::Winner),
        tags: tags.iter().map(|t| (*t).to_owned()).collect(),
        ..Point::default()
    }
}

/// Writes the record into a folder.
pub fn write(folder: &Path) -> PathBuf {
    let path = folder.join("final.points.json");
    std::fs::write(&path, serde_json::to_string_pretty(&record()).unwrap()).unwrap();
    path
}

/// The program, run in a folder.
pub fn changeover(folder: &Path) -> Command {
    let mut command = Command::cargo_bin("changeover").unwrap();
    command.current_dir(folder);
    command
}

/// What the program prints when all is well.
pub fn said(folder: &Path, args: &[&str]) -> String {
    let out = changeover(folder).args(args).assert().success();
    String::from_utf8(out.get_output().stdout.clone()).unwrap()
}
