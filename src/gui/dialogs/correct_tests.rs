//! The dialogs that correct the score and name the players, filled in as a coach would, in a window with footage.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::{correct, details};
use crate::gui::window::Window;
use crate::gui::window::tests::{act, footage, is_at, points, settle, times, turn_until, window_on};
use crate::logging::{Action, Meaning};
use crate::record::check::{Severity, check};
use crate::record::{Edit, Outcome, Point, Record};
use crate::session::keeper::Ask;
use crate::tennis::pair::Server;
use crate::tennis::rules::Sides;
use crate::tennis::{End, Side};
use crate::time::MatchTime;

/// All widgets of a kind below one, in the order in which they are there.
pub(in crate::gui) fn all<T: IsA<gtk::Widget>>(below: &impl IsA<gtk::Widget>) -> Vec<T> {
    let mut found: Vec<T> = below.as_ref().clone().downcast().into_iter().collect();
    let mut child = below.as_ref().first_child();
    while let Some(c) = child {
        found.extend(all(&c));
        child = c.next_sibling();
    }
    found
}

fn type_in(entry: &gtk::Entry, text: &str) {
    entry.set_text(text);
}

/// Presses Save; says what was wrong, if the dialog said so.
fn keep(window: &Window, dialog: &gtk::Window) -> String {
    let buttons = all::<gtk::Button>(dialog);
    buttons.iter().find(|b| b.label().as_deref() == Some("Save")).unwrap().emit_clicked();
    settle(window);
    let wrong = all::<gtk::Label>(dialog).into_iter().find(|l| l.has_css_class("wrong"));
    wrong.map(|l| l.label().into()).unwrap_or_default()
}

fn record(window: &Window) -> Record {
    Record::clone(&window.model().session().borrow().as_ref().unwrap().view.record)
}

/// A window with points of a second each, won by these, the last one current.
fn window_with(folder: &tempfile::TempDir, wins: &[Side]) -> Window {
    let path = folder.path().join("holt-okafor.mp4");
    footage(&path, &times(100, 40));
    let window = window_on(&path);
    for (at, winner) in wins.iter().enumerate() {
        let at_ms = |ms| Some(MatchTime::from_millis(at as u64 * 100 + ms));
        let point = Point { start: at_ms(0), end: at_ms(80), winner: Some(*winner), ..Point::default() };
        window.model().ask(Ask::Edit(Box::new(Edit::InsertPoint { at, point })));
    }
    settle(&window);
    window
}

fn words_at(window: &Window, point: usize) -> String {
    window.model().choose(point);
    settle(window);
    window.imp().log.imp().line.imp().words.label().into()
}

#[gtk::test]
fn a_mark_is_entered_its_contradiction_shown_and_undone() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, &[Side::A, Side::A, Side::B]);
    window.model().choose(2);
    settle(&window);
    let before = record(&window);
    let dialog = correct::dialog(window.model(), &window).unwrap();
    let entries = all::<gtk::Entry>(&dialog);
    type_in(&entries[2], "fifteen");
    assert!(keep(&window, &dialog).contains("\"fifteen\" is not a score in points"), "a slip is told");
    assert_eq!(record(&window), before, "and nothing was changed");
    type_in(&entries[1], "0-0");
    type_in(&entries[2], "0-30");
    all::<gtk::DropDown>(&dialog)[0].set_selected(2);
    all::<gtk::CheckButton>(&dialog)[0].set_active(true);
    keep(&window, &dialog);
    let point = &points(&window)[2];
    let mark = point.score_before.as_ref().unwrap();
    assert_eq!((mark.points, mark.server, point.replayed), ([0, 2], Some(Server::B), true));
    let said: Vec<String> = check(&record(&window))
        .into_iter()
        .filter(|f| f.point() == Some(2) && f.severity != Severity::Note)
        .map(|f| f.message)
        .collect();
    assert!(!said.is_empty());
    let doubt = &window.imp().log.imp().line.imp().doubt;
    assert!(doubt.is_visible());
    for words in &said {
        assert!(
            doubt.label().contains(&crate::gui::kit::words::capital(words)),
            "{words:?} in {:?}",
            doubt.label()
        );
    }
    let rows: Vec<String> = all::<gtk::Label>(&*window.imp().log.imp().points.imp().list)
        .iter()
        .map(|l| l.label().into())
        .collect();
    assert_eq!(rows.iter().filter(|r| r.contains("⚠ contradiction")).count(), 1, "{rows:?}");
    let doubted = |w: &Window| {
        w.imp().ribbon.imp().ribbon.imp().marks.borrow().iter().map(|m| m.doubted).collect::<Vec<_>>()
    };
    assert_eq!(doubted(&window), [false, false, true]);
    window.model().choose(0);
    settle(&window);
    assert!(!doubt.is_visible(), "it is told at its place only");
    act(&window, Action::Undo);
    assert_eq!(record(&window), before, "one edit");
    assert!(!doubt.is_visible());
    assert_eq!(doubted(&window), [false; 3]);
    window.destroy();
}

