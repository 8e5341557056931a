//! The window with real footage, a real pipeline and the main loop running. Each frame of the footage carries its
//! number as a bar code, so that a stamp can be held against the picture that was on the screen.

use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;
use rand::{RngExt, SeedableRng};

use crate::gui::window::Window;
use crate::logging::{Action, KeyCard, Meaning};
use crate::record::{Footage, Point, Record, Store, sidecar_for};
use crate::time::{FrameRate, MatchTime};

use crate::video::{Container, EncodeSpec, Encoder, Frame};

const W: usize = 256;
const H: usize = 144;
const BITS: usize = 16;

/// Footage whose frame `n` shows `n` in 16 blocks, and below them the same turned over.
pub(in crate::gui) fn footage(path: &Path, times: &[MatchTime]) {
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
pub(in crate::gui) fn number_in(frame: &Frame) -> usize {
    let pixels = frame.pixels.as_ref();
    let bright = |bit: usize, y: usize| pixels[y * frame.stride + (bit * W / BITS + W / BITS / 2) * 4] > 128;
    (0..BITS).fold(0, |n, bit| {
        let (above, below) = (bright(bit, H / 4), bright(bit, H * 3 / 4));
        assert_ne!(above, below, "the bar code is whole");
        n | usize::from(above) << bit
    })
}

pub(in crate::gui) fn turn_for(time: Duration) {
    let end = Instant::now() + time;
    let context = glib::MainContext::default();
    while Instant::now() < end {
        if !context.iteration(false) {
            std::thread::sleep(Duration::from_millis(1));
        }
    }
}

pub(in crate::gui) fn turn_until(what: &str, done: impl Fn() -> bool) {
    let end = Instant::now() + Duration::from_secs(20);
    while !done() {
        assert!(Instant::now() < end, "waited 20 s for {what}");
        turn_for(Duration::from_millis(5));
    }
}

/// A window without a file. Each has an application of its own name, as each run of the program has.
pub(in crate::gui) fn empty_window() -> Window {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let id = format!("org.changeover.Test{}", COUNT.fetch_add(1, Ordering::Relaxed));
    let flags = gtk::gio::ApplicationFlags::NON_UNIQUE;
    let app = gtk::Application::builder().application_id(id).flags(flags).build();
    app.register(gtk::gio::Cancellable::NONE).unwrap();
    let window = Window::new(&app, KeyCard::parse(crate::logging::card::BUILT_IN).unwrap());
    window.present();
    // A test of a list decodes nothing but what it asks for.
    crate::gui::kit::small_pictures::switch(false);
    // Jumps go to the stamp itself, where its frame is looked for.
    window.model().settings().borrow_mut().lead_in_ms = Some(0);
    window
}

pub(in crate::gui) fn window_on(path: &Path) -> Window {
    crate::video::init().unwrap();
    let window = empty_window();
    window.model().open(&[path.to_owned()]);
    turn_until("the first frame or a message", || {
        window.model().frames().painted().is_some() || window.imp().message.get_visible()
    });
    assert!(window.model().frames().painted().is_some(), "{}", window.imp().message.text());
    window
}

pub(in crate::gui) fn points(window: &Window) -> Vec<Point> {
    window.model().session().borrow().as_ref().unwrap().view.record.points.iter().cloned().collect()
}

/// Presses the key of an action and waits until what it asked for, if anything, is on disk.
pub(in crate::gui) fn act(window: &Window, action: Action) {
    window.perform(&Meaning::Do(action));
    settle(window);
}

pub(in crate::gui) fn settle(window: &Window) {
    turn_until("the keeper", || window.model().session().borrow().as_ref().is_none_or(|s| !s.waits()));
}

pub(in crate::gui) fn is_at(window: &Window, part: usize, frame: usize) -> bool {
    window.model().frames().painted().is_some_and(|s| (s.part, s.frame.index) == (part, frame))
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
            _ => window.model().go_to(times[dice.random_range(0..times.len())]),
        }
        turn_for(Duration::from_millis(dice.random_range(0..30)));
        let shown = window.model().frames().painted().unwrap().frame;
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
    settle(&window);
    window.model().go_to(MatchTime::from_secs(3));
    turn_until("the frame at 3 s", || is_at(&window, 0, 75));
    act(&window, Action::WinnerB);
    act(&window, Action::FinishWinner);
    act(&window, Action::Undo);
    window.model().ask(crate::session::keeper::Ask::Note("stood too far back".into()));
    settle(&window);
    let before = points(&window);
    assert_eq!(before.len(), 1);
    assert_eq!(before[0].end, Some(MatchTime::from_secs(3)));
    assert_eq!(before[0].finish, None);
    assert!(before[0].tags.contains("drop shot") && before[0].note == "stood too far back");
    window.close();
    turn_until("everything written", || crate::session::keeper::at_work() == 0);
    assert!(!sidecar_for(&path).with_extension("journal").exists(), "leaving saves");
    let again = window_on(&path);
    assert_eq!(points(&again), before);
    turn_until("the place where it was left", || is_at(&again, 0, 75));
    again.destroy();
}

