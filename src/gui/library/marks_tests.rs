//! Stars, tags, notes and the order of the clips that were found, in a window.

use std::path::Path;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::LibraryPage;
use super::tests::{library_of, page, put};
use crate::clips::Lead;
use crate::facts::tests::record;
use crate::gui::window::Window;
use crate::gui::window::tests::{act, empty_window, footage, settle, times, turn_for, turn_until};
use crate::logging::{Action, Meaning};
use crate::record::{Edit, Point, STAR, Store, load};
use crate::time::MatchTime;

/// Two records, and what Holt won in them: points 1 and 2 of `a`, point 1 of `b`.
fn found(folder: &Path) -> Window {
    put(folder, "a", record("AABB"));
    put(folder, "b", record("ABBB"));
    let window = library_of(folder);
    search(&window, "Holt won", 3);
    window
}

fn search(window: &Window, words: &str, clips: usize) {
    let library = page(window).imp().library.clone();
    turn_until("the facts", || library.words().suggest("hol", 3).len() == 1);
    page(window).imp().search.write(words);
    turn_until("the clips", || page(window).imp().results.listed().len() == clips);
}

/// A point as its file has it.
fn kept(folder: &Path, name: &str, point: usize) -> Point {
    load(&folder.join(format!("{name}.points.json"))).unwrap().0.points[point].clone()
}

fn marked(page: &LibraryPage) {
    turn_until("the mark", || page.imp().library.has_marked());
}

/// The titles of the clips, in their order.
fn titles(page: &LibraryPage) -> Vec<String> {
    let rows = page.imp().library.finds().look(|f| f.points.iter().map(|at| f.row(*at)).collect::<Vec<_>>());
    rows.into_iter().flatten().map(|r| format!("{}{}", if r.starred { "★ " } else { "" }, r.note)).collect()
}

fn said(window: &Window) -> String {
    window.imp().message.text()
}

fn select(page: &LibraryPage, place: u32) {
    let selection = page.imp().results.imp().list.model().and_downcast::<gtk::SingleSelection>();
    selection.unwrap().set_selected(place);
}

#[gtk::test]
fn stars_tags_and_notes_are_in_the_records_and_can_be_taken_back() {
    let folder = tempfile::tempdir().unwrap();
    let window = found(folder.path());
    let page = page(&window);
    let results = page.imp().results.get();
    let before = [kept(folder.path(), "a", 1), kept(folder.path(), "b", 0)];
    select(&page, 1);
    results.imp().star.emit_clicked();
    marked(&page);
    assert!(kept(folder.path(), "a", 1).tags.contains(STAR));
    assert_eq!(said(&window), "Starred point 2 of Holt – Okafor.");
    assert_eq!(titles(&page), ["", "★ ", ""]);
    assert_eq!(results.selected(), Some(1), "it stays selected");
    select(&page, 2);
    act(&window, Action::Note);
    assert!(results.imp().note.get_visible());
    results.imp().note.set_text("Too far back.");
    results.imp().note.emit_activate();
    window.perform(&Meaning::Tag("ask".into()));
    marked(&page);
    let point = kept(folder.path(), "b", 0);
    assert_eq!((point.note.as_str(), point.tags.contains("ask")), ("Too far back.", true));
    assert_eq!(titles(&page), ["", "★ ", "Too far back."]);
    assert!(!results.imp().note.get_visible());
    // Escape leaves the note as it was.
    act(&window, Action::Note);
    assert_eq!(results.imp().note.text(), "Too far back.");
    results.imp().note.set_text("Something else");
    assert!(page.leave_search() && !results.imp().note.get_visible());
    // The star is found by its word, once the records are read again.
    search(&window, "starred", 1);
    search(&window, "Holt won", 3);
    for _ in 0..3 {
        act(&window, Action::Undo);
        marked(&page);
    }
    assert_eq!([kept(folder.path(), "a", 1), kept(folder.path(), "b", 0)], before);
    for _ in 0..3 {
        act(&window, Action::Redo);
        marked(&page);
    }
    assert_eq!(
        (kept(folder.path(), "b", 0), titles(&page)),
        (point, ["", "★ ", "Too far back."].map(String::from).into())
    );
    assert!(kept(folder.path(), "a", 1).tags.contains(STAR));
    act(&window, Action::Undo);
    marked(&page);
    assert!(!kept(folder.path(), "b", 0).tags.contains("ask"));
    // What is new leaves nothing to do again.
    results.imp().star.emit_clicked();
    marked(&page);
    let starred = kept(folder.path(), "b", 0);
    act(&window, Action::Redo);
    marked(&page);
    assert_eq!(kept(folder.path(), "b", 0), starred);
    window.destroy();
}

