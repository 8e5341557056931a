//! The window with real footage, a real pipeline and the main loop running. Each frame of the footage carries its
//! number as a bar code, so that a stamp can be held against the picture that was on the screen.

use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;
use rand::{RngExt, SeedableRng};

use super::window::Window;
use crate::logging::{Action, KeyCard, Meaning};
use crate::record::Point;
use crate::time::{FrameRate, MatchTime};

use crate::video::{Container, EncodeSpec, Encoder, Frame};

const W: usize = 256;
const H: usize = 144;
const BITS: usize = 16;

/// Footage whose frame `n` shows `n` in 16 blocks, and below them the same turned over.
fn footage(path: &Path, times: &[MatchTime]) {
    let spec = EncodeSpec {
        path: path.to_owned(),
        width: W as u32,
        height: H as u32,
        container: Container::Mp4,
        rotation: 0,
        nominal_rate: None,
        audio: None,
        gop: Some(30),
        b_frames: 2,
    };
    let mut encoder = Encoder::start(&spec).unwrap();
    for (n, time) in times.iter().enumerate() {
        let mut pixels = vec![255u8; W * H * 4];
        for (i, pixel) in pixels.chunks_exact_mut(4).enumerate() {
            let (x, y) = (i % W, i / W);
            let bit = n >> (x * BITS / W) & 1 == 1;
            let white = if y < H / 2 { bit } else { !bit };
            pixel[..3].fill(if white { 235 } else { 20 });
        }
        let length = times.get(n + 1).map_or(Duration::from_millis(40), |next| *next - *time);
        encoder.video(pixels, *time, length).unwrap();
    }
    encoder.finish().unwrap();
}

/// The number that a frame shows.
fn number_in(frame: &Frame) -> usize {
    let pixels = frame.pixels.as_ref();
    let bright = |bit: usize, y: usize| pixels[y * frame.stride + (bit * W / BITS + W / BITS / 2) * 4] > 128;
    (0..BITS).fold(0, |n, bit| {
        let (above, below) = (bright(bit, H / 4), bright(bit, H * 3 / 4));
        assert_ne!(above, below, "the bar code is whole");
        n | usize::from(above) << bit
    })
}

fn turn_for(time: Duration) {
    let end = Instant::now() + time;
    let context = glib::MainContext::default();
    while Instant::now() < end {
        if !context.iteration(false) {
            std::thread::sleep(Duration::from_millis(1));
        }
    }
}

fn turn_until(what: &str, done: impl Fn() -> bool) {
    let end = Instant::now() + Duration::from_secs(20);
    while !done() {
        assert!(Instant::now() < end, "waited 20 s for {what}");
        turn_for(Duration::from_millis(5));
    }
}

/// A window without a file. Each has an application of its own name, as each run of the program has.
fn empty_window() -> Window {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let id = format!("org.changeover.Test{}", COUNT.fetch_add(1, Ordering::Relaxed));
    let flags = gtk::gio::ApplicationFlags::NON_UNIQUE;
    let app = gtk::Application::builder().application_id(id).flags(flags).build();
    app.register(gtk::gio::Cancellable::NONE).unwrap();
    let window = Window::new(&app, KeyCard::parse(crate::logging::card::BUILT_IN).unwrap());
    window.present();
    window
}

fn window_on(path: &Path) -> Window {
    crate::video::init().unwrap();
    let window = empty_window();
    window.open(path);
    turn_until("the first frame or a message", || {
        window.imp().paintable.painted().is_some() || window.imp().message_revealer.reveals_child()
    });
    assert!(window.imp().paintable.painted().is_some(), "{}", window.imp().message.label());
    window
}

fn points(window: &Window) -> Vec<Point> {
    window.imp().session.borrow().as_ref().unwrap().store.record().points.clone()
}

fn act(window: &Window, action: Action) {
    window.perform(&Meaning::Do(action));
}

