//! What is wrong is said in our words, with the place, what is allowed, and the nearest allowed word.

mod ask;

use std::fs;
use std::path::Path;

use ask::{changeover, record, said, write};
use serde_json::{Value, json};

/// Words of libraries that nobody who is no programmer understands.
const THEIRS: [&str; 11] = [
    "untagged enum",
    "variant",
    "struct ",
    "u8",
    "u16",
    "invalid type",
    "invalid length",
    ", expected",
    "sequence",
    "stream did not",
    "EOF",
];

#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn complaint(folder: &Path, args: &[&str], code: i32) -> String {
    let out = changeover(folder).args(args).assert().code(code);
    let text = String::from_utf8(out.get_output().stderr.clone()).unwrap();
    for word in THEIRS {
        assert!(!text.contains(word), "\"{word}\" in: {text}");
    }
    text
}

/// What is said of a record in which one thing is changed.
#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn of_record(at: &str, value: &Value) -> String {
    let folder = tempfile::tempdir().unwrap();
    let mut text = serde_json::to_value(record()).unwrap();
    *text.pointer_mut(at).unwrap() = value.clone();
    fs::write(folder.path().join("m.points.json"), text.to_string()).unwrap();
    let said = complaint(folder.path(), &["check", "m.points.json"], 1);
    let (_, said) = said.split_once("column ").unwrap();
    said.split_once(", ").unwrap().1.replace("; the file is left as it is\n", "")
}

#[test]
fn a_record_that_is_wrong() {
    let all = [
        of_record("/points/0/winner", &json!("c")),
        of_record("/points/0/finish", &json!("winer")),
        of_record("/points/0/faults", &json!(300)),
        of_record("/points/0/faults", &json!("2")),
        of_record("/points/0/start", &json!(5)),
        of_record("/points/0/tags", &json!("x")),
        of_record("/points/0", &json!([])),
        of_record("/points/0", &json!("x")),
        of_record("/points/0", &json!(null)),
        of_record("/points", &json!(5)),
        of_record("/match", &json!([])),
        of_record("/match/a", &json!("Holt")),
        of_record("/match/a", &json!({})),
        of_record("/match/rules", &json!([])),
        of_record("/footage/0/duration", &json!([1])),
    ];
    insta::assert_snapshot!(all.join("\n"), @r#"
    points[0].winner (point 1): found "c"; allowed: a, b
    points[0].finish (point 1): found "winer"; allowed: ace, double-fault, winner, forced-error, unforced-error; did you mean "winner"?
    points[0].faults (point 1): found 300; allowed: 0, 1 or 2
    points[0].faults (point 1): found "2"; allowed: 0, 1 or 2
    points[0].start (point 1): found 5; allowed: a time in quotes, as "00:01:02.500"
    points[0].tags (point 1): found "x"; allowed: a list in brackets [ ]
    points[0] (point 1): found a list; allowed: fields in braces { }
    points[0] (point 1): found "x"; allowed: fields in braces { }
    points[0] (point 1): found nothing (null); allowed: fields in braces { }
    points: found 5; allowed: a list in brackets [ ]
    match: found a list; allowed: fields in braces { }
    match.a: found "Holt"; allowed: fields in braces { }
    match.a: the key "name" is missing here
    match.rules: found a list; allowed: fields in braces { }
    footage[0].duration: found a list; allowed: a time in quotes, as "00:01:02.500"
    "#);
}

/// What is said of a text file that a verb reads.
#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn of_text(args: &[&str], text: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    fs::write(folder.path().join("x.toml"), text).unwrap();
    complaint(folder.path(), args, 1).trim_end().replace("changeover: ", "")
}

