//! Players proposed on the Measure page, in demo footage whose truth is known.

use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::court_following_tests::{filmed_at, marks, wait};
use super::players_row::PlayersRow;
use crate::demo::truth::Truth;
use crate::demo::{CameraWork, logged};
use crate::gui::model::{Event, Stage};
use crate::gui::window::Window;
use crate::gui::window::tests::{act, footage, points, settle, times, turn_for, turn_until, window_on};
use crate::logging::{Action, Key};
use crate::record::footage::fingerprint;
use crate::record::{Footage, FoundBy, Point, Position, Record, Shot, Store, sidecar_for};
use crate::session::proposed::{KeptPlayers, Players};
use crate::session::proposing::Proposal;
use crate::tennis::End;
use crate::time::MatchTime;

fn row(window: &Window) -> std::rc::Rc<PlayersRow> {
    window.imp().log.imp().measure.imp().players.get().unwrap().clone()
}

/// A window on a point that was logged shot by shot, the court marked in its first frame, and its truth.
fn logged_point(folder: &std::path::Path) -> (Window, Truth, String) {
    let seen = filmed_at(25, CameraWork::Tripod, folder);
    let path = folder.join("holt-okafor.mp4");
    let truth = std::fs::read_to_string(folder.join("holt-okafor.truth.json")).unwrap();
    let truth: Truth = serde_json::from_str(&truth).unwrap();
    let print = fingerprint(&path).unwrap();
    let film = Footage {
        file: "holt-okafor.mp4".into(),
        fingerprint: Some(print.clone()),
        duration: truth.files[0].end,
        rate: truth.files[0].rate,
        rotation: 0,
        start: MatchTime::ZERO,
    };
    let record = Record { footage: vec![film], calibrations: vec![marks(&seen[0])], ..logged(&truth, false) };
    drop(Store::create(&sidecar_for(&path), record).unwrap());
    let window = window_on(&path);
    settle(&window);
    turn_until("what is kept to be read", || {
        window.model().session().borrow().as_ref().is_some_and(|s| s.cameras.unread().is_empty())
    });
    (window, truth, print)
}

fn stored(window: &Window) -> Vec<Position> {
    let points = points(window);
    points
        .iter()
        .flat_map(|p| p.serves_out.iter().chain(&p.shots))
        .flat_map(|s| s.positions.clone())
        .collect()
}

fn shows(window: &Window, at: MatchTime) {
    turn_until("the frame", || window.model().shown() == Some(at) && !window.model().is_playing());
}

/// Drags over the picture, as the pointer does.
fn drag(window: &Window, from: (f64, f64), by: (f64, f64)) {
    let all = window.imp().log.imp().view.observe_controllers();
    let drags = (0..all.n_items()).filter_map(|n| all.item(n).and_downcast::<gtk::GestureDrag>());
    for drag in drags.filter(|d| d.name().as_deref() == Some("over the picture")) {
        drag.emit_by_name::<()>("drag-begin", &[&from.0, &from.1]);
        drag.emit_by_name::<()>("drag-update", &[&(by.0 / 2.0), &(by.1 / 2.0)]);
        drag.emit_by_name::<()>("drag-update", &[&by.0, &by.1]);
        drag.emit_by_name::<()>("drag-end", &[&by.0, &by.1]);
    }
    settle(window);
}

/// The Measure page with the players found: first cancelled, then begun again by the button.
fn found(window: &Window) -> Vec<Proposal> {
    let model = window.model();
    act(window, Action::PointForward);
    turn_until("the point", || model.session().borrow().as_ref().is_some_and(|s| s.current() == Some(0)));
    act(window, Action::Measure);
    turn_until("the search to begin", || matches!(model.players_stage(), Some(Stage::At(_))));
    row(window).row.cancel().emit_clicked();
    turn_until("its end", || model.players_stage() == Some(Stage::Stopped));
    turn_for(Duration::from_millis(400));
    assert!(
        matches!(model.players_here().as_deref(), Some(Players::Wanted(_))),
        "it is not begun again by itself"
    );
    assert!(row(window).row.begin().is_visible() && !row(window).row.cancel().is_visible());
    not_offered_while_followed(window);
    row(window).row.begin().emit_clicked();
    wait(window, "the players", || matches!(model.players_here().as_deref(), Some(Players::Known { .. })));
    model.proposals()
}

