//! `import`, `export`, `score` and `rules` as a user sees them.
#![expect(clippy::unwrap_used, reason = "what fails in a helper fails the test")]

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use changeover::record::Store;
use insta::assert_snapshot;

fn changeover(dir: &Path) -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("changeover"));
    command.current_dir(dir);
    command
}

/// Answer, complaints and exit code as one text.
fn run(dir: &Path, args: &[&str]) -> String {
    run_with(dir, args, "")
}

fn run_with(dir: &Path, args: &[&str], input: impl Into<Vec<u8>>) -> String {
    let out = changeover(dir).args(args).write_stdin(input).output().unwrap();
    let text = |b: &[u8]| String::from_utf8(b.to_vec()).unwrap();
    format!("{}--\n{}exit code {}", text(&out.stdout), text(&out.stderr), out.status.code().unwrap())
}

fn files(dir: &Path) -> Vec<String> {
    let mut all: Vec<_> =
        fs::read_dir(dir).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    all.sort();
    all
}

/// Points of games won to love.
fn games(order: &str) -> String {
    order.chars().flat_map(|c| [c; 4]).collect()
}

/// Rows without a match, one point each.
fn lines(points: &str) -> String {
    points.chars().fold(String::new(), |text, c| text + &String::from(c) + "\n")
}

/// Rows of a match, one point each.
fn rows(name: &str, points: &str) -> String {
    points.chars().fold(String::new(), |text, c| text + name + "," + &String::from(c) + "\n")
}

fn temp() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

