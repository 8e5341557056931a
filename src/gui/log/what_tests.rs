//! What newly opened footage shows: asked beside the picture, answered by a key, or ignored.

use std::path::{Path, PathBuf};

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::window::Window;
use crate::gui::window::tests::{act, empty_window, footage, points, settle, times, turn_until, window_on};
use crate::logging::Action;
use crate::record::{Kind, load, sidecar_for};
use crate::session::question::{Question, Together};
use crate::tennis::Side;

fn film(folder: &Path, name: &str) -> PathBuf {
    let path = folder.join(name);
    footage(&path, &times(40, 40));
    path
}

fn asked(window: &Window) -> Option<Question> {
    let card = window.imp().log.imp().what.get_visible();
    let asked = window.model().session().borrow().as_ref().and_then(|s| s.question().cloned());
    assert_eq!(card, asked.is_some(), "the card is there as long as something is asked");
    asked
}

fn kind(window: &Window) -> Kind {
    window.model().session().borrow().as_ref().unwrap().view.record.about.kind()
}

#[gtk::test]
fn one_key_says_what_the_footage_shows_and_it_can_be_changed() {
    let folder = tempfile::tempdir().unwrap();
    let path = film(folder.path(), "holt okafor.mp4");
    let window = window_on(&path);
    assert_eq!(asked(&window), Some(Question::Footage { likely: Kind::Points, again: false }));
    act(&window, Action::FinishAce);
    assert_eq!((asked(&window), kind(&window)), (None, Kind::Match));
    assert!(!sidecar_for(&path).exists(), "a whole match is no edit");
    act(&window, Action::WhatFootage);
    assert!(asked(&window).is_some());
    act(&window, Action::FinishUnforced);
    assert_eq!((asked(&window), kind(&window)), (None, Kind::Points));
    assert_eq!(load(&sidecar_for(&path)).unwrap().0.about.kind(), Kind::Points);
    act(&window, Action::PointStart);
    act(&window, Action::WinnerA);
    // Asked again with points logged: nothing of them is lost, and Escape puts the question away.
    act(&window, Action::WhatFootage);
    act(&window, Action::ClearFilter);
    assert_eq!((asked(&window), kind(&window)), (None, Kind::Points));
    act(&window, Action::WhatFootage);
    act(&window, Action::FinishForced);
    assert_eq!((kind(&window), points(&window)[0].winner), (Kind::Practice, Some(Side::A)));
    act(&window, Action::FinishWinner);
    assert!(points(&window)[0].finish.is_some(), "the key is an ending again");
    window.destroy();
}

#[gtk::test]
fn of_part_of_a_match_the_score_is_asked_and_need_not_be_known() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_on(&film(folder.path(), "holt okafor.mp4"));
    act(&window, Action::FinishWinner);
    assert_eq!((asked(&window), kind(&window)), (Some(Question::ScoreNow), Kind::Part));
    act(&window, Action::FinishWinner);
    assert_eq!(asked(&window), None);
    let row = |side| window.model().session().borrow().as_ref().unwrap().board(side);
    assert_eq!(row(Side::A).score, Some(("?".into(), "?".into())));
    assert!(!row(Side::A).serves && !row(Side::B).serves);
    window.destroy();
}

#[gtk::test]
fn a_question_that_is_ignored_goes_with_the_first_point() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_on(&film(folder.path(), "holt okafor.mp4"));
    act(&window, Action::PointStart);
    act(&window, Action::FinishWinner);
    act(&window, Action::WinnerB);
    assert_eq!((asked(&window), kind(&window), points(&window).len()), (None, Kind::Match, 1));
    window.destroy();
}

fn opened(paths: &[PathBuf]) -> Window {
    crate::video::init().unwrap();
    let window = empty_window();
    window.model().open(paths);
    turn_until("the footage", || window.model().frames().painted().is_some());
    window
}

#[gtk::test]
fn files_opened_together_are_a_film_each() {
    let folder = tempfile::tempdir().unwrap();
    let names = ["holt okafor.mp4", "reyes vale.mp4", "dahl.mp4", "a.mp4", "b.mp4"];
    let paths = names.map(|n| film(folder.path(), n));
    let window = opened(&paths);
    assert!(matches!(asked(&window), Some(Question::Files { likely: Together::Each, .. })));
    assert!(paths.iter().all(|p| !sidecar_for(p).exists()), "nothing is written before the answer");
    act(&window, Action::FinishWinner);
    turn_until("five records", || paths.iter().all(|p| sidecar_for(p).exists()));
    turn_until("one film", || {
        window.model().session().borrow().as_ref().is_some_and(|s| s.view.record.footage.len() == 1)
    });
    assert!(
        matches!(asked(&window), Some(Question::Footage { .. })),
        "of each film it is asked what it shows"
    );
    let mut seen = Vec::new();
    for _ in 0..5 {
        let path = window.model().session().borrow().as_ref().unwrap().view.path.clone();
        seen.push(path);
        act(&window, Action::NextFilm);
        let others = seen.clone();
        turn_until("the next film", || {
            let session = window.model().session().borrow();
            seen.len() == 5 || session.as_ref().is_some_and(|s| !others.contains(&s.view.path))
        });
    }
    seen.sort();
    seen.dedup();
    assert_eq!(seen.len(), 5);
    window.destroy();
}

#[gtk::test]
fn files_opened_together_are_one_match() {
    let folder = tempfile::tempdir().unwrap();
    let paths = ["m-1.mp4", "m-2.mp4"].map(|n| film(folder.path(), n));
    let window = opened(&paths);
    assert!(matches!(asked(&window), Some(Question::Files { likely: Together::OneMatch, .. })));
    act(&window, Action::FinishAce);
    assert!(matches!(asked(&window), Some(Question::Footage { .. })));
    act(&window, Action::FinishAce);
    act(&window, Action::PointStart);
    settle(&window);
    assert!(sidecar_for(&paths[0]).exists() && !sidecar_for(&paths[1]).exists());
    assert_eq!(load(&sidecar_for(&paths[0])).unwrap().0.footage.len(), 2);
    window.model().close_session().unwrap().join().unwrap();
    window.destroy();
    // A third file: again it is asked, and only then part of the match.
    let third = film(folder.path(), "m-3.mp4");
    let all = [paths[0].clone(), paths[1].clone(), third];
    let window = opened(&all);
    let files =
        |window: &Window| window.model().session().borrow().as_ref().unwrap().view.record.footage.len();
    assert_eq!(files(&window), 2);
    window.destroy();
}