/// Where the camera was decides where players can be: before that is known the search would be done twice.
fn not_offered_while_followed(window: &Window) {
    let model = window.model();
    model.follow_court();
    assert!(matches!(model.following_stage(), Some(Stage::At(_))));
    assert!(!model.can_find_players());
    turn_until("the button to go", || !row(window).row.begin().is_visible());
    model.cancel_following();
    turn_until("the end of the work", || model.following_stage() == Some(Stage::Stopped));
    turn_until("the button again", || row(window).row.begin().is_visible());
}

/// How often what is known of the players is worked out while this is done.
fn worked_out(window: &Window, done: impl FnOnce()) -> usize {
    turn_for(Duration::from_millis(400));
    let before = window.model().players_worked_out();
    done();
    turn_for(Duration::from_millis(400));
    window.model().players_worked_out() - before
}

fn worked_out_once_a_frame(window: &Window) {
    let model = window.model();
    // As work tells how far it is: many times between two frames.
    let told = || (0..20).for_each(|_| model.tell(Event::Court));
    assert_eq!(worked_out(window, told), 1);
    let (points, frames) = (Rc::new(Cell::new(0)), Rc::new(Cell::new(0)));
    for (event, count) in [(Event::Current, &points), (Event::Moment, &frames)] {
        let count = Rc::clone(count);
        model.on(event, move |_| count.set(count.get() + 1));
    }
    let plays = || {
        let most = frames.get() + 12;
        model.show_still(MatchTime::from_secs(1));
        act(window, Action::PlayPause);
        turn_until("some frames", || frames.get() > most);
        act(window, Action::PlayPause);
    };
    let worked = worked_out(window, plays);
    assert!(worked <= points.get(), "{worked} times in {} frames", frames.get());
    // Nobody sees the page.
    act(window, Action::Measure);
    assert_eq!(worked_out(window, told), 0);
    assert_eq!(worked_out(window, plays), 0);
}

