//! The score ribbon in the window, on a match of five sets.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::facts::tests::record;
use crate::gui::window::Window;
use crate::gui::window::tests::{act, empty_window, settle, turn_until};
use crate::logging::Action;
use crate::record::store::Store;
use crate::record::{Point, Record};
use crate::tennis::rules::Rules;
use crate::time::MatchTime;

/// Four sets to love for A and B in turn, and three games of a fifth: 108 points.
pub(in crate::gui) fn five_sets() -> Record {
    let sets = ["A", "B", "A", "B"].map(|w| w.repeat(24)).concat();
    let mut r = record(&format!("{sets}{}", "AAAABBBBAAAA"));
    r.about.rules = Rules::named("best-of-5").unwrap();
    r.footage.clear();
    r
}

/// A window on a record without footage.
pub(in crate::gui) fn window_with(folder: &tempfile::TempDir, record: Record) -> Window {
    crate::video::init().unwrap();
    let path = folder.path().join("holt-okafor.points.json");
    drop(Store::create(&path, record).unwrap());
    let window = empty_window();
    window.model().open(&[path]);
    turn_until("the record", || window.model().session().borrow().is_some());
    settle(&window);
    window
}

fn current(window: &Window) -> usize {
    window.model().session().borrow().as_ref().unwrap().current().unwrap()
}

#[gtk::test]
fn keys_go_along_the_ribbon_and_it_follows() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    window.set_default_size(1024, 640);
    let ribbon = &window.imp().ribbon.imp().ribbon;
    turn_until("the last point in sight", || {
        ribbon.width() > 1024 && window.imp().ribbon.imp().scroll.hadjustment().value() > 300.0
    });
    assert_eq!(current(&window), 107);
    act(&window, Action::SetBack);
    assert_eq!(current(&window), 72, "the first point of the fourth set");
    for (action, point) in [
        (Action::SetBack, 48),
        (Action::FirstPoint, 0),
        (Action::SetBack, 0),
        (Action::SetForward, 24),
        (Action::GameForward, 28),
        (Action::GameBack, 24),
        (Action::PointBack, 23),
        (Action::LastPoint, 107),
        (Action::SetForward, 107),
    ] {
        act(&window, action);
        assert_eq!(current(&window), point, "{action:?}");
        let at = window.imp().ribbon.imp().scroll.hadjustment();
        let place = ribbon.imp().layout.borrow().place(point).unwrap();
        assert!((at.value()..at.value() + at.page_size()).contains(&place), "{action:?} is out of sight");
    }
    let marks = ribbon.imp().marks.borrow();
    assert!(
        marks[23].spoken.starts_with("point 24: set 1, 0–5, 0–40, Okafor serves"),
        "{}",
        marks[23].spoken
    );
    assert!(marks[23].spoken.ends_with("won by Holt, break"), "{}", marks[23].spoken);
    drop(marks);
    window.destroy();
}

#[gtk::test]
fn a_click_on_a_mark_or_on_the_heading_of_a_set_chooses_a_point() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    let ribbon = window.imp().ribbon.imp().ribbon.clone();
    let (mark, heading) = {
        let layout = ribbon.imp().layout.borrow();
        (layout.place(30).unwrap(), layout.sets[2].from + 40.0)
    };
    let click = ribbon.observe_controllers();
    let click = (0..click.n_items()).find_map(|i| click.item(i).and_downcast::<gtk::GestureClick>()).unwrap();
    for (x, y, point) in [(mark, 60.0, 30), (heading, 8.0, 48)] {
        click.emit_by_name::<()>("pressed", &[&1i32, &x, &y]);
        settle(&window);
        assert_eq!(current(&window), point);
    }
    window.destroy();
}

/// What showing the ribbon costs, printed as a ratio to a match of a quarter of the points.
#[gtk::test]
fn all_points_of_a_long_match_are_on_the_ribbon_and_the_time_is_printed() {
    let best = |points: usize| {
        let folder = tempfile::tempdir().unwrap();
        let mut record = five_sets();
        let one = record.points[0].clone();
        record.points =
            (0..points).map(|n| Point { winner: record.points[n % 108].winner, ..one.clone() }).collect();
        let long = MatchTime::from_secs;
        for (n, p) in record.points.iter_mut().enumerate() {
            (p.start, p.end) = (Some(long(10 * n as u64)), Some(long(10 * n as u64 + 5)));
        }
        let window = window_with(&folder, record);
        window.model().fill_filters();
        let row = window
            .model()
            .filters()
            .borrow()
            .iter()
            .position(|f| f.title() == "Pattern: Break point")
            .unwrap();
        window.model().filter_by(row);
        settle(&window);
        let session = window.model().session().borrow();
        let s = session.as_ref().unwrap();
        let times = (0..10).map(|_| std::time::Instant::now()).map(|at| {
            window.imp().ribbon.imp().ribbon.show(s);
            at.elapsed()
        });
        let best = times.min().unwrap();
        assert_eq!(window.imp().ribbon.imp().ribbon.imp().marks.borrow().len(), points);
        drop(session);
        window.destroy();
        best
    };
    let (few, many) = (best(100), best(400));
    println!(
        "the ribbon of 400 points: {:.1} times the time of 100, which took {few:?}",
        many.as_secs_f64() / few.as_secs_f64()
    );
}