#[gtk::test]
fn a_record_that_is_open_elsewhere_is_not_marked_and_the_message_says_where() {
    let folder = tempfile::tempdir().unwrap();
    let window = found(folder.path());
    let page = page(&window);
    let path = folder.path().join("a.points.json");
    let mut elsewhere = Store::open(&path).unwrap();
    page.imp().results.imp().star.emit_clicked();
    marked(&page);
    let text = said(&window);
    assert!(text.contains("a.points.json") && text.contains("it is open in process"), "{text}");
    assert!(text.contains("close it there"), "{text}");
    assert_eq!(titles(&page), ["", "", ""]);
    // The point moves: the one that is there now is not starred in its place.
    let _ = elsewhere.apply(Edit::RemovePoint { at: 0 }).unwrap();
    elsewhere.save().unwrap();
    drop(elsewhere);
    page.imp().results.imp().star.emit_clicked();
    marked(&page);
    assert!(load(&path).unwrap().0.points.iter().all(|p| p.tags.is_empty()));
    assert!(said(&window).contains("no longer as it was found"), "{}", said(&window));
    turn_until("the list as it is now", || page.imp().results.listed().len() == 2);
    window.destroy();
}

#[gtk::test]
fn a_point_of_the_record_that_is_open_here_is_marked_by_its_keeper() {
    let folder = tempfile::tempdir().unwrap();
    let window = found(folder.path());
    let page = page(&window);
    window.model().open(&[folder.path().join("a.points.json")]);
    turn_until("the record", || window.model().session().borrow().is_some());
    act(&window, Action::RoomLibrary);
    select(&page, 1);
    window.perform(&Meaning::Tag(STAR.into()));
    marked(&page);
    settle(&window);
    assert_eq!(said(&window), "Starred point 2 of Holt – Okafor.");
    let tags = |window: &Window| crate::gui::window::tests::points(window)[1].tags.contains(STAR);
    assert!(tags(&window));
    turn_until("the star", || titles(&page) == ["", "★ ", ""]);
    act(&window, Action::Undo);
    marked(&page);
    settle(&window);
    assert!(!tags(&window));
    window.destroy();
}

#[gtk::test]
fn a_clip_taken_off_comes_back_before_an_older_star_goes() {
    let folder = tempfile::tempdir().unwrap();
    let window = found(folder.path());
    let page = page(&window);
    act(&window, Action::RoomLibrary);
    select(&page, 1);
    window.perform(&Meaning::Tag(STAR.into()));
    marked(&page);
    select(&page, 0);
    act(&window, Action::DeletePoint);
    assert_eq!(titles(&page), ["★ ", ""]);
    for (action, after) in [
        (Action::Undo, vec!["", "★ ", ""]),
        (Action::Redo, vec!["★ ", ""]),
        (Action::Undo, vec!["", "★ ", ""]),
    ] {
        act(&window, action);
        assert_eq!(titles(&page), after, "{action:?}");
    }
    act(&window, Action::Undo);
    marked(&page);
    assert_eq!(titles(&page), ["", "", ""]);
    for after in [["", "★ ", ""].as_slice(), &["★ ", ""]] {
        act(&window, Action::Redo);
        marked(&page);
        assert_eq!(titles(&page), after);
    }
    window.destroy();
}

#[gtk::test]
fn an_answer_that_comes_after_a_mark_has_the_mark() {
    let folder = tempfile::tempdir().unwrap();
    let window = found(folder.path());
    let page = page(&window);
    let library = page.imp().library.clone();
    turn_until("all to be read", || library.has_marked());
    // It looks in the records as they are now; before its answer is here, one of them is another.
    library.find_again();
    let path = folder.path().join("a.points.json");
    let mut record = load(&path).unwrap().0;
    record.points[1].note = "Late.".into();
    let kept = library.imp().kept.borrow().with(&path, record);
    library.imp().kept.replace(kept.into());
    turn_until("the answer", || !library.imp().finds_now.get());
    assert_eq!(titles(&page), ["", "Late.", ""]);
    window.destroy();
}

#[gtk::test]
fn the_users_order_is_that_of_playing_export_and_the_lesson_and_outlasts_a_star() {
    let folder = tempfile::tempdir().unwrap();
    let window = found(folder.path());
    let page = page(&window);
    let results = page.imp().results.get();
    let [a1, a2, b1] = results.listed()[..] else { panic!("three clips") };
    act(&window, Action::ClipDown);
    act(&window, Action::ClipDown);
    assert_eq!((results.listed(), results.selected()), (vec![a2, b1, a1], Some(2)), "by key");
    results.imp().up.emit_clicked();
    assert_eq!(results.listed(), [a2, a1, b1], "by button");
    results.imp().star.emit_clicked();
    marked(&page);
    assert!(kept(folder.path(), "a", 0).tags.contains(STAR), "the selected one moved with its row");
    // A record changes behind the window: the list is read again.
    put(folder.path(), "c", record("AB"));
    turn_until("one more clip", || results.listed().len() == 4);
    let order = |page: &LibraryPage| {
        page.imp().library.finds().look(|f| {
            let name = |at| f.path(at).unwrap().file_name().unwrap().to_string_lossy()[..1].to_owned();
            f.points.iter().map(|at| format!("{}{}", name(*at), at.point + 1)).collect::<Vec<_>>()
        })
    };
    assert_eq!(order(&page), ["a2", "a1", "b1", "c1"]);
    let chosen = results.selected();
    act(&window, Action::DeletePoint);
    assert_eq!((chosen, order(&page)), (Some(1), vec!["a2".into(), "b1".to_owned(), "c1".into()]));
    assert_eq!(
        load(&folder.path().join("a.points.json")).unwrap().0.points.len(),
        4,
        "the record has it still"
    );
    let added = page.to_add(true);
    assert_eq!(added.text().lines().count(), 3);
    let (clips, records) = added.clips(Lead::default(), &added.points);
    let starts = clips.clips.iter().map(|c| {
        let (path, record) = &records[c.record];
        (path.file_name().unwrap().to_owned(), record.points[c.points[0]].start)
    });
    let names: Vec<String> = starts.map(|(name, _)| name.to_string_lossy()[..1].to_owned()).collect();
    assert_eq!(names, ["a", "b", "c"]);
    window.destroy();
}

