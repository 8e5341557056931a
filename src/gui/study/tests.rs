//! The Study page in a real window, over real footage.

use std::path::{Path, PathBuf};

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::StudyPage;
use super::model::StudyModel;
use crate::facts::facts;
use crate::facts::tests::{point, record};
use crate::gui::kit::small_pictures::switch;
use crate::gui::kit::small_pictures::tests::{are_there, number};
use crate::gui::window::Window;
use crate::gui::window::state::Room;
use crate::gui::window::tests::{act, footage, is_at, points, turn_until, window_on};
use crate::logging::{Action, Key, Meaning};
use crate::record::footage::fingerprint;
use crate::record::{Finish, Footage, Logged, Record, Shot, Store, sidecar_for};
use crate::session::pictured::Moment;
use crate::session::study::spot::{Part, Spot};
use crate::tennis::stroke::{Cell, Row, ServeTo};
use crate::time::MatchTime;

/// A match of 24 points of half a second each: serves by turns wide and at the T, every seventh of an unknown place;
/// wide ones mostly won. The last point was not stamped.
fn a_match() -> Record {
    let mut r = record("");
    r.points = (0..24u64)
        .map(|n| {
            let winner = if n % 11 == 10 {
                '?'
            } else if n % 2 == 0 || n % 5 == 0 {
                'A'
            } else {
                'B'
            };
            let mut p = point(n + 1, winner, Some((n % 3 == 2).into()), Some(Finish::Winner), &[]);
            p.shots = vec![Shot::default(); 3];
            p.logged = Some(Logged::Every);
            let stamped = n < 23;
            p.start = stamped.then(|| MatchTime::from_millis(n * 500));
            p.end = stamped.then(|| MatchTime::from_millis(n * 500 + 400));
            p
        })
        .collect();
    // Keys stand for places as the camera sees them: the score says from where it is served.
    for n in (0..24).filter(|n| n % 7 != 6) {
        let f = &facts(&r)[n];
        let to = if n % 2 == 0 { ServeTo::Wide } else { ServeTo::T };
        let column = f.server_end.zip(f.court).map(|(end, court)| to.third(end, court));
        r.points[n].shots[0].cell = column.map(|column| Cell { column, row: None });
        r.points[n].shots[1].cell = column.map(|column| Cell { column, row: Some(Row::ALL[n % 3]) });
    }
    r
}

/// Serves in play: where each went, after how many faults, and whether Holt won.
fn served(points: &[(ServeTo, u8, bool)]) -> Record {
    let mut r = record("");
    r.about.rules.best_of = 5;
    r.points = (points.iter().zip(1..))
        .map(|((_, faults, won), n)| {
            let mut p = point(n, if *won { 'A' } else { 'B' }, Some(*faults), Some(Finish::Ace), &[]);
            p.shots = vec![Shot::default()];
            p.logged = Some(Logged::Every);
            p
        })
        .collect();
    for (f, (to, ..)) in facts(&r).iter().zip(points) {
        let column = to.third(f.server_end.unwrap(), f.court.unwrap());
        r.points[f.number].shots[0].cell = Some(Cell { column, row: None });
    }
    r
}

/// Wide 24 of 30 first serves and 5 of 10 second ones; T 9 of 11 and 16 of 30: more of all points, fewer with either serve.
fn a_reversal() -> Record {
    let kinds = [
        (ServeTo::Wide, 0, 24, 30),
        (ServeTo::Wide, 1, 5, 10),
        (ServeTo::T, 0, 9, 11),
        (ServeTo::T, 1, 16, 30),
    ];
    let all: Vec<_> = kinds
        .iter()
        .flat_map(|(to, faults, won, n)| (0..*n).map(move |i| (*to, *faults, i < *won)))
        .collect();
    // Mixed, so that neither wins so many in a row that the match is over.
    served(&(0..all.len()).map(|i| all[i * 50 % all.len()]).collect::<Vec<_>>())
}

