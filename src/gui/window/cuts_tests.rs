//! A cut that the user marks at the frame that is shown, and deletes again.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::Window;
use super::tests::{act, footage, is_at, times, turn_until, window_on};
use crate::clips::Lead;
use crate::facts::PointRef;
use crate::gui::model::Stage;
use crate::gui::picture::bar::FilmBar;
use crate::logging::Action;
use crate::record::fingerprint;
use crate::session::cuts::{KeptCuts, clips};
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

#[gtk::test]
fn the_search_for_cuts_says_how_far_it_is_and_can_be_cancelled_and_begun_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("long.mp4");
    // As many frames as no other test has: cuts are kept by what a file holds.
    footage(&path, &times(61, 40));
    let print = fingerprint(&path).unwrap();
    let window = window_on(&path);
    let model = window.model().clone();
    let button = window.imp().log.imp().line.imp().work.get();
    assert!(!button.is_visible());
    let bar = window.imp().log.imp().transport.imp().bar.get();
    let sizes = || (bar.compute_bounds(&window).unwrap(), button.parent().unwrap().height());
    model.find_cuts();
    // As if the footage played, so that the search rests.
    let plays = |plays| {
        let cutting = model.cutting().borrow();
        cutting.as_ref().unwrap().plays.store(plays, std::sync::atomic::Ordering::Relaxed);
    };
    plays(true);
    turn_until("some progress", || matches!(model.cutting_stage(), Some(Stage::At(part)) if part > 0.0));
    let label = button.label().unwrap();
    assert!(button.is_visible() && label.starts_with("Cuts: ") && label.ends_with(" %  ×"), "{label}");
    let at = |window: &Window| button.compute_bounds(window).unwrap();
    assert!(at(&window).x() + at(&window).width() <= window.width() as f32);
    let while_it_is_there = sizes();
    button.emit_clicked();
    assert_eq!((button.label().as_deref(), model.cutting_stage()), (Some("Find cuts"), Some(Stage::Stopped)));
    crate::gui::window::tests::turn_for(std::time::Duration::from_millis(600));
    assert_eq!(model.cutting_stage(), Some(Stage::Stopped), "it stays cancelled");
    assert!(!KeptCuts::default().are_found(&print), "half a search is no search");
    button.emit_clicked();
    assert!(button.grab_focus() && button.is_focus());
    turn_until("the end", || model.cutting_stage() == Some(Stage::Done));
    let focus = gtk::prelude::RootExt::focus(&window).unwrap();
    assert!(!focus.is::<gtk::Paned>() && focus.is_mapped(), "the focus is at {focus:?}");
    assert!(!button.is_visible() && KeptCuts::default().are_found(&print));
    crate::gui::window::tests::turn_for(std::time::Duration::from_millis(300));
    assert_eq!(sizes(), while_it_is_there, "nothing moves under the hand that drags along the bar");
    model.find_cuts();
    turn_until("what is known already", || model.cutting_stage() == Some(Stage::Done));
    window.destroy();
}
