//! Going to a time, exporting and making a practice match, as a coach would, in a window.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::correct_tests::all;
use super::court_file::PictureFormat;
use super::export::Subject;
use super::{export, go_to, practice, saving_as};
use crate::demo::Demo;
use crate::export::{Format, PointFormat};
use crate::gui::ribbon::tests::{five_sets, window_with};
use crate::gui::window::Window;
use crate::gui::window::tests::{empty_window, footage, is_at, times, turn_until, window_on};
use crate::logging::{Action, Meaning};
use crate::session::exporting::Wish;

fn press(dialog: &gtk::Window, label: &str) {
    let buttons = all::<gtk::Button>(dialog);
    buttons.iter().find(|b| b.label().as_deref() == Some(label)).unwrap().emit_clicked();
}

fn said(window: &Window) -> String {
    window.imp().message.text()
}

#[gtk::test]
fn a_time_that_is_typed_is_shown_and_one_outside_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("holt-okafor.mp4");
    footage(&path, &times(100, 40));
    let window = window_on(&path);
    let dialog = go_to::dialog(window.model(), &window);
    dialog.present();
    let time = all::<gtk::Entry>(&dialog).remove(0);
    let wrong = all::<gtk::Label>(&dialog).into_iter().find(|l| l.has_css_class("wrong")).unwrap();
    time.set_text("5:00");
    press(&dialog, "Go");
    assert_eq!(wrong.label(), "There is no footage at 0:05:00. It runs from 0:00:00 to 0:00:04.");
    time.set_text("0:02");
    press(&dialog, "Go");
    turn_until("the frame at 2 s", || is_at(&window, 0, 50));
    assert!(!dialog.is_visible());
    let dialog = go_to::dialog(window.model(), &window);
    all::<gtk::Entry>(&dialog)[0].set_text("-1");
    press(&dialog, "Go");
    turn_until("the frame a second before", || is_at(&window, 0, 25));
    window.destroy();
}

#[gtk::test]
fn without_footage_going_to_a_time_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    go_to::show(window.model(), &window);
    assert!(said(&window).starts_with("There is no footage to go to a time in"), "{}", said(&window));
    window.destroy();
}

#[gtk::test]
fn what_is_seen_is_exported_and_the_record_never_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    let model = window.model();
    let dialog = export::dialog(model, &window, Subject::Match(Box::new(export::source(model).unwrap())));
    let drops = all::<gtk::DropDown>(&dialog);
    let formats = || drops[1].model().unwrap().n_items() as usize;
    assert_eq!(formats(), Format::ALL.len());
    drops[0].set_selected(1);
    assert_eq!(formats(), PointFormat::ALL.len());
    let to = folder.path().join("points.csv");
    let wish = Wish::Points(PointFormat::Csv);
    let of = export::source(model).unwrap();
    saving_as::write(model, move |to| of.save(wish, to), to.clone());
    turn_until("the file", || said(&window).starts_with("Exported to"));
    assert_eq!(std::fs::read_to_string(&to).unwrap().lines().count(), 109);
    let source = export::source(model).unwrap();
    let (record, before) = (source.path.clone(), std::fs::read(&source.path).unwrap());
    saving_as::write(model, move |to| source.save(wish, to), record.clone());
    turn_until("the refusal", || said(&window).starts_with("Nothing was exported"));
    assert_eq!(std::fs::read(&record).unwrap(), before);
    model.perform(&Meaning::Do(Action::RoomStudy));
    turn_until("an answer", || window.imp().study.answer_of(&record).is_some());
    dialog.destroy();
    // The court pictures of a question's answer are files too.
    let pool = crate::summary::study::Pool::new(vec![(*export::source(model).unwrap().record).clone()]);
    let question = crate::summary::study::starter(&[]).remove(0);
    let found = crate::summary::study::ask(&pool, &question, &crate::summary::study::Facets::default());
    let maps = found.maps.len();
    let answer = Some((Vec::new(), crate::session::exporting::OnScreen::Tables(found)));
    let source = crate::session::exporting::Source { answer, ..export::source(model).unwrap() };
    let dialog = export::dialog(model, &window, Subject::Match(Box::new(source.clone())));
    let drops = all::<gtk::DropDown>(&dialog);
    assert_eq!(drops[0].model().unwrap().n_items() as usize, 4 + maps);
    drops[0].set_selected(3);
    assert_eq!(drops[1].model().unwrap().n_items() as usize, PictureFormat::ALL.len());
    let (_, plan) = source.pictures().remove(0);
    for (form, start) in PictureFormat::ALL.into_iter().zip([&b"\x89PNG"[..], b"<?xml"]) {
        let to = folder.path().join(source.name_of("court", form.ending()));
        form.save(&plan, &source, &to).unwrap();
        assert!(std::fs::read(&to).unwrap().starts_with(start), "{form:?}");
        assert!(form.save(&plan, &source, &source.path).is_err(), "a record is never replaced");
    }
    assert_eq!(std::fs::read(&source.path).unwrap(), before);
    dialog.destroy();
    window.destroy();
}

#[gtk::test]
fn a_practice_match_is_made_and_opened_or_stopped() {
    crate::video::init().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let window = empty_window();
    let small = || Demo {
        points: Some(1),
        brisk: true,
        width: 64,
        height: 64,
        rate: "5".parse().ok(),
        ..Demo::default()
    };
    let dialog = practice::make(window.model(), &window, &folder.path().join("one"), small());
    dialog.present();
    turn_until("the match", || window.model().session().borrow().is_some());
    assert!(!dialog.is_visible());
    // The same folder again: nothing is replaced, and it is said.
    let dialog = practice::make(window.model(), &window, &folder.path().join("one"), small());
    dialog.present();
    let wrong =
        || all::<gtk::Label>(&dialog).into_iter().find(|l| l.has_css_class("wrong")).map(|l| l.label());
    turn_until("the refusal", || wrong().is_some());
    assert!(wrong().unwrap().contains("is there already"), "{wrong:?}", wrong = wrong());
    dialog.close();
    // Cancelled, nothing half-written stays.
    let two = folder.path().join("two");
    let long = Demo { points: Some(200), ..small() };
    let dialog = practice::make(window.model(), &window, &two, long);
    dialog.present();
    press(&dialog, "Cancel");
    assert!(!dialog.is_visible());
    turn_until("the end of the work", || !two.exists() || std::fs::read_dir(&two).unwrap().next().is_none());
    window.destroy();
}
