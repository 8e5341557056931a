//! The Show page in the real window, with real footage whose frames carry their numbers.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::window::Window;
use crate::gui::window::tests::{act, empty_window, footage, number_in, turn_for, turn_until, window_on};
use crate::lesson::{Chapter, Clip, Footage, Freeze, Lesson, Part, Picture, Still, create, load};
use crate::logging::{Action, Meaning};
use crate::record::{Point, Record, Store, sidecar_for};
use crate::time::MatchTime;

const fn ms(n: u64) -> MatchTime {
    MatchTime::from_millis(n)
}

fn clip(file: &str, caption: &str, from: u64, to: u64) -> Part {
    Part::Clip(Box::new(Clip {
        footage: Footage { file: file.into(), fingerprint: None, duration: ms(4000), rate: None },
        from: ms(from),
        to: ms(to),
        caption: caption.into(),
        score: String::new(),
        notes: format!("notes of {caption}"),
        of: None,
        pattern: String::new(),
        conditions: Vec::new(),
        stretches: Vec::new(),
        freezes: Vec::new(),
        drawings: Vec::new(),
        times: None,
    }))
}

fn still() -> Still {
    Still { caption: String::new(), lasts: ms(2000), shows: Picture::Court(Vec::new()), notes: String::new() }
}

/// A hundred frames, 25 a second, in two files; and a lesson of a chapter and three clips.
pub(in crate::gui) fn lesson(folder: &Path) -> PathBuf {
    crate::video::init().unwrap();
    let times: Vec<MatchTime> = (0..100).map(|n| ms(n * 40)).collect();
    footage(&folder.join("one.mp4"), &times);
    footage(&folder.join("two.mp4"), &times);
    let head = Part::Chapter(Chapter { title: "Drop shots".into(), notes: String::new() });
    let parts = vec![
        head,
        clip("one.mp4", "first", 400, 1200),
        clip("two.mp4", "second", 800, 1600),
        clip("one.mp4", "third", 2000, 2800),
    ];
    let path = folder.join("drops.lesson.json");
    create(&path, &Lesson { parts, ..Lesson::default() }).unwrap();
    path
}

pub(super) fn shown(window: &Window) -> Option<usize> {
    window.model().frames().painted().map(|s| number_in(&s.frame))
}

pub(super) fn see(window: &Window, frame: usize) {
    turn_until(&format!("frame {frame}"), || shown(window) == Some(frame));
}

pub(in crate::gui) fn open(path: &Path) -> Window {
    let window = empty_window();
    window.model().open(&[path.to_owned()]);
    turn_until("the lesson", || window.model().lesson().is_some());
    window
}

pub(in crate::gui) fn choose(window: &Window, at: usize) {
    let chosen = || window.model().lesson().and_then(|v| v.chosen);
    while chosen() != Some(at) {
        let before = chosen();
        let on = before.is_none_or(|b| b < at);
        window.perform(&Meaning::Do(if on { Action::PointForward } else { Action::PointBack }));
        turn_until("another part", || chosen() != before);
    }
}

/// Presses a key, and waits until the lesson on the disk is as wanted.
fn change(window: &Window, action: Action, path: &Path, wanted: impl Fn(&Lesson) -> bool) {
    window.perform(&Meaning::Do(action));
    let said = format!("{action:?}");
    turn_until(&said, || load(path).is_ok_and(|(lesson, _)| wanted(&lesson)));
    turn_for(Duration::from_millis(30));
}

fn spans(lesson: &Lesson) -> Vec<(u64, u64)> {
    let of = |c: &Clip| (c.from.nanos() / 1_000_000, c.to.nanos() / 1_000_000);
    lesson.parts.iter().flat_map(Part::clips).map(of).collect()
}

