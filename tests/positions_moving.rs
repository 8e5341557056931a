//! `changeover positions` where nobody has followed the court: places in a camera that moves get no metres, and it is told.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "helpers of tests fail by panicking")]

use std::ops::ControlFlow;
use std::path::Path;
use std::process::Command;

use changeover::demo::{CameraWork, Demo, Truth, make_unless_stopped};
use changeover::drawing::{Anchor, Colour, Drawing, Shape};
use changeover::measure::{Pixel, Size};
use changeover::record::{
    Corner, CourtMark, CourtMarks, Footage, FoundBy, Player, Point, Position, Record, Shot, Store, Touch,
};
use changeover::tennis::court::LANDMARKS;
use changeover::time::{FrameRate, MatchTime};

const FILM: &str = "holt-okafor.mp4";
/// The frame in which the feet are clicked; the court is marked in the first one.
const LATER: usize = 100;

/// Footage of such a camera, a record of one clicked place in it, and how far the court moved in the picture until then, in pixels.
fn clicked(work: CameraWork, folder: &Path) -> (std::path::PathBuf, f64) {
    let size = Size::new(640, 360);
    let demo = Demo {
        points: Some(1),
        brisk: true,
        width: size.width,
        height: size.height,
        rate: FrameRate::new(25, 1).ok(),
        camera: work,
        ..Demo::default()
    };
    make_unless_stopped(&demo, folder, &mut |_, _| ControlFlow::Continue(())).unwrap();
    let text = std::fs::read_to_string(folder.join("holt-okafor.truth.json")).unwrap();
    let truth: Truth = serde_json::from_str(&text).unwrap();
    let cameras = std::fs::read_to_string(folder.join("holt-okafor.cameras.jsonl")).unwrap_or_default();
    let seen: Vec<serde_json::Value> = cameras.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    let at = |frame: usize, n: usize| -> Option<Pixel> {
        let mark = &seen[frame]["landmarks"][n];
        Some(Pixel::new(mark[0].as_f64()?, mark[1].as_f64()?))
    };
    let mark = |corner: Corner| {
        let n = LANDMARKS.iter().position(|l| l.spot == corner.landmark().spot).unwrap();
        let at = at(0, n).filter(|p| (0.0..640.0).contains(&p.x) && (0.0..360.0).contains(&p.y))?;
        Some(CourtMark { landmark: corner, at: at.into() })
    };
    let marks: Vec<CourtMark> = Corner::ALL.into_iter().filter_map(mark).collect();
    assert!(marks.len() >= 4, "{} corners are seen", marks.len());
    let moved = (0..LANDMARKS.len()).filter_map(|n| Some(at(0, n)?.distance(at(LATER, n)?)));
    let moved = moved.fold(0.0, f64::max);
    let start = MatchTime::ZERO;
    let frame = FrameRate::new(25, 1).unwrap().time_of(LATER as u64);
    let court = CourtMarks {
        file: FILM.into(),
        at: start,
        size,
        marks,
        by: FoundBy::Hand,
        centre: None,
        moving: false,
    };
    let film = Footage {
        file: FILM.into(),
        fingerprint: None,
        duration: truth.files[0].end,
        rate: truth.files[0].rate,
        rotation: 0,
        start,
    };
    let feet = Position {
        of: Touch::A,
        frame,
        at: Pixel::new(320.0, 250.0).into(),
        by: FoundBy::Hand,
        measured: None,
    };
    let shot = Shot { at: Some(frame), positions: vec![feet], ..Shot::default() };
    let point = Point { start: Some(frame), shots: vec![shot], ..Point::default() };
    let line = Drawing {
        shape: Shape::Line(vec![Anchor::Ground(-2000, -3000), Anchor::Ground(2000, -3000)]),
        colour: Colour::Yellow,
        from: frame,
        to: frame.later(std::time::Duration::from_secs(1)),
    };
    let mut record = Record {
        drawings: vec![line],
        footage: vec![film],
        calibrations: vec![court],
        points: [point].into(),
        ..Record::default()
    };
    record.about.a = Player::named("Holt");
    let path = folder.join("clicked.points.json");
    drop(Store::create(&path, record).unwrap());
    (path, moved)
}

/// A line on the ground in that frame is left out, and it is told why, where the marks do not hold there.
fn drawn(folder: &Path, path: &Path, moves: bool) {
    let out = Command::new(env!("CARGO_BIN_EXE_changeover"))
        .args(["draw", "--json", "--out", "drawn"])
        .arg(path)
        .current_dir(folder)
        .env("XDG_CACHE_HOME", folder.join("cache"))
        .output()
        .unwrap();
    let (said, told) = (String::from_utf8_lossy(&out.stdout), String::from_utf8_lossy(&out.stderr));
    let pictures: serde_json::Value = serde_json::from_str(&said).unwrap();
    assert_eq!(
        (&pictures[0]["drawn"], out.status.code()),
        (&i32::from(!moves).into(), Some(i32::from(moves))),
        "{said}{told}"
    );
    assert_eq!(told.contains("drawn on the ground is left out"), moves, "{told}");
    assert_eq!(told.contains("the camera moves") && told.contains("changeover court"), moves, "{told}");
}

#[test]
fn places_in_a_moving_camera_that_nobody_followed_have_no_metres() {
    for (work, moves) in [(CameraWork::Pan, true), (CameraWork::Tripod, false)] {
        let folder = tempfile::tempdir().unwrap();
        let (path, moved) = clicked(work, folder.path());
        assert_eq!(moved > 10.0, moves, "{work:?}: {moved:.1} px");
        let out = Command::new(env!("CARGO_BIN_EXE_changeover"))
            .args(["positions", "--json"])
            .arg(&path)
            .env("XDG_CACHE_HOME", folder.path().join("cache"))
            .output()
            .unwrap();
        let (said, told) = (String::from_utf8_lossy(&out.stdout), String::from_utf8_lossy(&out.stderr));
        let line: serde_json::Value = serde_json::from_str(said.lines().next().unwrap()).unwrap();
        assert_eq!(line["name"], "Holt", "{said}");
        assert_eq!(line.get("ground").is_none(), moves, "{work:?}: {said}{told}");
        assert_eq!(told.contains("the camera moves") && told.contains("changeover court"), moves, "{told}");
        drawn(folder.path(), &path, moves);
    }
}