fn films(folder: &Path) -> PathBuf {
    let path = folder.join("holt okafor.mp4");
    footage(&path, &(0..320).map(|n| MatchTime::from_millis(n * 40)).collect::<Vec<_>>());
    path
}

/// A window on the Study page, on a match with its footage.
fn studying(folder: &Path) -> Window {
    let path = films(folder);
    let media = crate::video::probe(&path).unwrap();
    let film = Footage {
        file: "holt okafor.mp4".into(),
        fingerprint: fingerprint(&path).ok(),
        duration: media.duration,
        rate: media.rate,
        rotation: 0,
        start: MatchTime::ZERO,
    };
    drop(Store::create(&sidecar_for(&path), Record { footage: vec![film], ..a_match() }).unwrap());
    let window = window_on(&path);
    act(&window, Action::RoomStudy);
    answered(&window);
    ask(&window, "What wins my service points?");
    window
}

fn page(window: &Window) -> StudyPage {
    window.imp().study.get()
}

fn study(window: &Window) -> StudyModel {
    page(window).imp().study.clone()
}

fn listed(window: &Window) -> Vec<crate::facts::PointRef> {
    page(window).imp().clips.listed()
}

fn menus(window: &Window) -> Vec<gtk::DropDown> {
    page(window).imp().filter.menus()
}

fn cells(window: &Window) -> Vec<(Spot, gtk::Button)> {
    let page = page(window);
    let imp = page.imp();
    [imp.answer.cells(), imp.court.cells(), imp.clips.cells()].iter().flat_map(|c| c.all()).collect()
}

fn answer_words(window: &Window) -> String {
    words_in(page(window).imp().answer.upcast_ref())
}

/// Waits until nothing is asked any more.
fn answered(window: &Window) {
    let study = study(window);
    turn_until("an answer", || {
        study.answered().is_some() && !study.imp().busy.get() && !study.imp().again.get()
    });
}

fn ask(window: &Window, name: &str) {
    let study = study(window);
    let place = study.imp().asked.borrow().iter().position(|q| q.name() == name).unwrap();
    let list = page(window).imp().questions.imp().list.get();
    list.select_row(list.row_at_index(place as i32).as_ref());
    answered(window);
    assert_eq!(study.answered().unwrap().found.question, name);
}

