//! `changeover reel` from outside.

use std::path::Path;
use std::process::{Command, Output};
use std::time::{Duration, Instant};

use changeover::lesson::{Chapter, Condition, Lesson, Met, Part};
use changeover::video::probe;

use crate::asked::{Bench, clip, lesson, part};
use crate::film::Film;

const PROGRAM: &str = env!("CARGO_BIN_EXE_changeover");

fn run(dir: &Path, args: &[&str]) -> Output {
    Command::new(PROGRAM).args(args).current_dir(dir).output().unwrap()
}

fn said(out: &Output) -> String {
    String::from_utf8_lossy(&out.stderr).into_owned()
}

fn bench(frames: u64) -> Bench {
    Bench::of(&[("a.mp4", Film { sound: true, ..Film::constant("30", frames) })])
}

fn written(bench: &Bench, lesson: &Lesson) {
    std::fs::write(bench.path("l.lesson.json"), serde_json::to_string(lesson).unwrap()).unwrap();
}

#[test]
fn a_reel_is_made_told_and_never_replaced() {
    let bench = bench(90);
    let head = |title: &str| Part::Chapter(Chapter { title: title.into(), notes: String::new() });
    let parts =
        vec![head("Short"), part(clip("a.mp4", 0, 1000)), head("Deep"), part(clip("a.mp4", 1000, 2000))];
    written(&bench, &lesson(parts));
    let args = ["reel", "l.lesson.json", "--out", "r.mkv", "--size", "320x180"];
    let out = run(bench.dir.path(), &args);
    assert_eq!(out.status.code(), Some(0), "{}", said(&out));
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    assert!(text.starts_with("r.mkv: 0:00:07, 320 × 180, 30 frames a second, "), "{text}");
    let before = std::fs::read(bench.path("r.mkv")).unwrap();
    let again = run(bench.dir.path(), &args);
    assert_eq!(again.status.code(), Some(1));
    assert!(said(&again).contains("r.mkv"), "{}", said(&again));
    assert_eq!(std::fs::read(bench.path("r.mkv")).unwrap(), before);
    if let Ok(out) = Command::new("ffprobe")
        .args(["-v", "error", "-show_chapters", "-of", "csv=p=0"])
        .arg(bench.path("r.mkv"))
        .output()
    {
        let text = String::from_utf8_lossy(&out.stdout).into_owned();
        let chapters: Vec<Vec<&str>> = text.lines().map(|l| l.split(',').collect()).collect();
        let seen: Vec<(&str, &str)> = chapters.iter().map(|c| (c[3], c[6])).collect();
        assert_eq!(seen, [("0.000000", "Short"), ("3.500000", "Deep")], "{text}");
    }
    if let Ok(out) =
        Command::new("mkvextract").arg(bench.path("r.mkv")).args(["chapters", "-s", "-"]).output()
    {
        let text = String::from_utf8_lossy(&out.stdout).into_owned();
        let wanted =
            "CHAPTER01=00:00:00.000\nCHAPTER01NAME=Short\nCHAPTER02=00:00:03.500\nCHAPTER02NAME=Deep";
        assert_eq!(text.trim(), wanted, "as mkvtoolnix reads them");
    }
    let json = run(bench.dir.path(), &["reel", "l.lesson.json", "--out", "r.mp4", "--rate", "25", "--json"]);
    let told: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!((&told["frames"], &told["width"]), (&176.into(), &320.into()), "{told}");
    assert_eq!(probe(&bench.path("r.mp4")).unwrap().index.len(), 176);
}

