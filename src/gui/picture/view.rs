//! The footage as large as there is room for, zoomed with the wheel or by key, dragged with the mouse.
//!
//! A click plays or pauses, a double click shows the whole picture again.

use std::cell::Cell;

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{glib, graphene};

use super::paintable::FramePaintable;
use crate::gui::kit::words::named;
use crate::measure::{Pixel, Size};

/// One turn of the wheel.
const STEP: f64 = 1.2;
/// The largest zoom: a ball of 7 cm is then some ten pixels wide in usual footage.
const MOST: f64 = 8.0;

/// A press that moves by more, in pixels of the screen, is no click.
const MOVED: f64 = 3.0;

/// Where the picture is in the view.
#[derive(Debug, Clone, Copy)]
pub struct Placed {
    /// Of its left top corner.
    pub left: f64,
    /// Likewise.
    pub top: f64,
    /// How large one of its pixels is.
    pub scale: f64,
}

type Over = Box<dyn Fn(&gtk::Snapshot, Placed)>;

/// Paints over the picture: the context's unit is a pixel of the screen, its origin the picture's left top corner.
pub type Painting = Box<dyn FnOnce(&gtk::cairo::Context)>;
/// What is to be painted now over a picture of this size, if anything is.
pub type Layer = Box<dyn Fn(Size) -> Option<Painting>>;

mod imp {
    use super::{Cell, FramePaintable, glib, graphene};
    use gtk::prelude::*;
    use gtk::subclass::prelude::*;

    #[derive(Default)]
    pub struct FootageView {
        /// What is painted over the picture, the undermost first.
        pub layers: std::cell::RefCell<Vec<super::Layer>>,
        pub frames: std::cell::RefCell<Option<FramePaintable>>,
        /// How many times larger than it fits; 0 stands for 1.
        pub zoom: Cell<f64>,
        /// How far the picture's middle is from the view's, in parts of the picture's size.
        pub off: Cell<(f64, f64)>,
        pub off_before: Cell<(f64, f64)>,
        /// Something else covers it: frames are not drawn.
        pub rests: Cell<bool>,
        /// What is drawn over the picture.
        pub over: std::cell::RefCell<Option<super::Over>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for FootageView {
        const NAME: &'static str = "ChangeoverFootageView";
        type Type = super::FootageView;
        type ParentType = gtk::Widget;

        fn class_init(klass: &mut Self::Class) {
            klass.set_accessible_role(gtk::AccessibleRole::Img);
            klass.set_css_name("footage");
        }
    }

    impl ObjectImpl for FootageView {
        fn constructed(&self) {
            self.parent_constructed();
            self.obj().wire();
        }
    }

    impl WidgetImpl for FootageView {
        fn measure(&self, _: gtk::Orientation, _: i32) -> (i32, i32, i32, i32) {
            // It takes what is left: neither the film's size nor a frame changes the place of anything.
            (32, 32, -1, -1)
        }

