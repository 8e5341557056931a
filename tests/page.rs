//! `changeover page`: a folder that a browser opens. What the browser finds needs `CHANGEOVER_PYTHON`, which `scripts/test` sets.

#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "a test that fails here fails")]

use std::path::Path;
use std::process::{Command, Output};

use changeover::demo::{Demo, make};
use changeover::lesson::{Lesson, create};

const PROGRAM: &str = env!("CARGO_BIN_EXE_changeover");

/// What somebody may have typed.
const ODD: &str =
    "<b onmouseover=alert(1)>\"'&amp; =1+1 {{x}} \u{202e}back\u{202c} \u{5e9}\u{5dc}\u{5d5}\u{5dd} \u{7}";

/// Footage of one point and a lesson of it: two chapters, three clips, a pair, a court, and words.
fn lay_out(folder: &Path) {
    let demo = Demo { points: Some(1), brisk: true, width: 320, height: 180, ..Demo::default() };
    make(&demo, folder, &mut |_, _| {}).unwrap();
    let clip = |from: &str, caption: &str| {
        serde_json::json!({
            "footage": {"file": "holt-okafor.mp4", "duration": "00:00:12.000"},
            "from": format!("00:00:0{from}.000"), "to": format!("00:00:0{from}.900"),
            "caption": caption, "score": "Holt–Okafor 0–0 15–0",
            "pattern": if from == "6" { ODD } else { "Drop shot" },
            "conditions": [{"words": "opponent deep", "met": "met"}, {"words": ODD, "met": "missed"}],
            "stretches": [{"from": format!("00:00:0{from}.100"), "to": format!("00:00:0{from}.300"), "pace": 50}],
            "freezes": [{"at": format!("00:00:0{from}.500"), "lasts": "00:00:00.600", "drawings": [{
                "shape": {"text": {"at": {"picture": [3000, 3000]}, "words": ODD}},
                "from": "00:00:00.000", "to": "00:00:00.600"}]}],
        })
    };
    let court = serde_json::json!({"caption": "Where", "lasts": "00:00:04.000", "shows": {"court": [{
        "shape": {"arrow": [{"ground": [0, -9000]}, {"ground": [2000, 9000]}]},
        "from": "00:00:00.000", "to": "00:00:04.000"}]}});
    let pair = serde_json::json!({"left": clip("5", "left"), "right": clip("6", "right"),
        "left_at": "00:00:05.600", "right_at": "00:00:06.200"});
    let parts = serde_json::json!([
        {"chapter": {"title": "Drop shots"}},
        {"clip": clip("5", "First.")}, {"clip": clip("6", &"long ".repeat(1_990))}, {"clip": clip("7", ODD)},
        {"chapter": {"title": ODD}},
        {"pair": pair}, {"still": court},
        {"still": {"lasts": "00:00:04.000", "shows": {"words": ODD}}},
    ]);
    let lesson = Lesson {
        title: format!("For Thursday {ODD}").replace('\u{7}', ""),
        player: "Mara Holt".into(),
        parts: serde_json::from_value(parts).unwrap(),
        ..Lesson::default()
    };
    create(&folder.join("drops.lesson.json"), &lesson).unwrap();
}

fn page(folder: &Path, args: &[&str]) -> Output {
    Command::new(PROGRAM).args(["page", "drops.lesson.json"]).args(args).current_dir(folder).output().unwrap()
}

fn said(out: &Output) -> String {
    String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr)
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn a_page_is_made_within_its_limit_and_works_in_a_browser() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path();
    lay_out(at);
    let before = names(at);
    let told = page(at, &["--out", "p", "--size"]);
    assert!(said(&told).contains("4 clips, 0:07 in all, up to 320 × 180: "), "{}", said(&told));
    let tight = page(at, &["--out", "p", "--limit", "20KB"]);
    assert!(said(&tight).contains("do not fit into 20 KB"), "{}", said(&tight));
    assert_eq!(names(at), before, "nothing was made yet");
    let made = page(at, &["--out", "p", "--limit", "1MB"]);
    assert!(made.status.success(), "{}", said(&made));
    assert_eq!(names(&at.join("p")), ["clips", "index.html", "page.css", "page.js"]);
    assert_eq!(names(&at.join("p/clips")).len(), 15, "a film, a picture and captions of each clip");
    let bytes: u64 =
        names(&at.join("p/clips")).iter().map(|n| at.join("p/clips").join(n).metadata().unwrap().len()).sum();
    assert!(bytes < 900_000, "{bytes}");
    let index = std::fs::read_to_string(at.join("p/index.html")).unwrap();
    assert!(index.contains("For <bdi>Mara</bdi>") && !index.contains("Mara Holt"));
    let again = page(at, &["--out", "p"]);
    assert!(said(&again).contains("p is there already; give the name of a folder"), "{}", said(&again));
    in_a_browser(&at.join("p"));
}

