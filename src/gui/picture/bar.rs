//! The bar under the picture: the whole film with its points, and where the frame on the screen is. A click or a drag goes
//! there.

use std::cell::{Cell, RefCell};

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, glib, graphene};

use super::bar_track::{Block, Track};
use crate::gui::model::{Event, Model};
use crate::tennis::Side;
use crate::time::MatchTime;

/// Height of the bar, in pixels.
const HEIGHT: i32 = 20;
const LINE: f32 = 4.0;
const BLOCK: f32 = 10.0;
/// A mark of a cut: how wide, and how high from the lower edge.
const CUT: f32 = 2.0;
const NOTCH: f32 = 5.0;

mod imp {
    use super::{Cell, HEIGHT, Model, RefCell, Track, glib};
    use gtk::subclass::prelude::*;

    #[derive(Default)]
    pub struct FilmBar {
        pub model: RefCell<Option<Model>>,
        pub track: RefCell<Track>,
        /// The clip that is played, while its footage is not that of the open record.
        pub clip: RefCell<Option<Track>>,
        pub here: Cell<f64>,
        pub dragged: Cell<Option<f64>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for FilmBar {
        const NAME: &'static str = "ChangeoverFilmBar";
        type Type = super::FilmBar;
        type ParentType = gtk::Widget;

        fn class_init(klass: &mut Self::Class) {
            klass.set_accessible_role(gtk::AccessibleRole::Slider);
            klass.set_css_name("filmbar");
        }
    }

    impl ObjectImpl for FilmBar {
        fn constructed(&self) {
            self.parent_constructed();
            self.obj().wire();
        }
    }

    impl WidgetImpl for FilmBar {
        fn measure(&self, orientation: gtk::Orientation, _: i32) -> (i32, i32, i32, i32) {
            let size = if orientation == gtk::Orientation::Horizontal { 60 } else { HEIGHT };
            (size, size, -1, -1)
        }

