//! The Measure page, used as a coach would, in a window with footage.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::window::Window;
use crate::gui::window::tests::{act, footage, points, settle, times, turn_until, window_on};
use crate::logging::{Action, Key};
use crate::measure::{Camera, Pixel, Size};
use crate::record::{CourtMarks, Touch};
use crate::tennis::court::{LANDMARKS, Spot};

fn see(window: &Window, at: Spot) -> Pixel {
    let frame = window.model().frames().painted().unwrap().frame;
    let size = Size::new(frame.width, frame.height);
    let camera = Camera::looking([0.0, -23.9, 5.0], [0.0, -2.0, 0.0], 60.0, size).unwrap();
    camera.see_ground(at).unwrap()
}

fn key(window: &Window, name: &str) {
    let pressed: Key = name.parse().unwrap();
    assert!(window.imp().log.imp().measure.key(&pressed), "{name}");
    settle(window);
}

fn calibrations(window: &Window) -> Vec<CourtMarks> {
    window.model().session().borrow().as_ref().unwrap().view.record.calibrations.clone()
}

fn title(window: &Window) -> String {
    window.imp().log.imp().measure.imp().title.label().into()
}

#[gtk::test]
fn the_court_is_marked_and_a_position_is_kept_with_its_shot() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("m.mp4");
    footage(&path, &times(50, 40));
    let window = window_on(&path);
    settle(&window);
    for action in [Action::PointStart, Action::PadLeft] {
        act(&window, action);
    }
    let panel = window.imp().log.imp().measure.clone();
    assert!(!panel.takes_clicks(), "the page is not seen");
    act(&window, Action::Measure);
    turn_until("the page", || panel.takes_clicks());
    assert_eq!(title(&window), "Click the near-left singles corner");
    for n in [1, 2, 12] {
        panel.click(see(&window, LANDMARKS[n].spot));
    }
    panel.click(Pixel::new(1.0, 1.0));
    key(&window, "BackSpace");
    assert_eq!(title(&window), "Click the far-left singles corner", "the wrong mark is taken back");
    let last = see(&window, LANDMARKS[11].spot);
    panel.click(Pixel::new(last.x - 1.0, last.y));
    key(&window, "Right");
    panel.click(see(&window, LANDMARKS[5].spot));
    panel.click(see(&window, LANDMARKS[8].spot));
    assert!(panel.imp().told.label().starts_with("6 marks agree"), "{}", panel.imp().told.label());
    key(&window, "Return");
    let kept = calibrations(&window);
    assert_eq!((kept.len(), kept[0].marks.len(), kept[0].file.as_str()), (1, 6, "m.mp4"));

    panel.click(see(&window, Spot::new(1.0, -13.0)));
    assert!(panel.imp().told.label().contains("behind the near baseline"), "{}", panel.imp().told.label());
    panel.click(see(&window, Spot::new(0.0, 12.0)));
    assert_eq!(title(&window), "Click where the ball bounces");
    key(&window, "Return");
    let stored: Vec<_> = points(&window)[0].shots[0].positions.iter().map(|p| p.of).collect();
    assert_eq!(stored, [Touch::A, Touch::B]);
    act(&window, Action::Undo);
    assert!(points(&window)[0].shots[0].positions.is_empty());
    act(&window, Action::Undo);
    assert!(calibrations(&window).is_empty(), "both are taken back like anything else");
    turn_until("the page", || title(&window) == "Click the near-left singles corner");
    act(&window, Action::Measure);
    assert!(!panel.takes_clicks());
    window.destroy();
}

/// A pixel of the picture is found where it is drawn, zoomed or not.
#[gtk::test]
fn a_click_finds_its_pixel_in_a_zoomed_picture() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("m.mp4");
    footage(&path, &times(20, 40));
    let window = window_on(&path);
    settle(&window);
    let view = window.imp().log.imp().view.clone();
    turn_until("the view", || view.width() > 100);
    for larger in [None, Some(true), Some(true), Some(true)] {
        view.zoom_to(larger);
        let at = view.placed();
        for (x, y) in [(0.5, 0.5), (0.3, 0.6), (0.61, 0.44)] {
            let place = (f64::from(view.width()) * x, f64::from(view.height()) * y);
            let pixel = view.pixel_at(place.0, place.1).unwrap();
            let back = (at.left + pixel.x * at.scale, at.top + pixel.y * at.scale);
            assert!((back.0 - place.0).abs() < 1e-6 && (back.1 - place.1).abs() < 1e-6);
        }
    }
    view.zoom_to(None);
    assert_eq!(view.pixel_at(-5.0, -5.0), None);
    window.destroy();
}

/// They would lie over another picture, and Return would save them there.
#[gtk::test]
fn marks_and_places_that_were_not_saved_are_gone_when_another_record_is_opened() {
    let folder = tempfile::tempdir().unwrap();
    let [path, other] = ["m.mp4", "n.mp4"].map(|name| folder.path().join(name));
    footage(&path, &times(50, 40));
    footage(&other, &times(50, 40));
    let window = window_on(&path);
    settle(&window);
    act(&window, Action::Measure);
    let panel = window.imp().log.imp().measure.clone();
    turn_until("the page", || panel.takes_clicks());
    for n in [1, 2] {
        panel.click(see(&window, LANDMARKS[n].spot));
    }
    assert_eq!(title(&window), "Click the far-right singles corner");
    window.model().open(std::slice::from_ref(&other));
    let is_open = || {
        let session = window.model().session().borrow();
        session.as_ref().is_some_and(|s| s.media.iter().any(|m| m.path == other))
    };
    turn_until("the other footage", || is_open() && panel.takes_clicks());
    settle(&window);
    assert!(panel.imp().state.borrow().is_idle());
    assert_eq!(title(&window), "Click the near-left singles corner");
    key(&window, "Return");
    assert!(calibrations(&window).is_empty());
    window.destroy();
}
