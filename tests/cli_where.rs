//! `changeover clips --where`, `--tag`, `--player` and folders, from outside.

mod ask;

use ask::{changeover, said, write};

#[expect(clippy::unwrap_used, reason = "a helper of tests, where a panic is the message")]
fn points(json: &str) -> usize {
    let sheet: serde_json::Value = serde_json::from_str(json).unwrap();
    let clips = sheet["clips"].as_array().unwrap();
    clips.iter().map(|c| c["points"].as_array().map_or(0, Vec::len)).sum()
}

#[test]
fn words_tags_and_players_find_points_in_a_folder() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir_all(folder.path().join("club/juniors")).unwrap();
    write(&folder.path().join("club"));
    write(&folder.path().join("club/juniors"));
    let ask = |args: &[&str]| points(&said(folder.path(), &[&["clips", "club", "--json"], args].concat()));
    assert_eq!(ask(&["--where", "drop shot"]), 8);
    assert_eq!(ask(&["--tag", "DROP SHOT"]), 8);
    assert_eq!(ask(&["--tag", "drop shot", "--player", "holt"]), 8);
    assert_eq!(
        ask(&["--where", "drop shot", "--pattern", "Break point"]),
        ask(&["--where", "drop shot break point"])
    );
    let all = ask(&["--player", "Okafor"]);
    assert_eq!(ask(&["--where", "deuce court"]) + ask(&["--where", "ad court"]), all);
    assert_eq!(ask(&["--where", "Holt won"]) + ask(&["--where", "Holt lost"]), all);
    assert_eq!(ask(&["--where", "Holt won"]), ask(&["--where", "lost by Okafor"]));
}

#[test]
fn what_is_not_understood_is_said_with_the_nearest() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let fails = |args: &[&str], code: i32| {
        let out =
            changeover(folder.path()).args(["clips", "final.points.json"]).args(args).assert().code(code);
        String::from_utf8(out.get_output().stderr.clone()).unwrap()
    };
    assert_eq!(
        fails(&["--where", "Hotl drop shot klay"], 1),
        "changeover: --where: \"Hotl\" is not a tennis word, and not a player, tag, surface, venue or pattern of these records; did you mean \
         \"holt\"?\nchangeover: --where: \"klay\" is not a tennis word, and not a player, tag, surface, venue or pattern of these records\n"
    );
    assert_eq!(
        fails(&["--player", "Okfor"], 1),
        "changeover: no player is called \"Okfor\" in these records; did you mean \"Okafor\"?\n"
    );
    assert_eq!(
        fails(&["--tag", "dorp shot"], 1),
        "changeover: no tag is called \"dorp shot\" in these records; did you mean \"drop shot\"?\n"
    );
    let nothing =
        "changeover: --where is empty: write what the points show, such as \"drop shot break point\"\n";
    assert_eq!(fails(&["--where", "the points"], 1), nothing);
    assert!(fails(&[], 2).contains("--pattern <NAME>"));
}

#[test]
fn a_damaged_record_in_a_folder_is_told_and_the_rest_is_answered() {
    let folder = tempfile::tempdir().unwrap();
    let club = folder.path().join("club");
    std::fs::create_dir(&club).unwrap();
    let empty = changeover(folder.path()).args(["clips", "club", "--where", "ace"]).assert().code(1);
    let told = String::from_utf8(empty.get_output().stderr.clone()).unwrap();
    assert!(told.starts_with("changeover: club: no file in this folder ends with .points.json"), "{told}");
    write(&club);
    std::fs::write(club.join("broken.points.json"), "{").unwrap();
    let out =
        changeover(folder.path()).args(["clips", "club", "--json", "--where", "drop shot"]).assert().code(1);
    let out = out.get_output();
    assert_eq!(points(&String::from_utf8(out.stdout.clone()).unwrap()), 4);
    let told = String::from_utf8(out.stderr.clone()).unwrap();
    assert!(told.contains("club/broken.points.json") && told.contains("looked for: drop shot"), "{told}");
}
