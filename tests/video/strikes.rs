//! Strikes heard in files: against the truth of demo footage, and where there is nothing to hear.

use std::ops::ControlFlow;
use std::path::Path;

use changeover::demo::{Demo, make};
use changeover::time::MatchTime;
use changeover::video::{VideoError, strikes, strikes_of_match};

use crate::film::Film;

/// A strike is heard when it reaches the microphone, which is up to 40 m away.
const WAY: std::ops::Range<f64> = 0.0..0.14;

fn in_time(demo: &Demo, what: &str) {
    let folder = tempfile::tempdir().unwrap();
    let truth = make(demo, folder.path(), &mut |_, _| {}).unwrap();
    let files: Vec<_> = truth.files.iter().map(|f| (folder.path().join(&f.name), f.start)).collect();
    let mut parts = Vec::new();
    let heard = strikes_of_match(&files, &mut |part| {
        parts.push(part);
        ControlFlow::Continue(())
    })
    .unwrap();
    assert!(parts.is_sorted() && parts.iter().all(|p| (0.0..=1.0).contains(p)), "{parts:?}");
    assert!(heard.is_sorted_by_key(|s| s.at));
    let mut at: Vec<f64> = heard.iter().map(|s| s.at.as_secs_f64()).collect();
    let (found, mut all, mut right) = (at.len(), 0, 0);
    for t in truth.points.iter().flat_map(|p| &p.strikes).map(|s| s.time) {
        all += 1;
        if let Some(i) = at.iter().position(|a| WAY.contains(&(a - t.as_secs_f64()))) {
            at.remove(i);
            right += 1;
        }
    }
    println!("{what}: {all} strikes, {found} heard, {right} of them right");
    assert!(
        all >= 6 && right * 10 >= all * 8 && found <= right + 1 + all / 8,
        "{what}: {all}, {found}, {right}"
    );
}

/// Few and small pictures, for the drawing takes long in a test.
fn small() -> Demo {
    Demo {
        number: 4,
        points: Some(4),
        brisk: true,
        width: 64,
        height: 64,
        rate: "5".parse().ok(),
        ..Demo::default()
    }
}

#[test]
fn strikes_are_heard_in_a_file_when_they_arrive() {
    in_time(&Demo { files: 2, ..small() }, "MP4 in two files");
    in_time(&Demo { webm: true, ..small() }, "WebM");
}

#[test]
fn a_film_without_strikes_has_none_and_one_without_sound_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("film.mp4");
    let listen = || strikes(&path, &mut |_| ControlFlow::Continue(()));
    let missing = listen();
    assert!(matches!(missing, Err(VideoError::NotFound { .. })), "{missing:?}");
    Film { sound: true, ..Film::constant("30", 90) }.write(&path);
    assert_eq!(listen().unwrap(), []);
    let stopped = strikes(&path, &mut |_| ControlFlow::Break(()));
    assert!(matches!(stopped, Err(VideoError::Stopped { .. })), "{stopped:?}");
    Film::constant("30", 90).write(&path);
    let silent = listen();
    assert!(matches!(silent, Err(VideoError::NoSound { .. })), "{silent:?}");
    let loud = folder.path().join("loud.mp4");
    Film { sound: true, ..Film::constant("30", 90) }.write(&loud);
    let all = |files: &[&Path]| {
        let files: Vec<_> = files.iter().map(|f| (f.to_path_buf(), MatchTime::ZERO)).collect();
        strikes_of_match(&files, &mut |_| ControlFlow::Continue(()))
    };
    assert_eq!(all(&[&path, &path]), silent);
    assert_eq!(all(&[&path, &loud]), Ok(Vec::new()));
    std::fs::write(&path, "no film at all, but a text of some length\n".repeat(100)).unwrap();
    let text = listen();
    assert!(matches!(text, Err(VideoError::NotVideo { .. } | VideoError::NoSound { .. })), "{text:?}");
}

/// The verb, on files with and without strikes.
#[test]
fn the_verb_lists_them() {
    let folder = tempfile::tempdir().unwrap();
    let truth = make(&small(), folder.path(), &mut |_, _| {}).unwrap();
    Film { sound: true, ..Film::constant("30", 60) }.write(&folder.path().join("tone.mp4"));
    let name = truth.files[0].name.as_str();
    let run = |args: &[&str]| {
        let program = assert_cmd::cargo::cargo_bin!("changeover");
        assert_cmd::Command::new(program)
            .arg("strikes")
            .args(args)
            .current_dir(folder.path())
            .output()
            .unwrap()
    };
    let json = run(&["--json", name, "tone.mp4"]);
    assert_eq!(json.status.code(), Some(0));
    let reports: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    let heard = reports[0]["strikes"].as_array().unwrap();
    assert!(heard.len() > 5 && heard.iter().all(|s| s["strength"].as_f64().unwrap() > 8.0), "{heard:?}");
    assert_eq!(reports[1]["strikes"], serde_json::json!([]));
    let text = run(&[name, "not-there.mp4"]);
    assert_eq!(text.status.code(), Some(1));
    let (said, complaint) =
        (String::from_utf8(text.stdout).unwrap(), String::from_utf8(text.stderr).unwrap());
    assert!(said.starts_with(&format!("{name}: {} strikes heard\n", heard.len())), "{said}");
    assert_eq!(said.lines().count(), heard.len() + 1);
    let first = heard[0]["at"].as_str().unwrap();
    assert!(said.lines().nth(1).unwrap().starts_with(first), "{said}");
    assert!(complaint.starts_with("changeover: not-there.mp4: there is no such file"), "{complaint}");
}
