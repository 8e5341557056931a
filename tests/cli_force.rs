//! `--out` with `--force`, from outside: what is the user's own is never replaced.

mod ask;

use std::fs;
use std::path::Path;

use ask::{FOOTAGE, changeover, said, write};

/// The verbs that write a file of any name, up to `--out`.
const WRITERS: [&[&str]; 3] = [
    &["export", "final.points.json"],
    &["clips", "final.points.json", "--pattern", "Drop shot"],
    &["import", "chart.csv", "--rules", "club.toml"],
];

/// A folder with a record, a chart, rules and a table that this program wrote.
#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn laid_out() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let put = |name: &str, bytes: &[u8]| fs::write(folder.path().join(name), bytes).unwrap();
    put("chart.csv", b"winner\na\nb\n");
    put("club.toml", said(folder.path(), &["rules", "one-set"]).as_bytes());
    put("table.csv", said(folder.path(), &["export", "final.points.json"]).as_bytes());
    folder
}

/// That no verb replaces the file, and what each says of it.
#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn refused(folder: &Path, file: &str, why: &str) {
    for verb in WRITERS {
        let before = fs::read(folder.join(file)).unwrap();
        let args = [verb, &["--out", file, "--force"]].concat();
        let out = changeover(folder).args(&args).assert().code(1);
        let text = String::from_utf8_lossy(&out.get_output().stderr);
        let last = text.lines().last().unwrap_or_default();
        assert!(last.starts_with(&format!("changeover: {file} {why}")), "{args:?}: {text}");
        assert!(last.ends_with("choose another name"), "{args:?}: {text}");
        assert_eq!(fs::read(folder.join(file)).unwrap(), before, "{args:?}");
    }
}

#[test]
fn what_a_program_wrote_is_replaced() {
    for verb in WRITERS {
        let folder = laid_out();
        let args = [verb, &["--out", "table.csv"]].concat();
        changeover(folder.path()).args(&args).assert().code(1);
        said(folder.path(), &[&args[..], &["--force"]].concat());
    }
}

#[test]
fn a_record_and_what_keeps_it_safe_are_not_replaced() {
    let folder = laid_out();
    refused(folder.path(), "final.points.json", "is a record");
    let copy =
        |name: &str| fs::copy(folder.path().join("final.points.json"), folder.path().join(name)).unwrap();
    copy("backup.txt");
    refused(folder.path(), "backup.txt", "is a record");
    copy("final.points.v1.json");
    refused(folder.path(), "final.points.v1.json", "is a record");
    fs::write(folder.path().join("broken.points.json"), "{").unwrap();
    refused(folder.path(), "broken.points.json", "is a record");
    for name in ["final.points.journal", "final.points.json.aside-20260131-235959"] {
        fs::write(folder.path().join(name), "").unwrap();
        refused(folder.path(), name, "has the name of a record's journal or lock");
        fs::remove_file(folder.path().join(name)).unwrap();
    }
}

#[test]
fn footage_is_not_replaced() {
    let folder = laid_out();
    fs::write(folder.path().join("film.csv"), b"\0\0\0\x20ftypisom").unwrap();
    refused(folder.path(), "film.csv", "is footage (an MP4 or MOV file)");
    // By the record that names it, whatever is in it.
    fs::write(folder.path().join(FOOTAGE), "pictures").unwrap();
    refused(folder.path(), FOOTAGE, "is footage of ");
    fs::write(folder.path().join("photo"), b"\xff\xd8\xff\xe0").unwrap();
    refused(folder.path(), "photo", "is there already and is no text file");
}

#[test]
fn footage_outside_the_records_folder_is_not_replaced() {
    let folder = laid_out();
    let inner = folder.path().join("inner");
    fs::create_dir(&inner).unwrap();
    let mut record = ask::record();
    record.footage[0].file = "../film".into();
    fs::write(inner.join("m.points.json"), serde_json::to_string(&record).unwrap()).unwrap();
    fs::write(folder.path().join("film"), "pictures").unwrap();
    for verb in [&["export"][..], &["clips", "--pattern", "Drop shot"]] {
        let args = [verb, &["inner/m.points.json", "--out", "film", "--force"]].concat();
        let out = changeover(folder.path()).args(&args).assert().code(1);
        let text = String::from_utf8_lossy(&out.get_output().stderr);
        assert!(text.contains("film is footage of inner/m.points.json"), "{text}");
        assert_eq!(fs::read(folder.path().join("film")).unwrap(), b"pictures");
    }
}

#[test]
fn settings_are_not_replaced() {
    let folder = laid_out();
    refused(folder.path(), "club.toml", "is a file of keys, patterns, questions or rules");
    for (name, args) in [("card", &["keys", "--card"][..]), ("rules", &["rules", "best-of-3"])] {
        fs::write(folder.path().join(name), said(folder.path(), args)).unwrap();
        refused(folder.path(), name, "is a file of keys, patterns, questions or rules");
    }
    for sample in ["starter-patterns.toml", "own-questions.toml"] {
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tags").join(sample);
        fs::copy(from, folder.path().join("text")).unwrap();
        refused(folder.path(), "text", "is a file of keys, patterns, questions or rules");
    }
}

