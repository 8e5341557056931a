//! Following the court in the window, in demo footage whose camera is known in each frame.

use std::ops::ControlFlow;
use std::path::Path;
use std::time::{Duration, Instant};

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::demo::{CameraWork, Demo, make_unless_stopped};
use crate::gui::model::Stage;
use crate::gui::window::Window;
use crate::gui::window::tests::{act, points, settle, turn_for, turn_until, window_on};
use crate::logging::{Action, Key};
use crate::measure::{Pixel, Size};
use crate::record::{Corner, CourtMark, CourtMarks, Edit, FoundBy};
use crate::session::keeper::Ask;
use crate::tennis::court::LANDMARKS;
use crate::time::{FrameRate, MatchTime};

pub(super) const SIZE: Size = Size::new(640, 360);

/// A short film, and in each frame the pixels of the landmarks.
fn filmed(work: CameraWork, folder: &Path) -> Vec<Vec<Option<Pixel>>> {
    filmed_at(10, work, folder)
}

/// The same with so many frames a second.
pub(super) fn filmed_at(rate: u32, work: CameraWork, folder: &Path) -> Vec<Vec<Option<Pixel>>> {
    filmed_points(1, rate, work, folder)
}

/// The same with so many points.
fn filmed_points(points: u32, rate: u32, work: CameraWork, folder: &Path) -> Vec<Vec<Option<Pixel>>> {
    let demo = Demo {
        points: Some(points),
        brisk: true,
        width: SIZE.width,
        height: SIZE.height,
        rate: FrameRate::new(rate, 1).ok(),
        camera: work,
        ..Demo::default()
    };
    crate::video::init().unwrap();
    make_unless_stopped(&demo, folder, &mut |_, _| ControlFlow::Continue(())).unwrap();
    let text = std::fs::read_to_string(folder.join("holt-okafor.cameras.jsonl")).unwrap();
    let pixel = |v: &serde_json::Value| Some(Pixel::new(v[0].as_f64()?, v[1].as_f64()?));
    let line = |l: &str| {
        let frame: serde_json::Value = serde_json::from_str(l).unwrap();
        frame["landmarks"].as_array().unwrap().iter().map(pixel).collect()
    };
    text.lines().map(line).collect()
}

/// The marks of the court in the film's first frame.
pub(super) fn marks(first: &[Option<Pixel>]) -> CourtMarks {
    let mark = |(landmark, at): (Corner, &Option<Pixel>)| {
        let at = at.filter(|p| SIZE.holds(*p, 0.0))?.into();
        Some(CourtMark { landmark, at })
    };
    CourtMarks {
        file: "holt-okafor.mp4".into(),
        at: MatchTime::ZERO,
        size: SIZE,
        marks: Corner::ALL.into_iter().zip(first).filter_map(mark).collect(),
        by: FoundBy::Hand,
        centre: None,
        moving: false,
    }
}

/// A window on the film, the court marked in its first frame.
fn marked(folder: &Path, first: &[Option<Pixel>]) -> Window {
    let window = window_on(&folder.join("holt-okafor.mp4"));
    settle(&window);
    window.model().ask(Ask::Edit(Box::new(Edit::SetCalibrations(vec![marks(first)]))));
    settle(&window);
    turn_until("what is kept to be read", || {
        window.model().session().borrow().as_ref().is_some_and(|s| s.cameras.unread().is_empty())
    });
    window
}

/// The same, followed to the end.
fn followed(folder: &Path, first: &[Option<Pixel>]) -> Window {
    let window = marked(folder, first);
    window.model().follow_court();
    wait(&window, "the court to be followed", || window.model().following_stage() == Some(Stage::Done));
    settle(&window);
    window
}

/// Following takes long where nothing is optimised.
pub(super) fn wait(window: &Window, what: &str, mut done: impl FnMut() -> bool) {
    let end = Instant::now() + Duration::from_secs(120);
    while !done() {
        assert!(Instant::now() < end, "waited for {what}: {:?}", window.model().following_stage());
        turn_for(Duration::from_millis(10));
    }
}

fn go_to(window: &Window, frame: usize) {
    let at = window.model().session().borrow().as_ref().unwrap().media[0].index.time(frame);
    window.model().go_to(at);
    turn_until("the frame", || window.model().frames().painted().is_some_and(|s| s.frame.index == frame));
}

fn words(window: &Window) -> String {
    let shown = window.model().shown().unwrap();
    let session = window.model().session().borrow();
    session.as_ref().unwrap().cameras.following_words(shown).unwrap()
}

#[gtk::test]
fn a_position_in_a_frame_of_a_pan_is_measured_with_the_camera_of_that_frame() {
    let folder = tempfile::tempdir().unwrap();
    let truth = filmed(CameraWork::Pan, folder.path());
    let window = followed(folder.path(), &truth[0]);
    assert!(words(&window).starts_with("The camera moves. The court is seen in 100 %"), "{}", words(&window));
    let calibrations = window.model().session().borrow().as_ref().unwrap().view.record.calibrations.clone();
    assert!(calibrations[0].moving, "the record says that the marks do not hold in other frames");

    // A landmark that is seen in both frames, and the frame in which it is farthest from where it was.
    let shift = |f: usize, l: usize| {
        let inside = |p: &Pixel| SIZE.holds(*p, 0.0);
        let (was, is) = (truth[0][l].filter(inside), truth[f][l].filter(inside));
        was.zip(is).map_or(0.0, |(a, b)| a.distance(b))
    };
    let all = (0..truth.len()).flat_map(|f| (0..LANDMARKS.len()).map(move |l| (f, l)));
    let (frame, landmark) = all.max_by(|a, b| shift(a.0, a.1).total_cmp(&shift(b.0, b.1))).unwrap();
    assert!(shift(frame, landmark) > 10.0, "the camera hardly pans in this film");
    for action in [Action::PointStart, Action::PadLeft, Action::Measure] {
        act(&window, action);
    }
    go_to(&window, frame);
    let panel = window.imp().log.imp().measure.clone();
    turn_until("the page", || panel.takes_clicks());
    panel.click(truth[frame][landmark].unwrap());
    let return_key: Key = "Return".parse().unwrap();
    assert!(panel.key(&return_key));
    settle(&window);
    let kept = points(&window)[0].shots[0].positions[0];
    let place = crate::tennis::court::Spot::from(kept.measured.unwrap().place);
    let off = place.distance(LANDMARKS[landmark].spot).0;
    println!("{:.1} pixels from the first frame: {off:.3} m off", shift(frame, landmark));
    assert!(off < 0.4, "{off}");
    window.destroy();
}

