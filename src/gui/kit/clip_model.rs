//! A list of points for a list view: an item is made when a row is to be seen, so that a hundred thousand cost nothing.

use std::cell::RefCell;

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gio, glib};

use crate::facts::PointRef;

mod imp {
    use std::cell::RefCell;

    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{gio, glib};

    use super::PointRef;

    #[derive(Default)]
    pub struct ClipModel {
        pub points: RefCell<Vec<PointRef>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for ClipModel {
        const NAME: &'static str = "ChangeoverClipModel";
        type Type = super::ClipModel;
        type Interfaces = (gio::ListModel,);
    }

    impl ObjectImpl for ClipModel {}

    impl ListModelImpl for ClipModel {
        fn item_type(&self) -> glib::Type {
            glib::BoxedAnyObject::static_type()
        }

        fn n_items(&self) -> u32 {
            self.points.borrow().len() as u32
        }

        fn item(&self, at: u32) -> Option<glib::Object> {
            let point = self.points.borrow().get(at as usize).copied()?;
            Some(glib::BoxedAnyObject::new(point).upcast())
        }
    }
}

glib::wrapper! {
    /// Points in an order.
    pub struct ClipModel(ObjectSubclass<imp::ClipModel>) @implements gio::ListModel;
}

impl Default for ClipModel {
    fn default() -> Self {
        glib::Object::new()
    }
}

impl ClipModel {
    /// Lists other points.
    pub fn set(&self, points: Vec<PointRef>) {
        let new = points.len() as u32;
        let old = self.imp().points.replace(points).len() as u32;
        self.items_changed(0, old, new);
    }

    /// Lists other points. Rows before and after those that differ stay as they are.
    pub fn follow(&self, points: Vec<PointRef>) {
        let (old, new) = (self.all(), points.len());
        let first = old.iter().zip(&points).take_while(|(a, b)| a == b).count();
        let most = old.len().min(new) - first;
        let last = old.iter().rev().zip(points.iter().rev()).take(most).take_while(|(a, b)| a == b).count();
        self.imp().points.replace(points);
        let [gone, come] = [old.len(), new].map(|n| (n - first - last) as u32);
        if gone > 0 || come > 0 {
            self.items_changed(first as u32, gone, come);
        }
    }

    /// The point at a place.
    pub fn at(&self, n: u32) -> Option<PointRef> {
        self.imp().points.borrow().get(n as usize).copied()
    }

    /// All of them.
    pub fn all(&self) -> Vec<PointRef> {
        self.imp().points.borrow().clone()
    }
}

/// The rows in sight, each with its point: the one whose point is shown is marked.
#[derive(Default)]
pub struct Rows {
    all: RefCell<Vec<(gtk::Widget, PointRef)>>,
}

impl Rows {
    /// A row shows a point.
    pub fn bind(&self, row: &gtk::Widget, point: PointRef, shown: Option<PointRef>) {
        self.all.borrow_mut().push((row.clone(), point));
        mark(row, Some(point) == shown);
    }

    /// A row shows nothing any more.
    pub fn unbind(&self, row: &gtk::Widget) {
        self.all.borrow_mut().retain(|(r, _)| r != row);
    }

    /// Does something with each row.
    pub fn each(&self, does: impl Fn(&gtk::Widget, PointRef)) {
        self.all.borrow().iter().for_each(|(row, point)| does(row, *point));
    }

    /// Another point is shown.
    pub fn show(&self, shown: Option<PointRef>) {
        self.all.borrow().iter().for_each(|(row, point)| mark(row, Some(*point) == shown));
    }
}

fn mark(row: &gtk::Widget, shown: bool) {
    if shown { row.add_css_class("shown") } else { row.remove_css_class("shown") }
}