#[test]
fn a_chart_becomes_a_record_and_a_score() {
    let dir = temp();
    let text = format!("winner\n{}", lines(&games("aaaaaabababababababb")));
    fs::write(dir.path().join("final.csv"), text).unwrap();
    let import = [
        "import",
        "final.csv",
        "--rules",
        "best-of-3",
        "--out",
        "m.points.json",
        "--a",
        "Holt",
        "--b",
        "Okafor",
        "--date",
        "2026-05-31",
    ];
    assert_snapshot!(run(dir.path(), &import), @r"
    m.points.json: 80 points
    --
    exit code 0
    ");
    assert_snapshot!(run(dir.path(), &["score", "m.points.json"]), @r"
    Holt v. Okafor 6–0, 6–7(0), 0–0, 0–15, not finished
    --
    exit code 0
    ");
    assert_snapshot!(run(dir.path(), &["score", "--json", "m.points.json"]), @r#"
    {"record":"m.points.json","rules":"best-of-3","sets":[{"a":6,"b":0},{"a":6,"b":7,"tiebreak":{"a":0,"b":7}},{"a":0,"b":0}],"winner":null,"finished":false,"points":80,"game":{"a":"0","b":"15"}}
    --
    exit code 0
    "#);
    assert_snapshot!(run(dir.path(), &["check", "m.points.json"]), @r"
    m.points.json: 80 points, nothing wrong
    --
    exit code 0
    ");
    assert_snapshot!(run(dir.path(), &import), @r"
    --
    changeover: m.points.json is there already; give another name, or --force to replace it
    exit code 1
    ");
    assert!(run(dir.path(), &[&import[..], &["--force"]].concat()).ends_with("exit code 0"));
    assert_eq!(files(dir.path()), ["final.csv", "m.points.json"]);
    let record = fs::read_to_string(dir.path().join("m.points.json")).unwrap();
    assert!(
        record.contains("\"date\": \"2026-05-31\"") && record.contains("\"name\": \"Okafor\""),
        "{record}"
    );
}

#[test]
fn the_json_is_that_of_the_issue() {
    let dir = temp();
    let sets =
        [games("ababababaa"), games("abababababab"), "abababababbb".into(), games("abababababaa")].concat();
    let text = lines(&sets);
    run_with(
        dir.path(),
        &["import", "-", "--rules", "best-of-3", "--out", "m.points.json"],
        format!("winner\n{text}"),
    );
    let said = run(dir.path(), &["score", "--json", "m.points.json"]);
    let line: serde_json::Value = serde_json::from_str(said.lines().next().unwrap()).unwrap();
    let wanted = serde_json::json!({
        "record": "m.points.json",
        "rules": "best-of-3",
        "sets": [{"a": 6, "b": 4}, {"a": 6, "b": 7, "tiebreak": {"a": 5, "b": 7}}, {"a": 7, "b": 5}],
        "winner": "a",
        "finished": true,
        "points": line["points"],
    });
    assert_eq!(line, wanted);
}

#[test]
fn several_matches_make_a_folder() {
    let dir = temp();
    let text =
        format!("match,winner\n{}{}", rows("one/1", &games("aaaaaa")), rows("two", &(games("bbbbbb") + "a")));
    let args = ["import", "-", "--rules", "one-set", "--out", "recs/2026"];
    assert_snapshot!(run_with(dir.path(), &args, text.clone()), @r"
    recs/2026: 2 records, 49 points
    --
    changeover: recs/2026/two.points.json: imported, but: error: point 25: the match was over before it (points too many: 1), or an earlier winner is wrong
    exit code 0
    ");
    assert_eq!(files(&dir.path().join("recs/2026")), ["one_1.points.json", "two.points.json"]);
    assert_eq!(files(dir.path()), ["recs"], "nothing else is left");
    assert_snapshot!(run_with(dir.path(), &args, text.clone()), @r"
    --
    changeover: standard input: line 2: recs/2026/one_1.points.json is there already; give another name, or --force to replace it
    changeover: standard input: line 26: recs/2026/two.points.json is there already; give another name, or --force to replace it
    changeover: standard input: nothing is imported
    exit code 1
    ");
    let json = [&args[..], &["--force", "--json"]].concat();
    assert_snapshot!(run_with(dir.path(), &json, text), @r#"
    {"match":"one/1","record":"recs/2026/one_1.points.json","points":24}
    {"match":"two","record":"recs/2026/two.points.json","points":25}
    --
    changeover: recs/2026/two.points.json: imported, but: error: point 25: the match was over before it (points too many: 1), or an earlier winner is wrong
    exit code 0
    "#);
    assert_snapshot!(run(dir.path(), &["score", "recs/2026"]), @r"
    recs/2026/one_1.points.json: Player A d. Player B 6–0
    recs/2026/two.points.json: Player B d. Player A 6–0
    --
    exit code 0
    ");
    // Into a folder that is there, beside what is in it.
    let more = run_with(dir.path(), &args, format!("match,winner\n{}", rows("three", "ab")));
    assert!(more.ends_with("exit code 0"), "{more}");
    assert_eq!(
        files(&dir.path().join("recs/2026")),
        ["one_1.points.json", "three.points.json", "two.points.json"]
    );
}

#[test]
fn a_match_that_its_score_did_not_end() {
    let dir = temp();
    let import = |more: &[&str], text: &str| {
        let args = [&["import", "-", "--rules", "one-set", "--force"], more].concat();
        run_with(dir.path(), &args, text)
    };
    let one = ["--out", "m.points.json", "--outcome", "b retired"];
    assert_snapshot!(import(&one, &format!("winner\n{}", lines("ab"))), @r#"
    m.points.json: 2 points
    --
    exit code 0
    "#);
    assert_snapshot!(run(dir.path(), &["score", "m.points.json"]), @r#"
    Player A d. Player B 0–0, 15–15 ret.
    --
    exit code 0
    "#);
    assert_snapshot!(import(&one, "winner,outcome\na,a retired\n"), @r#"
    --
    changeover: standard input: column outcome: it says "a retired", but --outcome says "b retired"
    changeover: standard input: nothing is imported
    exit code 1
    "#);
    assert_snapshot!(import(&["--out", "m.points.json", "--outcome", "b tired"], "winner\na\n"), @r#"
    --
    changeover: invalid value 'b tired' for '--outcome <WORDS>': allowed: a retired, b retired, a defaulted, b defaulted, unfinished; did you mean "b retired"?

    For more information, try '--help'.
    exit code 2
    "#);
    let several = "match,winner,outcome\none,a,unfinished\ntwo,a,\ntwo,b,a defaulted\n";
    assert_snapshot!(import(&["--out", "recs", "--outcome", "unfinished"], several), @r#"
    --
    changeover: --outcome is for a single match; for several matches, use the column outcome
    exit code 1
    "#);
    assert_snapshot!(import(&["--out", "recs"], several), @r#"
    recs: 2 records, 3 points
    --
    exit code 0
    "#);
    assert_snapshot!(run(dir.path(), &["score", "recs"]), @r#"
    recs/one.points.json: Player A v. Player B 0–0, 15–0, unfinished
    recs/two.points.json: Player B d. Player A 0–0, 15–15 def.
    --
    exit code 0
    "#);
    // A score that ended it already speaks against it.
    let over = format!("winner\n{}", lines(&games("aaaaaa")));
    let said = import(&one, &over);
    let (_, kept) = said.split_once(".aside-").unwrap();
    assert_snapshot!(said.replace(kept.lines().next().unwrap(), "DATE"), @r#"
    m.points.json: 24 points
    --
    changeover: the earlier record is kept as m.points.json.aside-DATE
    changeover: m.points.json: imported, but: error: match: the record says that it ended by a retirement, but by the score it was won
    exit code 0
    "#);
}

/// One window writes: an import does not take its record away from under it.
#[test]
fn a_record_that_is_open_is_not_replaced() {
    let dir = temp();
    let import = |out: &str| {
        let args = ["import", "-", "--rules", "one-set", "--force", "--out", out];
        let said = run_with(dir.path(), &args, "match,winner\nm,a\n");
        let who = said.split_once("process ").map(|(_, rest)| rest.split(';').next().unwrap_or_default());
        said.replace(who.unwrap_or("nobody"), "N")
    };
    import("recs");
    let open = Store::open(&dir.path().join("recs/m.points.json")).unwrap();
    assert_snapshot!(import("recs"), @r"
    --
    changeover: standard input: line 2: recs/m.points.json: it is open in process N; close it there first
    changeover: standard input: nothing is imported
    exit code 1
    ");
    assert_snapshot!(import("recs/m.points.json"), @r"
    --
    changeover: recs/m.points.json: it is open in process N; close it there first
    exit code 1
    ");
    assert_eq!(files(&dir.path().join("recs")), ["m.points.json", "m.points.lock"]);
    drop(open);
    assert_snapshot!(import("recs/m.points.json"), @r"
    recs/m.points.json: 1 point
    --
    exit code 0
    ");
}

#[test]
fn nothing_is_half_imported() {
    let dir = temp();
    let bad = format!("match,winner\n{}two,c\n{}two,\none,a\n", rows("one", "abab"), rows("two", "ab"));
    assert_snapshot!(run_with(dir.path(), &["import", "-", "--rules", "one-set", "--out", "recs"], bad.clone()), @r#"
    --
    changeover: standard input: line 6, column winner: found "c"; allowed: a, b, ? (not known), let (played again)
    changeover: standard input: line 9, column winner: found nothing; allowed: a, b, ? (not known), let (played again)
    changeover: standard input: line 10, column match: "one" appears again after line 2; keep the rows of a match together
    changeover: standard input: nothing is imported
    exit code 1
    "#);
    assert_snapshot!(run_with(dir.path(), &["import", "-", "--rules", "one-set", "--out", "x.json"], bad), @r#"
    --
    changeover: standard input: line 6, column winner: found "c"; allowed: a, b, ? (not known), let (played again)
    changeover: standard input: line 9, column winner: found nothing; allowed: a, b, ? (not known), let (played again)
    changeover: standard input: line 6, column match: this is a second match; for several matches, --out must be a folder
    changeover: standard input: line 10, column match: "one" appears again after line 2; keep the rows of a match together
    changeover: standard input: line 10, column match: this is a second match; for several matches, --out must be a folder
    changeover: standard input: nothing is imported
    exit code 1
    "#);
    assert_eq!(files(dir.path()), [""; 0]);
    // In a folder that is there, when only the last match cannot be written.
    fs::create_dir_all(dir.path().join("recs/two.points.json")).unwrap();
    let text = format!("match,winner\n{}{}", rows("one", "abab"), rows("two", "ab"));
    assert_snapshot!(run_with(dir.path(), &["import", "-", "--rules", "one-set", "--out", "recs", "--force"], text), @r"
    --
    changeover: standard input: line 6: recs/two.points.json is a folder; choose another name
    changeover: standard input: nothing is imported
    exit code 1
    ");
    assert_eq!(files(&dir.path().join("recs")), ["two.points.json"]);
}

#[test]
fn hundreds_of_bad_lines_are_bounded() {
    let dir = temp();
    let text = format!("winner\n{}", "x\n".repeat(1_000));
    let said = run_with(dir.path(), &["import", "-", "--rules", "one-set", "--out", "m.json"], text);
    assert_eq!(said.lines().count(), 103);
    assert!(said.contains("standard input: line 101, column winner: found \"x\""), "{said}");
    assert!(said.contains("and 900 more like these; nothing is imported"), "{said}");
}

#[test]
fn files_that_are_no_charts() {
    let dir = temp();
    let import = |bytes: &[u8]| {
        let said = run_with(dir.path(), &["import", "-", "--rules", "one-set", "--out", "m.json"], bytes);
        assert!(said.ends_with("exit code 1"), "{said}");
        said.lines().nth(1).unwrap().to_owned()
    };
    let all = [
        import(b""),
        import(b"\n\n"),
        import(b"winner\r\n"),
        import(b"a\nb\n"),
        import(b"winner,winner\na,a\n"),
        import(b"PK\x03\x04\x14\0\x06\0"),
        import(b"winner\na\0\n"),
        import(b"winner,note\na,\xff\n"),
        import(b"\xff\xfew\0i\0n\0"),
        import(&[b"winner,note\na,\"".as_slice(), &vec![b'x'; 2 << 20]].concat()),
        import(b"winner,note\na,\"x\n"),
        import(&vec![0; 3 << 20]),
    ];
    assert_snapshot!(all.join("\n"), @r#"
    changeover: standard input: it is empty; its first row must name the columns; allowed: match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, score, event, source
    changeover: standard input: it is empty; its first row must name the columns; allowed: match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, score, event, source
    changeover: standard input: there are no points below its first row
    changeover: standard input: line 1: column 1 cannot be named "a"; allowed: match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, score, event, source
    changeover: standard input: line 1: columns 1 and 2 are both named winner
    changeover: standard input: it is a workbook (.xlsx, .ods or .xls), not a table; open it and save the sheet as CSV in UTF-8
    changeover: standard input: line 2, column winner: found "a\u{0}"; allowed: a, b, ? (not known), let (played again)
    changeover: standard input: line 2, column note: found bytes that are not UTF-8; save the file as CSV in UTF-8
    changeover: standard input: line 1: it is written in UTF-16; save it as CSV in UTF-8
    changeover: standard input: line 2: the row that begins here is longer than 1 MiB; is a quote in it never closed?
    changeover: standard input: line 2: a quote is opened here and never closed
    changeover: standard input: it is not a table, but footage, a picture or the like; name a CSV file
    "#);
    let said = run(dir.path(), &["import", "none.csv", "--rules", "one-set", "--out", "m.json"]);
    assert_snapshot!(said, @r"
    --
    changeover: none.csv: cannot open it: there is no such file; check the name
    exit code 1
    ");
    let said = run(dir.path(), &["import", ".", "--rules", "one-set", "--out", "m.json"]);
    assert_snapshot!(said, @r"
    --
    changeover: .: this is a folder; name a file
    exit code 1
    ");
    let said = run_with(dir.path(), &["import", "-", "--rules", "one-set", "--out", "."], "winner\na\n");
    assert_snapshot!(said, @r"
    --
    changeover: . is a folder; without a column match the points make one record, so name a file
    exit code 1
    ");
    assert_eq!(files(dir.path()), [""; 0]);
}

#[test]
fn what_looks_wrong_is_imported_and_told() {
    let dir = temp();
    let text = format!(
        "match,winner,end,start\n{}two,?,,\ntwo,b,,9\ntwo,b,,3\n",
        rows("one", &games("aaaaaab")).replace('\n', ",,\n")
    );
    let args = ["import", "-", "--rules", "one-set", "--out", "recs"];
    assert_snapshot!(run_with(dir.path(), &args, text), @r"
    recs: 2 records, 31 points
    --
    changeover: recs/one.points.json: imported, but: error: point 25: the match was over before it (points too many: 4), or an earlier winner is wrong
    changeover: recs/two.points.json: imported, but: warning: point 1: its winner is not known, so the score after it is not known; and 3 more (changeover check)
    exit code 0
    ");
    assert_snapshot!(run(dir.path(), &["score", "recs"]), @r"
    recs/one.points.json: Player A d. Player B 6–0
    recs/two.points.json: Player A v. Player B; not known from there: point 1 of 3 has no winner
    --
    exit code 0
    ");
}

#[test]
fn out_and_in_again() {
    let dir = temp();
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-tags/holt-okafor.points.json");
    fs::copy(&sample, dir.path().join("m.points.json")).unwrap();
    let said = run(dir.path(), &["export", "m.points.json", "--format", "csv"]);
    assert_snapshot!(said.replace('\r', "").lines().take(4).collect::<Vec<_>>().join("\n"), @r#"
    start,end,server,serve,winner,finish,tags,note
    00:00:12.480,00:00:17.920,a,1,a,ace,wide serve,"Invented point, as all of them."
    00:00:38.240,00:00:51.600,a,2,b,unforced error,,
    00:01:10.120,00:01:19.440,a,1,a,winner,open court;wide serve,"Serve out wide, then into the open court."
    "#);
    assert!(said.contains("so it is left out: 1 footage file"), "{said}");
    for args in [
        &["export", "m.points.json", "--out", "m.csv"][..],
        &["import", "m.csv", "--rules", "best-of-3", "--out", "n.points.json"],
        &["export", "n.points.json", "--out", "n.csv"],
        &["export", "m.points.json", "n.points.json", "--out", "both.csv"],
        &["import", "both.csv", "--rules", "best-of-3", "--out", "both"],
        &["export", "both/n.points.json", "--out", "o.csv"],
    ] {
        let said = run(dir.path(), args);
        assert!(said.ends_with("exit code 0"), "{said}");
    }
    let read = |name| fs::read_to_string(dir.path().join(name)).unwrap();
    assert_eq!(read("m.csv"), read("n.csv"));
    assert_eq!(read("m.csv"), read("o.csv"));
    assert_snapshot!(run(dir.path(), &["export", "m.points.json", "--out", "m.csv"]), @r"
    --
    changeover: m.points.json: CSV has no column for this, so it is left out: 1 footage file
    changeover: m.csv is there already; give another name, or --force to replace it
    exit code 1
    ");
}

#[test]
fn a_bad_record_among_others() {
    let dir = temp();
    run_with(
        dir.path(),
        &["import", "-", "--rules", "one-set", "--out", "recs"],
        format!("match,winner\n{}", rows("x", "ab")),
    );
    fs::write(dir.path().join("recs/bad.points.json"), "{").unwrap();
    assert_snapshot!(run(dir.path(), &["score", "recs", "none.points.json"]), @r"
    recs/x.points.json: Player A v. Player B 0–0, 15–15, not finished
    --
    changeover: recs/bad.points.json, line 1, column 1: the file ends within fields in braces; the file is left as it is
    changeover: none.points.json: cannot open it: there is no such file; check the name
    exit code 1
    ");
    let list = "recs/x.points.json\r\n\nrecs/x.points.json\n";
    assert_snapshot!(run_with(dir.path(), &["score", "--from", "-"], list), @r"
    recs/x.points.json: Player A v. Player B 0–0, 15–15, not finished
    recs/x.points.json: Player A v. Player B 0–0, 15–15, not finished
    --
    exit code 0
    ");
    fs::create_dir(dir.path().join("empty")).unwrap();
    assert_snapshot!(run(dir.path(), &["score", "empty"]), @r"
    --
    changeover: empty: no record (*.points.json) is in this folder
    exit code 0
    ");
}

#[test]
fn each_point_of_a_record() {
    let dir = temp();
    run_with(
        dir.path(),
        &["import", "-", "--rules", "no-ad-one-short-set", "--out", "m.json", "--a", "Holt", "--b", "Okafor"],
        "winner\na\nb\nb\nb\na\na\na\nb\n",
    );
    assert_snapshot!(run(dir.path(), &["score", "--each-point", "m.json"]), @r"
    Holt v. Okafor 1–0, 0–15, not finished
    point  sets  games  called                 serves  court  from  at stake
        1        0–0    0–0                    Holt    deuce  near
        2        0–0    15–0                   Holt    ad     near
        3        0–0    15–15                  Holt    deuce  near
        4        0–0    15–30                  Holt    ad     near
        5        0–0    15–40                  Holt    deuce  near  2 break points Okafor
        6        0–0    30–40                  Holt    ad     near  break point Okafor
        7        0–0    deuce, deciding point  Holt    ?      near  game point Holt, break point Okafor
        8        1–0    0–0                    Okafor  deuce  near
    --
    exit code 0
    ");
    let said = run(dir.path(), &["score", "--each-point", "--json", "m.json"]);
    let line: serde_json::Value = serde_json::from_str(said.lines().next().unwrap()).unwrap();
    assert_eq!(line["states"].as_array().unwrap().len(), 8);
    assert_eq!(line["states"][4]["break_point"], true);
    assert_eq!(line["states"][4]["game_points"], serde_json::json!({"a": 0, "b": 2}));
}

#[test]
fn rules_by_name_and_from_files() {
    let dir = temp();
    let list = run(dir.path(), &["rules"]);
    assert!(list.starts_with("best-of-3                        best of three sets to 6"), "{list}");
    assert_snapshot!(run(dir.path(), &["rules", "no-ad-short-sets-tie-break-to-5"]), @r#"
    # no-ad-short-sets-tie-break-to-5
    best_of = 3
    deuce = "no-ad"
    tie_break_ends = "after-four"

    [set]
    games = 4

    [set.tie_break]
    at = 3
    points = 5
    lead = 1
    --
    exit code 0
    "#);
    assert_snapshot!(run(dir.path(), &["rules", "no-ad-short-set"]), @r#"
    --
    changeover: there are no rules named "no-ad-short-set"; allowed: best-of-3, best-of-5, one-set, best-of-3-advantage, best-of-5-advantage, one-set-advantage, best-of-3-final-advantage, best-of-5-final-advantage, best-of-3-final-tie-break-at-12, best-of-5-final-tie-break-at-12, best-of-3-final-tie-break-to-10, best-of-5-final-tie-break-to-10, best-of-3-match-tie-break-10, best-of-3-match-tie-break-7, match-tie-break-10, match-tie-break-7, pro-set-8, pro-set-8-tie-break-at-7, short-sets, short-sets-tie-break-at-3, short-sets-match-tie-break-10, short-sets-tie-break-to-5, one-short-set, drill; before them doubles- or mixed-, then no-ad-; did you mean "no-ad-short-sets"?
    exit code 1
    "#);
    fs::write(
        dir.path().join("club.toml"),
        "like = \"best-of-3\"\nset = { games = 5, tie_break = { at = 5, points = 7 } }\n",
    )
    .unwrap();
    assert_snapshot!(run(dir.path(), &["rules", "club.toml"]), @r"
    # rules without a name
    best_of = 3

    [set]
    games = 5

    [set.tie_break]
    at = 5
    points = 7
    --
    exit code 0
    ");
    fs::write(dir.path().join("bad.toml"), "best_of = 3\nset = { games = 99 }\n").unwrap();
    assert_snapshot!(run(dir.path(), &["rules", "bad.toml"]), @r"
    --
    changeover: bad.toml: a set cannot be to 99 games: 1 to 12 are allowed
    exit code 1
    ");
    assert_snapshot!(run(dir.path(), &["rules", "none.toml"]), @r"
    --
    changeover: none.toml: cannot open it: there is no such file; check the name
    exit code 1
    ");
    let said =
        run_with(dir.path(), &["import", "-", "--rules", "club.toml", "--out", "m.json"], "winner\na\n");
    assert!(said.ends_with("exit code 0"), "{said}");
    let said = run(dir.path(), &["score", "--json", "m.json"]);
    assert!(said.contains("\"rules\":{\"best_of\":3,\"set\":{\"games\":5,"), "{said}");
}

/// Every field of the answers is in the schemas.
#[test]
fn the_schemas_have_what_is_printed() {
    let dir = temp();
    let text = "match,winner\nm,a\nm,?\n";
    let import =
        run_with(dir.path(), &["import", "-", "--rules", "one-set", "--out", "recs", "--json"], text);
    let score = run(dir.path(), &["score", "--json", "--each-point", "recs"]);
    for (kind, said) in [("import", import), ("score", score)] {
        let schema = run(dir.path(), &["schema", kind]);
        let schema: serde_json::Value = serde_json::from_str(schema.split("--\n").next().unwrap()).unwrap();
        let line: serde_json::Value = serde_json::from_str(said.lines().next().unwrap()).unwrap();
        for (field, _) in line.as_object().unwrap() {
            assert!(schema["properties"].get(field).is_some(), "{kind}: {field}");
        }
        for needed in schema["required"].as_array().unwrap() {
            assert!(line.get(needed.as_str().unwrap()).is_some(), "{kind}: {needed}");
        }
    }
}
