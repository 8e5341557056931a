//! The Library page in a window: records of folders, the search, its chips and clips.

use std::path::Path;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::LibraryPage;
use crate::facts::tests::record;
use crate::gui::kit::small_pictures::switch;
use crate::gui::kit::small_pictures::tests::{are_there, number};
use crate::gui::window::Window;
use crate::gui::window::tests::{act, empty_window, footage, times, turn_for, turn_until};
use crate::logging::Action;
use crate::record::{Point, Record, Store};
use crate::time::MatchTime;

pub(super) fn page(window: &Window) -> LibraryPage {
    window.imp().library.get()
}

pub(super) fn put(folder: &Path, name: &str, record: Record) {
    drop(Store::create(&folder.join(format!("{name}.points.json")), record).unwrap());
}

/// A window on the Library page, whose library is this folder.
pub(super) fn library_of(folder: &Path) -> Window {
    let window = empty_window();
    window.model().settings().borrow_mut().add_to_library(folder);
    act(&window, Action::RoomLibrary);
    window
}

fn buttons(within: &impl IsA<gtk::Widget>) -> Vec<gtk::Button> {
    let mut all = Vec::new();
    let mut next = within.first_child();
    while let Some(child) = next {
        match child.clone().downcast::<gtk::Button>() {
            Ok(button) => all.push(button),
            Err(other) => all.extend(buttons(&other)),
        }
        next = child.next_sibling();
    }
    all
}

fn chips(window: &Window) -> Vec<String> {
    let all = buttons(&page(window).imp().search.imp().chips.get());
    all.iter().map(|b| b.label().unwrap_or_default().into()).collect()
}

#[gtk::test]
fn without_folders_the_page_says_what_to_do() {
    let window = empty_window();
    act(&window, Action::RoomLibrary);
    let matches = page(&window).imp().matches.get();
    turn_until("the empty page", || matches.imp().empty.is_visible());
    assert!(matches.imp().empty_words.label().starts_with("Name the folders"));
    act(&window, Action::RoomLog);
    assert_eq!(window.imp().rooms.visible_child_name().as_deref(), Some("empty"), "no match is open");
    window.close();
}

#[gtk::test]
fn records_are_listed_found_and_follow_the_folder() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "a", record("AABB"));
    let mut other = record("ABAB");
    other.about.b.name = "Reyes".into();
    put(folder.path(), "b", other);
    std::fs::write(folder.path().join("c.points.json"), "{").unwrap();
    let window = library_of(folder.path());
    let matches = page(&window).imp().matches.get();
    turn_until("three records", || matches.shown() == 3);
    matches.imp().find.set_text("reyes");
    turn_until("one of them", || matches.shown() == 1);
    assert_eq!(matches.imp().count.label(), "1 of 3 records");
    matches.imp().find.set_text("");
    put(folder.path(), "d", record("AB"));
    turn_until("the new record", || matches.shown() == 4);
    window.close();
}