#[gtk::test]
fn a_lesson_is_trimmed_split_moved_and_undone_by_keys() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    assert!(window.is_in_show(), "a lesson opens on its page, without a match");
    assert_eq!(window.imp().show.rows().len(), 4);
    choose(&window, 1);
    see(&window, 10);
    for n in [11, 12] {
        act(&window, Action::FrameForward);
        see(&window, n);
    }
    change(&window, Action::StartHere, &path, |l| spans(l)[0] == (480, 1200));
    assert_eq!(shown(&window), Some(12), "the frame stays");
    for n in 13..=20 {
        act(&window, Action::FrameForward);
        see(&window, n);
    }
    change(&window, Action::EndHere, &path, |l| spans(l)[0] == (480, 840));
    for n in [19, 18] {
        act(&window, Action::FrameBack);
        see(&window, n);
    }
    change(&window, Action::SplitClip, &path, |l| spans(l)[..2] == [(480, 720), (720, 840)]);
    change(&window, Action::ClipUp, &path, |l| spans(l)[..2] == [(720, 840), (480, 720)]);
    change(&window, Action::FreezeClip, &path, |l| {
        l.parts.iter().flat_map(Part::clips).any(|c| !c.freezes.is_empty())
    });
    change(&window, Action::DeletePoint, &path, |l| spans(l).len() == 3);
    for left in [4, 4, 4, 3, 3, 3] {
        change(&window, Action::Undo, &path, |l| spans(l).len() == left);
    }
    turn_until("all undone", || spans(&load(&path).unwrap().0)[0] == (400, 1200));
    window.destroy();
}

#[gtk::test]
fn the_words_of_a_clip_are_kept_when_another_is_chosen() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    choose(&window, 1);
    act(&window, Action::ClipCaption);
    let field = gtk::prelude::GtkWindowExt::focus(&window).and_downcast::<gtk::Text>();
    field.expect("the caption has the focus").set_text("ball short, then the net");
    choose(&window, 2);
    let caption = |l: &Lesson, n: usize| l.parts[n].clips().next().unwrap().caption.clone();
    turn_until("the caption", || caption(&load(&path).unwrap().0, 1) == "ball short, then the net");
    assert_eq!(caption(&load(&path).unwrap().0, 2), "second");
    window.destroy();
}

#[gtk::test]
fn the_words_of_a_clip_go_with_it_when_it_is_moved_or_removed() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    choose(&window, 1);
    let words = || {
        let of = |c: &Clip| (c.caption.clone(), c.notes.clone());
        load(&path).unwrap().0.parts.iter().flat_map(Part::clips).map(of).collect::<Vec<_>>()
    };
    let [mut first, second, third] = <[_; 3]>::try_from(words()).unwrap();
    act(&window, Action::ClipCaption);
    let field = gtk::prelude::GtkWindowExt::focus(&window).and_downcast::<gtk::Text>().unwrap();
    field.set_text("short");
    first.0 = "short".into();
    // Two keys before the first is answered.
    window.perform(&Meaning::Do(Action::ClipDown));
    window.perform(&Meaning::Do(Action::ClipDown));
    turn_until("a clip that was moved", || words() == [second.clone(), third.clone(), first.clone()]);
    for (action, wanted) in [
        (Action::ClipUp, vec![&second, &first, &third]),
        (Action::DeletePoint, vec![&second, &third]),
        (Action::Undo, vec![&second, &first, &third]),
        (Action::ClipUp, vec![&first, &second, &third]),
    ] {
        act(&window, action);
        turn_for(Duration::from_millis(300));
        assert_eq!(words().iter().collect::<Vec<_>>(), wanted, "{action:?}");
    }
    window.destroy();
}

#[gtk::test]
fn points_of_a_match_are_added_with_one_key_and_taken_off_with_undo() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let film = folder.path().join("one.mp4");
    let point = |from, to| Point { start: Some(ms(from)), end: Some(ms(to)), ..Point::default() };
    let media = crate::video::probe(&film).unwrap();
    let record = Record {
        footage: vec![crate::record::Footage {
            file: "one.mp4".into(),
            fingerprint: crate::record::footage::fingerprint(&film).ok(),
            start: MatchTime::ZERO,
            duration: media.index.end(),
            rotation: 0,
            rate: None,
        }],
        points: [point(400, 800), point(2000, 2400)].into(),
        ..Record::default()
    };
    drop(Store::create(&sidecar_for(&film), record).unwrap());
    let window = window_on(&film);
    window.model().open_lesson(path.clone());
    turn_until("the lesson", || window.model().lesson().is_some());
    act(&window, Action::RoomLog);
    change(&window, Action::AddClips, &path, |l| spans(l).len() == 5);
    let said = window.imp().message.text();
    assert!(said.starts_with("2 clips added to the lesson “drops”."), "{said}");
    change(&window, Action::Undo, &path, |l| spans(l).len() == 3);
    window.model().choose(1);
    change(&window, Action::AddClip, &path, |l| spans(l).len() == 4);
    let points = window.model().session().borrow().as_ref().unwrap().view.record.points.len();
    assert_eq!(points, 2, "the match is as it was");
    window.destroy();
}

