use super::super::render::Renderer;
use super::super::shoot::turned;
use super::*;
use crate::time::FrameRate;

fn small() -> Demo {
    Demo { points: Some(2), brisk: true, width: 320, height: 180, ..Demo::default() }
}

fn digest(demo: &Demo) -> Vec<u8> {
    use sha2::Digest;
    let plan = plan(demo).unwrap();
    let mut renderer = Renderer::new(demo.width, demo.height).unwrap();
    let mut hash = sha2::Sha256::new();
    for i in 0..20_u32 {
        hash.update(renderer.frame(&plan.game.stage, f64::from(i) * 0.73, None).data());
    }
    hash.finalize().to_vec()
}

#[test]
fn the_same_number_gives_the_same_truth_and_pictures() {
    let (a, b) = (truth(&small()).unwrap(), truth(&small()).unwrap());
    let json = |t: &Truth| serde_json::to_string(t).unwrap();
    assert_eq!(json(&a), json(&b));
    assert_eq!(digest(&small()), digest(&small()));
    let other = Demo { number: 2, ..small() };
    assert_ne!(json(&truth(&other).unwrap()), json(&a));
    assert_ne!(digest(&other), digest(&small()));
}

#[test]
fn the_truth_reads_back() {
    let t = truth(&Demo { games: Some(2), files: 3, ..small() }).unwrap_err();
    assert!(t.to_string().contains("1 to 2 are allowed"), "{t}");
    let t = truth(&Demo { points: Some(5), files: 3, rate: None, ..small() }).unwrap();
    let text = serde_json::to_string(&t).unwrap();
    assert_eq!(serde_json::from_str::<Truth>(&text).unwrap(), t);
    assert_eq!(t.files.len(), 3);
    for pair in t.files.windows(2) {
        assert!(pair[0].end < pair[1].start, "the camera is off between files");
    }
    for p in &t.points {
        let within = |f: &File| f.start < p.span.start() && p.span.end() < f.end;
        assert_eq!(t.files.iter().filter(|f| within(f)).count(), 1, "point {}", p.number);
    }
}

#[test]
fn turning_and_turning_on_is_going_round() {
    let (w, h) = (6, 4);
    let upright: Vec<u8> = (0..w * h * 4).map(|i| i as u8).collect();
    let quarter = turned(&upright, w, h, 90);
    assert_eq!(
        quarter[0..4],
        upright[(w - 1) * 4..w * 4],
        "counter-clockwise: the right end comes to the top"
    );
    assert_eq!(turned(&quarter, h, w, 270), upright);
    assert_eq!(turned(&turned(&upright, w, h, 180), w, h, 180), upright);
}

#[test]
fn wishes_that_cannot_be_met_say_what_can() {
    for demo in [
        Demo { width: 321, ..small() },
        Demo { rotation: 45, ..small() },
        Demo { webm: true, rotation: 90, ..small() },
        Demo { files: 0, ..small() },
    ] {
        let e = truth(&demo).unwrap_err().to_string();
        assert!(e.contains("allowed") || e.contains("leave out"), "{e}");
    }
}

/// The start of a match of every kind there is: each file's size, rate, turn, codecs and number of frames are those that
/// the truth says, by our own probe, by GStreamer's, and by decoding all of it.
#[test]
fn every_kind_of_film_is_as_the_truth_says() {
    let rate = |r: &str| r.parse::<FrameRate>().ok();
    let wide = Demo { width: 1920, height: 1080, ..small() };
    for (frames, demo) in [
        (8, Demo { width: 1280, height: 720, rate: rate("25"), ..small() }),
        (8, Demo { rate: rate("60"), rotation: 270, frame_numbers: true, ..wide }),
        (24, Demo { rate: rate("30000/1001"), rotation: 180, ..small() }),
        (24, Demo { rotation: 90, rate: None, ..small() }),
        (24, Demo { files: 2, rate: None, ..small() }),
        (24, Demo { files: 2, webm: true, ..small() }),
        (24, Demo { rate: None, webm: true, ..small() }),
    ] {
        let (folder, mut plan) = (tempfile::tempdir().unwrap(), plan(&demo).unwrap());
        for (i, reel) in plan.reels.iter_mut().enumerate() {
            reel.moments.truncate(frames + 1);
            plan.truth.files[i] = file_of_match(&demo, i, reel);
        }
        let mut last = (0, 0);
        let t = film(&demo, plan, folder.path(), &mut |done, all| {
            last = (done, all);
            ControlFlow::Continue(())
        });
        assert_eq!(last, ((frames * demo.files as usize) as u64, (frames * demo.files as usize) as u64));
        for file in &t.unwrap().files {
            let path = folder.path().join(&file.name);
            assert_eq!(file.frames, frames as u64);
            assert_eq!(decoded(&path), file.frames, "{demo:?}");
            as_probed(&path, file, &demo);
            as_discovered(&path, file, &demo);
        }
        assert_eq!(left_in(folder.path()), demo.files as usize + 1);
    }
}

