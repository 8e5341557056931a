//! The drawings of the lesson over the footage, each at its time.

use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;

use crate::drawing::{Drawing, View};
use crate::gui::model::{Event, Model};
use crate::gui::picture::drawn::painting;
use crate::gui::picture::view::FootageView;
use crate::measure::Calibration;

/// How often the picture is drawn while it stands: its drawings may come one after another.
const OFTEN: Duration = Duration::from_millis(100);

/// Shows what the lesson draws over this picture, and what `also` draws.
pub fn show_lesson_drawings(view: &FootageView, model: &Model, also: impl Fn() -> Vec<Drawing> + 'static) {
    let weak = model.downgrade();
    view.add_layer(Box::new(move |size| {
        let model = weak.upgrade()?;
        let mut all = model.lesson_drawings();
        all.extend(also());
        let view = || View::of(camera(&model).as_ref().map(Calibration::camera), size);
        (!all.is_empty()).then(|| painting(all, view()))
    }));
    model.on(
        Event::Transport,
        glib::clone!(
            #[weak]
            view,
            move |m| {
                view.queue_draw();
                if m.stands() {
                    redraw_while_it_stands(&view, m);
                }
            }
        ),
    );
}

/// The camera of the frame on the screen. The open record knows it, if the footage is its own.
fn camera(model: &Model) -> Option<Calibration> {
    let at = model.shown()?;
    model.session().borrow().as_ref()?.cameras.at(at)
}

fn redraw_while_it_stands(view: &FootageView, model: &Model) {
    glib::timeout_add_local(
        OFTEN,
        glib::clone!(
            #[weak]
            view,
            #[weak]
            model,
            #[upgrade_or]
            glib::ControlFlow::Break,
            move || {
                view.queue_draw();
                if model.stands() { glib::ControlFlow::Continue } else { glib::ControlFlow::Break }
            }
        ),
    );
}

#[cfg(test)]
mod tests {
    use super::super::tests::{choose, lesson};
    use super::*;
    use crate::gui::window::tests::{turn_until, window_on};
    use crate::measure::{Camera, Size};
    use crate::record::footage::fingerprint;
    use crate::record::{Corner, CourtMark, CourtMarks, Footage, FoundBy, Record, Store, sidecar_for};
    use crate::time::MatchTime;

    #[gtk::test]
    fn the_open_record_knows_the_ground_under_its_own_clips() {
        let folder = tempfile::tempdir().unwrap();
        let path = lesson(folder.path());
        let film = folder.path().join("one.mp4");
        let size = Size::new(640, 360);
        let stands = Camera::looking([0.0, -23.8872, 5.0], [0.0, -2.0, 0.0], 60.0, size).unwrap();
        let seen = |landmark: Corner| stands.see_ground(landmark.landmark().spot).unwrap().into();
        let marks = CourtMarks {
            file: "one.mp4".into(),
            at: MatchTime::ZERO,
            size,
            marks: Corner::ALL.map(|landmark| CourtMark { landmark, at: seen(landmark) }).to_vec(),
            by: FoundBy::Hand,
            centre: None,
            moving: false,
        };
        let footage = Footage {
            file: "one.mp4".into(),
            fingerprint: fingerprint(&film).ok(),
            duration: MatchTime::from_secs(4),
            rate: None,
            rotation: 0,
            start: MatchTime::ZERO,
        };
        let record = Record { footage: vec![footage], calibrations: vec![marks], ..Record::default() };
        drop(Store::create(&sidecar_for(&film), record).unwrap());
        let window = window_on(&film);
        let model = window.model();
        model.open_lesson(path);
        turn_until("the lesson", || model.lesson().is_some());
        choose(&window, 1);
        turn_until("the camera of the record's own footage", || camera(model).is_some());
        choose(&window, 2);
        turn_until("no camera of other footage", || model.is_elsewhere() && camera(model).is_none());
        window.destroy();
    }
}