#[gtk::test]
fn a_camera_that_stands_is_told_by_some_frames() {
    let folder = tempfile::tempdir().unwrap();
    let truth = filmed(CameraWork::Tripod, folder.path());
    let window = followed(folder.path(), &truth[0]);
    assert_eq!(words(&window), "The camera stands still: the marks hold in all frames.");
    assert!(!window.model().can_follow());
    window.destroy();
}

/// The camera of demo footage is bumped first after 11.75 s.
#[gtk::test]
fn a_bump_of_the_tripod_is_told_in_the_court_row() {
    let folder = tempfile::tempdir().unwrap();
    let truth = filmed_points(2, 10, CameraWork::Tripod, folder.path());
    assert!(truth.len() > 150, "{} frames", truth.len());
    let window = followed(folder.path(), &truth[0]);
    let row = window.imp().log.imp().measure.imp().following.get();
    act(&window, Action::Measure);
    let said =
        || row.first_child().and_downcast::<gtk::Label>().map(|l| l.label().to_string()).unwrap_or_default();
    turn_until("its words", || !said().is_empty());
    let bumped = "The camera was bumped at 0:00:11. Look at the court lines after it: ";
    assert!(said().starts_with(bumped), "{}", said());
    window.destroy();
}

#[gtk::test]
fn following_is_stopped_and_begun_again() {
    let folder = tempfile::tempdir().unwrap();
    let truth = filmed(CameraWork::Pan, folder.path());
    let window = marked(folder.path(), &truth[0]);
    let model = window.model();
    model.follow_court();
    assert!(matches!(model.following_stage(), Some(Stage::At(_))));
    model.cancel_following();
    // What the work still had to tell is heard before its end.
    turn_until("the end of the work", || model.following_stage() == Some(Stage::Stopped));
    turn_for(Duration::from_millis(50));
    assert!(model.can_follow(), "it can be begun again");
    let session = model.session().borrow();
    assert!(session.as_ref().unwrap().view.record.calibrations.iter().all(|c| !c.moving), "nothing is kept");
    drop(session);
    window.destroy();
}

#[gtk::test]
fn the_court_is_found_by_its_button() {
    let folder = tempfile::tempdir().unwrap();
    let truth = filmed(CameraWork::Tripod, folder.path());
    let window = window_on(&folder.path().join("holt-okafor.mp4"));
    settle(&window);
    act(&window, Action::Measure);
    let panel = window.imp().log.imp().measure.clone();
    turn_until("the page", || panel.takes_clicks());
    let row = || &panel.imp().search.get().unwrap().row;
    row().begin().grab_focus();
    row().begin().emit_clicked();
    assert_eq!(row().words(), "Looking for the court: 0 %");
    assert!(!panel.imp().told.is_visible() && !row().begin().is_visible());

    // It is cancelled: nothing more is heard of it.
    assert!(row().cancel().is_visible() && row().cancel().is_focus());
    let told = panel.imp().told.label();
    row().cancel().emit_clicked();
    assert!(row().begin().is_visible() && !row().cancel().is_visible() && row().words().is_empty());
    turn_for(Duration::from_secs(4));
    assert!(panel.imp().told.is_visible() && panel.imp().told.label() == told, "{told}");
    assert!(panel.imp().state.borrow().marking.as_ref().is_none_or(|m| m.marks().is_empty()));

    // A mark by hand ends it, too.
    row().begin().emit_clicked();
    panel.click(truth[0][1].unwrap());
    assert!(row().words().is_empty() && row().begin().is_visible());

    row().begin().grab_focus();
    row().begin().emit_clicked();
    let mut parts = std::collections::BTreeSet::new();
    wait(&window, "the search", || {
        parts.insert(row().words());
        !panel.imp().search.get().unwrap().is_on()
    });
    assert!(parts.len() > 3, "how far it is: {parts:?}");
    assert!(panel.imp().told.label().starts_with("Found. "), "{}", panel.imp().told.label());
    // Return is pressed where the keyboard is.
    assert!(!row().has_focus() && !row().begin().gets_focus_on_click());
    assert!(panel.imp().save.is_focus());
    assert!(!panel.imp().details.label().contains("pixels off"), "found marks agree with themselves");
    panel.imp().save.emit_clicked();
    settle(&window);
    let calibrations = window.model().session().borrow().as_ref().unwrap().view.record.calibrations.clone();
    assert_eq!((calibrations.len(), calibrations[0].by), (1, FoundBy::Found));
    let offs = calibrations[0].marks.iter().map(|m| {
        let at = truth[0][Corner::ALL.iter().position(|c| *c == m.landmark).unwrap()].unwrap();
        Pixel::from(m.at).distance(at)
    });
    let worst = offs.fold(0.0, f64::max);
    assert!(worst < 2.0, "{worst:.2} pixels off");
    window.destroy();
}