        fn snapshot(&self, snapshot: &gtk::Snapshot) {
            let Some(frames) = self.frames.borrow().clone() else { return };
            let (w, h) = (f64::from(self.obj().width()), f64::from(self.obj().height()));
            let (x, y, width, height) = self.obj().place();
            if width < 1.0 || height < 1.0 {
                return;
            }
            snapshot.push_clip(&graphene::Rect::new(0.0, 0.0, w as f32, h as f32));
            snapshot.save();
            snapshot.translate(&graphene::Point::new(x as f32, y as f32));
            let renderer = self.obj().native().and_then(|native| native.renderer());
            let by_processor = renderer.is_some_and(|r| r.is::<gtk::gsk::CairoRenderer>());
            frames.draw(snapshot, (width, height), by_processor);
            snapshot.restore();
            if let Some(over) = &*self.over.borrow() {
                over(snapshot, self.obj().placed());
            }
            self.paint_layers(snapshot, (x, y), (width, height));
            snapshot.pop();
        }
    }
}

impl imp::FootageView {
    fn paint_layers(&self, snapshot: &gtk::Snapshot, (x, y): (f64, f64), (width, height): (f64, f64)) {
        let size = Size::new(width.round() as u32, height.round() as u32);
        // A surface to paint on costs time at each frame: there is none if nothing is painted.
        let paintings: Vec<_> = self.layers.borrow().iter().filter_map(|layer| layer(size)).collect();
        if paintings.is_empty() {
            return;
        }
        let (w, h) = (f64::from(self.obj().width()), f64::from(self.obj().height()));
        let cr = snapshot.append_cairo(&graphene::Rect::new(0.0, 0.0, w as f32, h as f32));
        cr.translate(x, y);
        for painting in paintings {
            painting(&cr);
        }
    }
}

glib::wrapper! {
    /// The footage.
    pub struct FootageView(ObjectSubclass<imp::FootageView>)
        @extends gtk::Widget, @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget;
}

impl FootageView {
    /// Shows these frames from now on.
    pub fn show(&self, frames: &FramePaintable) {
        frames.connect_invalidate_contents(glib::clone!(
            #[weak(rename_to = view)]
            self,
            move |_| view.redraw()
        ));
        self.imp().frames.replace(Some(frames.clone()));
        named(self.upcast_ref(), "Footage");
    }

    /// Draws the picture anew, unless the view rests.
    pub fn redraw(&self) {
        if !self.imp().rests.get() {
            self.queue_draw();
        }
    }

    /// Something else covers the view from now on, so that frames need not be drawn; or no longer.
    pub fn rest(&self, rests: bool) {
        if self.imp().rests.replace(rests) && !rests {
            self.queue_draw();
        }
    }

    /// Paints this over the picture from now on, above what was added before.
    pub fn add_layer(&self, layer: Layer) {
        self.imp().layers.borrow_mut().push(layer);
    }

    /// How large the picture is drawn.
    pub fn picture_size(&self) -> Size {
        let (_, _, width, height) = self.place();
        Size::new(width.round() as u32, height.round() as u32)
    }

    /// The pixel of the picture at a place of the view.
    pub fn pixel(&self, x: f64, y: f64) -> Pixel {
        let (left, top, _, _) = self.place();
        Pixel::new(x - left, y - top)
    }

    /// Calls `then` at a click, with its place in the view.
    pub fn connect_clicked(&self, then: impl Fn(f64, f64) + 'static) {
        let click = gtk::GestureClick::new();
        click.connect_released(glib::clone!(
            #[weak(rename_to = view)]
            self,
            move |click, presses, x, y| {
                // What was dragged was not clicked.
                if click.device().is_some() && !view.contains(x, y) {
                    return;
                }
                view.grab_focus();
                if presses == 2 && view.zoom() > 1.0 {
                    view.show_all();
                }
                if view.imp().off.get() == view.imp().off_before.get() {
                    then(x, y);
                }
            }
        ));
        self.add_controller(click);
    }

    /// Calls `then` when the pointer moves over the view, with its place, and when it leaves.
    pub fn connect_pointed(&self, then: impl Fn(Option<(f64, f64)>) + Clone + 'static) {
        let motion = gtk::EventControllerMotion::new();
        let left = then.clone();
        motion.connect_motion(move |_, x, y| then(Some((x, y))));
        motion.connect_leave(move |_| left(None));
        self.add_controller(motion);
    }