fn in_a_browser(page: &Path) {
    let Some(python) = std::env::var_os("CHANGEOVER_PYTHON") else {
        println!("skipped: CHANGEOVER_PYTHON is not set; run scripts/test");
        return;
    };
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/external/check_page.py");
    let out = Command::new(python).arg(script).arg(page).output().unwrap();
    println!("{}", said(&out));
    assert!(out.status.success(), "{}", said(&out));
}

#[test]
fn a_page_that_cannot_be_made_leaves_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path();
    lay_out(at);
    std::fs::rename(at.join("holt-okafor.mp4"), at.join("holt-okafor.txt")).unwrap();
    let before = names(at);
    let gone = page(at, &["--out", "p"]);
    assert!(said(&gone).contains("the footage \"holt-okafor.mp4\" is not there"), "{}", said(&gone));
    std::fs::write(at.join("holt-okafor.mp4"), "no film").unwrap();
    assert_eq!(page(at, &["--out", "p"]).status.code(), Some(1));
    std::fs::remove_file(at.join("holt-okafor.mp4")).unwrap();
    std::fs::rename(at.join("holt-okafor.txt"), at.join("holt-okafor.mp4")).unwrap();
    let mut child = Command::new(PROGRAM)
        .args(["page", "drops.lesson.json", "--out", "p"])
        .current_dir(at)
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    while names(at).len() == before.len() && child.try_wait().unwrap().is_none() {
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    let stopped = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    let code = child.wait().unwrap().code();
    if stopped.success() && code == Some(1) {
        let mut now = names(at);
        now.retain(|n| n != "holt-okafor.txt");
        assert_eq!(now.len(), before.len(), "{now:?}");
        assert!(!at.join("p").exists());
    }
}

#[test]
fn footage_outside_the_folder_is_refused_alike_everywhere() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path();
    lay_out(at);
    let inside = at.join("inside");
    std::fs::create_dir(&inside).unwrap();
    let lesson = std::fs::read_to_string(at.join("drops.lesson.json")).unwrap();
    std::fs::write(inside.join("drops.lesson.json"), lesson.replace("holt-okafor.mp4", "../holt-okafor.mp4"))
        .unwrap();
    let why = "\"../holt-okafor.mp4\" is outside the folder of the lesson and not known to the lesson, so it is not \
               opened; move it into the folder";
    for (verb, name) in [("page", "p"), ("reel", "r.mp4"), ("lesson", ""), ("check", "")] {
        let mut command = Command::new(PROGRAM);
        command.args([verb, "drops.lesson.json"]).current_dir(&inside);
        if !name.is_empty() {
            command.args(["--out", name]);
        }
        let out = said(&command.output().unwrap());
        assert!(out.contains(why), "{verb}: {out}");
        assert_eq!(names(&inside), ["drops.lesson.json"], "{verb}");
    }
}

#[test]
fn a_sheet_is_a_pdf_and_replaces_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path();
    lay_out(at);
    let sheet = || {
        let args = ["sheet", "drops.lesson.json", "--out", "s.pdf"];
        Command::new(PROGRAM).args(args).current_dir(at).output().unwrap()
    };
    let made = sheet();
    assert!(made.status.success(), "{}", said(&made));
    assert!(said(&made).contains("s.pdf: 2 findings"), "{}", said(&made));
    assert!(std::fs::read(at.join("s.pdf")).unwrap().starts_with(b"%PDF"));
    assert!(said(&sheet()).contains("s.pdf is there already"));
}
