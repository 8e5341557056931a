//! The court pad in a window with footage: caps, chips, the line of balls, preferences.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::court::{Part, View};
use crate::gui::dialogs::preferences::prefer;
use crate::gui::window::Window;
use crate::gui::window::tests::{act, footage, points, settle, times, turn_until, window_on};
use crate::logging::Action;
use crate::record::Finish;
use crate::session::settings::{Card, Settings};
use crate::tennis::stroke::{Column, Row, Stroke, Wing};
use crate::tennis::{End, Side};

fn window() -> (tempfile::TempDir, Window) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("m.mp4");
    footage(&path, &times(100, 40));
    let window = window_on(&path);
    settle(&window);
    (folder, window)
}

/// The pad's cap of a cell.
fn cap(window: &Window, column: Column, row: Row) -> gtk::Button {
    window.imp().log.imp().pad.imp().pad.imp().caps.borrow()[row as usize * 3 + column as usize].clone()
}

fn chip(window: &Window, action: Action) -> gtk::ToggleButton {
    let chips = window.imp().log.imp().pad.imp().chips.borrow();
    let shown = window.imp().log.imp().pad.imp().ball_keys.visible_child();
    let there = |b: &gtk::ToggleButton| shown.as_ref().is_some_and(|s| b.is_ancestor(s));
    let all: Vec<_> = chips.iter().filter(|c| c.action() == action).map(|c| c.button().clone()).collect();
    all.iter().find(|b| there(b)).or(all.first()).cloned().expect("a chip")
}

/// As the mouse does.
fn click(window: &Window, button: &impl IsA<gtk::Button>) {
    button.emit_clicked();
    settle(window);
}

#[gtk::test]
fn a_point_is_logged_with_the_mouse_alone() {
    let (_folder, window) = window();
    let log = window.imp().log.imp();
    assert_eq!(log.pad.imp().title.label(), "Next: Player A’s first serve");
    click(&window, &cap(&window, Column::Left, Row::Middle));
    assert_eq!(log.pad.imp().title.label(), "Where did Player B’s shot land?");
    click(&window, &chip(&window, Action::PaceFast));
    assert!(chip(&window, Action::PaceFast).is_active());
    click(&window, &cap(&window, Column::Middle, Row::Up));
    click(&window, &chip(&window, Action::Backhand));
    click(&window, &chip(&window, Action::Slice));
    click(&window, &cap(&window, Column::Right, Row::Down));
    click(&window, &chip(&window, Action::DropShot));
    assert!(chip(&window, Action::DropShot).is_active() && !chip(&window, Action::Slice).is_active());
    act(&window, Action::FrameForward);
    turn_until("the next frame", || crate::gui::window::tests::is_at(&window, 0, 1));
    click(&window, &chip(&window, Action::FinishWinner));
    let point = &points(&window)[0];
    assert_eq!((point.winner, point.finish), (Some(Side::A), Some(Finish::Winner)));
    let ball = &point.shots[1];
    assert_eq!((ball.wing, ball.cell.unwrap().row), (Some(Wing::Backhand), Some(Row::Up)));
    assert_eq!(point.shots[2].stroke, Some(Stroke::DropShot));
    assert!(
        log.line
            .imp()
            .balls
            .tooltip_text()
            .unwrap()
            .starts_with("Player A serves wide, fast · Player B returns"),
        "{:?}",
        log.line.imp().balls.tooltip_text()
    );
    assert!(chip(&window, Action::WinnerA).is_active() && chip(&window, Action::FinishWinner).is_active());
    window.destroy();
}

#[gtk::test]
fn a_ball_of_the_line_is_chosen_and_corrected() {
    let (_folder, window) = window();
    for action in [Action::PadLeft, Action::PadUp, Action::PadDown, Action::PadRight] {
        act(&window, action);
    }
    let chosen = |ball: &str| {
        let _: bool = window.imp().log.imp().line.imp().balls.emit_by_name("activate-link", &[&ball]);
        settle(&window);
    };
    chosen("1");
    assert_eq!(window.imp().log.imp().pad.imp().title.label(), "Correct shot 2: where did it land?");
    assert!(window.imp().log.imp().line.imp().balls.text().contains("▸ Player B returns"));
    act(&window, Action::BackMiddle);
    let ball = points(&window)[0].shots[1].clone();
    assert_eq!((ball.wing, ball.cell.unwrap().row), (Some(Wing::Backhand), Some(Row::Middle)));
    assert_eq!(
        window.imp().log.imp().pad.imp().title.label(),
        "Where did Player A’s shot land?",
        "and logging goes on"
    );
    chosen("0");
    assert_eq!(window.imp().log.imp().pad.imp().title.label(), "Correct the serve: where did it land?");
    window.destroy();
}

