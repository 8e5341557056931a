//! Small pictures in the real window: each is of the right frame, they wait while footage plays, and can be switched off.

use std::path::Path;
use std::time::Duration;

use gtk::gdk;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::switch;
use crate::gui::dialogs::correct_tests::all;
use crate::gui::window::Window;
use crate::gui::window::tests::{empty_window, footage, times, turn_for, turn_until, window_on};
use crate::lesson::{Lesson, Part, create};
use crate::record::footage::fingerprint;
use crate::record::{Footage, Point, Record, Shot, Store, sidecar_for};
use crate::session::traces::{small_picture_of, small_pictures};
use crate::time::MatchTime;

const fn ms(n: u64) -> MatchTime {
    MatchTime::from_millis(n)
}

/// A match of three points: the second has a strike, the third no footage.
fn a_match(path: &Path, seconds: u64) {
    footage(path, &times(seconds * 25, 40));
    let struck = |at| Shot { at: Some(ms(at)), ..Shot::default() };
    let point = |start, end, shots| Point { start, end, shots, ..Point::default() };
    let points = [
        point(Some(ms(400)), Some(ms(800)), Vec::new()),
        point(Some(ms(1200)), Some(ms(2400)), vec![struck(1480), struck(2000)]),
        point(Some(ms(90_000)), Some(ms(91_000)), Vec::new()),
    ];
    let file = Footage {
        file: path.file_name().unwrap().to_str().unwrap().into(),
        fingerprint: None,
        duration: MatchTime::from_secs(seconds),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    };
    let record = Record { footage: vec![file], points: points.into(), ..Record::default() };
    drop(Store::create(&sidecar_for(path), record).unwrap());
}

/// The pictures below a widget that are seen, in the order of their rows.
fn pictures(of: &impl IsA<gtk::Widget>) -> Vec<gtk::Picture> {
    let all = all::<gtk::Picture>(of).into_iter();
    all.filter(|p| p.has_css_class("small-picture") && p.is_mapped()).collect()
}

/// The number of the frame that a picture on disk shows: 16 blocks, white for a bit that is set.
pub fn number(film: &Path, at: MatchTime) -> usize {
    let picture = gdk::Texture::from_filename(small_picture_of(&fingerprint(film).unwrap(), at)).unwrap();
    assert_eq!((picture.width(), picture.height()), (96, 54));
    let mut pixels = vec![0; 96 * 54 * 4];
    picture.download(&mut pixels, 96 * 4);
    (0..16).fold(0, |n, bit| n | usize::from(pixels[(13 * 96 + bit * 6 + 3) * 4] > 128) << bit)
}

/// Whether so many rows have their pictures.
pub fn are_there(list: &impl IsA<gtk::Widget>, how_many: usize) -> bool {
    let pictures = pictures(list);
    pictures.len() == how_many && pictures.iter().all(|p| p.paintable().is_some())
}

fn ends(window: &Window) {
    switch(false);
    window.destroy();
}

#[gtk::test]
fn each_point_shows_the_frame_of_its_first_strike_or_its_start() {
    let folder = tempfile::tempdir().unwrap();
    let film = folder.path().join("m.mp4");
    a_match(&film, 4);
    let window = window_on(&film);
    // The column shows the pad at first; what is not on the screen has no pictures made.
    window.imp().log.imp().side.set_visible_child_name("points");
    let list = window.imp().log.imp().points.imp().list.clone();
    turn_until("the rows", || all::<gtk::Picture>(&list).len() == 3);
    assert_eq!(pictures(&list).len(), 0, "switched off");
    let high = |at: u32| all::<gtk::Picture>(&list)[at as usize].parent().unwrap().height();
    switch(true);
    // The third point has no footage, so it has no picture.
    turn_until("the pictures", || are_there(&list, 2));
    assert_eq!([number(&film, ms(400)), number(&film, ms(1480))], [10, 37]);
    assert!(high(0) <= 44, "a row is as high as its two lines, or little more: {}", high(0));
    switch(false);
    turn_until("no pictures", || pictures(&list).is_empty());
    ends(&window);
}

#[gtk::test]
fn pictures_wait_while_the_footage_plays() {
    let folder = tempfile::tempdir().unwrap();
    let film = folder.path().join("m.mp4");
    a_match(&film, 20);
    let window = window_on(&film);
    // The column shows the pad at first; what is not on the screen has no pictures made.
    window.imp().log.imp().side.set_visible_child_name("points");
    let list = window.imp().log.imp().points.imp().list.clone();
    turn_until("the rows", || all::<gtk::Picture>(&list).len() == 3);
    // It opens at the last point, after which little is left to play.
    let seek = || window.model().player().borrow().as_ref().map(|player| player.seek_frame(0));
    seek().unwrap();
    let at = || window.model().frames().painted().map(|s| s.frame.index);
    turn_until("the start", || at() == Some(0));
    window.model().perform(&crate::logging::Meaning::Do(crate::logging::Action::PlayPause));
    turn_until("playing", || window.model().is_playing() && at().is_some_and(|n| (3..100).contains(&n)));
    switch(true);
    turn_for(Duration::from_millis(700));
    let made = small_picture_of(&fingerprint(&film).unwrap(), ms(400));
    assert!(window.model().is_playing() && !made.exists(), "nothing is decoded while footage plays");
    window.model().perform(&crate::logging::Meaning::Do(crate::logging::Action::PlayPause));
    turn_until("the pictures", || are_there(&list, 2));
    assert!(made.exists() && made.starts_with(small_pictures()));
    ends(&window);
}

#[gtk::test]
fn each_clip_of_a_lesson_shows_its_first_frame() {
    let folder = tempfile::tempdir().unwrap();
    let path = crate::gui::show::tests::lesson(folder.path());
    let (mut read, _) = crate::lesson::load(&path).unwrap();
    // The fourth part has lost its footage.
    if let Some(Part::Clip(clip)) = read.parts.get_mut(3) {
        clip.footage.file = "gone.mp4".into();
    }
    let path = folder.path().join("other.lesson.json");
    create(&path, &Lesson { parts: read.parts, ..Lesson::default() }).unwrap();
    let window = empty_window();
    switch(true);
    window.model().open(std::slice::from_ref(&path));
    let show = window.imp().show.clone();
    turn_until("the pictures", || are_there(&show, 2));
    let at = |file: &str, at| number(&folder.path().join(file), ms(at));
    assert_eq!([at("one.mp4", 400), at("two.mp4", 800)], [10, 20]);
    ends(&window);
}