fn words_in(widget: &gtk::Widget) -> String {
    let label = widget.downcast_ref::<gtk::Label>().map(|l| l.label().to_string());
    let inner = std::iter::successors(widget.first_child(), gtk::prelude::WidgetExt::next_sibling);
    label
        .into_iter()
        .chain(inner.map(|w| words_in(&w)))
        .filter(|t| !t.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// The number that a button shows, where it shows one: that of its points, or its first word.
fn number_on(button: &gtk::Button) -> Option<usize> {
    let words = words_in(button.upcast_ref());
    let words: Vec<&str> = words.split([' ', ':']).filter(|w| !w.is_empty()).collect();
    let of_points = words.iter().position(|w| w.starts_with("point")).filter(|at| *at > 0);
    words.get(of_points.map_or(0, |at| at - 1)).and_then(|w| w.parse().ok())
}

fn button_of(window: &Window, spot: Spot) -> gtk::Button {
    cells(window).into_iter().find(|(s, _)| *s == spot).unwrap().1
}

#[gtk::test]
fn every_number_is_the_length_of_its_list_of_clips() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let study = study(&window);
    let names: Vec<String> = study.imp().asked.borrow().iter().map(|q| q.name().to_owned()).skip(1).collect();
    assert_eq!(names.len(), 7);
    let mut numbers = 0;
    for name in &names {
        ask(&window, name);
        for map in 0..study.answered().unwrap().found.maps.len().max(1) {
            study.imp().map.set(map);
            study.ask();
            answered(&window);
            let cells = cells(&window);
            for (spot, button) in cells {
                // A rate, a drawn interval and a name are lists too, but show no number of points.
                let shows = !matches!(spot, Spot::Row { part: Part::Decided | Part::Points, .. })
                    || words_in(button.upcast_ref()).parse::<usize>().is_ok();
                study.choose(spot);
                let listed = listed(&window);
                assert_eq!(listed.len(), spot.count(&study.answered().unwrap().found), "{name}: {spot:?}");
                assert!(
                    page(&window).imp().clips.imp().title.label().ends_with(&format!("({})", listed.len()))
                );
                if shows && !matches!(spot, Spot::Group { .. }) {
                    assert_eq!(number_on(&button), Some(listed.len()), "{name}: {spot:?}");
                    numbers += 1;
                }
            }
        }
    }
    assert!(numbers > 250, "{numbers}");
    window.destroy();
}

#[gtk::test]
fn return_on_a_number_plays_its_clips_and_escape_stops() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let study = study(&window);
    // The last point was not stamped: it is listed all the same, with the reason.
    menus(&window)[0].set_selected(0);
    answered(&window);
    let last = crate::facts::PointRef { record: 0, point: 23 };
    assert!(listed(&window).contains(&last));
    assert_eq!(study.imp().not_played.borrow().get(&last), Some(&"no start or end was stamped"));
    assert_eq!(study.imp().not_played.borrow().len(), 1);
    assert!(page(&window).imp().clips.imp().not_here.label().starts_with("1 point cannot be played"));
    let spot = Spot::Row { section: 0, row: 0, part: Part::Won };
    button_of(&window, spot).grab_focus();
    assert_eq!(study.imp().spot.get(), Some(spot), "the focus chooses");
    let wanted: Vec<usize> = listed(&window).iter().map(|p| p.point).collect();
    assert!(wanted.len() >= 2, "{wanted:?}");
    let kept = window.model().session().borrow().as_ref().unwrap().kept();
    assert_eq!(kept, wanted, "the ribbon dims the others");
    button_of(&window, spot).activate();
    let shown = || window.model().frames().painted().unwrap().at;
    let start = points(&window)[wanted[0]].start.unwrap();
    // The clip leads in, at most two seconds, and never before the footage.
    let first = start.earlier(std::time::Duration::from_secs(2));
    turn_until("the first clip", || {
        window.model().player().borrow().as_ref().unwrap().is_playing()
            && shown() >= first
            && shown() <= start
    });
    window.perform(&Meaning::Do(Action::ClearFilter));
    turn_until("a stop", || !window.model().player().borrow().as_ref().unwrap().is_playing());
    assert!(!window.model().plays_clips());
    // A row of the list plays its own clip.
    page(&window).imp().clips.imp().list.emit_by_name::<()>("activate", &[&1u32]);
    let second = points(&window)[wanted[1]].start.unwrap();
    turn_until("the second clip", || {
        shown() <= second && shown() >= second.earlier(std::time::Duration::from_secs(2))
    });
    turn_until("one clip", || window.model().clip() == Some((0, 1)));
    window.destroy();
}

#[gtk::test]
fn arrows_go_from_number_to_number() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let study = study(&window);
    let key = |name: &str| page(&window).key(&Key::new(false, false, false, name));
    let at = |part| Spot::Row { section: 0, row: 0, part };
    // The name, then the numbers: points, won, lost. Nothing is unknown, and in a narrow answer a column of zeros is left out.
    page(&window).imp().answer.cells().lines()[1][0].grab_focus();
    assert_eq!(study.imp().spot.get(), Some(at(Part::Points)));
    for part in [Part::Points, Part::Won, Part::Lost, Part::Decided] {
        assert_eq!(key("right"), Some(gtk::glib::Propagation::Stop));
        assert_eq!(study.imp().spot.get(), Some(at(part)));
    }
    key("home");
    key("right");
    key("down");
    assert_eq!(study.imp().spot.get(), Some(Spot::Row { section: 0, row: 1, part: Part::Points }));
    key("up");
    key("up");
    assert_eq!(study.imp().spot.get(), Some(Spot::LeftOut), "up to the line above the table");
    // In the list of questions the arrows are the list's, and Tab leaves it.
    page(&window).imp().questions.imp().list.row_at_index(0).unwrap().grab_focus();
    assert_eq!(key("down"), Some(gtk::glib::Propagation::Proceed));
    assert_eq!(key("tab"), Some(gtk::glib::Propagation::Stop));
    assert!(page(&window).imp().questions.imp().own.has_focus());
    window.destroy();
}