#[gtk::test]
fn a_file_that_is_no_footage_says_so_and_the_window_goes_on() {
    crate::video::init().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("notes.mp4");
    std::fs::write(&path, "these are notes, not pictures").unwrap();
    let window = empty_window();
    for path in [path, folder.path().join("missing.mp4"), folder.path().to_owned()] {
        window.imp().message.set_text("");
        let asked = Instant::now();
        window.model().open(std::slice::from_ref(&path));
        turn_until("a message", || !window.imp().message.text().is_empty());
        assert!(asked.elapsed() < Duration::from_secs(5), "{}", path.display());
        assert_eq!(window.imp().rooms.visible_child_name().as_deref(), Some("empty"));
    }
    window.destroy();
}

#[gtk::test]
fn a_table_of_points_is_pointed_to_import() {
    crate::video::init().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let window = empty_window();
    for (name, bytes) in
        [("Points.CSV", &b"winner\na\n"[..]), ("book.xlsx", b"PK\x03\x04[Content_Types].xml")]
    {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        window.imp().message.set_text("");
        window.model().open(std::slice::from_ref(&path));
        turn_until("a message", || !window.imp().message.text().is_empty());
        let said = window.imp().message.text();
        assert!(said.contains("changeover import") && said.contains(name), "{said}");
    }
    window.destroy();
}

#[gtk::test]
fn what_is_wrong_with_the_own_files_is_still_said_when_footage_is_open() {
    crate::video::init().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("match.mp4");
    footage(&path, &times(10, 40));
    let window = empty_window();
    window.model().say_at_start("own.keys.toml: line 7: there is no such action");
    window.model().open(std::slice::from_ref(&path));
    turn_until("the footage", || window.model().session().borrow().is_some());
    let said = || window.imp().message.text().contains("there is no such action");
    turn_until("the message", || said() && window.imp().message.get_visible());
    assert!(window.imp().title.open() && window.imp().switch.get_visible());
    window.imp().message.activate_action("message.close", None).unwrap();
    assert!(!window.imp().message.get_visible(), "closed");
    assert!(window.model().at_start().borrow().is_empty(), "said once, not with every file");
    window.destroy();
}

pub(in crate::gui) fn times(frames: u64, every: u64) -> Vec<MatchTime> {
    (0..frames).map(|n| MatchTime::from_millis(n * every)).collect()
}

/// Two files of one match: 50 frames at 25 a second, then 20 at 10 a second.
fn match_in_two_files(folder: &Path) -> Vec<std::path::PathBuf> {
    let paths = vec![folder.join("holt-2.mp4"), folder.join("holt-1.mp4")];
    footage(&paths[1], &times(50, 40));
    footage(&paths[0], &times(20, 100));
    paths
}

