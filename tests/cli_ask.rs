//! `changeover summary` and `changeover clips`, from outside.

mod ask;

use ask::{FOOTAGE, changeover, said, write};

/// What the program complains of when it ends with this code.
#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn complaint(folder: &std::path::Path, args: &[&str], code: i32) -> String {
    let out = changeover(folder).args(args).assert().code(code);
    assert!(out.get_output().stdout.is_empty(), "an answer beside the complaint");
    String::from_utf8(out.get_output().stderr.clone()).unwrap()
}

#[test]
fn a_summary_counts_the_points() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let text = said(folder.path(), &["summary", "final.points.json"]);
    let line = text.lines().find(|l| l.starts_with("Drop shot")).unwrap();
    let cells: Vec<_> = line.split("  ").map(str::trim).filter(|c| !c.is_empty()).collect();
    assert_eq!(cells[..6], ["Drop shot", "striker", "4", "0", "0", "4"], "{line}");
    assert!(text.ends_with("12 points looked at\n"), "{text}");
    let json = said(folder.path(), &["summary", "--json", "--pattern", "drop shot", "final.points.json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let row = &json["rows"][0];
    assert_eq!(row["happened"]["points"].as_array().unwrap().len(), 4);
    assert_eq!(row["happened"]["points"][0], serde_json::json!({ "record": 0, "point": 1 }));
    assert_eq!(
        row["cannot_tell"].as_array().unwrap().len(),
        8,
        "neither tag nor ball says that there was none"
    );
}

#[test]
fn a_point_explains_its_answer() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let args = ["explain", "final.points.json", "--point", "2", "--pattern", "server BEHIND, first serve"];
    let text = said(folder.path(), &args);
    assert!(text.ends_with(
        "\nyes      Server behind, first serve\n  yes      server behind: server behind\n  yes      first serve: first \
         serve\n  yes      server behind: server behind\n"
    ), "{text}");
    let json: serde_json::Value =
        serde_json::from_str(&said(folder.path(), &[&args[..], &["--json"]].concat())).unwrap();
    assert_eq!(json["answer"], "yes");
    assert_eq!(json["parts"][1]["found"], "first serve");
    let text = complaint(
        folder.path(),
        &["explain", "final.points.json", "--point", "13", "--pattern", "Drop shot"],
        1,
    );
    assert_eq!(text, "changeover: final.points.json has no point 13; allowed: 1 to 12\n");
    let text = complaint(
        folder.path(),
        &["explain", "final.points.json", "--point", "1", "--pattern", "Drop shop"],
        1,
    );
    assert!(text.ends_with("did you mean \"Drop shot\"?\n"), "{text}");
}

#[test]
fn clips_go_to_every_format() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let ask = |format: &str| {
        said(folder.path(), &["clips", "final.points.json", "--pattern", "Drop shot", "--format", format])
    };
    let table = ask("table");
    assert_eq!(table.lines().filter(|l| l.contains(FOOTAGE)).count(), 4, "{table}");
    assert!(ask("csv").starts_with("clip,record,file,start"));
    assert_eq!(ask("webvtt").matches(" --> ").count(), 4);
    assert!(
        ask("xspf")
            .contains("<location>Day%201%3A%20court%20%232%2C%20%C3%BCben.webm#t=18.033366667,27</location>")
    );
    let json: serde_json::Value = serde_json::from_str(&ask("json")).unwrap();
    assert_eq!(json["clips"][0]["file_span"]["start"], "00:00:18.033366667");
    assert_eq!(json["lead_in"], "00:00:02.000");
}

#[test]
fn leads_join_clips_and_what_has_none_is_said() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    std::fs::write(folder.path().join(FOOTAGE), "pictures").unwrap();
    std::fs::write(folder.path().join("all.toml"), "[[pattern]]\nname = \"all\"\nfinish = \"winner\"\n")
        .unwrap();
    let args = ["clips", "final.points.json", "--pattern", "all", "--patterns", "all.toml", "--json"];
    let out = changeover(folder.path())
        .args(args)
        .args(["--lead-in", "3", "--lead-out", "00:00:02", "--merge"])
        .assert();
    let out = out.success();
    let json: serde_json::Value = serde_json::from_slice(&out.get_output().stdout).unwrap();
    assert_eq!(json["clips"].as_array().unwrap().len(), 1);
    assert_eq!(json["unreachable"][0]["why"], "no-times");
    let complaints = String::from_utf8_lossy(&out.get_output().stderr);
    assert_eq!(complaints, "changeover: no clip of 1 point: no start or end was stamped (12)\n");
    let each: serde_json::Value = serde_json::from_str(&said(folder.path(), &args)).unwrap();
    assert_eq!(each["clips"].as_array().unwrap().len(), 11, "unasked each point is a clip of its own");
}

#[test]
fn a_file_is_named_from_where_the_list_lies_and_never_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    std::fs::create_dir(folder.path().join("out")).unwrap();
    let args =
        ["clips", "final.points.json", "--pattern", "Drop shot", "--format", "xspf", "--out", "out/a.xspf"];
    said(folder.path(), &args);
    let text = std::fs::read_to_string(folder.path().join("out/a.xspf")).unwrap();
    assert!(text.contains("<location>../Day%201"), "{text}");
    let text = complaint(folder.path(), &args, 1);
    assert!(text.contains("out/a.xspf is there already; give another name, or --force"), "{text}");
    said(folder.path(), &[&args[..], &["--force"]].concat());
}