#[gtk::test]
fn a_facet_changes_what_is_counted() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let study = study(&window);
    let counts = || {
        let f = study.answered().unwrap();
        (f.found.points.len(), f.found.left_out.len())
    };
    let all = facts(&a_match());
    let served = |player: Option<crate::tennis::Side>, serve: Option<u8>| {
        all.iter()
            .filter(|f| player.is_none_or(|p| f.server == Some(p)))
            .filter(|f| serve.is_none_or(|n| f.serve == Some(n)))
            .count()
    };
    let holt = Some(crate::tennis::Side::A);
    assert_eq!(counts().0, served(holt, None));
    let menus = menus(&window);
    menus[4].set_selected(2);
    answered(&window);
    assert_eq!(counts().0, served(holt, Some(2)));
    menus[0].set_selected(0);
    answered(&window);
    assert_eq!(counts().0, served(None, Some(2)));
    let label = words_in(button_of(&window, Spot::All).upcast_ref());
    assert!(label.starts_with(&format!("{} points: ", served(None, Some(2)))), "{label}");
    window.destroy();
}

#[gtk::test]
fn an_edit_is_counted_at_once_and_the_focus_stays() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let study = study(&window);
    menus(&window)[0].set_selected(0);
    answered(&window);
    let counted = || {
        let a = study.answered().unwrap();
        a.found.points.len() + a.found.left_out.len()
    };
    assert_eq!(counted(), 24);
    let spot = Spot::Row { section: 0, row: 1, part: Part::Points };
    button_of(&window, spot).grab_focus();
    // What logs is refused here; undo is not, and so an edit made on the Log page can be taken back.
    act(&window, Action::DeletePoint);
    assert_eq!(points(&window).len(), 24);
    assert!(window.imp().message.text().contains("Log page"));
    window.enter(Room::Log);
    act(&window, Action::DeletePoint);
    assert_eq!(points(&window).len(), 23);
    window.enter(Room::Study);
    answered(&window);
    assert_eq!(counted(), 23);
    button_of(&window, spot).grab_focus();
    act(&window, Action::Undo);
    answered(&window);
    assert_eq!(counted(), 24);
    assert_eq!(study.imp().spot.get(), Some(spot));
    assert!(button_of(&window, spot).has_focus() || cells(&window).iter().any(|(_, b)| b.has_focus()));
    window.enter(Room::Log);
    assert_eq!(
        window.model().session().borrow().as_ref().unwrap().kept().len(),
        24,
        "the Log page dims nothing"
    );
    window.destroy();
}

