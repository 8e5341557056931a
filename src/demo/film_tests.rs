use super::*;

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

#[test]
fn a_small_film_decodes_to_as_many_frames_as_the_truth_says() {
    for demo in [
        Demo { points: Some(1), rotation: 90, ..small() },
        Demo { points: Some(2), files: 2, rate: None, ..small() },
        Demo { points: Some(1), webm: true, ..small() },
    ] {
        let folder = tempfile::tempdir().unwrap();
        let mut last = (0, 0);
        let t = make(&demo, folder.path(), &mut |done, all| last = (done, all)).unwrap();
        assert_eq!(last.0, last.1);
        for file in &t.files {
            assert_eq!(decoded(&folder.path().join(&file.name)), file.frames, "{}", file.name);
        }
        let mut names: Vec<_> =
            std::fs::read_dir(folder.path()).unwrap().map(|f| f.unwrap().file_name()).collect();
        names.retain(|n| !n.to_string_lossy().starts_with("holt-okafor"));
        assert!(names.is_empty(), "left behind: {names:?}");
    }
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
