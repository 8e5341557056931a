//! The match in numbers on the page: every number is its clips, by click and by key, of the match and of each set.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::model::StudyModel;
use super::page::StudyPage;
use crate::gui::window::Window;
use crate::gui::window::tests::{act, empty_window, turn_until};
use crate::logging::Action;
use crate::session::study::found::{Items, NumberAt};
use crate::session::study::spot::Spot;
use crate::summary::numbers::{Number, Value};

/// A window on the Study page of a sample record of two sets.
fn studying(folder: &std::path::Path) -> Window {
    let path = folder.join("holt-okafor-2.points.json");
    let sample = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-tags/holt-okafor-2.points.json");
    std::fs::copy(sample, &path).unwrap();
    let window = empty_window();
    window.model().open(&[path]);
    turn_until("the record", || window.model().session().borrow().is_some());
    act(&window, Action::RoomStudy);
    answered(&study(&window));
    window
}

fn page(window: &Window) -> StudyPage {
    window.imp().study.get()
}

fn study(window: &Window) -> StudyModel {
    page(window).imp().study.clone()
}

fn answered(study: &StudyModel) {
    turn_until("an answer", || {
        study.answered().is_some() && !study.imp().busy.get() && !study.imp().again.get()
    });
}

fn numbers(window: &Window) -> Vec<(NumberAt, gtk::Button)> {
    let cells = page(window).imp().answer.cells().all();
    let number = |(spot, button)| match spot {
        Spot::Number(at) => Some((at, button)),
        _ => None,
    };
    cells.into_iter().filter_map(number).collect()
}

fn words(button: &gtk::Button) -> String {
    button.child().and_downcast::<gtk::Label>().map_or_else(String::new, |l| l.label().into())
}

#[gtk::test]
fn the_first_page_is_the_match_in_numbers_and_each_opens_its_clips() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let study = study(&window);
    let found = study.answered().unwrap();
    let all = found.found.numbers.as_ref().unwrap();
    assert_eq!(page(&window).imp().question_words.label(), "Match in numbers");
    assert_eq!(all.players, ["Holt", "Okafor"]);
    let cells = numbers(&window);
    let mut counted = 0;
    for (at, button) in &cells {
        button.grab_focus();
        assert_eq!(study.spot(), Spot::Number(*at), "the focus chooses");
        let listed = page(&window).imp().clips.listed();
        assert_eq!(listed, found.found.points(*at));
        let row = &all.parts[at.part].rows[at.row];
        let shown = words(button);
        // Of shots the title tells how many they are, and in how many points; a longest rally shows its length.
        let title = page(&window).imp().clips.imp().title.label();
        let n = found.found.count(*at);
        match (&row.values[at.column], found.found.shots(*at)) {
            (Value::Most(_), _) if row.number == Number::LongestRally => continue,
            (_, Some(shots)) => assert!(title.contains(&format!("({shots} shot")), "{title}"),
            _ => assert!(title.ends_with(&format!("({n})")) && listed.len() == n, "{title}"),
        }
        if shown.ends_with('%') {
            continue;
        }
        assert_eq!(shown.trim_start_matches("of ").trim_end_matches(" unknown"), n.to_string(), "{row:?}");
        counted += 1;
    }
    assert!(counted > 150, "{counted}");
    window.destroy();
}

#[gtk::test]
fn sets_are_chosen_and_the_focus_walks() {
    let folder = tempfile::tempdir().unwrap();
    let window = studying(folder.path());
    let study = study(&window);
    let parts = super::widgets::children(&page(&window).imp().answer.imp().parts);
    let names: Vec<_> = parts.iter().filter_map(|b| b.downcast_ref::<gtk::Button>()?.label()).collect();
    assert_eq!(names, ["Match", "Set 1", "Set 2"]);
    let whole = numbers(&window)[0].0;
    parts[2].downcast_ref::<gtk::ToggleButton>().unwrap().set_active(true);
    let (at, button) = numbers(&window).remove(0);
    assert_eq!((at.part, study.part()), (2, 2));
    let found = study.answered().unwrap();
    assert!(found.found.count(at) < found.found.count(whole), "a set has fewer points than the match");
    button.grab_focus();
    let right = "right".parse::<crate::logging::Key>().unwrap();
    assert!(page(&window).imp().answer.cells().walk(&right));
    assert_eq!(study.spot(), Spot::Number(NumberAt { of: Items::All, ..at }));
    // Another question, and back: the whole match again; and only what the numbers can be asked is offered.
    let menus = || page(&window).imp().filter.menus().iter().filter(|m| m.get_visible()).count();
    assert_eq!(menus(), 1);
    study.ask_question(1);
    answered(&study);
    assert!(menus() > 5 && !page(&window).imp().answer.imp().parts.get_visible());
    study.ask_question(0);
    answered(&study);
    assert_eq!((menus(), study.part()), (1, 0));
    window.destroy();
}
