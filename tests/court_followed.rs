//! The court followed through demo footage of a camera that moves, against the truth of each frame.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "helpers of tests fail by panicking")]

use std::ops::ControlFlow;
use std::path::Path;
use std::process::Command;

use changeover::demo::{CameraWork, Demo, make_unless_stopped};
use changeover::find::{Belief, FilmFollower, Grey, Poses, Seen, Small, find_court};
use changeover::measure::{Camera, Pixel, Size};
use changeover::record::{Corner, CourtMark, CourtMarks, FoundBy};
use changeover::session::seeing::{followed as followed_from, grey};
use changeover::tennis::court::LANDMARKS;
use changeover::time::{FrameRate, MatchTime};
use changeover::video::{each_frame, probe};

/// So many frames are followed.
const FRAMES: usize = 60;
const SIZE: Size = Size::new(640, 360);
/// More frames than are kept while the court is looked for.
const HIDDEN: usize = 160;

/// Footage of a camera that moves so, 640 × 360, and where the landmarks are in each frame.
fn filmed(work: CameraWork, folder: &Path) -> Vec<serde_json::Value> {
    let demo = Demo {
        points: Some(1),
        brisk: true,
        width: 640,
        height: 360,
        rate: FrameRate::new(25, 1).ok(),
        camera: work,
        ..Demo::default()
    };
    make_unless_stopped(&demo, folder, &mut |_, _| ControlFlow::Continue(())).unwrap();
    let truth = std::fs::read_to_string(folder.join("holt-okafor.cameras.jsonl")).unwrap();
    truth.lines().map(|l| serde_json::from_str(l).unwrap()).collect()
}

fn followed(film: &Path) -> Poses {
    let listed = probe(film).unwrap();
    let last = Some(listed.index.time(FRAMES - 1));
    let mut follower = FilmFollower::new(Belief::Proposal);
    each_frame(&listed, (None, last), &mut |frame, _| {
        let size = Size::new(frame.width, frame.height);
        let grey = Grey::of_bgra(size, size, frame.stride, frame.pixels.as_ref()).unwrap();
        follower.feed(frame.time, Small::of(grey));
        ControlFlow::Continue(())
    })
    .unwrap();
    follower.finish()
}

/// How far a landmark in the picture is off at most, in pixels.
fn worst(camera: &Camera, truth: &serde_json::Value) -> f64 {
    let marks = LANDMARKS.iter().zip(truth["landmarks"].as_array().unwrap());
    let off = marks.filter_map(|(l, t)| {
        let at = Pixel::new(t[0].as_f64()?, t[1].as_f64()?);
        camera.size().holds(at, 0.0).then(|| camera.see_ground(l.spot).map_or(1e3, |p| p.distance(at)))
    });
    off.fold(0.0, f64::max)
}

/// The corners of the court are what is drawn on the ground, so drawings stay within the same distance.
#[test]
fn the_court_and_what_is_drawn_on_it_stay_where_they_are_while_the_camera_moves() {
    for work in [CameraWork::Pan, CameraWork::Hand] {
        let folder = tempfile::tempdir().unwrap();
        let truth = filmed(work, folder.path());
        let poses = followed(&folder.path().join("holt-okafor.mp4"));
        assert_eq!(poses.frames().len(), FRAMES);
        let off = |f: &Seen, t| match f {
            Seen::Held { camera, .. } => worst(camera, t),
            Seen::No(why) => panic!("{why}"),
        };
        let offs: Vec<f64> = poses.frames().iter().zip(&truth).map(|(f, t)| off(&f.seen, t)).collect();
        let most = offs.iter().copied().fold(0.0, f64::max);
        println!("{work:?}: worst {most:.2} px");
        assert!(most < 2.0, "{work:?}: {offs:.1?}");
        assert!(poses.bumps().is_empty());
    }
}

/// The upper part of a film painted over: too little of the court is seen to be found, but enough to be followed from marks.
fn half_hidden(folder: &Path) -> std::path::PathBuf {
    let hidden = folder.join("hidden.mp4");
    let out = Command::new("ffmpeg")
        .args(["-v", "error", "-nostdin", "-i"])
        .arg(folder.join("holt-okafor.mp4"))
        .args(["-vf", "drawbox=0:0:iw:ih*0.46:color=gray:t=fill", "-an", "-g", "400", "-bf", "0"])
        .args(["-frames:v", &HIDDEN.to_string()])
        .arg(&hidden)
        .output()
        .unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    hidden
}

/// The marks of a frame of which the truth is this.
fn marked(at: MatchTime, truth: &serde_json::Value) -> CourtMarks {
    let mark = |landmark: Corner| {
        let n = LANDMARKS.iter().position(|l| l.spot == landmark.landmark().spot)?;
        let at = &truth["landmarks"][n];
        let at = Pixel::new(at[0].as_f64()?, at[1].as_f64()?);
        SIZE.holds(at, 0.0).then(|| CourtMark { landmark, at: at.into() })
    };
    CourtMarks {
        file: "hidden.mp4".into(),
        at,
        size: SIZE,
        marks: Corner::ALL.into_iter().filter_map(mark).collect(),
        by: FoundBy::Hand,
        centre: None,
        moving: false,
    }
}

/// Farther back than frames are kept while the court is looked for.
#[test]
fn from_marks_late_in_a_film_the_court_is_followed_backward_to_the_first_frame() {
    let folder = tempfile::tempdir().unwrap();
    let truth = filmed(CameraWork::Pan, folder.path());
    let media = probe(&half_hidden(folder.path())).unwrap();
    assert_eq!(media.index.len(), HIDDEN);
    let (truth, middle) = (&truth[..HIDDEN], HIDDEN - 10);
    // Without marks nothing is found, here in some frames only: to look in all takes minutes.
    let mut seen = 0;
    each_frame(&media, (None, None), &mut |frame, _| {
        if frame.index % 70 == 0 {
            let found = find_court(&grey(&frame).unwrap());
            let sure = found.is_ok_and(|court| court.belief == Belief::Sure);
            assert!(!sure, "in frame {}", frame.index);
            seen += 1;
        }
        ControlFlow::Continue(())
    })
    .unwrap();
    assert!(seen > 2, "{seen}");
    let marks = marked(media.index.time(middle), &truth[middle]);
    let mut told = Vec::new();
    let found = followed_from(&media, &[marks], &mut |part| {
        told.push(part);
        ControlFlow::Continue(())
    })
    .unwrap();
    assert!(told.is_sorted() && told.iter().all(|t| (0.0..=1.0).contains(t)), "{told:?}");
    let off = |n: usize| found.camera(media.index.time(n)).map(|camera| worst(camera, &truth[n]));
    let offs: Vec<_> = (0..truth.len()).map(off).collect();
    let most = offs.iter().flatten().copied().fold(0.0, f64::max);
    println!("{} frames, {middle} before the marks: worst {most:.2} px", offs.len());
    assert!(offs.iter().all(|o| o.is_some_and(|o| o < 2.0)), "{offs:.1?}");
}