#[gtk::test]
fn files_dropped_together_are_one_match_on_one_clock() {
    crate::video::init().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let files: Vec<_> = match_in_two_files(folder.path()).iter().map(gtk::gio::File::for_path).collect();
    let window = empty_window();
    let controllers = window.observe_controllers();
    let drop = (0..controllers.n_items())
        .find_map(|i| controllers.item(i).and_downcast::<gtk::DropTarget>())
        .expect("the window takes drops");
    let value = gtk::gdk::FileList::from_array(&files).to_value();
    let taken: bool = drop.emit_by_name("drop", &[&glib::BoxedValue(value), &0f64, &0f64]);
    assert!(taken);
    turn_until("the first frame", || is_at(&window, 0, 0));
    assert!(window.imp().message.text().contains("2 files make one match"));
    // In the second file the stamps go on where the first one ended: 2 s, and 10 frames per second.
    window.model().go_to(MatchTime::from_millis(3050));
    turn_until("the second file", || is_at(&window, 1, 10));
    assert_eq!(number_in(&window.model().frames().painted().unwrap().frame), 10);
    assert!(window.imp().log.imp().frame.label().starts_with("file 2 of 2 · frame 11 of 20"));
    assert!(
        window.imp().log.imp().transport.imp().clock.label().starts_with("0:00:03.0"),
        "{}",
        window.imp().log.imp().transport.imp().clock.label()
    );
    act(&window, Action::PointStart);
    act(&window, Action::StartFrameEarlier);
    let moment = |part, frame| {
        let place = crate::session::parts::Place { part, frame };
        window.model().session().borrow().as_ref().unwrap().parts.moment(place)
    };
    assert_eq!(points(&window)[0].start, moment(1, 9));
    assert_eq!(moment(1, 0).unwrap().nanos() / 10_000_000, 200, "it starts 2 s after the first");
    // Stepping crosses the border both ways.
    window.model().go_to(moment(1, 0).unwrap());
    turn_until("the border", || is_at(&window, 1, 0));
    act(&window, Action::FrameBack);
    turn_until("the last frame of the first file", || is_at(&window, 0, 49));
    act(&window, Action::FrameForward);
    turn_until("the first frame of the second", || is_at(&window, 1, 0));
    window.close();
    turn_until("everything written", || crate::session::keeper::at_work() == 0);
}

#[gtk::test]
fn playing_runs_on_from_file_to_file_and_clips_are_played_across_them() {
    let folder = tempfile::tempdir().unwrap();
    let paths = match_in_two_files(folder.path());
    crate::video::init().unwrap();
    let window = empty_window();
    window.model().open(&paths);
    turn_until("the first frame", || is_at(&window, 0, 0));
    window.model().go_to(MatchTime::from_millis(1600));
    turn_until("near the end of the first file", || is_at(&window, 0, 40));
    act(&window, Action::PointStart);
    act(&window, Action::PlayPause);
    turn_until("the second file", || window.model().frames().painted().is_some_and(|s| s.part == 1));
    turn_until("some of it", || window.model().frames().painted().is_some_and(|s| s.frame.index >= 3));
    act(&window, Action::WinnerA);
    let point = &points(&window)[0];
    assert!(point.end.unwrap() >= MatchTime::from_millis(2300), "{point:?}");
    act(&window, Action::PlayMatching);
    turn_until("the clip in the first file", || {
        window.model().frames().painted().is_some_and(|s| s.part == 0)
    });
    turn_until("the clip in the second", || window.model().frames().painted().is_some_and(|s| s.part == 1));
    turn_until("the end of the clips", || !window.model().plays_clips());
    window.destroy();
}

/// Three files with their places on the match clock: 30 a second from 0 to 2 s; after a gap 25 a second from 3 to 5 s;
/// 10 a second from 4.5 to 6.5 s, of which the first half second is under the second file.
fn match_with_gap_and_overlap(folder: &Path) -> std::path::PathBuf {
    let mut record = Record::default();
    for (file, frames, every, start) in [
        ("holt-1.mp4", 60, 1000.0 / 30.0, 0),
        ("holt-2.mp4", 50, 40.0, 3_000),
        ("holt-3.mp4", 20, 100.0, 4_500),
    ] {
        let times: Vec<_> =
            (0..frames).map(|n| MatchTime::from_nanos((f64::from(n) * every * 1e6) as u64)).collect();
        footage(&folder.join(file), &times);
        let (duration, start) = (MatchTime::from_secs(2), MatchTime::from_millis(start));
        record.footage.push(Footage {
            file: file.into(),
            fingerprint: None,
            duration,
            rate: None,
            rotation: 0,
            start,
        });
    }
    let path = folder.join("holt.points.json");
    drop(Store::create(&path, record).unwrap());
    path
}