        fn snapshot(&self, snapshot: &gtk::Snapshot) {
            self.obj().draw(snapshot);
        }
    }
}

glib::wrapper! {
    /// The bar under the picture.
    pub struct FilmBar(ObjectSubclass<imp::FilmBar>)
        @extends gtk::Widget, @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget;
}

impl FilmBar {
    /// Shows what the model has open.
    pub fn set_up(&self, model: &Model) {
        self.imp().model.replace(Some(model.clone()));
        for event in [Event::Changed, Event::Current, Event::Cuts, Event::Opened] {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = bar)]
                    self,
                    move |m| bar.show(m)
                ),
            );
        }
        model.on(
            Event::Moment,
            glib::clone!(
                #[weak(rename_to = bar)]
                self,
                move |m| bar.show_moment(m)
            ),
        );
    }

    fn show(&self, model: &Model) {
        let session = model.session().borrow();
        let Some(s) = session.as_ref() else { return };
        let track =
            Track::new(s.parts.ends(), &s.view.record.points, s.current(), |i| s.keeps(i)).with_cuts(&s.cuts);
        self.imp().track.replace(track);
        drop(session);
        self.show_moment(model);
        self.queue_draw();
    }

    /// Where the cuts are that it shows, from 0 to 1.
    #[cfg(test)]
    pub fn cuts(&self) -> Vec<f64> {
        self.imp().track.borrow().cuts.clone()
    }

    /// The line of the clip that is played from other footage than that of the open record, and the moment shown of it.
    fn elsewhere(model: &Model) -> Option<(Track, MatchTime)> {
        let shown = model.frames().put_up().filter(|s| s.elsewhere)?;
        Some((Track::of_span(model.clip_item()?.span), shown.at))
    }

    fn show_moment(&self, model: &Model) {
        let (clip, elsewhere) = Self::elsewhere(model).unzip();
        if *self.imp().clip.borrow() != clip {
            self.imp().clip.replace(clip);
            self.queue_draw();
        }
        let Some(at) = elsewhere.or_else(|| model.moment().get().map(|(at, _)| at)) else { return };
        let (clip, track) = (self.imp().clip.borrow(), self.imp().track.borrow());
        let track = clip.as_ref().unwrap_or(&track);
        let here = track.place(at);
        if (here - self.imp().here.replace(here)).abs() > 1e-9 {
            self.queue_draw();
        }
        let seconds = |t: MatchTime| t.nanos() as f64 / 1e9;
        self.update_property(&[
            gtk::accessible::Property::Label("Time line"),
            gtk::accessible::Property::ValueMin(seconds(track.moment(0.0))),
            gtk::accessible::Property::ValueMax(seconds(track.moment(1.0))),
            gtk::accessible::Property::ValueNow(seconds(at)),
            gtk::accessible::Property::ValueText(&at.short()),
        ]);
    }

    fn wire(&self) {
        let drag = gtk::GestureDrag::new();
        drag.connect_drag_begin(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |_, x, _| bar.drag_to(x)
        ));
        drag.connect_drag_update(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |drag, dx, _| {
                if let Some((x, _)) = drag.start_point() {
                    bar.drag_to(x + dx);
                }
            }
        ));
        drag.connect_drag_end(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |_, _, _| {
                let model = bar.imp().model.borrow().clone();
                if let (Some(model), Some(place)) = (model, bar.imp().dragged.take()) {
                    model.rest_at(bar.imp().track.borrow().moment(place));
                }
                bar.queue_draw();
            }
        ));
        self.add_controller(drag);
    }

    fn drag_to(&self, x: f64) {
        // A clip is watched from its start to its end.
        if self.imp().clip.borrow().is_some() {
            return;
        }
        let place = (x / f64::from(self.width()).max(1.0)).clamp(0.0, 1.0);
        let was = self.imp().dragged.replace(Some(place));
        let model = self.imp().model.borrow().clone();
        if let Some(model) = model.filter(|_| was.is_none_or(|w| (w - place).abs() > 1e-9)) {
            model.drag_to(self.imp().track.borrow().moment(place));
        }
        self.queue_draw();
    }

    fn draw(&self, snapshot: &gtk::Snapshot) {
        let (w, h) = (self.width() as f32, self.height() as f32);
        let ink = self.style_context().color();
        let strong = self.imp().model.borrow().as_ref().is_some_and(|m| m.strong().get());
        let faint = gdk::RGBA::new(ink.red(), ink.green(), ink.blue(), if strong { 0.6 } else { 0.22 });
        let rect = |x: f32, y: f32, w: f32, h: f32| graphene::Rect::new(x, y, w, h);
        snapshot.append_color(&faint, &rect(0.0, (h - LINE) / 2.0, w, LINE));
        let (clip, track) = (self.imp().clip.borrow(), self.imp().track.borrow());
        let track = clip.as_ref().unwrap_or(&track);
        for block in &track.blocks {
            let (x, right) = (block.from as f32 * w, block.to as f32 * w);
            let height = if block.current { BLOCK + 4.0 } else { BLOCK };
            let place = rect(x, (h - height) / 2.0, (right - x).max(2.0), height);
            snapshot.append_color(&colour(block, &ink, strong), &place);
        }
        // A cut is a notch below the line, seldom hidden by a point.
        for cut in &track.cuts {
            let x = (*cut as f32 * w - CUT / 2.0).clamp(0.0, (w - CUT).max(0.0));
            snapshot.append_color(&ink, &rect(x, h - NOTCH, CUT, NOTCH));
        }
        let here = self.imp().dragged.get().unwrap_or_else(|| self.imp().here.get()) as f32 * w;
        snapshot.append_color(&ink, &rect((here - 1.5).clamp(0.0, (w - 3.0).max(0.0)), 0.0, 3.0, h));
    }
}

/// The colour of a point: who won it; faint where the filter leaves it out.
fn colour(block: &Block, ink: &gdk::RGBA, strong: bool) -> gdk::RGBA {
    let dark = ink.red() > 0.5;
    let (r, g, b) = match (block.winner, dark) {
        (Some(Side::A), false) => (0.04, 0.39, 0.68),
        (Some(Side::B), false) => (0.71, 0.28, 0.04),
        (Some(Side::A), true) => (0.49, 0.75, 0.96),
        (Some(Side::B), true) => (0.96, 0.64, 0.42),
        (None, _) => (0.5, 0.5, 0.5),
    };
    let left_out = if strong { 0.6 } else { 0.3 };
    gdk::RGBA::new(r, g, b, if block.kept { 1.0 } else { left_out })
}