#[gtk::test]
fn the_end_of_the_match_is_entered_and_what_speaks_against_it_told() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, &[Side::A, Side::B]);
    window.model().choose(1);
    settle(&window);
    let before = record(&window);
    let dialog = correct::dialog(window.model(), &window).unwrap();
    let outcome = all::<gtk::DropDown>(&dialog).pop().unwrap();
    outcome.set_selected(2);
    type_in(&all::<gtk::Entry>(&dialog)[3], "6-4 6-3");
    assert_eq!(keep(&window, &dialog), "");
    let now = record(&window);
    assert_eq!(now.about.outcome, Some(Outcome::Retired(Side::B)));
    assert_eq!(now.closing_score.as_ref().unwrap().sets.len(), 2);
    let last = words_at(&window, 1);
    assert!(last.starts_with("Point 2 of 2"), "{last}");
    assert!(on_the_board(&window).contains(&"won".into()), "{:?}", on_the_board(&window));
    let doubt = window.imp().log.imp().line.imp().doubt.label();
    assert!(doubt.contains("At the end: the record says that it ended by a retirement"), "{doubt}");
    act(&window, Action::Undo);
    assert_eq!(record(&window), before, "one edit");
    assert!(!on_the_board(&window).contains(&"won the match".into()));
    window.destroy();
}

/// What stands on the score board.
fn on_the_board(window: &Window) -> Vec<String> {
    let words =
        std::iter::successors(window.imp().log.imp().board.imp().grid.first_child(), WidgetExt::next_sibling);
    words.filter_map(|w| w.downcast::<gtk::Label>().ok()).map(|l| l.label().into()).collect()
}

/// The window that stands over all others with this title.
fn over(title: &str) -> gtk::Window {
    let all = gtk::Window::list_toplevels();
    let all = all.into_iter().filter_map(|w| w.downcast::<gtk::Window>().ok());
    all.into_iter().find(|w| w.title().as_deref() == Some(title) && w.is_visible()).unwrap()
}

fn press(window: &Window, dialog: &gtk::Window, label: &str) {
    let buttons = all::<gtk::Button>(dialog);
    buttons.iter().find(|b| b.label().as_deref() == Some(label)).unwrap().emit_clicked();
    settle(window);
}

#[gtk::test]
fn a_server_is_corrected_through_the_game_after_a_question_and_undone_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, &[Side::A, Side::A, Side::B, Side::A]);
    window.model().choose(1);
    settle(&window);
    let before = record(&window);
    let correct = || {
        let dialog = correct::dialog(window.model(), &window).unwrap();
        dialog.present();
        all::<gtk::DropDown>(&dialog)[0].set_selected(2);
        keep(&window, &dialog);
        (dialog, over("Who served"))
    };
    let (dialog, question) = correct();
    let said: Vec<String> = all::<gtk::Label>(&question).iter().map(|l| l.label().into()).collect();
    assert!(said.contains(&"Player B serves points 2 to 4, to the end of this game.".into()), "{said:?}");
    press(&window, &question, "Cancel");
    assert_eq!(record(&window), before, "nothing was changed");
    assert!(dialog.is_visible());
    dialog.close();
    let (dialog, question) = correct();
    press(&window, &question, "Rest of the game");
    assert!(!dialog.is_visible());
    let served: Vec<_> = points(&window).iter().map(|p| p.served_by).collect();
    assert_eq!(served, [None, Some(Server::B), Some(Server::B), Some(Server::B)]);
    act(&window, Action::Undo);
    assert_eq!(record(&window), before, "one undo takes all of it back");
    let (_, question) = correct();
    press(&window, &question, "This point only");
    assert_eq!(points(&window).iter().filter(|p| p.served_by.is_some()).count(), 1);
    window.destroy();
}