#[gtk::test]
fn a_gap_is_passed_over_and_an_overlap_shows_the_earlier_file() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_on(&match_with_gap_and_overlap(folder.path()));
    let at = |part, frame| move |w: &Window| is_at(w, part, frame);
    let reach = |what: &str, there: &dyn Fn(&Window) -> bool| turn_until(what, || there(&window));
    // Nothing was filmed from 2 to 3 s: steps pass over it, both ways.
    window.model().go_to(MatchTime::from_millis(1_970));
    reach("the last frame before the gap", &at(0, 59));
    act(&window, Action::FrameForward);
    reach("the first one after it", &at(1, 0));
    act(&window, Action::PointStart);
    assert!(points(&window)[0].start.unwrap().to_string().starts_with("00:00:03.00"));
    act(&window, Action::FrameBack);
    reach("the one before it again", &at(0, 59));
    // At 4.8 s two files have a picture: the earlier one shows it. The later goes on from its end, not from its own start.
    window.model().go_to(MatchTime::from_millis(4_810));
    reach("the second file under the third", &at(1, 45));
    window.model().go_to(MatchTime::from_millis(4_970));
    reach("the end of the second file", &at(1, 49));
    act(&window, Action::FrameForward);
    reach("the third file from 5 s on", &at(2, 5));
    assert_eq!(number_in(&window.model().frames().painted().unwrap().frame), 5);
    act(&window, Action::PointEnd);
    assert!(points(&window)[0].end.unwrap().to_string().starts_with("00:00:05.0"));
    act(&window, Action::FrameBack);
    reach("back in the second", &at(1, 49));
    // Playing crosses both.
    window.model().go_to(MatchTime::from_millis(1_800));
    reach("before the gap", &at(0, 54));
    act(&window, Action::PlayPause);
    reach("the second file", &|w| w.model().frames().painted().is_some_and(|s| s.part == 1));
    reach("the third file", &|w| w.model().frames().painted().is_some_and(|s| s.part == 2));
    assert!(window.model().frames().painted().is_some_and(|s| s.frame.index >= 5), "never shown twice");
    window.destroy();
}

#[gtk::test]
fn a_point_without_tags_is_counted_as_unknown_in_sight() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("m.mp4");
    footage(&path, &times(100, 40));
    let window = window_on(&path);
    for (at, tag) in [(0, Some("net")), (1000, Some("drop shot")), (2000, None)] {
        window.model().go_to(MatchTime::from_millis(at));
        turn_until("the frame", || is_at(&window, 0, at as usize / 40));
        act(&window, Action::PointStart);
        if let Some(tag) = tag {
            window.perform(&Meaning::Tag(tag.into()));
        }
        act(&window, Action::FrameForward);
        turn_until("the next frame", || is_at(&window, 0, at as usize / 40 + 1));
        act(&window, Action::WinnerA);
    }
    window.model().fill_filters();
    let row = window.model().filters().borrow().iter().position(|f| f.title() == "net").unwrap();
    window.model().filter_by(row);
    assert_eq!(window.imp().log.imp().points.imp().count.label(), "1 of 3 points · 1 unknown");
    act(&window, Action::ClearFilter);
    assert_eq!(window.imp().log.imp().points.imp().count.label(), "3 points");
    window.destroy();
}

#[gtk::test]
fn edits_that_reach_no_disk_keep_the_window_open_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("m.mp4");
    footage(&path, &times(50, 40));
    let window = window_on(&path);
    std::fs::remove_dir_all(folder.path()).unwrap();
    act(&window, Action::PointStart);
    assert_eq!(points(&window).len(), 1, "the edit is there");
    assert!(window.imp().message.get_visible());
    assert_eq!(window.imp().saved.words(), "not on disk");
    window.close();
    settle(&window);
    assert!(window.imp().message.text().contains("Quit once more"), "{}", window.imp().message.text());
    assert_eq!(points(&window).len(), 1);
    window.close();
    turn_until("the end", || crate::session::keeper::at_work() == 0);
}

/// Footage of 4 s with a point from 0.4 to 0.8 s and one from 2 to 3 s.
fn two_points(folder: &Path) -> std::path::PathBuf {
    let path = folder.join("m.mp4");
    footage(&path, &times(100, 40));
    let at = MatchTime::from_millis;
    let point = |from, to| Point {
        start: Some(at(from)),
        end: Some(at(to)),
        winner: Some(crate::tennis::Side::B),
        ..Point::default()
    };
    let film = Footage {
        file: "m.mp4".into(),
        fingerprint: None,
        duration: at(4_000),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    };
    let record = Record {
        footage: vec![film],
        points: vec![point(400, 800), point(2_000, 3_000)].into(),
        ..Record::default()
    };
    drop(Store::create(&sidecar_for(&path), record).unwrap());
    path
}

