//! What is drawn on the ground of the court lies in a reel where the camera sees that ground.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Arc;

use changeover::drawing::{Anchor, Colour, Drawing, Shape};
use changeover::find::{Belief, FramePose, Seen, Start, Unseen};
use changeover::lesson::{Clip, Freeze, OfPoint};
use changeover::making::{Grounds, Source};
use changeover::measure::{Camera, Pixel, Size};
use changeover::record::footage::fingerprint;
use changeover::record::{Corner, CourtMark, CourtMarks, FoundBy, Record, Store};
use changeover::reel::render;
use changeover::session::followed::{Followed, KeptCourts};
use changeover::tennis::court::Spot;
use changeover::time::MatchTime;
use changeover::video::Frame;

use crate::asked::{Bench, clip, container, frames, lesson, ms, part};
use crate::film::{Film, HEIGHT, WIDTH};

/// A camera behind the near baseline that looks so far to the right of the net's middle.
fn camera(aside: f64) -> Camera {
    Camera::looking([0.0, -23.8872, 5.0], [aside, -2.0, 0.0], 60.0, Size::new(WIDTH, HEIGHT)).unwrap()
}

fn marks() -> CourtMarks {
    let seen = |corner: Corner| camera(0.0).see_ground(corner.landmark().spot).unwrap();
    CourtMarks {
        file: "a.mp4".into(),
        at: MatchTime::ZERO,
        size: Size::new(WIDTH, HEIGHT),
        marks: Corner::ALL.map(|landmark| CourtMark { landmark, at: seen(landmark).into() }).to_vec(),
        by: FoundBy::Hand,
        centre: None,
        moving: false,
    }
}

/// A record of the film, which begins on the match clock after a minute.
fn record(film: &Path) -> Record {
    let footage = changeover::record::Footage {
        file: "a.mp4".into(),
        fingerprint: fingerprint(film).ok(),
        duration: ms(4000),
        rate: None,
        rotation: 0,
        start: ms(60_000),
    };
    Record { footage: vec![footage], calibrations: vec![marks()], ..Record::default() }
}

const MIDDLE: (f64, f64) = (1.0, -6.0);
const RADIUS: f64 = 1.5;

fn ring(from: u64, to: u64) -> Drawing {
    let shape = Shape::Ring {
        middle: Anchor::on_ground(Spot::new(MIDDLE.0, MIDDLE.1)),
        radius: (RADIUS * 1000.0) as u32,
    };
    Drawing { shape, colour: Colour::Yellow, from: ms(from), to: ms(to) }
}

/// From 0.4 to 2.4 s, with a ring from 0.8 to 1.6 s, and another in a freeze at 2 s.
fn shown() -> Clip {
    let mut shown = clip("a.mp4", 400, 2400);
    shown.of = Some(OfPoint { record: "m.points.json".into(), point: 0, start: None });
    shown.drawings = vec![ring(800, 1600)];
    shown.freezes = vec![Freeze { at: ms(2000), lasts: ms(400), drawings: vec![ring(0, 400)] }];
    shown
}

/// Left, top, right and bottom.
type Bounds = [f64; 4];

fn bounds(points: impl Iterator<Item = (f64, f64)>) -> Option<Bounds> {
    points.fold(None, |b, (x, y)| {
        let [l, t, r, u] = b.unwrap_or([x, y, x, y]);
        Some([l.min(x), t.min(y), r.max(x), u.max(y)])
    })
}

/// Around all that is yellow; the film itself is black and white.
fn yellow(frame: &Frame) -> Option<Bounds> {
    let data = frame.pixels.as_ref();
    let all = (0..frame.height as usize).flat_map(|y| (0..frame.width as usize).map(move |x| (x, y)));
    bounds(
        all.filter(|(x, y)| {
            let p = &data[y * frame.stride + x * 4..];
            i32::from(p[2]) - i32::from(p[0]) > 90 && i32::from(p[1]) - i32::from(p[0]) > 60
        })
        .map(|(x, y)| (x as f64, y as f64)),
    )
}

/// Around the ring as this camera sees it, its points projected one by one.
fn wanted(camera: &Camera) -> Bounds {
    let point = |n: u32| {
        let (sin, cos) = f64::from(n).to_radians().sin_cos();
        let Pixel { x, y } =
            camera.see_ground(Spot::new(MIDDLE.0 + RADIUS * cos, MIDDLE.1 + RADIUS * sin)).unwrap();
        (x, y)
    };
    bounds((0..360).map(point)).unwrap()
}

/// Whether they are the same but for the line's width, and the middle nearly is: one frame of the camera that turns is 1.7 pixels.
fn near(found: Option<Bounds>, wanted: Bounds) -> bool {
    let middle = |b: Bounds| f64::midpoint(b[0], b[2]);
    let border = |found: Bounds| found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 4.0);
    found.is_some_and(|found| border(found) && (middle(found) - middle(wanted)).abs() < 1.2)
}

/// The frames of a reel of the clip, and what is said to be left out.
fn made(bench: &Bench, kept: &KeptCourts, name: &str) -> (Vec<Frame>, Vec<String>) {
    let lesson = lesson(vec![part(shown())]);
    let plan = bench.plan(&lesson, (WIDTH, HEIGHT));
    let source = Source::new(Arc::new(lesson), bench.path("l.lesson.json"));
    let grounds = Grounds::of(&source, kept, &bench.files, &mut |_| ControlFlow::Continue(())).unwrap();
    let out = bench.path(name);
    let ground = |clip: &Clip, at| grounds.camera(clip, at);
    render(&source.lesson, &bench.files, &plan, (&out, container(&out)), &ground, &mut |_| {
        ControlFlow::Continue(())
    })
    .unwrap();
    (frames(&out), grounds.left_out(&source.lesson, false, &bench.files))
}

