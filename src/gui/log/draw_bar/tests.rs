use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::*;
use crate::drawing::{Anchor, Shape};
use crate::gui::window::Window;
use crate::gui::window::tests::{act, footage, settle, times, turn_until, window_on};
use crate::logging::Action;
use crate::measure::{Camera, Size};
use crate::record::{Corner, CourtMark, CourtMarks, FoundBy};

fn bar(window: &Window) -> DrawBar {
    window.imp().log.imp().draw.clone()
}

fn drawings(window: &Window) -> Vec<Drawing> {
    settle(window);
    window.model().session().borrow().as_ref().unwrap().view.record.drawings.clone()
}

fn stroke(bar: &DrawBar, from: (f64, f64), to: (f64, f64)) {
    let view = bar.imp().view.get().unwrap();
    let pixel = |(x, y): (f64, f64)| {
        let size = view.picture_size();
        Pixel::new(x * f64::from(size.width), y * f64::from(size.height))
    };
    let corner = view.pixel(0.0, 0.0);
    let (a, b) = (pixel(from), pixel(to));
    bar.begin(a.x - corner.x, a.y - corner.y);
    bar.go_on(Pixel::new(f64::midpoint(a.x, b.x), f64::midpoint(a.y, b.y)));
    bar.go_on(b);
    bar.end();
}

/// The window of a film of five seconds, ready to be drawn on.
fn drawing_window(folder: &std::path::Path) -> Window {
    let path = folder.join("m.mp4");
    footage(&path, &times(125, 40));
    let window = window_on(&path);
    settle(&window);
    act(&window, Action::Draw);
    turn_until("the tools", || bar(&window).is_mapped());
    let view = bar(&window).imp().view.get().cloned();
    turn_until("the picture", || view.as_ref().is_some_and(|v| v.picture_size().width > 0 && v.width() > 0));
    window
}

fn press(window: &Window, key: &str) -> bool {
    window.imp().log.drawing_key(&key.parse().unwrap())
}

#[gtk::test]
fn what_is_drawn_is_kept_seen_for_its_time_and_undone() {
    let folder = tempfile::tempdir().unwrap();
    let window = drawing_window(folder.path());
    let bar = bar(&window);
    stroke(&bar, (0.2, 0.8), (0.6, 0.4));
    let kept = drawings(&window);
    let [drawing] = kept.as_slice() else { panic!("{kept:?}") };
    let now = window.model().shown().unwrap();
    assert_eq!((drawing.from, drawing.to), (now, now.later(Duration::from_secs(3))));
    let Shape::Arrow(ends) = &drawing.shape else { panic!("{drawing:?}") };
    let near = |a: Anchor, x: i32, y: i32| matches!(a, Anchor::Picture(u, v) if (u - x).abs() < 20 && (v - y).abs() < 20);
    assert!(near(ends[0], 2000, 8000) && near(ends[1], 6000, 4000), "{ends:?}");
    assert!(
        bar.imp().words.label().contains("The court is not known in this picture"),
        "{}",
        bar.imp().words.label()
    );

    assert!(press(&window, "3") && press(&window, "c"));
    stroke(&bar, (0.5, 0.5), (0.5, 0.5));
    let kept = drawings(&window);
    assert!(
        matches!(kept[1].shape, Shape::Ring { radius: 300, .. }) && kept[1].colour == Colour::White,
        "{kept:?}"
    );
    act(&window, Action::Undo);
    assert_eq!(drawings(&window).len(), 1);
    assert!(press(&window, "Delete"));
    assert_eq!(drawings(&window), []);
    act(&window, Action::Undo);
    assert_eq!(drawings(&window).len(), 1);
    assert!(!press(&window, "u"), "other keys mean what they always mean");
    assert!(press(&window, "Escape") && !bar.is_visible());
    assert!(!press(&window, "3"), "nothing is drawn any more");
    window.destroy();
}

#[gtk::test]
fn the_tools_leave_room_for_the_picture_whatever_they_say() {
    let folder = tempfile::tempdir().unwrap();
    let window = drawing_window(folder.path());
    let bar = bar(&window);
    let (least, ..) = bar.measure(gtk::Orientation::Vertical, -1);
    assert!(least < 180, "the bar asks for {least} pixels");
    window.destroy();
}

#[gtk::test]
fn words_are_typed_into_the_bar() {
    let folder = tempfile::tempdir().unwrap();
    let window = drawing_window(folder.path());
    let bar = bar(&window);
    assert!(press(&window, "8"));
    stroke(&bar, (0.1, 0.1), (0.1, 0.1));
    assert!(bar.imp().entry.get_visible());
    bar.imp().entry.set_text("Too deep");
    bar.imp().entry.emit_activate();
    assert!(!bar.imp().entry.get_visible());
    let kept = drawings(&window);
    assert!(matches!(&kept[0].shape, Shape::Text { words, .. } if words == "Too deep"), "{kept:?}");
    stroke(&bar, (0.1, 0.1), (0.1, 0.1));
    assert!(bar.leave_words() && !bar.leave_words());
    assert_eq!(drawings(&window).len(), 1);
    window.destroy();
}