#[gtk::test]
fn the_clip_that_is_played_is_marked_and_selected_in_the_users_order() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["a", "b"] {
        footage(&folder.path().join(format!("{name}.mp4")), &times(50, 40));
        let mut of = record("A");
        of.footage[0].file = format!("{name}.mp4");
        of.footage[0].duration = MatchTime::from_secs(2);
        let at = |ms| Some(MatchTime::from_millis(ms));
        of.points = of.points.iter().cloned().map(|p| Point { start: at(400), end: at(1200), ..p }).collect();
        put(folder.path(), name, of);
    }
    let window = library_of(folder.path());
    search(&window, "Holt won", 2);
    let page = page(&window);
    let results = page.imp().results.get();
    window.set_default_size(1366, 768);
    act(&window, Action::ClipDown);
    let shown = || {
        let rows = std::cell::RefCell::new(Vec::new());
        results
            .imp()
            .rows
            .each(|row, at| rows.borrow_mut().extend(Some(at).filter(|_| row.has_css_class("shown"))));
        rows.take()
    };
    let listed = results.listed();
    assert_eq!(listed[0].record, 1, "the second record is first");
    act(&window, Action::PlayMatching);
    for (n, at) in listed.iter().enumerate() {
        turn_until("a clip", || window.model().clip() == Some((n, 2)));
        turn_until("its mark", || shown() == [*at]);
        assert_eq!(results.selected(), Some(n));
    }
    turn_until("the end", || !window.model().plays_clips());
    assert_eq!(shown(), []);
    window.destroy();
}

#[gtk::test]
fn all_buttons_are_seen_at_the_smallest_usual_screen() {
    let folder = tempfile::tempdir().unwrap();
    let window = found(folder.path());
    let page = page(&window);
    page.imp().footage.set_visible(true);
    act(&window, Action::Note);
    turn_for(std::time::Duration::from_millis(300));
    let least = |along| window.measure(along, -1).0;
    let [width, height] = [gtk::Orientation::Horizontal, gtk::Orientation::Vertical].map(least);
    assert!(width <= 1366 && height <= 768, "the window needs {width} x {height}");
    let imp = page.imp().results.imp();
    let buttons = [&imp.play, &imp.star, &imp.write, &imp.add, &imp.up, &imp.down, &imp.off];
    let widgets = buttons.iter().map(|b| b.upcast_ref::<gtk::Widget>());
    let (width, height) = (window.width() as f32, window.height() as f32);
    for widget in widgets.chain([imp.export.upcast_ref(), imp.note.upcast_ref()]) {
        let at = widget.compute_bounds(&window).unwrap();
        let (right, bottom) = (at.x() + at.width(), at.y() + at.height());
        assert!(at.x() >= 0.0 && right <= width && bottom <= height && widget.is_mapped(), "{at:?}");
    }
    window.destroy();
}

#[gtk::test]
fn return_is_for_the_row_that_has_the_focus() {
    let folder = tempfile::tempdir().unwrap();
    let window = found(folder.path());
    let page = page(&window);
    assert!(!page.focus_in_list(), "in the search, or nowhere");
    page.imp().results.imp().list.grab_focus();
    assert!(page.focus_in_list());
    page.imp().results.imp().play.grab_focus();
    assert!(!page.focus_in_list());
    turn_until("both matches", || page.imp().matches.shown() == 2);
    page.imp().matches.imp().list.grab_focus();
    assert!(page.focus_in_list());
    window.destroy();
}

#[gtk::test]
fn marks_without_a_clip_say_what_to_do() {
    let window = empty_window();
    act(&window, Action::RoomLibrary);
    act(&window, Action::Note);
    assert_eq!(said(&window), "Search for clips first, and select one.");
    assert!(!page(&window).imp().results.imp().note.get_visible());
    window.destroy();
}