#[gtk::test]
fn what_a_plain_key_says_is_set_on_the_pad_and_kept() {
    let (_folder, window) = window();
    click(&window, &*window.imp().log.imp().pad.imp().plain_forehand);
    assert!(window.imp().log.imp().pad.imp().plain_forehand.is_active());
    assert!(Settings::read().0.plain_forehand);
    for action in [Action::PadLeft, Action::PadUp] {
        act(&window, action);
    }
    assert_eq!(points(&window)[0].shots[1].wing, Some(Wing::Forehand));
    click(&window, &*window.imp().log.imp().pad.imp().plain_forehand);
    assert!(
        !window.imp().log.imp().pad.imp().plain_forehand.is_active() && !Settings::read().0.plain_forehand
    );
    window.destroy();
}

#[gtk::test]
fn another_card_is_on_the_caps_at_once_and_a_missing_one_changes_nothing() {
    let (_folder, window) = window();
    act(&window, Action::PadLeft);
    let label = || cap(&window, Column::Left, Row::Up).label().unwrap();
    assert_eq!(label(), "U");
    let of = |card| Settings { card, ..Settings::default() };
    prefer(window.model(), of(Card::Numpad)).unwrap();
    assert_eq!(label(), "Num 7");
    prefer(window.model(), of(Card::LeftHanded)).unwrap();
    assert_eq!(label(), "W");
    let e = prefer(window.model(), of(Card::File("/nowhere/mine.keys.toml".into()))).unwrap_err();
    assert!(e.to_string().starts_with("/nowhere/mine.keys.toml: cannot open it"), "{e}");
    assert_eq!((label().as_str(), Settings::read().0.card), ("W", Card::LeftHanded));
    prefer(window.model(), Settings::default()).unwrap();
    window.destroy();
}

#[gtk::test]
fn the_plan_is_told_before_the_point_and_lit() {
    let (_folder, window) = window();
    window.model().ask(crate::session::keeper::Ask::Plan("Drop shot".into()));
    settle(&window);
    assert!(chip(&window, Action::Plan).is_active());
    act(&window, Action::PadLeft);
    assert_eq!(points(&window)[0].plan, "Drop shot");
    window.destroy();
}

#[gtk::test]
fn the_patterns_that_the_point_shows_are_named_and_lead_to_their_points() {
    let (_folder, window) = window();
    window.imp().log.imp().side.set_visible_child_name("shows");
    assert_eq!(window.imp().log.imp().shown.imp().title.label(), "No point is chosen");
    for action in [Action::PadLeft, Action::PadUp, Action::PadDown, Action::DropShot] {
        act(&window, action);
    }
    assert_eq!(window.imp().log.imp().shown.imp().title.label(), "Point 1 shows");
    let text = window.imp().log.imp().shown.imp().names.text();
    let (yes, unknown) = text.split_once("Not known").expect("some that the balls do not tell");
    assert!(yes.contains("✓ Drop shot") && !unknown.contains("? Drop shot\n"), "{text}");
    let drop = {
        let session = window.model().session().borrow();
        session.as_ref().unwrap().patterns().iter().position(|p| p.name == "Drop shot").unwrap()
    };
    let _: bool =
        window.imp().log.imp().shown.imp().names.emit_by_name("activate-link", &[&drop.to_string()]);
    assert_eq!(window.imp().log.imp().side.visible_child_name().as_deref(), Some("points"));
    assert_eq!(window.imp().log.imp().points.imp().count.label(), "1 of 1 points");
    window.destroy();
}

#[test]
fn keys_of_the_rows_do_not_cover_each_other() {
    for end in [End::Near, End::Far] {
        for height in [110.0, 150.0, 400.0] {
            let view = View::new(Part::Half(end), (0.0, 5.0), (260.0, height));
            let rows = view.rows(33.0);
            assert!(rows.windows(2).all(|r| r[1] - r[0] >= 32.9), "{end:?} {height}: {rows:?}");
            assert!(rows[0] >= 5.0 + 16.5 && rows[2] <= 5.0 + height - 16.4, "{end:?} {height}: {rows:?}");
        }
        let view = View::new(Part::Half(end), (0.0, 5.0), (260.0, 400.0));
        let middles = Row::ALL.map(|row| view.middle(Column::Middle, row).1);
        let same = view.rows(20.0).iter().zip(middles).all(|(row, middle)| (row - middle).abs() < 1e-9);
        assert!(same, "with room they stand in the middle of their cells");
    }
}
