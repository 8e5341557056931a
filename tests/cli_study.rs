//! `changeover study`, from outside.

mod ask;

use ask::{changeover, said, write};
use serde_json::Value;

/// What the program complains of when it ends with this code.
#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn complaint(args: &[&str], code: i32) -> String {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let out = changeover(folder.path()).args(args).assert().code(code);
    assert!(out.get_output().stdout.is_empty(), "an answer beside the complaint");
    String::from_utf8(out.get_output().stderr.clone()).unwrap()
}

#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn answer(args: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let own = "[[question]]\nname = \"By set\"\nof = \"player\"\nrows = [\"set\"]\n";
    std::fs::write(folder.path().join("ours.toml"), own).unwrap();
    said(folder.path(), args)
}

#[test]
fn the_questions_are_listed_and_asked_one_by_one() {
    let list = answer(&["study", "--list"]);
    assert_eq!(list.lines().filter(|l| l.ends_with('?')).count(), 7, "{list}");
    let one = answer(&["study", "--question", "what happens on BIG points?", "final.points.json"]);
    assert!(
        one.starts_with("What happens on big points?\nboth players, seen from the server: 12 points\n"),
        "{one}"
    );
    assert!(one.contains("\nkeep in mind\n  few points: "), "{one}");
    let all = answer(&["study", "final.points.json"]);
    assert!(all.contains(&one), "asked with the others it answers alike");
    let own = answer(&["study", "--questions", "ours.toml", "final.points.json"]);
    assert!(own.starts_with("By set\n") && own.contains("\nset 1"), "{own}");
}

/// The numbers of the record's own score: every facet takes points away, and none is both looked at and left out.
#[test]
fn facets_leave_points_out() {
    let count = |more: &[&str]| {
        let mut args = vec![
            "study",
            "--json",
            "--all",
            "--question",
            "What happens on big points?",
            "final.points.json",
        ];
        args.extend(more);
        let json: Value = serde_json::from_str(&answer(&args)).unwrap();
        let list = |key: &str| json["questions"][0][key].as_array().unwrap().len();
        (list("points"), list("left_out"))
    };
    assert_eq!(count(&[]), (12, 0));
    let [deuce, ad] = ["deuce", "ad"].map(|side| count(&["--side", side]));
    assert_eq!((deuce.0 + ad.0, deuce.1), (12 - deuce.1, ad.1));
    let parts = ["ahead", "level", "behind"].map(|score| count(&["--score", score]).0);
    assert_eq!(parts.iter().sum::<usize>(), 12 - count(&["--score", "level"]).1);
    let [first, second] = ["1", "2"].map(|serve| count(&["--serve", serve]));
    assert_eq!((first.0 + second.0, first.1), (12 - first.1, second.1));
    assert_eq!(count(&["--set", "2"]).0, 0);
    assert!(count(&["--important"]).0 <= 4);
    assert_eq!(count(&["--score", "0-0"]).0, 3, "the third game begins with the last point");
}

#[test]
fn every_field_is_in_the_schema() {
    in_the_schema("study", 2, &["study", "--json", "--for", "a", "final.points.json"]);
    in_the_schema("study-points", 1, &["study", "--json", "--all", "--for", "a", "final.points.json"]);
}

#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn in_the_schema(kind: &str, version: u32, args: &[&str]) {
    let json: Value = serde_json::from_str(&answer(args)).unwrap();
    let schema: Value = serde_json::from_str(&answer(&["schema", kind])).unwrap();
    let known = |name: &str, value: &Value| {
        let of = if name.is_empty() { &schema } else { &schema["$defs"][name] };
        for (field, _) in value.as_object().unwrap() {
            assert!(of["properties"].get(field).is_some(), "{name}: {field}");
        }
        for needed in of["required"].as_array().unwrap() {
            assert!(value.get(needed.as_str().unwrap()).is_some(), "{name}: {needed}");
        }
    };
    known("", &json);
    assert_eq!((&json["format"], &json["version"]), (&"changeover-study".into(), &version.into()));
    let questions = json["questions"].as_array().unwrap();
    assert_eq!(questions.len(), 7);
    for q in questions {
        known("Findings", q);
        for section in q["sections"].as_array().unwrap() {
            known("Section", section);
            section["rows"].as_array().unwrap().iter().for_each(|row| known("Row", row));
        }
        q["maps"].as_array().unwrap().iter().for_each(|map| known("CourtMap", map));
    }
}

#[test]
fn what_is_not_there_is_named() {
    let text = complaint(&["study", "--question", "Which patterns pays?", "final.points.json"], 1);
    assert!(text.ends_with("did you mean \"Which patterns pay?\"?\n"), "{text}");
    let text = complaint(&["study", "--score", "30-41", "final.points.json"], 2);
    assert!(text.contains("did you mean \"30-40\"?"), "{text}");
    let text = complaint(&["study", "--questions", "none.toml", "final.points.json"], 1);
    assert!(text.starts_with("changeover: none.toml: cannot open it: "), "{text}");
    let text = complaint(&["study", "--for", "Reyes", "final.points.json"], 1);
    assert!(
        text.starts_with("changeover: no player is called \"Reyes\" in these records; allowed: a, b, "),
        "{text}"
    );
}

#[test]
fn a_short_answer_has_forty_lines_and_json_counts() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tags");
    let all = said(&root, &["study", "--all", "holt-okafor-2.points.json"]);
    let short = said(&root, &["study", "holt-okafor-2.points.json"]);
    assert!(all.lines().count() > short.lines().count());
    for one in short.split("\n\n\n") {
        assert!(one.lines().count() <= 40, "{one}");
        assert!(one.contains("--all shows every row"), "{one}");
    }
    let json: Value = serde_json::from_str(&answer(&["study", "--json", "final.points.json"])).unwrap();
    assert_eq!(json["questions"][0]["points"], 12);
    assert!(json["questions"][0]["sections"][0]["rows"][0]["tally"]["won"].is_u64());
}