#[gtk::test]
fn another_match_is_counted_and_its_clips_are_played_in_place() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let study = study(&window);
    // The other match has footage of its own, but for its last point.
    let film = folder.path().join("reyes.mp4");
    footage(&film, &(0..100).map(|n| MatchTime::from_millis(n * 40)).collect::<Vec<_>>());
    let mut reyes = record("AABBAB");
    for (n, p) in (0..).zip(reyes.points.iter_mut()) {
        (p.start, p.end) =
            (Some(MatchTime::from_millis(n * 700)), Some(MatchTime::from_millis(n * 700 + 400)));
    }
    reyes.footage = vec![Footage {
        file: "reyes.mp4".into(),
        fingerprint: fingerprint(&film).ok(),
        duration: MatchTime::from_millis(3400),
        rate: None,
        rotation: 0,
        start: MatchTime::ZERO,
    }];
    let other = folder.path().join("reyes.points.json");
    drop(Store::create(&other, reyes).unwrap());
    let open = sidecar_for(&folder.path().join("holt okafor.mp4"));
    study.add_matches(vec![other.clone(), open]);
    turn_until("two matches", || {
        study.answered().is_some_and(|a| a.pool.matches().len() == 2) && !study.imp().busy.get()
    });
    assert!(window.imp().message.text().contains("counted already"));
    let menu = menus(&window)[1].clone();
    assert!(menu.get_visible());
    menus(&window)[0].set_selected(0);
    menu.set_selected(2);
    answered(&window);
    study.choose(Spot::All);
    let all = study.points();
    assert!(all.len() == 6 && all.iter().all(|p| p.record == 1), "{all:?}");
    assert!(page(&window).imp().clips.imp().not_here.label().starts_with("1 point cannot be played"));
    study.play();
    let model = window.model();
    turn_until("a clip of the other match", || model.is_elsewhere());
    assert_eq!(study.shown_point(), Some(all[0]));
    assert!(model.session().borrow().as_ref().unwrap().view.path.ends_with("holt okafor.points.json"));
    // Clips of both matches in one list.
    let both = [all[1], crate::facts::PointRef { record: 0, point: 0 }, all[2]];
    study.play_these(&both);
    for p in both {
        turn_until("the next clip", || study.shown_point() == Some(p) && model.clip().is_some());
        turn_until("its picture", || model.is_elsewhere() == (p.record == 1));
    }
    window.enter(Room::Log);
    turn_until("the open match on the Log page", || !model.is_elsewhere() && !model.plays_clips());
    window.destroy();
}

/// No empty pane, and nothing moves when the answer arrives.
#[gtk::test]
fn before_its_first_answer_the_page_says_so_and_has_its_layout() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_on(&films(folder.path()));
    turn_until("the Log page", || window.imp().log.width() > 400);
    window.perform(&Meaning::Do(Action::RoomStudy));
    assert!(answer_words(&window).ends_with("Answering…"), "{}", answer_words(&window));
    let panes = page(&window).imp().panes.clone();
    let first = panes.position();
    answered(&window);
    resize(&window, window.width(), window.height());
    assert!(answer_words(&window).contains("No points yet"));
    assert!(first > 100 && first.abs_diff(panes.position()) < 12, "{first} {}", panes.position());
    window.destroy();
}

#[gtk::test]
fn a_record_without_points_says_where_to_log_some() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_on(&films(folder.path()));
    act(&window, Action::RoomStudy);
    answered(&window);
    let words = answer_words(&window);
    assert!(words.contains("No points yet"), "{words}");
    act(&window, Action::RoomLog);
    act(&window, Action::PointStart);
    act(&window, Action::WinnerA);
    act(&window, Action::RoomStudy);
    answered(&window);
    turn_until("the point", || {
        study(&window).answered().is_some_and(|a| a.found.points.len() <= 1 && a.pool.points() == 1)
    });
    let words = answer_words(&window);
    assert!(words.contains("1 point in all"), "{words}");
    assert!(is_at(&window, 0, 0));
    window.destroy();
}

#[gtk::test]
fn a_reversal_is_said_and_its_groups_are_clips() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("reversal.points.json");
    drop(Store::create(&path, a_reversal()).unwrap());
    let own = folder.path().join("own.toml");
    std::fs::write(
        &own,
        "[[question]]\nname = \"Wide or T?\"\nof = \"player\"\nrows = [\"serve direction\"]",
    )
    .unwrap();
    crate::video::init().unwrap();
    let window = crate::gui::window::tests::empty_window();
    window.model().open(&[path]);
    turn_until("the record", || window.model().session().borrow().is_some());
    act(&window, Action::RoomStudy);
    answered(&window);
    let study = study(&window);
    study.add_questions(own);
    turn_until("the question", || {
        study.answered().unwrap().found.question == "Wide or T?" && !study.imp().busy.get()
    });
    assert_eq!(page(&window).imp().questions.imp().list.selected_row().unwrap().index(), 8);
    let words = answer_words(&window);
    assert!(
        words.contains("but it is the other way round when each kind of serve is compared by itself"),
        "{words}"
    );
    assert!(words.contains("15 of 20 (75 %)") && words.contains("9 of 10 (90 %)"), "{words}");
    let spot =
        |group, others| Spot::Group { section: 0, row: 0, strata: 1, group, others, part: Part::Decided };
    for (group, others, n) in [(0, false, 20), (0, true, 10), (1, false, 10), (1, true, 1)] {
        button_of(&window, spot(group, others)).grab_focus();
        assert_eq!(study.imp().spot.get(), Some(spot(group, others)));
        assert_eq!(listed(&window).len(), n);
    }
    window.destroy();
}