#[test]
fn text_files_that_are_wrong() {
    let rules = |text| of_text(&["rules", "x.toml"], text);
    let keys = |text: &str| of_text(&["keys", "x.toml"], &format!("name = \"mine\"\n{text}"));
    let study = |text: &str| {
        of_text(&["study", "final.points.json", "--questions", "x.toml"], &format!("[[question]]\n{text}"))
    };
    let patterns = |text| of_text(&["summary", "final.points.json", "--patterns", "x.toml"], text);
    let all = [
        rules("best_off = 3"),
        rules("best_of = \"three\""),
        rules("deuce = \"noad\""),
        rules("set = []"),
        keys("[keys]\nplay-pause = 1"),
        keys("[keys]\nplay-paus = \"a\""),
        keys("[keys]\nplay-pause = \"spce\""),
        keys("[keys]\nplay-pause = \"ctlr+z\""),
        keys("[[tags]]\nkey = \"a\""),
        keys("[[tag]]"),
        study("nme = \"x\""),
        study("name = 3"),
        study("name = \"x\"\nmix = \"yes\""),
        patterns("[[pattern\n"),
        patterns("[[patern]]\n"),
    ];
    insta::assert_snapshot!(all.join("\n"), @r#"
    x.toml: line 1, column 1: there is no key "best_off" here; allowed: like, play, sides, best_of, set, final_set, deuce, tie_break_ends; did you mean "best_of"?
    x.toml: line 1, column 11: "best_of": found "three"; allowed: 1, 3 or 5
    x.toml: line 1, column 9: "deuce": found "noad"; allowed: advantage, no-ad; did you mean "no-ad"?
    x.toml: line 1, column 7: "set": found a list; allowed: a table
    x.toml: line 3, column 14: "play-pause": this is not a key; allowed: a key in quotes, or a list of keys
    x.toml: line 3: there is no action "play-paus"; see changeover keys; did you mean "play-pause"?
    x.toml: line 3: "spce" is not a key; write a letter, a sign, a name such as space, Left or F5, or a place such as KeyU or Numpad5, with ctrl+, alt+ or shift+ before it; did you mean "space"?
    x.toml: line 3: "ctlr+z" is not a key; write a letter, a sign, a name such as space, Left or F5, or a place such as KeyU or Numpad5, with ctrl+, alt+ or shift+ before it; did you mean "ctrl+z"?
    x.toml: line 2, column 1: the key "tag" is missing here
    x.toml: line 2, column 3: there is no key "tag" here; allowed: name, keys, tags; did you mean "tags"?
    x.toml, line 2, column 1: there is no key "nme" here; allowed: name, about, of, rows, counts, patterns, among, court, mix; did you mean "name"?
    x.toml, line 2, column 8: "name": found 3; allowed: text in quotes
    x.toml, line 3, column 7: "mix": found "yes"; allowed: true or false
    x.toml, line 1, column 10: the name of a table is not closed; ]] is missing
    x.toml, line 1, column 3: there is no key "patern" here; allowed: untagged, weaker_wing, groups, pattern; did you mean "pattern"?
    "#);
}

#[test]
fn a_mistyped_verb_is_told_the_right_one() {
    let folder = tempfile::tempdir().unwrap();
    for (args, verb) in [
        (&["chekc"][..], "check"),
        (&["chekc", "--json", "m.points.json"], "check"),
        (&["clip", "x"], "clips"),
    ] {
        let text = complaint(folder.path(), args, 2);
        let wanted =
            format!("there is no verb and no file \"{}\"; did you mean \"changeover {verb}\"?\n", args[0]);
        assert_eq!(text, format!("changeover: {wanted}"));
    }
}

#[test]
fn a_time_before_zero_gets_no_tip_that_does_not_work() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let clips = ["clips", "final.points.json", "--pattern", "Drop shot"];
    let text = complaint(folder.path(), &[&clips[..], &["--lead-in", "-1"]].concat(), 2);
    assert!(text.starts_with("changeover: invalid value '-1' for '--lead-in <TIME>': "), "{text}");
    assert!(!text.contains("tip:"), "{text}");
    let text = complaint(folder.path(), &[&clips[..], &["-x"]].concat(), 2);
    assert!(!text.contains("-- -x"), "{text}");
}