#[gtk::test]
fn shots_that_a_corrected_server_makes_impossible_are_told_at_their_point() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, &[Side::A, Side::A]);
    let mut point = points(&window)[1].clone();
    let landing = Some(crate::record::Place { x_mm: 2000, y_mm: 5000 });
    point.shots = vec![crate::record::Shot { landing, ..Default::default() }];
    window.model().ask(Ask::Edit(Box::new(Edit::SetPoint { at: 1, point })));
    window.model().choose(1);
    settle(&window);
    let before = record(&window);
    let told = || -> Vec<String> {
        let line = all::<gtk::Label>(&*window.imp().log.imp().line);
        let list = all::<gtk::Label>(&*window.imp().log.imp().points);
        let all = line.iter().chain(&list).filter(|l| l.get_visible()).map(|l| l.label().to_string());
        all.filter(|t| t.contains('⚠')).collect()
    };
    assert_eq!(told(), [""; 0]);
    window.imp().log.imp().side.set_visible_child_name("points");
    let dialog = correct::dialog(window.model(), &window).unwrap();
    dialog.present();
    all::<gtk::DropDown>(&dialog)[0].set_selected(2);
    keep(&window, &dialog);
    let question = over("Who served");
    let said = all::<gtk::Label>(&question).iter().map(|l| l.label().to_string()).collect::<String>();
    assert!(said.contains("Point 2: the serve landed in the far half"), "{said}");
    press(&window, &question, "Save");
    turn_until("the sign in the list", || told().iter().any(|t| t.starts_with("⚠ contradiction")));
    assert!(told().iter().any(|t| t.starts_with("⚠ The serve landed in the far half")), "{:?}", told());
    act(&window, Action::Undo);
    assert_eq!(record(&window), before);
    assert!(!told().iter().any(|t| t.starts_with("⚠ The serve")), "{:?}", told());
    window.destroy();
}

#[gtk::test]
fn where_the_ends_are_unknown_the_pad_says_so_and_asks_once() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, &[]);
    let ends = || {
        let card = window.imp().log.imp().pad.imp();
        let said = card.title.tooltip_text().unwrap_or_default();
        // How deep a shot is, is said after it.
        (card.ends.get_visible(), said.split(". Short lands").next().unwrap_or_default().to_owned())
    };
    assert_eq!(ends(), (false, "Next: Player A’s first serve (deuce court)".into()));
    let set = crate::tennis::score::SetScore { games: [7, 6], tie_break: None };
    let mark = crate::tennis::mark::Mark { sets: vec![set], server: Some(Server::B), ..Default::default() };
    window.model().ask(Ask::Edit(Box::new(Edit::SetClosingScore(Some(mark)))));
    settle(&window);
    let card = window.imp().log.imp().pad.imp();
    assert_eq!(ends(), (true, "Next: Player B’s first serve (deuce court, the end is not known)".into()));
    assert_eq!(card.ends_asked.label(), "The end is not known. Where does Player B serve from?");
    // Logging goes on without an answer, and it is still asked.
    act(&window, Action::PointStart);
    act(&window, Action::FrameForward);
    act(&window, Action::WinnerB);
    assert!(ends().0);
    card.end_far.emit_clicked();
    settle(&window);
    assert_eq!(ends(), (false, "Next: Player B’s first serve (ad court)".into()));
    let facts = window.model().session().borrow().as_ref().unwrap().facts().clone();
    assert_eq!(facts[0].server_end, Some(End::Far), "it holds for the point before too");
    act(&window, Action::Undo);
    assert!(ends().0, "one undo takes the answer back");
    window.destroy();
}