/// Lets the main loop lay the page out in a window of this size.
fn resize(window: &Window, width: i32, height: i32) {
    window.set_default_size(width, height);
    let page = page(window);
    let mut same = 0;
    let mut last = (0, 0, 0, 0);
    for _ in 0..2_000 {
        gtk::glib::MainContext::default().iteration(false);
        let imp = page.imp();
        let now = (imp.view.width(), imp.view.height(), imp.panes.position(), imp.side.position());
        same = if now == last { same + 1 } else { 0 };
        last = now;
        // The frame of the window takes a few pixels.
        if same > 60 && window.width().abs_diff(width) < 30 {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
}

/// The share of the window that the film covers, in per cent.
fn share(window: &Window) -> f64 {
    let picture = page(window).imp().view.get();
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    let film = 16.0 / 9.0;
    let wide = width.min(height * film);
    100.0 * wide * wide / film / f64::from(window.width() * window.height())
}

#[gtk::test]
fn the_footage_covers_a_quarter_of_the_window_and_large_more_than_half() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    resize(&window, 1366, 768);
    let usual = share(&window);
    assert!(usual >= 25.0, "{usual:.1} % of {} x {}", window.width(), window.height());
    act(&window, Action::LargeFootage);
    resize(&window, 1366, 768);
    let large = share(&window);
    assert!(large >= 55.0, "{large:.1} %");
    assert!(page(&window).imp().clips.is_visible(), "the clips stay beside it");
    study(&window).play();
    turn_until("a clip", || window.model().player().borrow().as_ref().unwrap().is_playing());
    assert!(page(&window).large(), "clips play large");
    window.enter(Room::Log);
    assert!(!page(&window).large() && window.imp().ribbon.is_visible());
    window.destroy();
}

#[gtk::test]
fn clips_play_large_until_the_user_wants_them_small() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let (page, study) = (page(&window), study(&window));
    let caption = || page.imp().caption.label().to_string();
    let playing = || window.model().player().borrow().as_ref().unwrap().is_playing();
    let spot = Spot::Row { section: 0, row: 0, part: Part::Won };
    let button = button_of(&window, spot);
    button.grab_focus();
    button.emit_clicked();
    turn_until("a clip", playing);
    assert!(page.large() && !page.imp().answer_side.is_visible());
    let first = listed(&window)[0].point;
    turn_until("its words", || caption().starts_with(&format!("Point {}", first + 1)));
    assert!(caption().ends_with("Esc: back to the answer"), "{}", caption());
    window.perform(&Meaning::Do(Action::ClearFilter));
    assert!(!page.large() && button.has_focus(), "back to the number whose clips were played");
    // Made small by the user, the next one plays small.
    study.play();
    turn_until("a clip", playing);
    act(&window, Action::LargeFootage);
    assert!(!page.large());
    study.play();
    assert!(!page.large());
    act(&window, Action::LargeFootage);
    act(&window, Action::ZoomIn);
    assert!(page.large() && page.imp().view.zoom() > 1.0);
    // Large by hand, a first Escape stops and a second one goes back.
    turn_until("a clip", playing);
    window.perform(&Meaning::Do(Action::ClearFilter));
    assert!(page.large());
    turn_until("a stop", || !playing());
    window.perform(&Meaning::Do(Action::ClearFilter));
    assert!(!page.large());
    window.destroy();
}

