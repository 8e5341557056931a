//! Who plays in points of many matches, filled in as a coach would.

use gtk::prelude::*;

use super::correct_tests::all;
use super::sources;
use crate::gui::window::tests::{act, footage, points, settle, times, window_on};
use crate::logging::Action;
use crate::tennis::Side;

#[gtk::test]
fn a_run_of_points_is_named_and_a_person_renamed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("points.mp4");
    footage(&path, &times(100, 40));
    let window = window_on(&path);
    act(&window, Action::FinishUnforced);
    for (frame, win) in [(0, Action::WinnerA), (10, Action::WinnerB), (20, Action::WinnerA)] {
        let at = window.model().session().borrow().as_ref().unwrap().parts.get(0).unwrap().index.time(frame);
        window.model().go_to(at);
        crate::gui::window::tests::turn_until("the frame", || {
            crate::gui::window::tests::is_at(&window, 0, frame)
        });
        act(&window, Action::PointStart);
        act(&window, win);
    }
    let save = |dialog: &gtk::Window| {
        let buttons = all::<gtk::Button>(dialog);
        buttons.iter().find(|b| b.label().as_deref() == Some("Save")).unwrap().emit_clicked();
        settle(&window);
    };
    let dialog = sources::dialog(window.model(), &window).unwrap();
    let spins = all::<gtk::SpinButton>(&dialog);
    spins[0].set_value(1.0);
    let entries: Vec<gtk::Entry> = all(&dialog);
    entries[0].set_text("Holt");
    entries[1].set_text("Okafor");
    save(&dialog);
    let names = || {
        let of = |p: &crate::record::Point| p.source.as_ref().map(|s| (s.a.clone(), s.b.clone()));
        points(&window).iter().map(of).collect::<Vec<_>>()
    };
    let pair = |a: &str, b: &str| Some((a.to_owned(), b.to_owned()));
    assert_eq!(names(), vec![pair("Holt", "Okafor"); 3]);
    assert_eq!(window.model().side_names(), ["Holt", "Okafor"], "the window names who plays this point");
    let row = window.model().session().borrow().as_ref().unwrap().board(Side::A);
    assert_eq!((row.name.as_str(), row.score), ("Holt", None), "no score is counted");
    let dialog = sources::dialog(window.model(), &window).unwrap();
    let name = all::<gtk::Entry>(&dialog).into_iter().rfind(|e| e.text() == "Holt").unwrap();
    name.set_text("Holt 2011");
    save(&dialog);
    assert_eq!(names(), vec![pair("Holt 2011", "Okafor"); 3]);
    act(&window, Action::Undo);
    assert_eq!(names(), vec![pair("Holt", "Okafor"); 3], "one undo takes it back");
    window.destroy();
}
