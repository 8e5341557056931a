//! The court followed through demo footage of a camera that moves, against the truth of each frame.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "helpers of tests fail by panicking")]

use std::ops::ControlFlow;
use std::path::Path;

use changeover::demo::{CameraWork, Demo, make_unless_stopped};
use changeover::find::{Belief, FilmFollower, Grey, Poses, Seen, Small};
use changeover::measure::{Camera, Pixel, Size};
use changeover::tennis::court::LANDMARKS;
use changeover::time::FrameRate;
use changeover::video::{each_frame, probe};

/// So many frames are followed.
const FRAMES: usize = 60;

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