#[gtk::test]
fn the_film_leads_and_between_points_no_key_changes_a_finished_one() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_on(&two_points(folder.path()));
    settle(&window);
    let before = points(&window);
    let words = || window.imp().log.imp().line.imp().words.label();
    let drag = |ms: u64| {
        window.model().drag_to(MatchTime::from_millis(ms));
        window.model().rest_at(MatchTime::from_millis(ms));
        turn_until("the frame", || is_at(&window, 0, ms as usize / 40));
        settle(&window);
        turn_for(Duration::from_millis(60));
    };
    for (ms, said) in [
        (200, "Before point 1"),
        (400, "Point 1 of 2"),
        (1_200, "Between point 1 and point 2"),
        (2_400, "Point 2 of 2"),
        (3_600, "After point 2"),
    ] {
        drag(ms);
        assert!(words().starts_with(said), "at {ms} ms: {}", words());
    }
    drag(1_200);
    act(&window, Action::WinnerA);
    assert_eq!(points(&window), before, "nothing is changed");
    assert!(window.imp().message.text().contains("would change point 1"));
    // Chosen, it may be changed.
    window.model().choose(0);
    act(&window, Action::WinnerA);
    assert_eq!(points(&window)[0].winner, Some(crate::tennis::Side::A));
    window.destroy();
}

#[gtk::test]
fn the_frames_of_the_next_keys_are_there_before_the_keys() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_on(&two_points(folder.path()));
    let is_ready = || window.model().player().borrow().as_ref().is_some_and(crate::video::Player::is_ready);
    let starts: Vec<_> = points(&window).iter().filter_map(|p| p.start).collect();
    for (action, point) in [
        (Action::FirstPoint, 0),
        (Action::PointForward, 1),
        (Action::PointBack, 0),
        (Action::LastPoint, 1),
        (Action::FirstPoint, 0),
    ] {
        turn_for(Duration::from_millis(50));
        turn_until("the frames to be decoded", is_ready);
        window.perform(&Meaning::Do(action));
        // What is there already is taken without a wait.
        while glib::MainContext::default().iteration(false) {}
        assert_eq!(window.model().moment().get().map(|(at, _)| at), Some(starts[point]), "{action:?}");
        settle(&window);
    }
    window.destroy();
}

#[gtk::test]
fn a_key_plays_backwards_over_the_border_of_a_file() {
    let folder = tempfile::tempdir().unwrap();
    crate::video::init().unwrap();
    let window = empty_window();
    window.model().open(&match_in_two_files(folder.path()));
    turn_until("the footage", || window.model().frames().painted().is_some());
    let place = window.model().session().borrow().as_ref().unwrap().parts.get(1).unwrap().start;
    window.model().go_to(place.later(Duration::from_millis(300)));
    turn_until("the second file", || window.model().frames().painted().is_some_and(|s| s.part == 1));
    turn_for(Duration::from_millis(200));
    act(&window, Action::PlayBackward);
    assert!(window.model().is_backward());
    turn_until("the first file", || window.model().frames().painted().is_some_and(|s| s.part == 0));
    turn_until("backwards", || window.model().is_backward());
    let here = window.model().shown().unwrap();
    turn_until("an earlier frame", || window.model().shown().is_some_and(|t| t < here));
    act(&window, Action::PlayBackward);
    assert!(!window.model().is_playing());
    for _ in 0..10 {
        act(&window, Action::Slower);
    }
    assert!((window.model().speed() - 0.1).abs() < 1e-9);
    window.destroy();
}

#[gtk::test]
fn the_picture_can_have_all_of_the_window() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_on(&two_points(folder.path()));
    let log = window.imp().log.imp();
    let height = || window.imp().log.imp().view.height();
    turn_until("a layout", || height() > 32);
    let usual = height();
    act(&window, Action::LargeFootage);
    turn_until("a larger picture", || height() > usual);
    assert!(log.over.is_mapped() && !log.column.is_mapped() && !window.imp().ribbon.is_mapped());
    for shown in [true, true, true, false, true] {
        act(&window, Action::PadCorner);
        assert_eq!(log.over.imp().pad.get_visible(), shown);
    }
    act(&window, Action::ZoomIn);
    assert!(log.view.zoom() > 1.0);
    act(&window, Action::ZoomReset);
    assert!((log.view.zoom() - 1.0).abs() < 1e-9);
    act(&window, Action::LargeFootage);
    assert!(!log.over.get_visible() && log.column.get_visible());
    window.destroy();
}
