//! The drawings of the lesson over the footage, each at its time.

use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;
use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;

use crate::drawing::{Drawing, View};
use crate::gui::kit::job::off_loop;
use crate::gui::model::{Event, Model};
use crate::gui::picture::drawn::painting;
use crate::gui::picture::view::FootageView;
use crate::making::{Grounds, Source};
use crate::measure::{Calibration, Camera};

/// How often the picture is drawn while it stands: its drawings may come one after another.
const OFTEN: Duration = Duration::from_millis(100);

/// Shows what the lesson draws over this picture, and what `also` draws.
pub fn show_lesson_drawings(view: &FootageView, model: &Model, also: impl Fn() -> Vec<Drawing> + 'static) {
    let (weak, records) = (model.downgrade(), Rc::<RefCell<Records>>::default());
    let cameras = Rc::clone(&records);
    view.add_layer(Box::new(move |size| {
        let model = weak.upgrade()?;
        let mut all = model.lesson_drawings();
        all.extend(also());
        let view = || View::of(camera(&model, &cameras.borrow()).as_ref(), size);
        (!all.is_empty()).then(|| painting(all, view()))
    }));
    read_records(&records, view, model);
    model.on(
        Event::Lesson,
        glib::clone!(
            #[weak]
            view,
            move |m| read_records(&records, &view, m)
        ),
    );
    model.on(
        Event::Transport,
        glib::clone!(
            #[weak]
            view,
            move |m| {
                view.redraw();
                if m.stands() {
                    redraw_while_it_stands(&view, m);
                }
            }
        ),
    );
}

/// What the records of the lesson's clips know of the ground.
#[derive(Debug, Default)]
struct Records {
    /// Of which clips of which lesson.
    of: (PathBuf, Vec<(String, String)>),
    grounds: Grounds,
}

/// Reads the records of the clips on which something is drawn on the ground, if they are others than before.
fn read_records(records: &Rc<RefCell<Records>>, view: &FootageView, model: &Model) {
    let Some(lesson) = model.lesson() else { return };
    let of = (lesson.path.clone(), Grounds::wanted(&lesson.lesson));
    if records.borrow().of == of {
        return;
    }
    let is_drawn = !of.1.is_empty();
    records.replace(Records { of: of.clone(), grounds: Grounds::default() });
    if !is_drawn {
        return;
    }
    let source = Source::new(lesson.lesson, lesson.path);
    let records = Rc::downgrade(records);
    off_loop(
        move || Grounds::read(&source),
        glib::clone!(
            #[weak]
            view,
            move |grounds| {
                if let Some(records) = records.upgrade().filter(|r| r.borrow().of == of) {
                    records.borrow_mut().grounds = grounds;
                    view.redraw();
                }
            }
        ),
    );
}

/// The camera of the frame on the screen. The open record knows it, if the footage is its own; else the clip's record on the disk.
fn camera(model: &Model, records: &Records) -> Option<Camera> {
    if let (Some(at), Some(session)) = (model.shown(), &*model.session().borrow()) {
        return session.cameras.at(at).as_ref().map(Calibration::camera).copied();
    }
    let at = model.frames().painted()?.frame.time;
    records.grounds.camera(&model.running_clip()?, at)
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
                view.redraw();
                if model.stands() { glib::ControlFlow::Continue } else { glib::ControlFlow::Break }
            }
        ),
    );
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use gtk::cairo::ImageSurface;
    use gtk::subclass::prelude::*;

    use super::super::tests::{choose, lesson, open, see};
    use super::*;
    use crate::drawing::{Anchor, Colour, Shape};
    use crate::gui::window::Window;
    use crate::gui::window::tests::{turn_until, window_on};
    use crate::lesson::{OfPoint, Part, create, load};
    use crate::measure::Size;
    use crate::record::footage::fingerprint;
    use crate::record::{Corner, CourtMark, CourtMarks, Footage, FoundBy, Record, Store, sidecar_for};
    use crate::time::MatchTime;

    #[gtk::test]
    fn the_open_record_knows_the_ground_under_its_own_clips() {
        let folder = tempfile::tempdir().unwrap();
        let path = lesson(folder.path());
        let film = marked(folder.path());
        let window = window_on(&film);
        let model = window.model();
        let camera = || camera(model, &Records::default());
        model.open_lesson(path);
        turn_until("the lesson", || model.lesson().is_some());
        choose(&window, 1);
        turn_until("the camera of the record's own footage", || camera().is_some());
        choose(&window, 2);
        turn_until("no camera of other footage", || model.is_elsewhere() && camera().is_none());
        window.destroy();
    }

    /// How many bytes the layers of the page's picture paint.
    fn painted(window: &Window) -> usize {
        let view = window.imp().show.imp().view.get();
        let mut canvas = ImageSurface::create(gtk::cairo::Format::ARgb32, 640, 360).unwrap();
        let context = gtk::cairo::Context::new(&canvas).unwrap();
        for layer in view.imp().layers.borrow().iter() {
            if let Some(paint) = layer(Size::new(640, 360)) {
                paint(&context);
            }
        }
        drop(context);
        let bytes = canvas.data().unwrap();
        bytes.iter().filter(|b| **b > 0).count()
    }

    #[gtk::test]
    fn what_is_drawn_on_the_ground_is_seen_without_its_record_open() {
        let folder = tempfile::tempdir().unwrap();
        let (mut drawn, _) = load(&lesson(folder.path())).unwrap();
        marked(folder.path());
        let ring = Shape::Ring { middle: Anchor::Ground(0, -3000), radius: 1500 };
        let always = (MatchTime::ZERO, MatchTime::from_secs(9));
        let ring = Drawing { shape: ring, colour: Colour::default(), from: always.0, to: always.1 };
        for (at, record) in [(1, "one.points.json"), (3, "gone.points.json")] {
            if let Some(Part::Clip(clip)) = drawn.parts.get_mut(at) {
                clip.drawings = vec![ring.clone()];
                clip.of = Some(OfPoint { record: record.into(), point: 0, start: None });
            }
        }
        let path = folder.path().join("drawn.lesson.json");
        create(&path, &drawn).unwrap();
        let window = open(&path);
        choose(&window, 1);
        see(&window, 10);
        assert!(window.model().session().borrow().is_none(), "no record is open");
        turn_until("the ring", || painted(&window) > 500);
        choose(&window, 3);
        see(&window, 50);
        assert!(!window.model().lesson_drawings().is_empty());
        assert_eq!(painted(&window), 0, "the record of this clip is not there");
        window.destroy();
    }

    /// A record beside the first film, in which the court is marked; the film.
    fn marked(folder: &Path) -> PathBuf {
        let film = folder.join("one.mp4");
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
        film
    }
}