#[test]
fn what_cannot_be_done_is_told() {
    let bench = bench(30);
    written(&bench, &lesson(vec![part(clip("gone.mp4", 0, 1000))]));
    for (args, code, wanted) in [
        (&["reel", "l.lesson.json", "--out", "r.avi"][..], 1, "let it end with .mp4, .webm or .mkv"),
        (&["reel", "l.lesson.json", "--out", "r.mp4"], 1, "the footage \"gone.mp4\" is not there"),
        (&["reel", "l.lesson.json", "--out", "a.mp4"], 1, "a.mp4"),
        (&["reel", "none.lesson.json", "--out", "r.mp4"], 1, "none.lesson.json"),
        (&["reel", "l.lesson.json"], 2, "--out"),
        (&["reel", "l.lesson.json", "--out", "r.mp4", "--size", "big"], 2, "1280x720"),
        (&["reel", "l.lesson.json", "--out", "r.mp4", "--rate", "0"], 2, "rate"),
        (
            &["reel", "l.lesson.json", "--pattern", "Drop shot", "--out", "r.mp4"],
            1,
            "is a lesson, which is shown whole",
        ),
    ] {
        let out = run(bench.dir.path(), args);
        assert_eq!(out.status.code(), Some(code), "{args:?}: {}", said(&out));
        assert!(said(&out).contains(wanted), "{args:?}: {}", said(&out));
    }
    assert_eq!(bench.others(), ["l.lesson.json"]);
}

/// Words of a stranger neither stop the reel nor make its pictures anything but pictures.
#[test]
fn words_of_a_stranger_are_only_words() {
    let bench = bench(30);
    let mut odd = clip("a.mp4", 0, 400);
    odd.caption =
        format!("<span size='999999'>x</span> &lt; \u{202e}mirror\u{0} \"'; {}", "long ".repeat(2000));
    odd.score = "\u{5e9}\u{5dc}\u{5d5}\u{5dd} 30–40 \u{2067}<b>".into();
    odd.conditions = (0..40).map(|n| Condition { words: "w".repeat(n * 40), met: Met::Unknown }).collect();
    let mut lesson = lesson(vec![
        part(odd),
        Part::Chapter(Chapter { title: "=cmd|' /C calc'!A0 ".repeat(100), notes: String::new() }),
    ]);
    lesson.title = "\u{7}\u{1b}[2J".repeat(50);
    for name in ["r.mp4", "r.mkv"] {
        let plan = bench.plan(&lesson, (640, 360));
        let out = bench.render(&lesson, &plan, name).unwrap();
        assert_eq!(probe(&out).unwrap().index.len() as u64, plan.frames());
    }
}

/// Killed while it writes, again and again: the file never has its name before it is whole.
#[test]
fn a_killed_reel_leaves_no_half_file() {
    let bench = bench(300);
    written(&bench, &lesson(vec![part(clip("a.mp4", 0, 8900))]));
    for wait in [0, 100, 300, 700] {
        let mut child = Command::new(PROGRAM)
            .args(["reel", "l.lesson.json", "--out", "r.mp4", "--size", "1280x720"])
            .current_dir(bench.dir.path())
            .spawn()
            .unwrap();
        let begun = Instant::now();
        while !bench.others().iter().any(|n| n.contains(".part")) && begun.elapsed() < Duration::from_secs(20)
        {
            std::thread::sleep(Duration::from_millis(5));
        }
        std::thread::sleep(Duration::from_millis(wait));
        assert!(child.try_wait().unwrap().is_none(), "it must still be at work");
        child.kill().unwrap();
        child.wait().unwrap();
        assert!(!bench.path("r.mp4").exists());
        for name in bench.others().iter().filter(|n| n.contains(".part")) {
            std::fs::remove_file(bench.path(name)).unwrap();
        }
    }
    // Asked to end, it deletes what it began.
    let mut child = Command::new(PROGRAM)
        .args(["reel", "l.lesson.json", "--out", "r.mp4", "--size", "1280x720"])
        .current_dir(bench.dir.path())
        .spawn()
        .unwrap();
    let begun = Instant::now();
    while !bench.others().iter().any(|n| n.contains(".part")) && begun.elapsed() < Duration::from_secs(20) {
        std::thread::sleep(Duration::from_millis(5));
    }
    let _ = Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert_eq!(child.wait().unwrap().code(), Some(1));
    assert_eq!(bench.others(), ["l.lesson.json"]);
}