#[test]
fn a_damaged_journal_is_an_error_that_says_where_the_edits_are() {
    use changeover::record::{Edit, Point, Store};
    let folder = tempfile::tempdir().unwrap();
    let path = write(folder.path());
    let mut store = Store::open(&path).unwrap();
    for _ in 0..4 {
        let _ = store.apply(Edit::InsertPoint { at: 0, point: Point::default() }).unwrap();
    }
    drop(store);
    let journal = folder.path().join("final.points.journal");
    let text = fs::read_to_string(&journal).unwrap().replace("\"n\":2", "\"n\":7");
    fs::write(&journal, &text).unwrap();
    for verb in ["check", "score", "summary", "export", "study"] {
        let said = complaint(folder.path(), &[verb, "final.points.json"], 1);
        assert_eq!(
            said,
            "changeover: final.points.json: line 3 of its journal is damaged, so 3 edits are left out, but \
             kept in final.points.journal; open the record in the window to go on from the edits before that line\n"
        );
    }
    assert_eq!(fs::read_to_string(&journal).unwrap(), text);
    // A newer one is not damaged.
    fs::write(&journal, "{\"journal\":\"changeover-journal\",\"version\":9}\n").unwrap();
    let out = changeover(folder.path()).args(["score", "final.points.json"]).assert().success();
    let text = String::from_utf8_lossy(&out.get_output().stderr).into_owned();
    assert!(
        text.contains("a newer version of Changeover left edits in its journal") && !text.contains("damaged"),
        "{text}"
    );
}

#[test]
fn file_names_keep_their_case() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("FINAL Day.Points.JSON"), "{").unwrap();
    let text = complaint(folder.path(), &["check", "FINAL Day.Points.JSON"], 1);
    assert!(text.starts_with("changeover: FINAL Day.Points.JSON, line 1"), "{text}");
    let _ = said(folder.path(), &["rules"]);
}

#[test]
fn the_word_that_a_typed_one_begins_is_suggested() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let text = complaint(folder.path(), &["clips", "final.points.json", "--pattern", "drop"], 1);
    assert!(text.contains("did you mean \"Drop shot\"?"), "{text}");
}

/// What is wrong with a file that was named comes before what else is missing.
#[test]
fn a_film_in_the_place_of_a_record_is_told_first() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("film.mp4"), b"\0\0\0\x20ftypisom\0\0\0\0").unwrap();
    for verb in [&["lesson"][..], &["reel", "--out", "r.mp4"]] {
        if verb[0] == "reel" && !cfg!(feature = "video") {
            continue;
        }
        for (file, why) in [("film.mp4", "footage"), ("none.points.json", "there is no such file")] {
            let text = complaint(folder.path(), &[verb, &[file][..]].concat(), 1);
            assert!(text.starts_with(&format!("changeover: {file}")), "{text}");
            assert!(text.contains(why) && !text.contains("--pattern"), "{text}");
        }
    }
}

#[test]
fn a_record_without_points_says_so_in_the_place_of_tables() {
    let folder = tempfile::tempdir().unwrap();
    let empty = changeover::record::Record { points: std::iter::empty().collect(), ..record() };
    fs::write(folder.path().join("m.points.json"), serde_json::to_string(&empty).unwrap()).unwrap();
    for verb in ["summary", "numbers", "study"] {
        let text = said(folder.path(), &[verb, "m.points.json"]);
        assert!(
            text.starts_with("no points are logged yet, so there is nothing to count; "),
            "{verb}: {text}"
        );
        assert_eq!(text.lines().count(), 1, "{verb}: {text}");
        let json: Value =
            serde_json::from_str(&said(folder.path(), &[verb, "m.points.json", "--json"])).unwrap();
        assert!(!json.is_null(), "programs get their tables as ever");
    }
}

#[cfg(feature = "video")]
#[test]
fn where_nothing_is_drawn_no_folder_is_made() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let text = said(folder.path(), &["draw", "final.points.json", "--out", "drawn"]);
    assert_eq!(text, "nothing is drawn in this record\n");
    assert!(!folder.path().join("drawn").exists());
}
