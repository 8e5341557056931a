//! Choosing a shot, deleting it, and undoing that, in the window.

use std::path::Path;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::window::Window;
use crate::gui::window::tests::{act, footage, is_at, points, times, turn_until, window_on};
use crate::logging::Action;
use crate::record::{Logged, Player, Point, Record, Shot, Store, sidecar_for};
use crate::session::state::Session;
use crate::tennis::Side;
use crate::time::MatchTime;

/// A point of 25 frames per second, from 1 s to 6 s, with shots at 1, 2, 3 and 5 s.
fn window_with_a_rally(path: &Path) -> Window {
    footage(path, &times(200, 40));
    let shot = |s| Shot { at: Some(MatchTime::from_secs(s)), ..Shot::default() };
    let point = Point {
        start: Some(MatchTime::from_secs(1)),
        end: Some(MatchTime::from_secs(6)),
        winner: Some(Side::B),
        logged: Some(Logged::Opening),
        shots: [1, 2, 3, 5].map(shot).into(),
        ..Point::default()
    };
    let mut record = Record { points: [point].into(), ..Record::default() };
    (record.about.a, record.about.b) = (Player::named("Holt"), Player::named("Okafor"));
    drop(Store::create(&sidecar_for(path), record).unwrap());
    // The record names no footage yet: opening the footage puts it there.
    window_on(path)
}

#[gtk::test]
fn a_shot_that_is_chosen_shows_its_moment_and_undo_says_what_it_undid() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with_a_rally(&folder.path().join("holt-okafor.mp4"));
    window.model().choose(0);
    let steps =
        [(Action::BallBack, 125), (Action::BallBack, 75), (Action::BallBack, 50), (Action::BallForward, 75)];
    for (action, frame) in steps {
        act(&window, action);
        turn_until(&format!("frame {frame}"), || is_at(&window, 0, frame));
    }
    act(&window, Action::BallOut);
    turn_until("the shot that came after the deleted one", || is_at(&window, 0, 125));
    let chosen =
        || window.model().session().borrow().as_ref().and_then(Session::chosen_shot).map(|s| s.number);
    assert_eq!((chosen(), points(&window)[0].shots.len()), (Some(2), 3));
    let said = || window.imp().message.text();
    act(&window, Action::Undo);
    turn_until("the message", || said() == "Undid: shot 3 of point 1 deleted");
    act(&window, Action::Redo);
    turn_until("the message", || said() == "Redid: shot 3 of point 1 deleted");
    window.destroy();
}

#[gtk::test]
fn while_the_footage_plays_a_shot_that_is_chosen_stands_still() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with_a_rally(&folder.path().join("holt-okafor.mp4"));
    window.model().choose(0);
    act(&window, Action::PlayPause);
    turn_until("playing", || window.model().is_playing());
    act(&window, Action::BallBack);
    turn_until("the last shot", || is_at(&window, 0, 125) && !window.model().is_playing());
    window.destroy();
}
