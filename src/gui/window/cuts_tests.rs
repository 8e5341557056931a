//! A cut that the user marks at the frame that is shown, and deletes again.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::Window;
use super::tests::{act, footage, is_at, times, turn_until, window_on};
use crate::clips::Lead;
use crate::facts::PointRef;
use crate::gui::picture::bar::FilmBar;
use crate::logging::Action;
use crate::session::cuts::clips;
use crate::time::MatchTime;

/// The bar of a page, wherever it lies in the window.
fn bar(below: &gtk::Widget) -> Option<FilmBar> {
    if let Some(bar) = below.downcast_ref::<FilmBar>() {
        return Some(bar.clone());
    }
    let mut child = below.first_child();
    while let Some(c) = child {
        if let Some(bar) = bar(&c) {
            return Some(bar);
        }
        child = c.next_sibling();
    }
    None
}

fn marks(window: &Window) -> Vec<f64> {
    bar(window.imp().log.upcast_ref()).unwrap().cuts()
}

fn press(window: &Window, says: &str) {
    act(window, Action::CutHere);
    turn_until(says, || window.imp().message.text().starts_with(says));
}

fn clip_starts(window: &Window) -> Vec<MatchTime> {
    let session = window.model().session().borrow();
    let record = &*session.as_ref().unwrap().view.record;
    let list = clips(&[record], &[PointRef { record: 0, point: 0 }], Lead::default());
    list.clips.iter().map(|c| c.span.start()).collect()
}

#[gtk::test]
fn a_cut_is_marked_by_hand_shown_on_the_bar_and_clips_stop_at_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("edited.mp4");
    // As many frames as no other test has: cuts are kept by what a file holds.
    footage(&path, &times(53, 40));
    let window = window_on(&path);
    let model = window.model().clone();
    let go = |ms: u64| {
        model.go_to(MatchTime::from_millis(ms));
        turn_until("the frame", || is_at(&window, 0, ms as usize / 40));
    };
    go(1200);
    act(&window, Action::PointStart);
    go(1600);
    act(&window, Action::WinnerA);
    turn_until("a point", || {
        window.model().session().borrow().as_ref().unwrap().view.record.points.len() == 1
    });
    assert_eq!(clip_starts(&window), [MatchTime::ZERO]);
    go(800);
    press(&window, "Cut marked");
    assert_eq!(marks(&window).len(), 1);
    assert!((marks(&window)[0] - 800.0 / 2120.0).abs() < 0.001, "{:?}", marks(&window));
    assert_eq!(clip_starts(&window), [MatchTime::from_millis(800)], "the lead-in stops at the cut");
    press(&window, "Cut deleted");
    assert_eq!((marks(&window).len(), clip_starts(&window)), (0, vec![MatchTime::ZERO]));
    window.destroy();
}
