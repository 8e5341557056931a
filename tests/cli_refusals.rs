//! Each file that a verb takes, given as something else: refused at once, in our words, and whatever is there stays.

#![expect(clippy::unwrap_used, reason = "a test that fails here fails")]
mod ask;

use std::fs;
use std::path::Path;

use ask::{changeover, said, write};

/// What no message says: the system's numbers, and words of libraries.
const THEIRS: [&str; 8] = [
    "os error",
    "column 1: the file ends",
    "No such file",
    "invalid digit",
    "target type",
    "..=",
    "u8",
    "255",
];

/// The verbs with a place for a file, which is named `X`.
const VERBS: [&[&str]; 14] = [
    &["check", "X"],
    &["summary", "X"],
    &["numbers", "X"],
    &["positions", "X"],
    &["study", "X"],
    &["clips", "X", "--pattern", "Break point"],
    &["export", "X", "--format", "csv"],
    &["erase", "X", "--player", "a"],
    &["import", "X", "--rules", "best-of-3", "--out", "new.points.json"],
    &["import", "chart.csv", "--rules", "./X", "--out", "new.points.json"],
    &["keys", "X"],
    &["rules", "./X"],
    &["summary", "final.points.json", "--patterns", "X"],
    &["study", "final.points.json", "--questions", "X"],
];

/// What each verb says of the file `X`.
fn all_say(folder: &Path) -> Vec<String> {
    let say = |verb: &&[&str]| {
        let out = changeover(folder).args(*verb).assert().code(1);
        let text = String::from_utf8_lossy(&out.get_output().stderr).into_owned();
        for word in THEIRS {
            assert!(!text.contains(word), "\"{word}\" of {verb:?} in: {text}");
        }
        assert!(!folder.join("new.points.json").exists(), "{verb:?}");
        text
    };
    VERBS.iter().map(say).collect()
}

fn in_folder(make: impl Fn(&Path)) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    fs::write(folder.path().join("chart.csv"), "winner\na\n").unwrap();
    make(&folder.path().join("X"));
    all_say(folder.path())
}

#[test]
fn an_empty_file() {
    for text in ["", " \n\n"] {
        for said in in_folder(|x| fs::write(x, text).unwrap()) {
            let names_it = ["is empty", "no [[pattern]]", "no column winner", "is missing here", "no points"];
            assert!(names_it.iter().any(|w| said.contains(w)), "{said}");
        }
    }
}

#[test]
fn no_file_at_all() {
    for said in in_folder(|_| {}) {
        assert!(
            said.contains("there is no such file") || said.contains("there are no rules named"),
            "{said}"
        );
    }
}

#[test]
fn a_folder() {
    for said in in_folder(|x| fs::create_dir(x).unwrap()) {
        let names_it = ["folder", "not a file", "no record"];
        assert!(names_it.iter().any(|w| said.contains(w)), "{said}");
    }
}

#[test]
fn footage() {
    for said in in_folder(|x| fs::write(x, b"\0\0\0\x20ftypisom\0\0\x02\0isomiso2\xff\xfe\n\0\0").unwrap()) {
        assert!(said.contains("footage, a picture or the like"), "{said}");
    }
}

#[test]
fn a_list_of_records_that_is_none() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("X"), b"\0\0\0\x20ftypisom\xff\n\0").unwrap();
    let out = changeover(folder.path()).args(["score", "--from", "X"]).assert().code(1);
    let said = String::from_utf8_lossy(&out.get_output().stderr).into_owned();
    assert_eq!(
        said,
        "changeover: X: this is not a text file, but footage, a picture or the like; name another file\n"
    );
}

/// Numbers and days of the command line.
#[test]
fn values_of_options() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    fs::write(folder.path().join("chart.csv"), "winner\na\n").unwrap();
    assert!(!said(folder.path(), &["numbers", "final.points.json", "--set", "1"]).is_empty());
    let import = ["import", "chart.csv", "--rules", "best-of-3", "--out", "new.points.json"];
    for (args, allowed) in [
        (vec!["numbers", "final.points.json", "--set", "9"], "allowed: a whole number from 1 to 5"),
        (vec!["numbers", "final.points.json", "--set", "-1"], "allowed: a whole number from 1 to 5"),
        (vec!["study", "final.points.json", "--serve", "3"], "allowed: 1 or 2"),
        (
            vec!["explain", "final.points.json", "--pattern", "Break point", "--point", "-1"],
            "allowed: a whole number from 1 to 20000",
        ),
        (
            [&import[..], &["--date", "2026-13-01"]].concat(),
            "this is not a date; write year-month-day, for example 2026-05-31",
        ),
    ] {
        let out = changeover(folder.path()).args(&args).assert().code(2);
        let said = String::from_utf8_lossy(&out.get_output().stderr).into_owned();
        assert!(said.contains(allowed), "{args:?}: {said}");
        for word in THEIRS.iter().filter(|w| **w != "u8") {
            assert!(!said.contains(word), "\"{word}\" in: {said}");
        }
    }
}

#[test]
fn names_that_are_too_long_are_refused_when_read() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let long = "x".repeat(100_000);
    let file = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    file("p.toml", &format!("[[pattern]]\nname = \"{long}\"\nserve = 1\n"));
    file("t.toml", &format!("[[pattern]]\nname = \"a\"\ntags = \"{long}\"\n"));
    file("q.toml", &format!("[[question]]\nname = \"{long}\"\nrows = [\"set\"]\n"));
    file("k.toml", &format!("name = \"{long}\"\n"));
    file("g.toml", &format!("name = \"a\"\n[[tags]]\nkey = \"1\"\ntag = \"{long}\"\n"));
    for (args, wanted) in [
        (vec!["summary", "final.points.json", "--patterns", "p.toml"], "at most 1000 letters"),
        (vec!["summary", "final.points.json", "--patterns", "t.toml"], "at most 1000 letters"),
        (vec!["study", "final.points.json", "--questions", "q.toml"], "a name may have 1000 letters"),
        (vec!["keys", "k.toml"], "a name of 100000 letters; at most 1000 are allowed"),
        (vec!["keys", "g.toml"], "a tag of 100000 letters; at most 1000 are allowed"),
    ] {
        let out = changeover(folder.path()).args(&args).assert().code(1);
        let said = String::from_utf8_lossy(&out.get_output().stderr).into_owned();
        assert!(said.contains(wanted) && said.len() < 400, "{args:?}: {said}");
    }
}
