//! The picture of the footage: a paintable that knows which frame it has put on the screen.
//!
//! A stamp is the time of the frame that was drawn last, not of the one decoded last: [`FramePaintable::painted`].

use std::cell::{Cell, RefCell};

use gtk::prelude::PaintableExt;
use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, glib};

use crate::time::MatchTime;
use crate::video::Frame;

/// A frame on the screen.
#[derive(Debug, Clone)]
pub struct Shown {
    /// The frame.
    pub frame: Frame,
    /// Which file of the open record it is from.
    pub part: usize,
    /// Its moment on the match clock, or `elsewhere` in its file.
    pub at: MatchTime,
    /// It is of footage that the open record has not.
    pub elsewhere: bool,
}

mod imp {
    use super::{Cell, PaintableExt, RefCell, Shown, gdk, glib};
    use gtk::subclass::prelude::*;

    #[derive(Default)]
    pub struct FramePaintable {
        pub next: RefCell<Option<(Shown, gdk::Texture)>>,
        pub painted: RefCell<Option<Shown>>,
        pub size: Cell<(i32, i32)>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for FramePaintable {
        const NAME: &'static str = "ChangeoverFramePaintable";
        type Type = super::FramePaintable;
        type Interfaces = (gdk::Paintable,);
    }

    impl ObjectImpl for FramePaintable {}

    impl PaintableImpl for FramePaintable {
        fn intrinsic_width(&self) -> i32 {
            self.size.get().0
        }

        fn intrinsic_height(&self) -> i32 {
            self.size.get().1
        }

        fn snapshot(&self, snapshot: &gdk::Snapshot, width: f64, height: f64) {
            if let Some((shown, texture)) = &*self.next.borrow() {
                texture.snapshot(snapshot, width, height);
                self.painted.replace(Some(shown.clone()));
            }
        }
    }
}

glib::wrapper! {
    /// A paintable that shows frames and remembers which.
    pub struct FramePaintable(ObjectSubclass<imp::FramePaintable>) @implements gdk::Paintable;
}

impl Default for FramePaintable {
    fn default() -> Self {
        glib::Object::new()
    }
}

impl FramePaintable {
    /// Puts a frame up, to be drawn at the next turn of the screen.
    pub fn show(&self, shown: Shown) {
        let (imp, frame) = (self.imp(), &shown.frame);
        let size = (frame.width as i32, frame.height as i32);
        let bytes = glib::Bytes::from_owned(frame.clone().pixels);
        let texture = gdk::MemoryTexture::new(
            size.0,
            size.1,
            gdk::MemoryFormat::B8g8r8a8Premultiplied,
            &bytes,
            frame.stride,
        );
        imp.next.replace(Some((shown, texture.upcast())));
        if imp.size.replace(size) != size {
            self.invalidate_size();
        }
        self.invalidate_contents();
    }

    /// The frame that is on the screen; the one put up last when nothing was drawn yet.
    pub fn painted(&self) -> Option<Shown> {
        let imp = self.imp();
        imp.painted.borrow().clone().or_else(|| imp.next.borrow().as_ref().map(|(f, _)| f.clone()))
    }

    /// The frame put up last, drawn or not.
    pub fn put_up(&self) -> Option<Shown> {
        self.imp().next.borrow().as_ref().map(|(shown, _)| shown.clone())
    }

    /// Shows nothing.
    pub fn clear(&self) {
        self.imp().next.replace(None);
        self.imp().painted.replace(None);
        self.invalidate_contents();
    }
}