#[gtk::test]
fn a_show_goes_on_back_and_stops_by_keys() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    choose(&window, 1);
    see(&window, 10);
    act(&window, Action::PlayShow);
    let stage = window.imp().show.stage().unwrap();
    see(&window, 29);
    turn_for(Duration::from_millis(300));
    assert_eq!(shown(&window), Some(29), "a clip stops at its last frame");
    assert_eq!(stage.said(), ["Drop shots".to_owned(), "first".to_owned(), String::new()]);
    stage.act(Action::SetForward);
    turn_until("the second clip", || stage.said()[1] == "second");
    stage.act(Action::ShowNotes);
    assert_eq!(stage.said()[2], "notes of second");
    stage.act(Action::SetBack);
    turn_until("the first clip again", || stage.said()[1] == "first");
    let rests = || window.imp().show.imp().view.imp().rests.get();
    assert!(rests(), "what is covered is not drawn");
    stage.close();
    turn_for(Duration::from_millis(50));
    assert!(!window.model().is_playing() && !rests());
    window.destroy();
}

#[gtk::test]
fn a_freeze_stands_at_its_frame_for_its_time() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let (mut lesson, _) = load(&path).unwrap();
    if let Part::Clip(clip) = &mut lesson.parts[1] {
        clip.freezes = vec![Freeze { at: ms(600), lasts: ms(700), drawings: Vec::new() }];
    }
    let path = folder.path().join("frozen.lesson.json");
    create(&path, &lesson).unwrap();
    let window = open(&path);
    choose(&window, 1);
    see(&window, 10);
    act(&window, Action::Replay);
    turn_until("the freeze", || window.model().stands());
    let since = Instant::now();
    see(&window, 15);
    turn_until("it goes on", || !window.model().stands());
    let stood = since.elapsed().as_millis();
    assert!((600..1200).contains(&stood), "{stood} ms");
    see(&window, 29);
    window.destroy();
}

#[gtk::test]
fn without_a_lesson_the_page_says_what_to_do() {
    crate::video::init().unwrap();
    let window = empty_window();
    act(&window, Action::RoomShow);
    assert!(window.is_in_show());
    for action in [Action::DeletePoint, Action::Undo, Action::StartHere, Action::PlayShow] {
        act(&window, action);
        assert!(window.imp().message.get_visible(), "{action:?}");
    }
    window.model().open(&[PathBuf::from("/nowhere/none.lesson.json")]);
    turn_until("why not", || window.imp().message.text().contains("none.lesson.json"));
    assert!(window.model().lesson().is_none());
    window.destroy();
}

#[gtk::test]
fn a_lesson_that_loses_its_last_clip_shows_none() {
    let folder = tempfile::tempdir().unwrap();
    let (whole, _) = load(&lesson(folder.path())).unwrap();
    let path = folder.path().join("one.lesson.json");
    create(&path, &Lesson { parts: whole.parts[1..2].to_vec(), ..Lesson::default() }).unwrap();
    let window = open(&path);
    see(&window, 10);
    let says = || window.imp().show.says_nothing();
    assert_eq!(says(), None);
    let can_be_moved = || window.imp().show.imp().list.imp().order.is_sensitive();
    assert!(can_be_moved());
    change(&window, Action::DeletePoint, &path, |l| l.parts.is_empty());
    turn_until("no picture", || says().is_some());
    assert!(!can_be_moved(), "there is none");
    assert!(says().unwrap().starts_with("The lesson has no clip yet. In Log, Study or the library, "));
    for action in [Action::PlayPause, Action::FrameForward, Action::PlayShow] {
        window.model().be_quiet();
        act(&window, action);
        assert!(window.imp().message.text().contains("no clip that can be played"), "{action:?}");
        assert!(!window.model().is_playing(), "{action:?}");
    }
    change(&window, Action::Undo, &path, |l| l.parts.len() == 1);
    turn_until("the picture again", || says().is_none());
    see(&window, 10);
    window.destroy();
}