    /// Something over the picture can be dragged: `hold` takes hold of what is at a place of the view, if there is something, `to` moves it,
    /// and `end` lets it go, whether it was moved or not. Until it is moved, a press is a click.
    pub fn connect_dragged(
        &self,
        hold: impl Fn(f64, f64) -> bool + 'static,
        to: impl Fn(f64, f64) + 'static,
        end: impl Fn(bool) + Clone + 'static,
    ) {
        let drag = gtk::GestureDrag::new();
        drag.set_name(Some("over the picture"));
        drag.set_propagation_phase(gtk::PropagationPhase::Capture);
        // Where it began, and whether it was moved since.
        let state = std::rc::Rc::new(Cell::new(((0.0, 0.0), false)));
        let (begun, moves, ended) = (state.clone(), state.clone(), state);
        drag.connect_drag_begin(move |drag, x, y| {
            begun.set(((x, y), false));
            if !hold(x, y) {
                drag.set_state(gtk::EventSequenceState::Denied);
            }
        });
        drag.connect_drag_update(move |drag, dx, dy| {
            let ((x, y), moved) = moves.get();
            if !moved && dx.hypot(dy) > MOVED {
                drag.set_state(gtk::EventSequenceState::Claimed);
                moves.set(((x, y), true));
            }
            if moves.get().1 {
                to(x + dx, y + dy);
            }
        });
        let cancelled = end.clone();
        drag.connect_drag_end(move |_, _, _| end(ended.take().1));
        drag.connect_cancel(move |_, _| cancelled(false));
        self.add_controller(drag);
    }

    /// Draws over the picture from now on, whenever it is drawn.
    pub fn set_over(&self, over: impl Fn(&gtk::Snapshot, Placed) + 'static) {
        self.imp().over.replace(Some(Box::new(over)));
    }

    /// Where the picture is in the view.
    pub fn placed(&self) -> Placed {
        let (left, top, width, _) = self.place();
        let wide = self.imp().frames.borrow().as_ref().map_or(0, gtk::prelude::PaintableExt::intrinsic_width);
        Placed { left, top, scale: if wide > 0 { width / f64::from(wide) } else { 0.0 } }
    }

    /// The pixel of the picture at a place of the view; `None` beside it.
    pub fn pixel_at(&self, x: f64, y: f64) -> Option<Pixel> {
        let (left, top, width, height) = self.place();
        let Placed { scale, .. } = self.placed();
        let inside = (left..left + width).contains(&x) && (top..top + height).contains(&y);
        (inside && scale > 0.0).then(|| Pixel::new((x - left) / scale, (y - top) / scale))
    }

    /// How many times larger than it fits the picture is.
    pub fn zoom(&self) -> f64 {
        self.imp().zoom.get().max(1.0)
    }

    /// Zooms by so much about the middle of the view.
    pub fn zoom_by(&self, times: f64) {
        self.zoom_about(times, (f64::from(self.width()) / 2.0, f64::from(self.height()) / 2.0));
    }

    /// One step larger or smaller; without either, all of the picture.
    pub fn zoom_to(&self, larger: Option<bool>) {
        match larger {
            Some(true) => self.zoom_by(STEP),
            Some(false) => self.zoom_by(1.0 / STEP),
            None => self.show_all(),
        }
    }

    /// Shows the whole picture.
    pub fn show_all(&self) {
        self.imp().zoom.set(1.0);
        self.imp().off.set((0.0, 0.0));
        self.imp().off_before.set((0.0, 0.0));
        self.queue_draw();
    }

    /// The size that the picture has unzoomed, in the view.
    fn fitted(&self) -> (f64, f64) {
        let Some(frames) = self.imp().frames.borrow().clone() else { return (0.0, 0.0) };
        let (fw, fh) = (f64::from(frames.intrinsic_width()), f64::from(frames.intrinsic_height()));
        if fw < 1.0 || fh < 1.0 {
            return (0.0, 0.0);
        }
        let scale = (f64::from(self.width()) / fw).min(f64::from(self.height()) / fh);
        (fw * scale, fh * scale)
    }

    /// Width over height of the footage; of most footage where none is shown yet.
    pub fn shape(&self) -> f64 {
        let frames = self.imp().frames.borrow();
        let (w, h) = frames.as_ref().map_or((0, 0), |f| (f.intrinsic_width(), f.intrinsic_height()));
        if w > 0 && h > 0 { f64::from(w) / f64::from(h) } else { 16.0 / 9.0 }
    }

