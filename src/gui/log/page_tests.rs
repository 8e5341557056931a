//! What stands beside the footage: the column that is remembered, chips that are whole, points found by typing.

use std::time::{Duration, Instant};

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::chips::GAP;
use crate::gui::kit::small_pictures::switch;
use crate::gui::ribbon::tests::{five_sets, window_with};
use crate::gui::window::Window;
use crate::gui::window::tests::{act, footage, settle, times, turn_for, turn_until, window_on};
use crate::logging::Action;
use crate::record::Edit;
use crate::session::keeper::Ask;
use crate::session::settings::Settings;

fn labels(of: &gtk::Widget) -> Vec<gtk::Label> {
    let mut found: Vec<gtk::Label> = of.downcast_ref::<gtk::Label>().cloned().into_iter().collect();
    let mut child = of.first_child();
    while let Some(c) = child {
        found.extend(labels(&c));
        child = c.next_sibling();
    }
    found
}

/// Gives the window its colours and sizes, as the application does.
fn in_style() -> (gtk::gdk::Display, gtk::CssProvider) {
    let provider = gtk::CssProvider::new();
    provider.load_from_data(include_str!("../../../ui/style.css"));
    let display = gtk::gdk::Display::default().unwrap();
    gtk::style_context_add_provider_for_display(&display, &provider, 600);
    (display, provider)
}

/// The labels of the court pad's card that are cut.
fn cut(window: &Window) -> Vec<String> {
    let card = window.imp().log.imp().pad.clone();
    let shown = labels(card.upcast_ref()).into_iter().filter(gtk::prelude::WidgetExt::is_mapped);
    shown.filter(|l| l.layout().is_ellipsized()).map(|l| l.label().into()).collect()
}

#[gtk::test]
fn no_chip_is_cut_in_the_narrowest_column() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("m.mp4");
    footage(&path, &times(100, 40));
    let window = window_on(&path);
    settle(&window);
    let (display, provider) = in_style();
    // On a busy machine a size that is asked for while the window is still being shown can be lost.
    let (asked, times) = (Instant::now(), std::cell::Cell::new(0));
    turn_until("the size", || {
        if asked.elapsed().as_secs() as i32 >= times.get() {
            window.set_default_size(1024 + times.get(), 640);
            times.set(times.get() + 1);
        }
        window.width().abs_diff(1024) < 30
    });
    for action in
        [Action::PointStart, Action::PadLeft, Action::PadUp, Action::BackMiddle, Action::FinishWinner]
    {
        act(&window, action);
        let shown = Instant::now();
        turn_until("the chips", || shown.elapsed() > Duration::from_millis(400));
        let log = window.imp().log.imp();
        assert!(log.column.width() < 300, "{}", log.column.width());
        assert_eq!(cut(&window), Vec::<String>::new(), "after {action:?}");
    }
    gtk::style_context_remove_provider_for_display(&display, &provider);
    window.destroy();
}

/// The keys of the pad's card that are cut, or hidden because they must be scrolled to.
fn hidden_keys(window: &Window) -> Vec<String> {
    let card = window.imp().log.imp().pad.clone();
    let room = card.imp().keys_room.get();
    let column = window.imp().log.imp().column.get();
    let is_whole = |button: &gtk::ToggleButton| {
        let within = |of: &gtk::Widget| {
            button
                .compute_bounds(of)
                .is_some_and(|b| b.y() >= 0.0 && b.y() + b.height() <= of.height() as f32)
        };
        (!button.is_ancestor(&room) || within(room.upcast_ref())) && within(column.upcast_ref())
    };
    let chips = card.imp().chips.borrow();
    let hidden = chips.iter().filter(|c| c.button().is_mapped() && !is_whole(c.button()));
    hidden.map(|c| format!("{:?}", c.action())).collect()
}

/// A part of a match: who serves, from which end and to which court is not known, and each has its key.
#[gtk::test]
fn all_keys_of_the_pad_are_whole_in_a_small_window() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("m.mp4");
    footage(&path, &times(100, 40));
    let window = window_on(&path);
    settle(&window);
    let (display, provider) = in_style();
    let about = crate::record::MatchInfo { shows: crate::record::Kind::Part, ..Default::default() };
    window.model().ask(Ask::Edit(Box::new(Edit::SetMatch(Box::new(about)))));
    settle(&window);
    // The frame of the window takes a few pixels, and a busy machine can lose a size that is asked for early.
    let (asked, times) = (Instant::now(), std::cell::Cell::new(0));
    turn_until("the size", || {
        if asked.elapsed().as_secs() as i32 >= times.get() {
            window.set_default_size(1366 + times.get(), 768);
            times.set(times.get() + 1);
        }
        window.width().abs_diff(1366) < 30
    });
    let pad = window.imp().log.imp().pad.clone();
    let seen =
        |action| pad.imp().chips.borrow().iter().any(|c| c.action() == action && c.button().is_mapped());
    for action in [Action::PointStart, Action::PadLeft, Action::PadUp, Action::BackMiddle] {
        act(&window, action);
        turn_for(Duration::from_millis(400));
        assert_eq!(hidden_keys(&window), Vec::<String>::new(), "after {action:?}");
        assert!(seen(Action::ServedBy) && seen(Action::ServedEnd), "after {action:?}");
    }
    // A window in which they have no room shows whole rows.
    turn_until("the lower size", || {
        if asked.elapsed().as_secs() as i32 >= times.get() {
            window.set_default_size(1366 + times.get(), 560);
            times.set(times.get() + 1);
        }
        window.height().abs_diff(560) < 40
    });
    turn_for(Duration::from_millis(400));
    let card = pad.imp();
    let row = card.chips.borrow()[0].button().measure(gtk::Orientation::Vertical, -1).1 + GAP;
    assert_eq!((card.keys_room.height() + GAP) % row, 0, "{} of {row}", card.keys_room.height());
    gtk::style_context_remove_provider_for_display(&display, &provider);
    window.destroy();
}