#[gtk::test]
fn handles_are_remembered_in_the_settings() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    resize(&window, 1366, 768);
    let page = page(&window);
    page.imp().panes.set_position(500);
    page.remember();
    let kept = window.model().settings().borrow().study_answer.unwrap();
    let wanted = 500_000 / page.imp().panes.width();
    assert_eq!(i32::from(kept), wanted);
    resize(&window, 1200, 700);
    let placed = f64::from(page.imp().panes.position()) / f64::from(page.imp().panes.width());
    assert!((placed - 0.001 * f64::from(wanted)).abs() < 0.01, "{placed}");
    window.destroy();
}

#[gtk::test]
fn questions_rows_and_clips_are_found_by_typing() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let page = page(&window);
    let questions = page.imp().questions.get();
    let find = |entry: &gtk::SearchEntry, words: &str| {
        entry.set_text(words);
        entry.emit_by_name::<()>("search-changed", &[]);
    };
    find(&questions.imp().find, "RALLIES long");
    assert_eq!(questions.found().len(), 1);
    questions.imp().find.emit_by_name::<()>("activate", &[]);
    answered(&window);
    assert_eq!(study(&window).answered().unwrap().found.question, "How do long rallies end?");
    find(&questions.imp().find, "no such words");
    assert!(questions.found().is_empty() && questions.imp().none.get_visible());
    ask(&window, "Which patterns pay?");
    let answer = page.imp().answer.get();
    assert!(answer.imp().find.get_visible());
    find(&answer.imp().find, "wide open");
    let rows = |part: Part| {
        cells(&window).iter().filter(|(s, _)| matches!(s, Spot::Row { part: p, .. } if *p == part)).count()
    };
    let found = rows(Part::Won);
    let all = study(&window).answered().unwrap().found.sections[0].rows.clone();
    let wanted = all.iter().filter(|r| {
        let name = r.name.to_lowercase();
        name.contains("wide") && name.contains("open")
    });
    assert_eq!(found, wanted.count());
    assert!(found >= 1);
    ask(&window, "What wins my service points?");
    study(&window).choose(Spot::All);
    let all = listed(&window);
    find(&page.imp().clips.imp().find, "2nd no row has this");
    assert!(listed(&window).is_empty());
    find(&page.imp().clips.imp().find, "winner");
    assert_eq!(listed(&window), all, "every point here ended with a winner");
    find(&page.imp().clips.imp().find, "0:00:01");
    let some = listed(&window);
    assert!(!some.is_empty() && some.len() < all.len(), "{some:?}");
    assert!(page.imp().clips.imp().title.label().contains(&format!("({} of {})", some.len(), all.len())));
    window.destroy();
}

/// At the least width that the answer gets beside the clips, in pixels of the usual text, no table of any question is cut off.
#[gtk::test]
fn no_table_is_wider_than_its_pane() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    resize(&window, 1000, 640);
    let names: Vec<String> =
        study(&window).imp().asked.borrow().iter().map(|q| q.name().to_owned()).skip(1).collect();
    let mut cut_off = Vec::new();
    for name in names {
        ask(&window, &name);
        let (least, ..) = page(&window).imp().answer.measure(gtk::Orientation::Horizontal, -1);
        if least > 425 {
            cut_off.push(format!("{name}: {least}"));
        }
    }
    assert_eq!(cut_off, [""; 0]);
    window.destroy();
}

#[gtk::test]
fn clips_have_small_pictures_of_their_points() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let (study, film) = (study(&window), folder.path().join("holt okafor.mp4"));
    let few = |spot: &Spot| (2..=4).contains(&spot.count(&study.answered().unwrap().found));
    let spot = cells(&window).into_iter().map(|(spot, _)| spot).find(few).unwrap();
    study.choose(spot);
    let points = listed(&window);
    switch(true);
    let clips = page(&window).imp().clips.get();
    turn_until("the pictures", || are_there(&clips, points.len()));
    let record = window.model().session().borrow().as_ref().unwrap().view.record.clone();
    for point in points {
        let shown = Moment::of_point(&record, &sidecar_for(&film), point.point).unwrap();
        assert_eq!(number(&film, shown.at) as u64, shown.at.nanos() / 40_000_000);
    }
    switch(false);
    window.destroy();
}