/// Stamps at random moments, speeds and directions; returns how many were wrong, and how many there were.
fn stamps(window: &Window, times: &[MatchTime], how_many: usize) -> Vec<String> {
    let mut dice = rand_chacha::ChaCha8Rng::seed_from_u64(7);
    let mut wrong = Vec::new();
    for i in 0..how_many {
        match dice.random_range(0..8) {
            0 => act(window, Action::PlayPause),
            1 | 2 => act(window, Action::FrameForward),
            3 | 4 => act(window, Action::FrameBack),
            5 => act(window, if dice.random() { Action::Faster } else { Action::Slower }),
            _ => window.go_to(times[dice.random_range(0..times.len())]),
        }
        turn_for(Duration::from_millis(dice.random_range(0..30)));
        let shown = window.imp().paintable.painted().unwrap();
        act(window, Action::PointStart);
        let stamped = points(window).first().and_then(|p| p.start);
        if stamped != Some(times[number_in(&shown)]) {
            wrong.push(format!(
                "stamp {i}: stored {stamped:?}, the picture shows frame {}",
                number_in(&shown)
            ));
        }
        act(window, Action::DeletePoint);
    }
    wrong
}

#[gtk::test]
fn a_stamp_is_the_time_of_the_frame_on_the_screen() {
    let rate = FrameRate::new(30_000, 1001).unwrap();
    let constant: Vec<MatchTime> = (0..900).map(|n| rate.time_of(n)).collect();
    let mut variable = vec![MatchTime::ZERO];
    for n in 1..600u64 {
        let gap = [5, 17, 33, 40, 100, 16, 250][n as usize * 7 % 11 % 7];
        variable.push(variable[n as usize - 1].later(Duration::from_millis(gap)));
    }
    for (name, times) in [("constant.mp4", constant), ("variable.mp4", variable)] {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(name);
        footage(&path, &times);
        let index = crate::video::probe(&path).unwrap().index;
        let times: Vec<MatchTime> = (0..index.len()).map(|i| index.time(i)).collect();
        let window = window_on(&path);
        let wrong = stamps(&window, &times, 500);
        assert!(wrong.is_empty(), "{name}: {} of 500 wrong: {:?}", wrong.len(), &wrong[..wrong.len().min(5)]);
        window.destroy();
    }
}

#[gtk::test]
fn a_record_is_opened_again_as_it_was_left() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("holt okafor.mp4");
    footage(&path, &(0..200).map(|n| MatchTime::from_millis(n * 40)).collect::<Vec<_>>());
    let window = window_on(&path);
    act(&window, Action::PointStart);
    window.perform(&Meaning::Tag("drop shot".into()));
    window.go_to(MatchTime::from_secs(3));
    turn_until("the frame at 3 s", || window.imp().paintable.painted().is_some_and(|f| f.index == 75));
    act(&window, Action::WinnerB);
    act(&window, Action::FinishWinner);
    act(&window, Action::Undo);
    window.keep_note("stood too far back");
    let before = points(&window);
    assert_eq!(before.len(), 1);
    assert_eq!(before[0].end, Some(MatchTime::from_secs(3)));
    assert_eq!(before[0].finish, None);
    assert!(before[0].tags.contains("drop shot") && before[0].note == "stood too far back");
    window.close();
    let again = window_on(&path);
    assert_eq!(points(&again), before);
    turn_until("the place where it was left", || {
        again.imp().paintable.painted().is_some_and(|f| f.index == 75)
    });
    again.destroy();
}

#[gtk::test]
fn a_file_that_is_no_footage_says_so_and_the_window_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("notes.mp4");
    std::fs::write(&path, "these are notes, not pictures").unwrap();
    let window = empty_window();
    for path in [path, folder.path().join("missing.mp4"), folder.path().to_owned()] {
        window.imp().message.set_label("");
        let asked = Instant::now();
        window.open(&path);
        turn_until("a message", || !window.imp().message.label().is_empty());
        assert!(asked.elapsed() < Duration::from_secs(5), "{}", path.display());
        assert_eq!(window.imp().rooms.visible_child_name().as_deref(), Some("empty"));
    }
    window.destroy();
}
