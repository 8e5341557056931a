//! Whatever a name leads to, reading it ends, from outside: pipes, devices, folders, files without end.
#![cfg(unix)]

mod ask;

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

use ask::{changeover, said, write};

/// Every way in which a verb is told to read a text file, with `FILE` where its name goes.
const READERS: [&[&str]; 13] = [
    &["keys", "FILE"],
    &["rules", "./FILE"],
    &["import", "FILE", "--rules", "one-set", "--out", "m.json"],
    &["import", "chart.csv", "--rules", "./FILE", "--out", "m.json"],
    &["summary", "final.points.json", "--patterns", "FILE"],
    &["study", "final.points.json", "--patterns", "FILE"],
    &["study", "final.points.json", "--questions", "FILE"],
    &["explain", "final.points.json", "--point", "1", "--pattern", "x", "--patterns", "FILE"],
    &["clips", "final.points.json", "--pattern", "x", "--patterns", "FILE"],
    &["score", "--from", "FILE"],
    &["check", "FILE"],
    &["export", "FILE"],
    &["score", "FILE"],
];

#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn complaint(folder: &Path, args: &[&str]) -> String {
    let out = changeover(folder).args(args).timeout(Duration::from_secs(20)).assert().code(1);
    String::from_utf8(out.get_output().stderr.clone()).unwrap()
}

/// What each reader says of the file, if it says it within seconds.
fn refused(folder: &Path, file: &str, wanted: &[&str]) {
    for reader in READERS {
        let named = |arg: &&str| arg.replace("FILE", file).replace(".//", "/");
        let args: Vec<String> = reader.iter().map(named).collect();
        let text = complaint(folder, &args.iter().map(String::as_str).collect::<Vec<_>>());
        assert!(wanted.iter().any(|w| text.contains(w)), "{args:?}: {text}");
        assert!(text.contains(file), "{args:?}: {text}");
    }
}

#[test]
fn what_is_no_file_is_refused_at_once() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    fs::write(folder.path().join("chart.csv"), said(folder.path(), &["export", "final.points.json"]))
        .unwrap();
    assert!(Command::new("mkfifo").arg(folder.path().join("pipe")).status().unwrap().success());
    let wanted = ["this is not a regular file, so it is not read", "this is not a file"];
    refused(folder.path(), "pipe", &wanted);
    refused(folder.path(), "/dev/zero", &wanted);
    fs::create_dir(folder.path().join("sub")).unwrap();
    for args in [&["keys", "sub"][..], &["rules", "./sub"], &["score", "--from", "sub"]] {
        assert!(complaint(folder.path(), args).contains("this is a folder; name a file"), "{args:?}");
    }
}

#[test]
fn what_is_too_large_is_refused_with_the_limit() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    fs::write(folder.path().join("chart.csv"), "winner\na\n").unwrap();
    let file = fs::File::create(folder.path().join("large")).unwrap();
    file.set_len(70 << 20).unwrap();
    refused(
        folder.path(),
        "large",
        &["larger than 1 MiB", "larger than 16 MiB", "larger than 64 MiB", "it is not a table"],
    );
}

#[test]
fn standard_input_without_end_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    for (args, said) in [
        (&["score", "--from", "-"][..], "standard input: it is larger than 16 MiB, so it is not read"),
        (
            &["import", "-", "--rules", "one-set", "--out", "m.json"],
            "standard input: it is not a table, but footage, a picture or the like; name a CSV file",
        ),
    ] {
        let mut command = Command::new(env!("CARGO_BIN_EXE_changeover"));
        command.current_dir(folder.path()).args(args).stdin(fs::File::open("/dev/zero").unwrap());
        let Output { status, stderr, .. } = command.stdout(Stdio::null()).output().unwrap();
        let text = String::from_utf8_lossy(&stderr);
        assert_eq!(status.code(), Some(1), "{text}");
        assert!(text.contains(said), "{text}");
    }
}

#[test]
fn what_is_no_text_is_told_with_its_place() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("latin.toml"), b"# K\xf6nig\n").unwrap();
    let said = complaint(folder.path(), &["keys", "latin.toml"]);
    assert_eq!(
        said,
        "changeover: latin.toml: line 1, column 4: this is not text in UTF-8; save the file in UTF-8\n"
    );
}

#[test]
fn a_hundred_thousand_patterns_are_too_many() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let one = |text: String, n: usize| text + &format!("[[pattern]]\nname=\"{n}\"\nserve=1\n");
    let patterns = |n: usize| (0..n).fold(String::new(), one);
    for (n, said) in [(1_001, "a file may hold at most 1000 patterns"), (100_000, "it is larger than 1 MiB")]
    {
        fs::write(folder.path().join("many.toml"), patterns(n)).unwrap();
        let text = complaint(folder.path(), &["summary", "final.points.json", "--patterns", "many.toml"]);
        assert!(text.contains(said), "{text}");
    }
}
