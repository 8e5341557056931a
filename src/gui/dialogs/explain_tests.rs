//! The window explains a point of a real film, and goes to the ball of a condition.

use gtk::prelude::*;

use super::correct_tests::all;
use super::explain;
use crate::facts::tests::rally;
use crate::gui::kit::picker::Picker;
use crate::gui::ribbon::tests::{five_sets, window_with};
use crate::gui::window::tests::{act, footage, is_at, settle, times, turn_until, window_on};
use crate::logging::Action;
use crate::record::{Edit, Finish};
use crate::session::keeper::Ask;
use crate::time::MatchTime;

#[gtk::test]
fn return_on_a_condition_goes_to_its_ball() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("holt-okafor.mp4");
    footage(&path, &times(100, 40));
    let window = window_on(&path);
    let mut point = rally('A', Some(Finish::Winner), "wide/?/left fh drop").points.remove(0);
    point.start = Some(MatchTime::from_millis(400));
    point.end = Some(MatchTime::from_millis(3600));
    point.shots[2].at = Some(MatchTime::from_millis(2000));
    window.model().ask(Ask::Edit(Box::new(Edit::InsertPoint { at: 0, point })));
    settle(&window);
    window.model().choose(0);
    window.model().fill_filters();
    let row =
        window.model().filters().borrow().iter().position(|f| f.title() == "Pattern: Drop shot").unwrap();
    window.model().filter_by(row);
    settle(&window);
    let dialog = explain::dialog(window.model(), &window).unwrap();
    let said: Vec<String> = all::<gtk::Label>(&dialog).iter().map(|l| l.label().into()).collect();
    assert!(said.iter().any(|t| t == "✓  yes: this point shows the pattern"), "{said:?}");
    assert!(said.iter().any(|t| t.starts_with("3. Player A forehand") && t.ends_with("0:00:02")), "{said:?}");
    let list = all::<gtk::ListBox>(&dialog).pop().unwrap();
    let rows = all::<gtk::ListBoxRow>(&list);
    let ball =
        rows.iter().find(|r| all::<gtk::Label>(*r).iter().any(|l| l.label().starts_with("3. "))).unwrap();
    assert!(ball.is_activatable());
    dialog.present();
    list.emit_by_name::<()>("row-activated", &[ball]);
    turn_until("the ball", || is_at(&window, 0, 50));
    assert!(!dialog.is_visible(), "the dialog makes room for the picture");
    window.destroy();
}

#[gtk::test]
fn another_pattern_is_explained_and_what_cannot_be_shown_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let mut record = five_sets();
    let point = rally('A', Some(Finish::Winner), "wide/?/left fh drop").points.remove(0);
    record.points.last_mut().unwrap().shots = point.shots;
    record.points.last_mut().unwrap().logged = point.logged;
    let window = window_with(&folder, record);
    act(&window, Action::LastPoint);
    let dialog = explain::dialog(window.model(), &window).unwrap();
    let choice = all::<Picker>(&dialog).remove(0);
    let list = all::<gtk::ListBox>(&dialog).pop().unwrap();
    let verdict =
        || all::<gtk::Label>(&dialog).into_iter().find(|l| l.has_css_class("sentence")).unwrap().label();
    let names = window.model().session().borrow().as_ref().unwrap().patterns().to_vec();
    let number = |name: &str| names.iter().position(|p| p.name == name).unwrap() as u32;
    choice.set_selected(number("Break point"));
    assert_eq!(verdict(), "✗  no: this point does not show the pattern");
    assert!(!list.row_at_index(0).unwrap().is_activatable());
    choice.set_selected(number("Plan played"));
    assert_eq!(verdict(), "?  unknown: the record lacks the data to tell");
    choice.set_selected(number("Drop shot"));
    let ball = all::<gtk::ListBoxRow>(&list).into_iter().find(gtk::ListBoxRow::is_activatable).unwrap();
    list.emit_by_name::<()>("row-activated", &[&ball]);
    let trouble = all::<gtk::Label>(&dialog).into_iter().find(|l| l.has_css_class("wrong")).unwrap();
    assert_eq!(trouble.label(), "Nobody logged when shot 3 was struck.");
    assert!(trouble.get_visible());
    window.destroy();
}
