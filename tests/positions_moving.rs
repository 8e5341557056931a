//! `changeover positions` where nobody has followed the court: places in a camera that moves get no metres, and it is told.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "helpers of tests fail by panicking")]

use std::ops::ControlFlow;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;

use changeover::demo::{CameraWork, Demo, Truth, make_unless_stopped};
use changeover::drawing::{Anchor, Colour, Drawing, Shape};
use changeover::lesson::{Clip, Lesson, OfPoint, Part};
use changeover::making::{Grounds, Source};
use changeover::measure::{Pixel, Size};
use changeover::record::{
    Corner, CourtMark, CourtMarks, Footage, FoundBy, Player, Point, Position, Record, Shot, Store, Touch,
};
use changeover::session::followed::KeptCourts;
use changeover::tennis::court::LANDMARKS;
use changeover::time::{FrameRate, MatchTime};
use changeover::video::probe;

const FILM: &str = "holt-okafor.mp4";
/// The frame in which the feet are clicked; the court is marked in the first one, and perhaps in a later one.
const LATER: usize = 100;
const AGAIN: usize = 40;

/// Footage of such a camera, a record of one clicked place in it, and how far the court moved in the picture until then, in pixels.
fn clicked(work: CameraWork, twice: bool, folder: &Path) -> (std::path::PathBuf, f64) {
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
    if !folder.join(FILM).exists() {
        make_unless_stopped(&demo, folder, &mut |_, _| ControlFlow::Continue(())).unwrap();
    }
    let text = std::fs::read_to_string(folder.join("holt-okafor.truth.json")).unwrap();
    let truth: Truth = serde_json::from_str(&text).unwrap();
    let cameras = std::fs::read_to_string(folder.join("holt-okafor.cameras.jsonl")).unwrap_or_default();
    let seen: Vec<serde_json::Value> = cameras.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    let at = |frame: usize, n: usize| -> Option<Pixel> {
        let mark = &seen[frame]["landmarks"][n];
        Some(Pixel::new(mark[0].as_f64()?, mark[1].as_f64()?))
    };
    let mark = |frame: usize, corner: Corner| {
        let n = LANDMARKS.iter().position(|l| l.spot == corner.landmark().spot).unwrap();
        let at = at(frame, n).filter(|p| (0.0..640.0).contains(&p.x) && (0.0..360.0).contains(&p.y))?;
        Some(CourtMark { landmark: corner, at: at.into() })
    };
    let time = |frame: usize| FrameRate::new(25, 1).unwrap().time_of(frame as u64);
    let court = |frame: usize| {
        let marks: Vec<CourtMark> = Corner::ALL.into_iter().filter_map(|c| mark(frame, c)).collect();
        assert!(marks.len() >= 4, "{} corners are seen", marks.len());
        let (file, at, by) = (FILM.into(), time(frame), FoundBy::Hand);
        CourtMarks { file, at, size, marks, by, centre: None, moving: false }
    };
    let moved = (0..LANDMARKS.len()).filter_map(|n| Some(at(0, n)?.distance(at(LATER, n)?)));
    let moved = moved.fold(0.0, f64::max);
    let start = MatchTime::ZERO;
    let frame = time(LATER);
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
        calibrations: [0, AGAIN].into_iter().take(1 + usize::from(twice)).map(court).collect(),
        points: [point].into(),
        ..Record::default()
    };
    record.about.a = Player::named("Holt");
    let path = folder.join(if twice { "twice.points.json" } else { "once.points.json" });
    drop(Store::create(&path, record).unwrap());
    (path, moved)
}

/// A line on the ground in that frame is left out, and it is told why, where the marks do not hold there.
fn drawn(folder: &Path, path: &Path, moves: bool) {
    let out = Command::new(env!("CARGO_BIN_EXE_changeover"))
        .args(["draw", "--json", "--out"])
        .arg(path.with_extension("drawn"))
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

/// The same line in a clip of a lesson; looking at the frames ends when the video is stopped.
fn in_a_video(folder: &Path, path: &Path, moves: bool) {
    let drawing = changeover::record::load(path).unwrap().0.drawings[0].clone();
    let (from, to) = (drawing.from, drawing.to);
    let clip = Clip {
        of: Some(OfPoint {
            record: path.file_name().unwrap().to_string_lossy().into_owned(),
            point: 0,
            start: None,
        }),
        drawings: vec![drawing],
        ..serde_json::from_value(serde_json::json!({
            "footage": { "file": FILM, "duration": MatchTime::from_secs(9) }, "from": from, "to": to
        }))
        .unwrap()
    };
    let lesson = Lesson { parts: vec![Part::Clip(Box::new(clip))], ..Lesson::default() };
    let source = Source::new(Arc::new(lesson), folder.join("l.lesson.json"));
    let files = [(FILM.to_owned(), probe(&folder.join(FILM)).unwrap())].into();
    let kept = KeptCourts::within(folder.join("courts"));
    let grounds = Grounds::of(&source, &kept, &files, &mut |_| ControlFlow::Continue(())).unwrap();
    let said = grounds.left_out(&source.lesson, false, &files);
    assert_eq!(said.len(), usize::from(moves), "{said:?}");
    assert!(said.iter().all(|said| said.contains("the camera moves")), "{said:?}");
    let mut heard = 0;
    let stopped = Grounds::of(&source, &kept, &files, &mut |_| {
        heard += 1;
        if heard == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    let last = if moves { heard <= 3 } else { heard == 3 && stopped.is_err_and(|why| why.is_stop()) };
    assert!(last, "it went on after {heard}");
}

#[test]
fn places_in_a_moving_camera_that_nobody_followed_have_no_metres() {
    let folders = [CameraWork::Pan, CameraWork::Tripod].map(|work| (work, tempfile::tempdir().unwrap()));
    for ((work, folder), twice) in folders.iter().flat_map(|of| [(of, false), (of, true)]) {
        let moves = *work == CameraWork::Pan;
        let (path, moved) = clicked(*work, twice, folder.path());
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
        assert_eq!(line.get("ground").is_none(), moves, "{work:?} {twice}: {said}{told}");
        assert_eq!(told.contains("the camera moves") && told.contains("changeover court"), moves, "{told}");
        drawn(folder.path(), &path, moves);
        if twice {
            in_a_video(folder.path(), &path, moves);
        }
    }
}
