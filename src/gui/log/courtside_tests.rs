//! A match logged without footage in the real window, left, opened again, and given a film.

use std::path::Path;
use std::time::Duration;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::window::Window;
use crate::gui::window::tests::{
    act, empty_window, footage, is_at, number_in, points, settle, times, turn_until,
};
use crate::logging::{Action, Meaning};
use crate::record::{Footage, Point};
use crate::time::MatchTime;

fn court_time(window: &Window) -> MatchTime {
    window.model().court_time().expect("the match clock runs")
}

/// Waits until the match clock shows something else, so that two stamps differ.
fn later(window: &Window) {
    let from = court_time(window).later(Duration::from_millis(20));
    turn_until("the match clock", || court_time(window) > from);
}

fn leave(window: &Window) {
    window.close();
    turn_until("everything written", || crate::session::keeper::at_work() == 0);
}

fn on_court(window: &Window) {
    turn_until("the page without footage", || {
        window.imp().log.imp().court.get_visible() && window.model().is_courtside()
    });
}

/// Three points without footage: how each is logged, and what the page says meanwhile.
fn log_three(window: &Window) {
    for (i, winner) in [Action::WinnerA, Action::WinnerB, Action::WinnerA].into_iter().enumerate() {
        let before = court_time(window);
        later(window);
        act(window, Action::PointStart);
        window.perform(&Meaning::Tag("net".into()));
        settle(window);
        assert!(window.imp().log.imp().court.imp().point.label().contains("being played since 0:00:0"));
        assert!(window.imp().log.imp().court.imp().keys.label().contains("Player A wins"));
        later(window);
        act(window, winner);
        let point = &points(window)[i];
        let (start, end) = point.start.zip(point.end).unwrap();
        assert!(before < start && start < end && end <= court_time(window), "{point:?}");
        assert!(start.nanos().is_multiple_of(10_000_000), "{start}: hundredths of a second");
        assert!(point.tags.contains("net"));
    }
    assert_eq!(
        window.imp().log.imp().court.imp().point.label(),
        "Next is point 4: Player A serves at 0–0, 30–15"
    );
}

fn refuses_to_play(window: &Window) {
    for action in [Action::PlayPause, Action::FrameForward, Action::SkipBack, Action::PlayMatching] {
        window.imp().message.set_text("");
        act(window, action);
        let said = window.imp().message.text();
        assert!(said.starts_with("There is no footage yet"), "{action:?}: {said}");
    }
}

fn record_footage(window: &Window) -> Vec<Footage> {
    window.model().session().borrow().as_ref().unwrap().view.record.footage.clone()
}

/// Attaches the film: point 2 starts at its frame 30, 1.2 s in.
fn attach(window: &Window, film: &Path) {
    window.model().attach(vec![film.to_owned()]);
    turn_until("the film", || is_at(window, 0, 0));
    assert!(window.imp().log.imp().attach.get_visible() && !window.imp().log.imp().court.get_visible());
    // What logs must wait, and changes nothing.
    let before = points(window);
    for meaning in [Meaning::Do(Action::WinnerB), Meaning::Do(Action::Undo), Meaning::Tag("net".into())] {
        window.perform(&meaning);
        settle(window);
        assert!(window.imp().message.text().starts_with("The footage has no place yet"));
    }
    assert_eq!(points(window), before);
    window.model().choose(1);
    assert!(window.imp().log.imp().attach.imp().words.label().starts_with("Point 2 was logged at 0:00:0"));
    assert!(is_at(window, 0, 0), "choosing a point leaves the picture");
    window.model().go_to(MatchTime::from_millis(1200));
    turn_until("the frame where point 2 starts", || is_at(window, 0, 30));
}

#[gtk::test]
fn three_points_without_footage_and_the_film_later() {
    crate::video::init().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let window = empty_window();
    window.model().log_without(&folder.path().join("holt-okafor"));
    on_court(&window);
    refuses_to_play(&window);
    log_three(&window);
    let logged = points(&window);
    leave(&window);

    // Opened again, the clock has gone on.
    let record = folder.path().join("holt-okafor.points.json");
    let window = empty_window();
    window.model().open(std::slice::from_ref(&record));
    on_court(&window);
    assert_eq!(points(&window), logged);
    assert!(court_time(&window) >= logged[2].end.unwrap());
    assert!(window.imp().message.text().is_empty(), "{}", window.imp().message.text());

    // The film is somewhat longer than the match; left once, then attached.
    let film = folder.path().join("camera.mp4");
    footage(&film, &times(250, 40));
    attach(&window, &film);
    act(&window, Action::ClearFilter);
    on_court(&window);
    attach(&window, &film);
    act(&window, Action::PointStart);
    turn_until("the footage", || !record_footage(&window).is_empty() && is_at(&window, 0, 30));
    assert!(!window.model().is_attaching() && !window.imp().log.imp().attach.get_visible());
    in_its_place(&window, &logged);

    // One undo takes it back, one redo brings it again.
    act(&window, Action::Undo);
    on_court(&window);
    assert_eq!(points(&window), logged);
    act(&window, Action::Redo);
    turn_until("the footage again", || window.model().frames().painted().is_some());
    leave(&window);

    // The record knows its footage from now on.
    let again = empty_window();
    again.model().open(&[record]);
    turn_until("the first frame", || again.model().frames().painted().is_some());
    in_its_place(&again, &logged);
    again.destroy();
}

/// All points lie as far from each other as they were logged; jumping to each shows the frame of its moment.
fn in_its_place(window: &Window, logged: &[Point]) {
    let (now, film) = (points(window), record_footage(window).remove(0));
    let start = |points: &[Point], i: usize| points[i].start.unwrap();
    assert_eq!(start(&now, 1) - film.start, Duration::from_millis(1200));
    for i in [0, 2, 1] {
        let (a, b) = (start(&now, i), start(&now, 0));
        assert_eq!(a - b, start(logged, i) - start(logged, 0));
        window.model().choose(i);
        let frame = ((a - film.start).as_millis() / 40) as usize;
        turn_until("the frame of the point", || is_at(window, 0, frame));
        assert_eq!(number_in(&window.model().frames().painted().unwrap().frame), frame);
    }
}

#[gtk::test]
fn a_record_without_a_clock_gets_one_that_starts_after_what_is_logged() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("m.points.json");
    let end = Some(MatchTime::from_secs(500));
    let point = Point { start: Some(MatchTime::from_secs(490)), end, ..Point::default() };
    let record = crate::record::Record { points: [point].into(), ..Default::default() };
    drop(crate::record::Store::create(&path, record).unwrap());
    let window = empty_window();
    window.model().open(&[path]);
    on_court(&window);
    assert_eq!(
        (window.model().court_time(), window.imp().log.imp().court.imp().clock.label().as_str()),
        (None, "–:––:––")
    );
    act(&window, Action::PointStart);
    assert!(window.imp().message.text().contains("does not run"));
    assert_eq!(points(&window).len(), 1);
    window.imp().log.imp().court.imp().start.emit_clicked();
    settle(&window);
    turn_until("the clock on the page", || {
        window.imp().log.imp().court.imp().clock.label().starts_with("0:08:2")
    });
    act(&window, Action::PointStart);
    assert!(points(&window)[1].start.unwrap() >= MatchTime::from_secs(500));
    window.destroy();
}