#[gtk::test]
fn before_the_first_point_the_score_now_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, &[]);
    let dialog = correct::dialog(window.model(), &window).unwrap();
    let entries = all::<gtk::Entry>(&dialog);
    assert_eq!(entries.len(), 3, "no score at the end");
    type_in(&entries[1], "2-1");
    all::<gtk::DropDown>(&dialog)[0].set_selected(1);
    assert_eq!(keep(&window, &dialog), "");
    let board = on_the_board(&window);
    assert!(board.contains(&"2".into()) && board.contains(&"1".into()), "{board:?}");
    act(&window, Action::PointStart);
    let first = points(&window)[0].score_before.clone().unwrap();
    assert_eq!((first.games, first.server), ([2, 1], Some(Server::B)));
    assert_eq!(record(&window).closing_score, None);
    act(&window, Action::Undo);
    assert!(points(&window).is_empty() && record(&window).closing_score.is_some());
    window.destroy();
}

#[gtk::test]
fn in_doubles_the_point_names_who_of_the_pair_serves() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, &[Side::A; 16]);
    let dialog = details::dialog(window.model(), &window).unwrap();
    let drops = all::<gtk::DropDown>(&dialog);
    let entries = all::<gtk::Entry>(&dialog);
    drops[0].set_selected(1);
    let names = entries.iter().filter(|e| e.text().starts_with("Player ")).cloned().collect::<Vec<_>>();
    type_in(&names[0], "Holt");
    type_in(&names[1], "Okafor");
    assert!(keep(&window, &dialog).contains("Enter a name or a pseudonym"), "partners have names in doubles");
    // Each player has two entries, name and day: A, A's partner, B, B's partner.
    type_in(&entries[2], "Reyes");
    type_in(&entries[6], "Lindt");
    // Of the first set: A's, B's who serves first, then A's, B's who receives in the deuce court.
    let first_set: Vec<_> =
        drops.iter().filter(|d| words_in(d)[0] == "Unknown" && words_in(d)[2] == "The partner").collect();
    assert_eq!(first_set.len(), 4);
    first_set[0].set_selected(2);
    first_set[1].set_selected(1);
    assert_eq!(
        all_genders(&drops).iter().filter(|d| d.get_visible()).count(),
        0,
        "asked in mixed doubles only"
    );
    keep(&window, &dialog);
    let about = record(&window).about;
    assert_eq!((about.rules.sides, about.a_starts), (Sides::Doubles, End::Near));
    for (game, name) in ["Reyes", "Okafor", "Holt", "Lindt"].into_iter().enumerate() {
        let words = words_at(&window, game * 4 + 1);
        assert!(words.contains(&format!(" · {name} serves, ")), "game {game}: {words}");
        let shots = window.imp().log.imp().line.imp().balls.tooltip_text().unwrap_or_default();
        assert!(shots.contains("Holt / Reyes wins"), "{shots}");
    }
    assert_eq!(window.imp().title.players(), "Holt / Reyes – Okafor / Lindt");
    act(&window, Action::Undo);
    assert!(words_at(&window, 1).contains("Player A serves"));
    drops[0].set_selected(2);
    assert_eq!(all_genders(&drops).iter().filter(|d| d.get_visible()).count(), 4);
    turn_until("the first point", || is_at(&window, 0, 2));
    window.perform(&Meaning::Do(Action::Correct));
    window.destroy();
}

fn words_in(drop: &gtk::DropDown) -> Vec<String> {
    let model = drop.model().and_downcast::<gtk::StringList>().unwrap();
    (0..model.n_items()).filter_map(|i| model.string(i)).map(Into::into).collect()
}

fn all_genders(drops: &[gtk::DropDown]) -> Vec<gtk::DropDown> {
    drops.iter().filter(|d| words_in(d).contains(&"Woman".into())).cloned().collect()
}