#[test]
fn drawings_on_the_ground_lie_where_the_camera_sees_them_and_follow_it() {
    let bench = Bench::of(&[("a.mp4", Film::constant("25", 100))]);
    let film = bench.path("a.mp4");
    let kept = KeptCourts::within(bench.path("courts"));
    // Without the record nobody knows the camera.
    let (all, said) = made(&bench, &kept, "none.mp4");
    assert!(all.iter().all(|f| yellow(f).is_none()));
    assert!(said[0].starts_with("clip 1: what is drawn on the ground is left out: "), "{said:?}");
    assert!(said[0].contains("m.points.json"), "{said:?}");
    drop(Store::create(&bench.path("m.points.json"), record(&film)).unwrap());
    // The film shows no court, so its frames do not tell that the camera stands.
    let (all, said) = made(&bench, &kept, "unknown.mp4");
    assert!(all.iter().all(|f| yellow(f).is_none()));
    let moves = "the camera moves, or the court is not where it was marked; run `changeover court` on it first, or open it in the \
        window, which follows the court from the marks";
    assert_eq!(said, [format!("clip 1: what is drawn on the ground is left out: {moves}")]);
    let print = fingerprint(&film).unwrap();
    kept.keep(&print, &Followed::still(&[marks()]));
    // The camera stands: frames 10 to 59 of the film; after frame 50 the freeze, 10 frames long.
    let (all, said) = made(&bench, &kept, "still.mp4");
    assert_eq!(said, [""; 0]);
    let seen: Vec<usize> = (0..all.len()).filter(|k| yellow(&all[*k]).is_some()).collect();
    assert_eq!(seen, (10..30).chain(41..51).collect::<Vec<_>>(), "{} frames", all.len());
    for k in seen {
        let found = yellow(&all[k]);
        assert!(near(found, wanted(&camera(0.0))), "frame {k}: {found:?} {:?}", wanted(&camera(0.0)));
    }
    // The camera turns from frame to frame, and the court was followed: the ring goes with the ground.
    kept.keep(&print, &Followed::new((0..100).map(pose).collect(), vec![start()], &[marks()]));
    let (all, said) = made(&bench, &kept, "moving.mp4");
    for (k, n) in [(10, 20), (20, 30), (29, 39)] {
        let (found, wanted) = (yellow(&all[k]), wanted(&camera(aside(n))));
        assert!(near(found, wanted), "frame {k}: {found:?} {wanted:?}");
    }
    assert!(!near(yellow(&all[29]), wanted(&camera(0.0))), "it moved");
    // Where the court is not held, nothing lies on the ground.
    let seen: Vec<usize> = (0..40).filter(|k| yellow(&all[*k]).is_some()).collect();
    assert_eq!(seen, (10..24).chain(27..30).collect::<Vec<_>>());
    let of = "of 3 of 21 frames: the court is not seen there";
    assert_eq!(said, [format!("clip 1: what is drawn on the ground is left out {of}")]);
}

/// How far to the right the camera looks in frame `n`.
fn aside(n: u64) -> f64 {
    0.15 * n as f64
}

/// The court is not held in frames 34 to 36.
fn pose(n: u64) -> FramePose {
    let held = Seen::Held { camera: camera(aside(n)), support: 1.0, rms: 0.3, start: 0 };
    let seen = if (34..37).contains(&n) { Seen::No(Unseen::Cut) } else { held };
    FramePose { time: ms(n * 40), seen }
}

fn start() -> Start {
    Start {
        time: MatchTime::ZERO,
        belief: Belief::Sure,
        covariance: nalgebra::SMatrix::identity() * 1e-6,
        rms: 0.3,
    }
}

fn said(bench: &Bench) -> Vec<String> {
    let source = Source::new(Arc::new(lesson(vec![part(shown())])), bench.path("l.lesson.json"));
    let kept = KeptCourts::within(bench.path("courts"));
    let grounds = Grounds::of(&source, &kept, &bench.files, &mut |_| ControlFlow::Continue(())).unwrap();
    grounds.left_out(&source.lesson, false, &bench.files)
}

/// A court that is marked in several frames holds between them only if the camera stood meanwhile.
#[test]
fn several_marks_in_footage_that_nobody_followed_hold_in_their_own_frames() {
    let bench = Bench::of(&[("a.mp4", Film::constant("25", 100))]);
    let mut twice = record(&bench.path("a.mp4"));
    twice.calibrations.push(CourtMarks { at: ms(880), ..marks() });
    drop(Store::create(&bench.path("m.points.json"), twice).unwrap());
    let said = said(&bench);
    assert!(
        said[0].starts_with("clip 1: what is drawn on the ground is left out of 20 of 21 frames: "),
        "{said:?}"
    );
}

/// Footage that cannot be looked at: nobody knows whether the marks hold, and the drawings may lie wrong.
#[test]
fn where_nobody_can_tell_whether_the_camera_stands_that_is_said() {
    let bench = Bench::of(&[("a.mp4", Film::constant("25", 100))]);
    drop(Store::create(&bench.path("m.points.json"), record(&bench.path("a.mp4"))).unwrap());
    std::fs::remove_file(bench.path("a.mp4")).unwrap();
    let said = said(&bench);
    assert!(
        said[0].starts_with("clip 1: nobody has found out whether the camera moves; if it does, "),
        "{said:?}"
    );
    assert_eq!(said.len(), 1);
}