/// With large text the line under the footage leaves shots out, and cuts no word.
#[gtk::test]
fn the_line_under_the_footage_is_read_with_large_text() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("m.mp4");
    footage(&path, &times(100, 40));
    let window = window_on(&path);
    settle(&window);
    let (display, provider) = in_style();
    let line = window.imp().log.imp().line.clone();
    let large = (f64::from(window.settings().gtk_xft_dpi().max(96 * 1024)) * 1.5) as i32;
    window.settings().set_gtk_xft_dpi(large);
    turn_until("the size", || {
        window.set_default_size(1366, 768);
        window.width().abs_diff(1366) < 30 && line.width() > 600
    });
    let cut = || {
        turn_for(Duration::from_millis(600));
        let imp = line.imp();
        let labels = [&*imp.words, &*imp.balls];
        labels
            .into_iter()
            .filter(|l| l.layout().is_ellipsized())
            .map(|l| l.label().to_string())
            .collect::<Vec<_>>()
    };
    assert_eq!(cut(), Vec::<String>::new());
    // A shot of which much is said.
    for action in [
        Action::PointStart,
        Action::PadLeft,
        Action::PadUp,
        Action::BackMiddle,
        Action::Slice,
        Action::Approach,
        Action::AtNet,
        Action::NetCord,
        Action::FinishWinner,
    ] {
        act(&window, action);
        assert_eq!(cut(), Vec::<String>::new(), "after {action:?}");
    }
    assert!(line.imp().words.label().starts_with("Point 1"), "{}", line.imp().words.label());
    // Another button takes room.
    line.imp().work.set_label("Cuts: 12 %  ×");
    line.imp().work.set_visible(true);
    assert_eq!(cut(), Vec::<String>::new());
    window.settings().reset_property("gtk-xft-dpi");
    gtk::style_context_remove_provider_for_display(&display, &provider);
    window.destroy();
}

#[gtk::test]
fn the_width_of_the_column_is_remembered() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    let before = Settings::read().0;
    turn_until("the page", || window.imp().log.imp().panes.max_position() > 400);
    let panes = window.imp().log.imp().panes.clone();
    panes.set_position(panes.max_position() - 333);
    window.imp().log.remember(window.model());
    assert_eq!(Settings::read().0.column, Some(333), "in the file, not only in memory");
    before.write().unwrap();
    window.destroy();
}

#[gtk::test]
fn points_are_found_by_typing() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    let points = window.imp().log.imp().points.clone();
    let all = points.listed().len();
    let find = |words: &str| {
        points.imp().find.set_text(words);
        points.imp().find.emit_by_name::<()>("search-changed", &[]);
        points.listed()
    };
    let some = find("40-0");
    assert!(!some.is_empty() && some.len() < all, "{some:?}");
    assert_eq!(points.imp().count.label(), format!("{} of {all} points", some.len()));
    points.imp().find.emit_by_name::<()>("activate", &[]);
    settle(&window);
    assert_eq!(window.model().session().borrow().as_ref().unwrap().current(), some.first().copied());
    assert!(find("no such words").is_empty());
    assert!(!points.imp().play_all.is_sensitive());
    window.imp().log.leave_field();
    assert_eq!(find("").len(), all);
    window.destroy();
}

#[gtk::test]
fn no_page_of_the_column_is_wider_than_the_column() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("holt-okafor.mp4");
    footage(&path, &times(50, 40));
    let window = window_on(&path);
    let (display, provider) = in_style();
    window.set_default_size(1280, 800);
    act(&window, Action::PointStart);
    settle(&window);
    // The list of points is widest with its pictures.
    switch(true);
    let page = window.imp().log.get();
    let column = page.imp().column.hadjustment();
    for name in ["pad", "points", "shown", "measure", "pad"] {
        page.imp().side.set_visible_child_name(name);
        turn_for(Duration::from_millis(300));
        assert!(column.page_size() > 100.0, "{name}: {}", column.page_size());
        assert!(
            column.upper() <= column.page_size() + 1.0,
            "{name}: {} in {}",
            column.upper(),
            column.page_size()
        );
    }
    switch(false);
    gtk::style_context_remove_provider_for_display(&display, &provider);
    window.destroy();
}