#[gtk::test]
fn a_clip_that_cannot_be_read_stays_chosen_and_can_be_removed() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    std::fs::write(folder.path().join("two.mp4"), "This is no film.").unwrap();
    let window = open(&path);
    see(&window, 10);
    choose(&window, 2);
    let says = || window.imp().show.says_nothing();
    turn_until("why not", || says().is_some_and(|why| why.contains("two.mp4")));
    turn_for(Duration::from_millis(300));
    assert_eq!(window.model().lesson().unwrap().chosen, Some(2));
    change(&window, Action::DeletePoint, &path, |l| l.parts.len() == 3);
    assert_eq!(spans(&load(&path).unwrap().0), [(400, 1200), (2000, 2800)]);
    turn_until("a picture again", || says().is_none());
    window.destroy();
}

#[gtk::test]
fn a_chapter_shows_its_first_clip_and_what_has_no_picture_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let (mut long, _) = load(&lesson(folder.path())).unwrap();
    let words = Still { shows: Picture::Words("Rest".into()), ..still() };
    let court = Still { shows: Picture::Court(Vec::new()), ..still() };
    long.parts.splice(0..0, [Part::Chapter(Chapter { title: "Empty".into(), notes: String::new() })]);
    long.parts.extend([
        Part::Still(Box::new(words)),
        Part::Still(Box::new(court)),
        clip("gone.mp4", "gone", 0, 400),
    ]);
    let path = folder.path().join("long.lesson.json");
    create(&path, &long).unwrap();
    let window = open(&path);
    let says = || window.imp().show.says_nothing();
    turn_until("words for an empty chapter", || says().is_some());
    assert_eq!(says().unwrap(), "This chapter has no clip yet.");
    window.model().be_quiet();
    act(&window, Action::PlayPause);
    assert_eq!(window.imp().message.text(), "Choose a clip of the lesson first.");
    choose(&window, 1);
    see(&window, 10);
    turn_for(Duration::from_millis(200));
    assert_eq!(says(), None);
    assert_eq!(window.model().lesson().unwrap().chosen, Some(1), "the chapter stays chosen");
    act(&window, Action::FrameForward);
    see(&window, 11);
    choose(&window, 3);
    see(&window, 20);
    choose(&window, 1);
    see(&window, 10);
    for (at, words) in [(5, "Rest"), (6, "A video and a page"), (7, "This clip cannot be shown here.")] {
        choose(&window, at);
        turn_until("words in the place of the picture", || {
            says().is_some_and(|said| said.starts_with(words))
        });
        act(&window, Action::PlayPause);
        assert!(!window.model().is_playing());
    }
    choose(&window, 1);
    act(&window, Action::PlayMatching);
    turn_until("the clip is chosen that is played", || window.model().lesson().unwrap().chosen == Some(2));
    window.destroy();
}

#[gtk::test]
fn the_first_field_is_a_chapters_title_or_a_clips_caption() {
    let folder = tempfile::tempdir().unwrap();
    let window = open(&lesson(folder.path()));
    let said = || window.imp().show.imp().words.said();
    for (at, name, words) in [(0, "Title", "Drop shots"), (1, "Caption", "first"), (0, "Title", "Drop shots")]
    {
        choose(&window, at);
        let (is_named, says, may_change, _) = said();
        assert_eq!((is_named.as_str(), says.as_str(), may_change), (name, words, true));
    }
    window.destroy();
}