#[gtk::test]
fn words_become_chips_and_clips() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "a", record("AABB"));
    put(folder.path(), "b", record("ABBB"));
    let window = library_of(folder.path());
    let library = page(&window).imp().library.clone();
    turn_until("the facts", || library.words().suggest("hol", 3).len() == 1);
    let search = page(&window).imp().search.get();
    let results = page(&window).imp().results.get();
    search.write("Holt won");
    turn_until("the clips", || results.listed().len() == 3);
    assert_eq!(chips(&window), ["Holt  ×", "won  ×"]);
    buttons(&search.imp().chips.get())[1].emit_clicked();
    assert_eq!(search.text(), "Holt");
    turn_until("all points of Holt", || results.listed().len() == 8);
    search.write("Hotl won");
    turn_until("nothing", || results.listed().is_empty());
    assert_eq!(chips(&window), ["Hotl: not known  ×", "did you mean “holt”?", "won  ×"]);
    assert!(results.imp().says.label().starts_with("Not known: Hotl. "));
    buttons(&search.imp().chips.get())[1].emit_clicked();
    assert_eq!(search.text(), "holt won");
    turn_until("the clips again", || results.listed().len() == 3);
    // However many words are not known, the chips take one row.
    let height = search.height();
    let many: Vec<String> = (0..40).map(|n| format!("qx{n}z")).collect();
    search.write(&many.join(" "));
    turn_until("the chips", || chips(&window).len() >= 40);
    let says = "Not known: qx0z, qx1z, qx2z, qx3z, qx4z and 35 more. Remove them, or choose the word that was meant.";
    turn_until("what is not known", || results.imp().says.label() == says);
    turn_for(std::time::Duration::from_millis(200));
    assert_eq!((search.height(), window.width() <= 1440), (height, true));
    search.write("holt won");
    turn_until("the clips once more", || results.listed().len() == 3);
    let before = results.listed();
    results.imp().down.emit_clicked();
    assert_eq!(results.listed(), [before[1], before[0], before[2]]);
    results.imp().off.emit_clicked();
    assert_eq!(results.listed(), [before[1], before[2]]);
    search.write("Holt ace clay");
    turn_until("nothing", || results.listed().is_empty());
    window.close();
}

#[gtk::test]
fn clips_of_several_records_are_played_one_after_another() {
    let folder = tempfile::tempdir().unwrap();
    for (name, film) in [("a", "a.mp4"), ("b", "b.mp4")] {
        footage(&folder.path().join(film), &times(50, 40));
        let mut of = record("A");
        of.footage[0].file = film.into();
        of.footage[0].duration = MatchTime::from_secs(2);
        let at = |ms| Some(MatchTime::from_millis(ms));
        of.points = of.points.iter().cloned().map(|p| Point { start: at(400), end: at(1200), ..p }).collect();
        put(folder.path(), name, of);
    }
    let window = library_of(folder.path());
    let library = page(&window).imp().library.clone();
    turn_until("the facts", || library.words().suggest("hol", 3).len() == 1);
    page(&window).imp().search.write("Holt won");
    let results = page(&window).imp().results.get();
    turn_until("both clips", || results.listed().len() == 2);
    library.play_from(0);
    let model = window.model();
    turn_until("the first clip", || model.clip() == Some((0, 2)));
    turn_until("the second clip, of the other record", || model.clip() == Some((1, 2)));
    assert!(model.is_elsewhere() && model.session().borrow().is_none(), "no record was opened for it");
    turn_until("the end", || !model.plays_clips());
    assert!(page(&window).imp().footage.is_visible());
    let matches = page(&window).imp().matches.get();
    turn_until("both pictures", || {
        matches.imp().job.borrow().is_none() && matches.imp().wanted.borrow().is_empty()
    });
    window.close();
}

#[gtk::test]
fn clips_that_are_found_have_small_pictures() {
    let folder = tempfile::tempdir().unwrap();
    let film = folder.path().join("m.mp4");
    footage(&film, &times(100, 40));
    let mut of = record("ABA");
    (of.footage[0].file, of.footage[0].duration) = ("m.mp4".into(), MatchTime::from_secs(4));
    let at = |ms| Some(MatchTime::from_millis(ms));
    let placed = |(p, n): (Point, u64)| Point { start: at(n * 400), end: at(n * 400 + 300), ..p };
    of.points = of.points.iter().cloned().zip(1..).map(placed).collect();
    put(folder.path(), "m", of);
    let window = library_of(folder.path());
    switch(true);
    let library = page(&window).imp().library.clone();
    turn_until("the facts", || library.words().suggest("hol", 3).len() == 1);
    page(&window).imp().search.write("Holt won");
    let results = page(&window).imp().results.get();
    turn_until("the pictures", || results.listed().len() == 2 && are_there(&results, 2));
    let at = |ms| number(&film, MatchTime::from_millis(ms));
    assert_eq!([at(400), at(1200)], [10, 30]);
    switch(false);
    window.close();
}