#[test]
fn one_file_is_picked_by_either_of_its_names() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    std::fs::create_dir(folder.path().join("out")).unwrap();
    let printed = format!("../{FOOTAGE}");
    for name in [FOOTAGE, &printed] {
        let args = ["clips", "final.points.json", "--pattern", "Drop shot", "--out", "out/a", "--force"];
        said(folder.path(), &[&args[..], &["--file", name]].concat());
    }
    let args = ["clips", "final.points.json", "--pattern", "Drop shot", "--file", "other.webm"];
    let text = complaint(folder.path(), &args, 1);
    assert!(text.contains("no clip is of the file \"other.webm\"; there are clips of: Day 1"), "{text}");
}

#[test]
fn mistakes_say_what_is_allowed() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let at = folder.path();
    let text = complaint(at, &["clips", "final.points.json", "--pattern", "Drop shop"], 1);
    assert!(text.ends_with("did you mean \"Drop shot\"?\n"), "{text}");
    let text = complaint(at, &["summary", "final.points.json", "--for", "Okafr --> &amp;"], 1);
    assert!(text.ends_with("did you mean \"Okafor --> &amp;\"?\n"), "{text}");
    let text = complaint(at, &["summary", "none.points.json"], 1);
    assert!(text.contains("none.points.json"), "{text}");
    std::fs::write(at.join("bad.toml"), "[[pattern]]\nname = \"x\"\nserv = 1\n").unwrap();
    let text = complaint(at, &["summary", "final.points.json", "--patterns", "bad.toml"], 1);
    assert!(text.starts_with("changeover: bad.toml, line 3, column 1: there is no key \"serv\""), "{text}");
    complaint(at, &["clips", "final.points.json"], 2);
    complaint(at, &["clips", "final.points.json", "--pattern", "x", "--lead-in", "soon"], 2);
    complaint(at, &["summary"], 2);
}

#[test]
fn the_starter_patterns_are_listed_without_a_record() {
    let folder = tempfile::tempdir().unwrap();
    let text = said(folder.path(), &["summary", "--list"]);
    assert!(text.lines().count() >= 8);
    assert!(text.contains("Drop shot: "));
}

#[test]
fn the_match_in_numbers() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tags");
    let text = said(&root, &["numbers", "holt-okafor-2.points.json"]);
    insta::assert_snapshot!(text);
    let set = said(&root, &["numbers", "--set", "2", "--for", "okafor", "holt-okafor-2.points.json"]);
    assert!(set.starts_with("Okafor and Holt: set 2\n"), "{set}");
    let both = ["numbers", "--for", "Holt", "holt-okafor.points.json", "holt-okafor-2.points.json"];
    assert!(said(&root, &both).contains("  61 of 102 (60 %)"));
    let text = complaint(&root, &["numbers", "--set", "3", "holt-okafor.points.json"], 1);
    assert_eq!(text, "changeover: the record has no points of set 3; it has points of set 1\n");
    let text = complaint(&root, &["numbers", "holt-okafor.points.json", "holt-okafor-2.points.json"], 1);
    assert!(text.contains("choose a player with --for"), "{text}");
}

#[test]
fn a_folder_in_place_of_a_record_is_told_how_to_be_named() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("May")).unwrap();
    let text = complaint(folder.path(), &["study", "May/"], 1);
    assert_eq!(text, "changeover: May is a folder; name the records in it: May/*.points.json\n");
}

/// A copy of a record, also one in which a point was added since, is told of; another match of the same players is not.
#[test]
fn a_match_that_is_given_twice_is_told_of() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tags");
    let folder = tempfile::tempdir().unwrap();
    for name in ["holt-okafor.points.json", "holt-okafor-2.points.json"] {
        std::fs::copy(root.join(name), folder.path().join(name)).unwrap();
    }
    let mut later = changeover::record::load(&root.join("holt-okafor-2.points.json")).unwrap().0;
    later.points.truncate(40);
    let text = serde_json::to_string(&later).unwrap();
    std::fs::write(folder.path().join("copy.points.json"), text).unwrap();
    for verb in [&["study", "--for", "Holt"] as &[_], &["summary"]] {
        let given = ["holt-okafor.points.json", "holt-okafor-2.points.json", "copy.points.json"];
        let told = |n: usize| {
            let out = changeover(folder.path()).args(verb).args(&given[..n]).assert().success();
            String::from_utf8_lossy(&out.get_output().stderr).into_owned()
        };
        assert_eq!(told(2), "");
        assert_eq!(
            told(3),
            "changeover: holt-okafor-2.points.json and copy.points.json hold the same match: its points are counted twice; leave one of \
             them out\n"
        );
    }
}

#[test]
fn the_numbers_are_in_the_schema() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let json: serde_json::Value =
        serde_json::from_str(&said(folder.path(), &["numbers", "--json", "final.points.json"])).unwrap();
    let schema: serde_json::Value =
        serde_json::from_str(&said(folder.path(), &["schema", "numbers"])).unwrap();
    for field in json.as_object().unwrap().keys() {
        assert!(schema["properties"].get(field).is_some(), "{field}");
    }
    let share = &json["parts"][0]["rows"][0]["values"][0];
    assert_eq!(share["count"].as_u64().unwrap(), share["counted"].as_array().unwrap().len() as u64);
    assert_eq!(share["counted"][0], serde_json::json!({ "record": 0, "point": 1 }));
}