#[gtk::test]
fn the_words_of_a_lesson_that_may_only_be_read_can_be_read() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let held = crate::lesson::LessonStore::open(&path).unwrap();
    let window = open(&path);
    let show = &window.imp().show.imp();
    let (clips, why) = show.list.counted();
    assert_eq!(clips, "3 clips · read-only");
    let why = why.unwrap();
    assert!(why.starts_with("It is open in") && why.ends_with("to change it here"), "{why}");
    choose(&window, 1);
    assert!(!show.list.imp().order.is_sensitive(), "it may not be moved");
    let words = || show.words.said();
    let before = ("Caption".to_owned(), "first".to_owned(), false, "notes of first".to_owned());
    assert_eq!(words(), before);
    act(&window, Action::ClipCaption);
    let field = gtk::prelude::GtkWindowExt::focus(&window).and_downcast::<gtk::Text>();
    let field = field.expect("the caption has the focus");
    field.select_region(0, -1);
    field.emit_by_name::<()>("cut-clipboard", &[]);
    assert_eq!(words(), before, "it is copied, and stays");
    window.model().be_quiet();
    act(&window, Action::NewChapter);
    turn_until("why not", || window.imp().message.text().contains("it is open in"));
    window.destroy();
    drop(held);
}

#[gtk::test]
fn a_new_lesson_is_named_after_the_first_names_and_the_day() {
    let folder = tempfile::tempdir().unwrap();
    let film = folder.path().join("one.mp4");
    crate::video::init().unwrap();
    footage(&film, &[ms(0), ms(40)]);
    let window = window_on(&film);
    let name = || window.new_lesson_name(Some(folder.path()));
    let today = crate::record::consent::today();
    assert_eq!(name(), format!("Lesson {today}.lesson.json"), "nobody is named yet");
    window.destroy();
    let mut record = Record::default();
    record.about.a.name = "Mara Holt".into();
    record.about.b.name = "Ada Okafor".into();
    record.about.date = "2026-05-03".parse().ok();
    let window = crate::gui::ribbon::tests::window_with(&folder, record);
    let name = || window.new_lesson_name(Some(folder.path()));
    assert_eq!(name(), "Mara-Ada 2026-05-03.lesson.json");
    std::fs::write(folder.path().join(name()), "").unwrap();
    assert_eq!(name(), "Mara-Ada 2026-05-03 2.lesson.json");
    window.destroy();
}

#[gtk::test]
fn the_notes_are_large_while_the_show_is_on_another_screen() {
    let folder = tempfile::tempdir().unwrap();
    let window = open(&lesson(folder.path()));
    choose(&window, 1);
    let words = &window.imp().show.imp().words;
    let height = || words.imp().noted.height();
    turn_until("the page", || height() > 0);
    let before = height();
    words.present(true);
    turn_until("large notes", || height() >= before + 150);
    words.present(false);
    turn_until("the notes as before", || height() == before);
    window.destroy();
}

#[gtk::test]
fn a_message_hides_nothing_of_the_page() {
    let folder = tempfile::tempdir().unwrap();
    let window = open(&lesson(folder.path()));
    choose(&window, 1);
    let (show, message) = (&window.imp().show, &window.imp().message);
    let place = |widget: &gtk::Widget| widget.compute_bounds(&window).unwrap();
    for presents in [false, true] {
        window.model().be_quiet();
        show.imp().words.present(presents);
        turn_until("a quiet page", || !message.is_visible());
        turn_for(Duration::from_millis(400));
        let quiet = place(show.imp().view.upcast_ref());
        window.model().say("Two lines of a message.\nThe second one.");
        turn_until("the whole message", || message.is_mapped() && message.height() > 40);
        turn_for(Duration::from_millis(400));
        let (list, said) = (place(show.imp().list.upcast_ref()), place(message.upcast_ref()));
        assert!(list.y() + list.height() <= said.y(), "{list:?} {said:?}");
        let picture = place(show.imp().view.upcast_ref());
        assert!(said.x() + said.width() <= picture.x(), "{picture:?} {said:?}");
        assert_eq!(picture, quiet, "the picture stays as it is");
        assert!(said.y() + said.height() <= window.height() as f32, "{said:?}");
        assert!(show.imp().view.height() >= 180, "there is room for the picture");
        let needs = window.measure(gtk::Orientation::Vertical, 1024).0;
        println!("with a message, presenting {presents}: at least {needs} high");
        assert!(needs <= 768, "{needs}");
        let close = message.last_child().and_then(|r| r.first_child()).and_then(|b| b.last_child()).unwrap();
        assert!(close.is_sensitive(), "it does something here too");
        close.activate();
        turn_until("a closed message", || !message.is_visible());
    }
    window.destroy();
}
