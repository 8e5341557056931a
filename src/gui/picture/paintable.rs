//! The picture of the footage: a paintable that knows which frame it has put on the screen.
//!
//! A stamp is the time of the frame that was drawn last, not of the one decoded last: [`FramePaintable::painted`].

use std::cell::{Cell, RefCell};

use gtk::cairo::{Extend, Filter, Format, ImageSurface};
use gtk::prelude::PaintableExt;
use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, glib, graphene};

use crate::time::MatchTime;
use crate::video::Frame;

/// Cairo draws a picture that is made smaller than this by a filter that is three to five times slower.
const SLOW_BELOW: f64 = 0.75;
/// Below this the fast filter leaves out pixels.
const COARSE_BELOW: f64 = 0.4;

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
    use super::{Cell, ImageSurface, PaintableExt, RefCell, Shown, gdk, glib};
    use gtk::subclass::prelude::*;

    #[derive(Default)]
    pub struct FramePaintable {
        pub next: RefCell<Option<(Shown, gdk::Texture)>>,
        /// The same frame for [`super::FramePaintable::draw`], once it was drawn there.
        pub surface: RefCell<Option<ImageSurface>>,
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
        imp.surface.take();
        if imp.size.replace(size) != size {
            self.invalidate_size();
        }
        self.invalidate_contents();
    }

    /// Draws the frame that was put up last. Without a graphics card (`by_processor`) a picture that is made smaller is drawn as a
    /// graphics card would: each pixel from the four nearest ones.
    pub fn draw(&self, snapshot: &gtk::Snapshot, (width, height): (f64, f64), by_processor: bool) {
        let (wide, high) = self.imp().size.get();
        let scale = width / f64::from(wide.max(1));
        let fast = by_processor && (COARSE_BELOW..SLOW_BELOW).contains(&scale);
        let Some(surface) = fast.then(|| self.surface()).flatten() else {
            return self.snapshot(snapshot, width, height);
        };
        let cr = snapshot.append_cairo(&graphene::Rect::new(0.0, 0.0, width as f32, height as f32));
        cr.scale(scale, height / f64::from(high.max(1)));
        if cr.set_source_surface(&surface, 0.0, 0.0).is_err() {
            return;
        }
        let source = cr.source();
        source.set_filter(Filter::Bilinear);
        source.set_extend(Extend::Pad);
        if cr.paint().is_ok() {
            self.imp().painted.replace(self.put_up());
        }
    }

    /// The frame that was put up last, for cairo.
    fn surface(&self) -> Option<ImageSurface> {
        let imp = self.imp();
        if imp.surface.borrow().is_none() {
            let shown = self.put_up()?;
            let frame = &shown.frame;
            let (pixels, stride) = (frame.pixels.as_ref().to_vec(), i32::try_from(frame.stride).ok()?);
            let (width, height) = imp.size.get();
            let made = ImageSurface::create_for_data(pixels, Format::ARgb32, width, height, stride).ok();
            imp.surface.replace(made);
        }
        imp.surface.borrow().clone()
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
        self.imp().surface.take();
        self.imp().painted.replace(None);
        self.invalidate_contents();
    }
}

#[cfg(test)]
mod tests {
    use gtk::cairo::Context;
    use gtk::gsk::RenderNodeType;

    use super::*;
    use crate::gui::window::tests::footage;
    use crate::video::{FrameReader, probe};

    #[gtk::test]
    fn a_picture_that_is_made_smaller_is_the_same_frame() {
        crate::video::init().unwrap();
        let folder = tempfile::tempdir().unwrap();
        let film = folder.path().join("film.mp4");
        footage(&film, &(0..8).map(|n| MatchTime::from_millis(n * 40)).collect::<Vec<_>>());
        let mut reader = FrameReader::open(&probe(&film).unwrap()).unwrap();
        let frames = FramePaintable::default();
        let put = |frame: Frame| frames.show(Shown { part: 0, at: frame.time, elsewhere: true, frame });
        let drawn = |part: f64, by_processor| {
            let (w, h) = (256.0 * part, 144.0 * part);
            let snapshot = gtk::Snapshot::new();
            frames.draw(&snapshot, (w, h), by_processor);
            let node = snapshot.to_node().unwrap();
            let mut canvas = ImageSurface::create(Format::ARgb32, w as i32, h as i32).unwrap();
            node.draw(&Context::new(&canvas).unwrap());
            let pixels = canvas.data().unwrap().to_vec();
            (node.node_type() == RenderNodeType::CairoNode, pixels)
        };
        for n in [5, 6] {
            put(reader.frame(n).unwrap());
            let (slow, fast) = (drawn(0.5, false), drawn(0.5, true));
            assert_eq!((slow.0, fast.0), (false, true));
            let off = slow.1.iter().zip(&fast.1).map(|(a, b)| u64::from(a.abs_diff(*b))).sum::<u64>();
            let mean = off as f64 / slow.1.len() as f64;
            assert!(mean < 4.0, "frame {n}: {mean} of 255 apart");
            assert_eq!(frames.painted().map(|shown| shown.frame.index), Some(n));
        }
        assert!(!drawn(1.0, true).0 && !drawn(0.25, true).0, "only where it is faster, and not too coarse");
    }
}
