//! `changeover positions --propose` in demo footage: what it prints, what it says of other footage, and where nobody is looked for.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "helpers of tests fail by panicking")]

use std::ops::ControlFlow;
use std::path::Path;
use std::process::Command;

use changeover::demo::{Demo, Truth, logged, make_unless_stopped};
use changeover::measure::{Camera, Size};
use changeover::record::{Corner, CourtMark, CourtMarks, Footage, FoundBy, Record, Store};
use changeover::time::{FrameRate, MatchTime};

const SIZE: Size = Size::new(640, 360);
const FILM: &str = "holt-okafor.mp4";

/// Footage of one point, and its truth.
fn filmed(folder: &Path) -> Truth {
    let demo = Demo {
        points: Some(1),
        brisk: true,
        width: SIZE.width,
        height: SIZE.height,
        rate: FrameRate::new(25, 1).ok(),
        ..Demo::default()
    };
    make_unless_stopped(&demo, folder, &mut |_, _| ControlFlow::Continue(())).unwrap();
    serde_json::from_str(&std::fs::read_to_string(folder.join("holt-okafor.truth.json")).unwrap()).unwrap()
}

/// The point as it is logged, with the demo's camera or without the court.
fn record(truth: &Truth, court: bool) -> Record {
    let camera = Camera::looking([0.0, -23.8872, 5.0], [0.0, -2.0, 0.0], 60.0, SIZE).unwrap();
    let mark = |landmark: Corner| {
        let at = camera.see_ground(landmark.landmark().spot).unwrap().into();
        CourtMark { landmark, at }
    };
    let marks = CourtMarks {
        file: FILM.into(),
        at: MatchTime::ZERO,
        size: SIZE,
        marks: Corner::ALL.map(mark).to_vec(),
        by: FoundBy::Hand,
        centre: None,
        moving: false,
    };
    let footage = Footage {
        file: FILM.into(),
        fingerprint: Some(format!("sha256:{}", "0".repeat(64))),
        duration: truth.files[0].end,
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    };
    let calibrations = if court { vec![marks] } else { Vec::new() };
    Record { footage: vec![footage], calibrations, ..logged(truth, false) }
}

#[test]
fn players_are_proposed_and_where_nobody_is_looked_for_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let truth = filmed(folder.path());
    let propose = |name: &str, court: bool| {
        let path = folder.path().join(name);
        drop(Store::create(&path, record(&truth, court)).unwrap());
        let before = std::fs::read(&path).unwrap();
        let out = Command::new(env!("CARGO_BIN_EXE_changeover"))
            .args(["positions", "--propose", "--json"])
            .arg(&path)
            .env("XDG_CACHE_HOME", folder.path().join("cache"))
            .output()
            .unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), before, "the record stays as it is");
        let said = String::from_utf8(out.stdout).unwrap();
        let lines: Vec<serde_json::Value> = said.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
        (lines, String::from_utf8(out.stderr).unwrap(), out.status.code())
    };
    let (lines, told, code) = propose("court.points.json", true);
    let strikes = truth.points[0].strikes.len();
    assert!(code == Some(0) && lines.len() > strikes, "{} at {strikes} strikes: {told}", lines.len());
    assert!(lines.iter().all(|l| l["by"] == "proposed" && l["ground"]["error_95"].is_array()), "{lines:?}");
    assert!(told.contains("is not the file that was tagged") && !told.contains("nobody"), "{told}");
    let (lines, told, code) = propose("plain.points.json", false);
    assert!(lines.is_empty() && code == Some(0), "{lines:?}");
    let all = format!(
        "in {n} of {n} points nobody is looked for: once the court is marked",
        n = truth.points.len()
    );
    assert!(told.contains(&all), "{told}");
}