    /// Where the picture is drawn: left, top, width, height.
    fn place(&self) -> (f64, f64, f64, f64) {
        let (w, h) = (f64::from(self.width()), f64::from(self.height()));
        let (fw, fh) = self.fitted();
        let (width, height) = (fw * self.zoom(), fh * self.zoom());
        let (dx, dy) = self.imp().off.get();
        // Never further than its own edge.
        let room = |view: f64, size: f64| ((size - view) / 2.0).max(0.0);
        let x = (dx * width).clamp(-room(w, width), room(w, width));
        let y = (dy * height).clamp(-room(h, height), room(h, height));
        ((w - width) / 2.0 + x, (h - height) / 2.0 + y, width, height)
    }

    /// Zooms so that what is at a place of the view stays there.
    fn zoom_about(&self, times: f64, (x, y): (f64, f64)) {
        let (left, top, width, height) = self.place();
        if width < 1.0 {
            return;
        }
        let at = ((x - left) / width, (y - top) / height);
        let zoom = (self.zoom() * times).clamp(1.0, MOST);
        self.imp().zoom.set(zoom);
        let (fw, fh) = self.fitted();
        let (width, height) = (fw * zoom, fh * zoom);
        let middle = (f64::from(self.width()) / 2.0, f64::from(self.height()) / 2.0);
        let off = ((x - middle.0) / width + 0.5 - at.0, (y - middle.1) / height + 0.5 - at.1);
        self.imp().off.set(if zoom > 1.0 { off } else { (0.0, 0.0) });
        self.keep_off();
        self.imp().off_before.set(self.imp().off.get());
        self.queue_draw();
    }

    /// Keeps what is drawn as what is meant: the picture does not lag behind the mouse at its edge.
    fn keep_off(&self) {
        let (left, top, width, height) = self.place();
        let (w, h) = (f64::from(self.width()), f64::from(self.height()));
        self.imp().off.set(((left - (w - width) / 2.0) / width, (top - (h - height) / 2.0) / height));
    }

    fn wire(&self) {
        self.set_focusable(true);
        self.set_overflow(gtk::Overflow::Hidden);
        self.add_css_class("footage");
        let flags = gtk::EventControllerScrollFlags::VERTICAL;
        let wheel = gtk::EventControllerScroll::new(flags);
        let at = std::rc::Rc::new(Cell::new((0.0, 0.0)));
        let motion = gtk::EventControllerMotion::new();
        motion.connect_motion(glib::clone!(
            #[strong]
            at,
            move |_, x, y| at.set((x, y))
        ));
        self.add_controller(motion);
        wheel.connect_scroll(glib::clone!(
            #[weak(rename_to = view)]
            self,
            #[upgrade_or]
            glib::Propagation::Proceed,
            move |_, _, dy| {
                view.zoom_about(STEP.powf(-dy), at.get());
                glib::Propagation::Stop
            }
        ));
        self.add_controller(wheel);
        self.add_controller(self.drag());
    }

    fn drag(&self) -> gtk::GestureDrag {
        let drag = gtk::GestureDrag::new();
        drag.connect_drag_begin(glib::clone!(
            #[weak(rename_to = view)]
            self,
            move |_, _, _| view.imp().off_before.set(view.imp().off.get())
        ));
        drag.connect_drag_update(glib::clone!(
            #[weak(rename_to = view)]
            self,
            move |_, dx, dy| {
                let (_, _, width, height) = view.place();
                if view.zoom() <= 1.0 || width < 1.0 {
                    return;
                }
                let (x, y) = view.imp().off_before.get();
                view.imp().off.set((x + dx / width, y + dy / height));
                view.keep_off();
                view.queue_draw();
            }
        ));
        drag
    }
}