#[gtk::test]
fn players_are_proposed_accepted_and_corrected() {
    let folder = tempfile::tempdir().unwrap();
    let (window, truth, print) = logged_point(folder.path());
    let model = window.model().clone();
    let all = found(&window);
    let strikes: Vec<_> = truth.points.iter().flat_map(|p| &p.strikes).collect();
    assert!(all.len() > strikes.len(), "{} proposals at {} strikes", all.len(), strikes.len());
    let near_enough = |p: &&Proposal| {
        let most = if p.end == End::Near { 0.4 } else { 0.8 };
        let strike = strikes.iter().find(|s| s.time == p.strike.at).unwrap();
        strike.positions.iter().any(|at| p.place.spot.distance(*at).0 < most)
    };
    let right = all.iter().filter(near_enough).count();
    assert!(right * 10 >= all.len() * 8, "{right} of {} are right", all.len());
    assert!(stored(&window).is_empty(), "nothing is stored");
    assert!(!KeptPlayers::default().of(&print).is_empty(), "kept, so that they are looked for once");

    // Shot by shot.
    act(&window, Action::NextProposal);
    shows(&window, all[0].frame);
    let here: Vec<_> = all.iter().filter(|p| p.frame == all[0].frame).collect();
    turn_until("its words", || row(&window).row.words().starts_with("Proposed here, not stored: "));
    let return_key: Key = "Return".parse().unwrap();
    assert!(window.imp().log.imp().measure.key(&return_key));
    settle(&window);
    assert_eq!(stored(&window).len(), here.len());
    assert!(stored(&window).iter().all(|p| p.by == FoundBy::Checked && p.frame == all[0].frame));
    let next = all.iter().map(|p| p.frame).find(|f| *f > all[0].frame).unwrap();
    shows(&window, next);
    act(&window, Action::Undo);
    assert!(stored(&window).is_empty(), "one step");

    // One is dragged by 12 and 5 pixels of the screen.
    model.show_still(all[0].frame);
    shows(&window, all[0].frame);
    let view = window.imp().log.imp().view.clone();
    let (placed, pixel) = (view.placed(), all[0].pixel);
    let at = (placed.left + pixel.x * placed.scale + 4.0, placed.top + pixel.y * placed.scale);
    drag(&window, at, (12.0, 5.0));
    let kept = stored(&window);
    assert_eq!(kept.len(), 1, "{kept:?}");
    assert_eq!((Some(kept[0].of), kept[0].by), (all[0].of, FoundBy::Hand));
    let to = crate::measure::Pixel::new(pixel.x + 12.0 / placed.scale, pixel.y + 5.0 / placed.scale);
    assert!(to.distance(kept[0].at.into()) < 0.1, "{to:?} {kept:?}");
    assert_eq!(model.proposals().len(), all.len() - 1, "the others wait");
    act(&window, Action::Undo);
    assert!(stored(&window).is_empty(), "one step");
    drag(&window, at, (1.0, 1.0));
    assert!(stored(&window).is_empty(), "what was not moved is a click");

    act(&window, Action::AcceptPointPlayers);
    assert_eq!(stored(&window).len(), all.len());
    assert!(stored(&window).iter().all(|p| p.by == FoundBy::Found));
    turn_until("its words", || {
        row(&window).row.words() == "Everybody who was proposed in this point is accepted."
    });
    removed_from_a_frame(&window, here.len());
    act(&window, Action::Undo);
    assert!(stored(&window).is_empty() && model.proposals().len() == all.len(), "one step");
    worked_out_once_a_frame(&window);
    window.destroy();
}

/// What is stored in the frame shown is told, drawn, and can be removed; undo brings it back.
fn removed_from_a_frame(window: &Window, here: usize) {
    let page = window.imp().log.imp().measure.imp();
    let told = || page.told.label().to_string();
    let all = stored(window).len();
    turn_until("what is stored", || told().contains("Stored in this frame:\n"));
    assert_eq!(told().lines().skip_while(|l| *l != "Stored in this frame:").count(), 1 + here, "{}", told());
    assert!(page.remove.is_mapped() && !page.save.is_sensitive() && !page.undo.is_sensitive());
    page.remove.emit_clicked();
    settle(window);
    assert_eq!(stored(window).len(), all - here);
    turn_until("the button to go", || !page.remove.is_mapped());
    assert_eq!(told(), "What was stored in this frame is removed. Undo brings it back.");
    act(window, Action::Undo);
    assert_eq!(stored(window).len(), all);
    turn_until("the button again", || page.remove.is_mapped());
}

/// The keys accept nothing that was not looked at: they open the page.
#[gtk::test]
fn where_the_court_is_not_known_nobody_is_proposed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("m.mp4");
    footage(&path, &times(50, 40));
    let film = Footage {
        file: "m.mp4".into(),
        fingerprint: None,
        duration: MatchTime::from_secs(2),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    };
    let at = MatchTime::from_millis;
    let shots = vec![Shot { at: Some(at(600)), ..Shot::default() }];
    let point = Point { start: Some(at(400)), end: Some(at(1600)), shots, ..Point::default() };
    let record = Record { footage: vec![film], points: [point].into(), ..Record::default() };
    drop(Store::create(&sidecar_for(&path), record).unwrap());
    let window = window_on(&path);
    settle(&window);
    act(&window, Action::PointForward);
    act(&window, Action::AcceptPointPlayers);
    let panel = window.imp().log.imp().measure.clone();
    turn_until("the page", || panel.is_mapped());
    turn_until("its words", || row(&window).row.words().starts_with("Once the court is marked and saved"));
    act(&window, Action::AcceptPointPlayers);
    turn_until("the message", || window.imp().message.text().starts_with("No players wait"));
    assert!(stored(&window).is_empty());
    window.destroy();
}