#[cfg(unix)]
#[test]
fn what_a_command_reads_is_not_replaced_by_any_name() {
    let folder = laid_out();
    fs::hard_link(folder.path().join("chart.csv"), folder.path().join("hard")).unwrap();
    std::os::unix::fs::symlink("chart.csv", folder.path().join("soft")).unwrap();
    for out in ["chart.csv", "./chart.csv", "hard", "soft"] {
        let args = ["import", "chart.csv", "--rules", "one-set", "--out", out, "--force"];
        let said = changeover(folder.path()).args(args).assert().code(1);
        let text = String::from_utf8_lossy(&said.get_output().stderr);
        assert_eq!(
            text,
            format!(
                "changeover: {out} is read by this command, so it is not replaced; choose another name\n"
            )
        );
        // The same file as standard input.
        let args = ["import", "-", "--rules", "one-set", "--out", out, "--force"];
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_changeover"));
        command.current_dir(folder.path()).args(args);
        command.stdin(fs::File::open(folder.path().join("chart.csv")).unwrap());
        assert_eq!(command.output().unwrap().status.code(), Some(1), "{out}");
        assert_eq!(fs::read(folder.path().join("chart.csv")).unwrap(), b"winner\na\nb\n");
    }
    // A record, by a link to it.
    fs::hard_link(folder.path().join("final.points.json"), folder.path().join("other")).unwrap();
    let before = fs::read(folder.path().join("other")).unwrap();
    changeover(folder.path())
        .args(["export", "final.points.json", "--out", "other", "--force"])
        .assert()
        .code(1);
    assert_eq!(fs::read(folder.path().join("other")).unwrap(), before);
}

#[cfg(unix)]
#[test]
fn what_is_no_file_is_not_replaced() {
    let folder = laid_out();
    fs::create_dir(folder.path().join("sub")).unwrap();
    std::os::unix::fs::symlink("/dev/null", folder.path().join("null")).unwrap();
    for (out, why) in [("sub", "is a folder"), ("null", "is not a regular file")] {
        let args = ["export", "final.points.json", "--out", out, "--force"];
        let said = changeover(folder.path()).args(args).assert().code(1);
        let text = String::from_utf8_lossy(&said.get_output().stderr);
        assert!(text.contains(why), "{text}");
    }
}

/// An import may go over what an import made, and keeps it; not over work that no table brings back.
#[test]
fn an_import_keeps_the_record_that_it_replaces() {
    let folder = laid_out();
    let import = |out: &str, chart: &str| {
        let args = ["import", "-", "--rules", "one-set", "--out", out, "--force"];
        changeover(folder.path()).args(args).write_stdin(chart.to_owned()).assert()
    };
    import("new.points.json", "winner\na\n").success();
    let first = fs::read(folder.path().join("new.points.json")).unwrap();
    let out = import("new.points.json", "winner\nb\n").success();
    let text = String::from_utf8_lossy(&out.get_output().stderr).into_owned();
    let (_, kept) = text.trim_end().split_once("is kept as ").unwrap();
    assert_eq!(fs::read(folder.path().join(kept)).unwrap(), first);
    // The same again is not another one.
    let out = import("new.points.json", "winner\nb\n").success();
    assert!(out.get_output().stderr.is_empty());
    fs::create_dir(folder.path().join("recs")).unwrap();
    fs::rename(folder.path().join("final.points.json"), folder.path().join("recs/m.points.json")).unwrap();
    let before = fs::read(folder.path().join("recs/m.points.json")).unwrap();
    for out in ["recs", "recs/m.points.json"] {
        let out = import(out, "match,winner\nm,a\n").code(1);
        let text = String::from_utf8_lossy(&out.get_output().stderr).into_owned();
        let why = "is a record that holds more than a table can (1 footage file), so it is never replaced";
        assert!(text.contains(why), "{text}");
    }
    assert_eq!(fs::read(folder.path().join("recs/m.points.json")).unwrap(), before);
}

#[cfg(feature = "video")]
#[test]
fn demo_footage_replaces_nothing() {
    let folder = laid_out();
    for name in ["holt-okafor.mp4", "holt-okafor.truth.json"] {
        let path = folder.path().join(name);
        fs::write(&path, "mine").unwrap();
        let out =
            changeover(folder.path()).args(["demo-footage", ".", "--games", "1", "--brisk"]).assert().code(1);
        let text = String::from_utf8_lossy(&out.get_output().stderr).into_owned();
        assert!(text.contains(&format!("{name} is there already and is not replaced")), "{text}");
        assert_eq!(fs::read(&path).unwrap(), b"mine");
        fs::remove_file(path).unwrap();
    }
}

/// Other programs mean standard output by it; here a file or a folder of that name came of it.
#[test]
fn a_file_named_like_standard_output_is_asked_for_plainly() {
    let folder = laid_out();
    let lesson: &[&str] = &["lesson", "final.points.json", "--pattern", "Drop shot"];
    let more = [lesson];
    #[cfg(feature = "video")]
    let more: Vec<_> = more
        .into_iter()
        .chain([
            &["cut", "final.points.json"] as &[_],
            &["page", "x.lesson.json"],
            &["reel", "x.lesson.json"],
        ])
        .collect();
    for verb in WRITERS.into_iter().chain(more) {
        let out = changeover(folder.path()).args(verb).args(["--out", "-"]).assert().code(2);
        let text = String::from_utf8_lossy(&out.get_output().stderr).into_owned();
        assert!(text.contains("write ./- for a file of that name"), "{verb:?}: {text}");
        assert!(!folder.path().join("-").exists(), "{verb:?}");
    }
    said(folder.path(), &["export", "final.points.json", "--out", "./-"]);
    assert!(fs::read_to_string(folder.path().join("-")).unwrap().lines().count() > 1);
}