#[gtk::test]
fn strokes_that_follow_quickly_are_all_kept() {
    let folder = tempfile::tempdir().unwrap();
    let window = drawing_window(folder.path());
    let bar = bar(&window);
    for n in 1..=5 {
        stroke(&bar, (0.1, 0.1 * f64::from(n)), (0.9, 0.5));
    }
    assert_eq!(drawings(&window).len(), 5);
    assert_eq!(crate::gui::log::draw_list::listed(window.model()).len(), 5);
    assert_eq!(bar.imp().list.label().as_deref(), Some("Drawings: 5"));
    window.destroy();
}

/// Marks the court in the picture as a camera behind it sees it.
fn mark_court(window: &Window, size: Size) -> Camera {
    let camera = Camera::looking([0.0, -23.8872, 5.0], [0.0, -2.0, 0.0], 60.0, size).unwrap();
    let marks = Corner::ALL.into_iter().filter_map(|landmark| {
        Some(CourtMark { landmark, at: camera.see_ground(landmark.landmark().spot)?.into() })
    });
    let marks = CourtMarks {
        file: "m.mp4".into(),
        at: MatchTime::ZERO,
        size,
        marks: marks.collect(),
        by: FoundBy::Hand,
        centre: None,
        moving: false,
    };
    window.model().ask(Ask::Edit(Box::new(Edit::SetCalibrations(vec![marks]))));
    settle(window);
    camera
}

#[gtk::test]
fn where_the_court_is_marked_drawings_lie_on_the_ground() {
    let folder = tempfile::tempdir().unwrap();
    let window = drawing_window(folder.path());
    let bar = bar(&window);
    let size = window.model().frames().painted().map(|s| Size::new(s.frame.width, s.frame.height)).unwrap();
    let camera = mark_court(&window, size);
    let part = |x: f64, y: f64| {
        let p = camera.see_ground(crate::tennis::court::Spot::new(x, y)).unwrap();
        (p.x / f64::from(size.width), p.y / f64::from(size.height))
    };
    assert!(press(&window, "6"));
    stroke(&bar, part(1.0, -9.0), part(1.0, -3.0));
    let kept = drawings(&window);
    let Shape::Distance(a, b) = &kept[0].shape else { panic!("{kept:?}") };
    let long = a.spot().unwrap().distance(b.spot().unwrap()).0;
    assert!((long - 6.0).abs() < 0.25, "{long}");
    assert!(!bar.imp().words.label().contains("not marked"));
    assert!(press(&window, "g"));
    stroke(&bar, part(1.0, -9.0), part(1.0, -3.0));
    assert!(matches!(drawings(&window)[1].shape, Shape::Distance(Anchor::Picture(..), Anchor::Picture(..))));
    window.destroy();
}

/// To look at: `PICTURE=FILE` under a virtual display.
#[gtk::test]
#[ignore = "takes a picture for eyes"]
fn a_picture_to_look_at() {
    let Ok(file) = std::env::var("PICTURE") else { return };
    let film = std::path::PathBuf::from(std::env::var("FILM").unwrap());
    let folder = tempfile::tempdir().unwrap();
    std::fs::copy(&film, folder.path().join("m.mp4")).unwrap();
    let window = window_on(&folder.path().join("m.mp4"));
    let provider = gtk::CssProvider::new();
    provider.load_from_data(include_str!("../../../../ui/style.css"));
    gtk::style_context_add_provider_for_display(&gtk::gdk::Display::default().unwrap(), &provider, 600);
    window.set_default_size(1366, 768);
    settle(&window);
    turn_until("the frame", || window.model().shown().is_some());
    act(&window, Action::Draw);
    let bar = bar(&window);
    turn_until("the tools", || bar.is_mapped());
    crate::gui::window::tests::turn_for(Duration::from_secs(1));
    mark_court(&window, Size::new(1280, 720));
    stroke(&bar, (0.6, 0.8), (0.4, 0.45));
    for (key, from, to) in [
        ("3", (0.55, 0.75), (0.55, 0.75)),
        ("6", (0.3, 0.8), (0.3, 0.6)),
        ("5", (0.45, 0.4), (0.55, 0.35)),
        ("1", (0.2, 0.5), (0.5, 0.6)),
    ] {
        assert!(press(&window, key) && press(&window, "c"));
        stroke(&bar, from, to);
        settle(&window);
    }
    crate::gui::window::tests::turn_for(Duration::from_secs(1));
    std::process::Command::new("import").args(["-window", "root", &file]).status().unwrap();
    window.destroy();
}

#[gtk::test]
fn drawing_and_measuring_end_each_other() {
    let folder = tempfile::tempdir().unwrap();
    let window = drawing_window(folder.path());
    let page = || window.imp().log.imp().side.visible_child_name().unwrap();
    act(&window, Action::Measure);
    turn_until("the page Measure", || page() == "measure");
    assert!(!bar(&window).is_visible());
    act(&window, Action::Draw);
    turn_until("the tools", || bar(&window).is_mapped());
    assert_eq!(page(), "pad");
    window.destroy();
}