fn as_probed(path: &Path, file: &File, demo: &Demo) {
    let m = crate::video::probe(path).unwrap();
    assert_eq!((m.width, m.height, m.rotation), (file.width, file.height, file.rotation), "{demo:?}");
    assert_eq!((m.index.len() as u64, m.rate, m.has_audio), (file.frames, file.rate, true), "{demo:?}");
    let (lasts, wanted) = (m.duration.as_secs_f64(), (file.end - file.start).as_secs_f64());
    // The last frame of a WebM file has no successor that says how long it lasts, and a gap is of 100 ms at most; MP4 says it.
    let off = if demo.webm { 0.101 } else { 0.002 };
    assert!((lasts - wanted).abs() < off, "{lasts} s, wanted {wanted}: {demo:?}");
    assert!(m.warnings.is_empty(), "{:?}", m.warnings);
}

fn as_discovered(path: &Path, file: &File, demo: &Demo) {
    use gst_pbutils::prelude::*;
    let uri = url_of(path);
    let info = gst_pbutils::Discoverer::new(gst::ClockTime::from_seconds(60)).unwrap();
    let info = info.discover_uri(&uri).unwrap();
    let (pictures, sounds) = (info.video_streams(), info.audio_streams());
    assert_eq!((pictures.len(), sounds.len()), (1, 1), "{demo:?}");
    let kind = |i: &gst_pbutils::DiscovererStreamInfo| {
        i.caps().unwrap().structure(0).unwrap().name().as_str().to_owned()
    };
    let wanted = if demo.webm { ["video/x-vp8", "audio/x-opus"] } else { ["video/x-h264", "audio/mpeg"] };
    assert_eq!([kind(pictures[0].upcast_ref()), kind(sounds[0].upcast_ref())], wanted);
    let turned = matches!(demo.rotation, 90 | 270);
    let stored = if turned { (file.height, file.width) } else { (file.width, file.height) };
    assert_eq!((pictures[0].width(), pictures[0].height()), stored);
    if let Some(r) = demo.rate.filter(|_| !demo.webm) {
        let found = pictures[0].framerate();
        assert_eq!((found.numer() as u32, found.denom() as u32), (r.frames(), r.per()), "{demo:?}");
    }
    let tag = pictures[0].tags().and_then(|t| Some(t.get::<gst::tags::ImageOrientation>()?.get().to_owned()));
    let wanted = (demo.rotation != 0).then(|| format!("rotate-{}", demo.rotation));
    assert_eq!(tag.filter(|t| t != "rotate-0"), wanted);
}

fn url_of(path: &Path) -> String {
    gst::glib::filename_to_uri(path, None).unwrap().to_string()
}

fn left_in(folder: &Path) -> usize {
    std::fs::read_dir(folder).unwrap().count()
}

#[test]
fn stopped_half_way_nothing_half_written_is_left() {
    let folder = tempfile::tempdir().unwrap();
    let stopped = make_unless_stopped(&small(), folder.path(), &mut |done, _| match done {
        0..20 => ControlFlow::Continue(()),
        _ => ControlFlow::Break(()),
    });
    assert!(matches!(stopped, Err(DemoError::Stopped)));
    assert_eq!(left_in(folder.path()), 0);
}

fn decoded(path: &Path) -> u64 {
    use gst::prelude::*;
    gst::init().unwrap();
    let line = "filesrc name=from ! decodebin name=d ! video/x-raw ! appsink name=to sync=false";
    let pipeline = gst::parse::launch(line).unwrap().downcast::<gst::Pipeline>().unwrap();
    pipeline.by_name("from").unwrap().set_property("location", path);
    let sink = pipeline.by_name("to").unwrap().downcast::<gst_app::AppSink>().unwrap();
    pipeline.set_state(gst::State::Playing).unwrap();
    let mut n = 0;
    while sink.pull_sample().is_ok() {
        n += 1;
    }
    pipeline.set_state(gst::State::Null).unwrap();
    n
}

#[test]
fn a_moving_camera_is_written_down_for_each_frame() {
    let demo = Demo { camera: CameraWork::Pan, ..small() };
    let (folder, mut plan) = (tempfile::tempdir().unwrap(), plan(&demo).unwrap());
    plan.reels[0].moments.truncate(13);
    plan.truth.files[0] = file_of_match(&demo, 0, &plan.reels[0]);
    film(&demo, plan, folder.path(), &mut |_, _| ControlFlow::Continue(())).unwrap();
    let text = std::fs::read_to_string(folder.path().join(CAMERAS)).unwrap();
    let lines: Vec<serde_json::Value> = text.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    assert_eq!(lines.len(), 12);
    for (i, line) in lines.iter().enumerate() {
        assert_eq!((line["frame"].as_u64(), line["cut"].as_bool()), (Some(i as u64), Some(false)));
        assert_eq!(line["landmarks"].as_array().unwrap().len(), 14);
        assert!(line["lines"].as_u64().unwrap() >= 5, "{line}");
    }
    let again = make(&demo, folder.path(), &mut |_, _| {}).unwrap_err();
    assert!(matches!(again, DemoError::There { .. }), "{again}");
}
