//! The court pad: the half court in which the shot lands, drawn as the camera sees it, with its nine keys as caps.
//!
//! Each cap is a button, so that it has a name, takes the focus, and is pressed by Return or the mouse; a click beside it,
//! on its cell, does the same. With Shift, both mean the pad key with Shift. [`Face`] says what the
//! cells mean; the pad decides nothing.

use std::cell::{Cell as Slot, RefCell};

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, glib, graphene};

use super::court::{Palette, Part, View, draw};
use crate::tennis::stroke::{Cell, Column, Row};

/// What the pad shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Face {
    /// The part of the court in which the ball lands.
    pub part: Part,
    /// The keys, by rows from the one up, each from the left.
    pub caps: [[String; 3]; 3],
    /// What the columns of a box stand for; nothing in a rally.
    pub columns: [&'static str; 3],
    /// What the rows stand for, from the one up; nothing where the end is not known.
    pub rows: [&'static str; 3],
    /// Where the ball landed that corrections go to.
    pub ball: Option<Cell>,
    /// What the pad asks, for a screen reader.
    pub asks: String,
}

mod imp {
    use super::{Face, Palette, Part, RefCell, Row, Slot, View, draw, gdk, glib, graphene};
    use gtk::prelude::*;
    use gtk::subclass::prelude::*;

    type Pressed = Box<dyn Fn(super::Column, Row, bool)>;

    #[derive(Default)]
    pub struct Pad {
        pub face: RefCell<Option<Face>>,
        /// By rows from the one up, each from the left.
        pub caps: RefCell<Vec<gtk::Button>>,
        pub words: RefCell<Vec<gtk::Label>>,
        pub dark: Slot<bool>,
        pub strong: Slot<bool>,
        pub pressed: RefCell<Option<Pressed>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Pad {
        const NAME: &'static str = "ChangeoverPad";
        type Type = super::Pad;
        type ParentType = gtk::Widget;

        fn class_init(klass: &mut Self::Class) {
            klass.set_accessible_role(gtk::AccessibleRole::Group);
            klass.set_css_name("pad");
        }
    }

    impl ObjectImpl for Pad {
        fn constructed(&self) {
            self.parent_constructed();
            self.obj().set_up();
        }

        fn dispose(&self) {
            self.caps.take().iter().for_each(WidgetExt::unparent);
            self.words.take().iter().for_each(WidgetExt::unparent);
        }
    }

    impl WidgetImpl for Pad {
        fn measure(&self, orientation: gtk::Orientation, _: i32) -> (i32, i32, i32, i32) {
            let across = orientation == gtk::Orientation::Horizontal;
            let (least, usual) = if across { (12.0, 16.0) } else { (5.4, 11.0) };
            // GTK wants every child measured before it is given its place.
            let of = |lines: f64| (lines * self.line()).ceil() as i32;
            (of(least), of(usual), -1, -1)
        }

        fn size_allocate(&self, _: i32, _: i32, _: i32) {
            let Some(view) = self.view() else { return };
            let place = |widget: &gtk::Widget, (x, y): (f64, f64)| {
                let (_, size) = widget.preferred_size();
                let (w, h) = (size.width(), size.height());
                let (x, y) = (x.round() as i32 - w / 2, y.round() as i32 - h / 2);
                widget.size_allocate(&gtk::Allocation::new(x, y, w, h), -1);
            };
            let line = self.line();
            let caps = self.caps.borrow();
            let high = caps.iter().map(|c| c.preferred_size().1.height()).max().unwrap_or(0);
            let rows = view.rows(f64::from(high) + 1.0);
            drop(caps);
            for (i, cap) in self.caps.borrow().iter().enumerate().filter(|(_, c)| c.is_visible()) {
                let (column, row) = super::spot(i);
                let (x, y) = (view.middle(column, row).0, rows[row as usize]);
                let in_box = matches!(self.face.borrow().as_ref().map(|f| f.part), Some(Part::Box(..)));
                place(cap.upcast_ref(), (x, if in_box { y - 0.7 * line } else { y }));
            }
            for (i, word) in self.words.borrow().iter().enumerate().filter(|(_, w)| w.is_visible()) {
                let at = if i < 3 {
                    let (x, y) = view.middle(super::Column::ALL[i], Row::Middle);
                    (x, y + 1.1 * line)
                } else {
                    (1.35 * line, rows[i - 3])
                };
                place(word.upcast_ref(), at);
            }
        }

        fn snapshot(&self, snapshot: &gtk::Snapshot) {
            let (w, h) = (self.obj().width() as f32, self.obj().height() as f32);
            if let (Some(view), Some(face)) = (self.view(), self.face.borrow().as_ref()) {
                let cr = snapshot.append_cairo(&graphene::Rect::new(0.0, 0.0, w, h));
                draw(&cr, &view, face.ball, &Palette::of(self.dark.get(), self.strong.get()), self.line());
            }
            let mut child = self.obj().first_child();
            while let Some(c) = child {
                self.obj().snapshot_child(&c, snapshot);
                child = c.next_sibling();
            }
        }
    }

    impl Pad {
        /// The height of a line of text: the pad grows with it.
        pub fn line(&self) -> f64 {
            f64::from(self.obj().create_pango_layout(Some("U")).pixel_size().1)
        }

        /// The court in the widget's rectangle, with room for the words of the rows.
        pub fn view(&self) -> Option<View> {
            let part = self.face.borrow().as_ref()?.part;
            let line = self.line();
            let (w, h) = (f64::from(self.obj().width()), f64::from(self.obj().height()));
            let left = if matches!(part, Part::Half(_)) { 2.6 * line } else { 0.0 };
            Some(View::new(part, (left, 4.0), (w - left - 2.0, h - 8.0)))
        }

        pub fn press(&self, column: super::Column, row: Row, mods: gdk::ModifierType) {
            if let Some(pressed) = &*self.pressed.borrow() {
                pressed(column, row, mods.contains(gdk::ModifierType::SHIFT_MASK));
            }
        }
    }
}

glib::wrapper! {
    /// The court pad.
    pub struct Pad(ObjectSubclass<imp::Pad>)
        @extends gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget;
}

/// The column and row of the pad's keys, counted by rows.
fn spot(i: usize) -> (Column, Row) {
    (Column::ALL[i % 3], Row::ALL[i / 3 % 3])
}

impl Pad {
    fn set_up(&self) {
        let caps = (0..9).map(|i| {
            let cap = gtk::Button::builder().css_classes(["cap"]).build();
            cap.set_focus_on_click(false);
            cap.set_parent(self);
            let pad = self.downgrade();
            cap.connect_clicked(move |_| {
                if let Some(pad) = pad.upgrade() {
                    let (column, row) = spot(i);
                    pad.imp().press(column, row, held());
                }
            });
            cap
        });
        self.imp().caps.replace(caps.collect());
        let words = (0..6).map(|_| {
            let word = gtk::Label::builder().css_classes(["pad-word"]).build();
            word.set_parent(self);
            word
        });
        self.imp().words.replace(words.collect());
        let click = gtk::GestureClick::new();
        let pad = self.downgrade();
        click.connect_pressed(move |click, _, x, y| {
            let Some(pad) = pad.upgrade() else { return };
            if let Some((column, row)) = pad.imp().view().and_then(|v| v.cell_at(x, y)) {
                pad.imp().press(column, row, click.current_event_state());
            }
        });
        self.add_controller(click);
    }

    /// Shows this.
    pub fn set_face(&self, face: Face) {
        if self.imp().face.borrow().as_ref() == Some(&face) {
            return;
        }
        let serve = matches!(face.part, Part::Box(..));
        for (i, cap) in self.imp().caps.borrow().iter().enumerate() {
            let key = &face.caps[i / 3][i % 3];
            // Any row of a column stands for the same third of a box: one cap tells.
            cap.set_visible(!key.is_empty() && (!serve || i / 3 == 1));
            cap.set_label(key);
            let cell = spoken_cell(&face, i);
            let spoken = if cell.is_empty() { format!("key {key}") } else { format!("{cell}, key {key}") };
            cap.update_property(&[gtk::accessible::Property::Label(&spoken)]);
            cap.set_tooltip_text(Some(&format!("{cell}; with Shift a backhand")));
            if serve {
                cap.set_tooltip_text(Some("Any key of this column; with Shift a fault"));
            }
        }
        for (word, text) in self.imp().words.borrow().iter().zip(face.columns.iter().chain(&face.rows)) {
            word.set_label(text);
            word.set_visible(!text.is_empty());
        }
        self.update_property(&[gtk::accessible::Property::Label(&face.asks)]);
        self.imp().face.replace(Some(face));
        self.queue_allocate();
        self.queue_draw();
    }

    /// Light or dark, and whether the contrast is strong.
    pub fn set_colours(&self, dark: bool, strong: bool) {
        self.imp().dark.set(dark);
        self.imp().strong.set(strong);
        self.queue_draw();
    }

    /// Calls back with the cell whose cap or ground was pressed, and whether Shift was held.
    pub fn connect_pressed(&self, f: impl Fn(Column, Row, bool) + 'static) {
        self.imp().pressed.replace(Some(Box::new(f)));
    }
}

/// What a cell stands for, in words.
fn spoken_cell(face: &Face, i: usize) -> String {
    if let Part::Box(..) = face.part {
        return face.columns[i % 3].to_owned();
    }
    let side = ["left", "middle", "right"][i % 3];
    if face.rows[i / 3].is_empty() {
        return format!("{}, {side}", ["up", "middle", "down"][i / 3]);
    }
    format!("{}, {side}", face.rows[i / 3])
}

/// The modifiers held down now.
fn held() -> gdk::ModifierType {
    gdk::Display::default()
        .and_then(|d| d.default_seat())
        .and_then(|s| s.keyboard())
        .map_or(gdk::ModifierType::empty(), |k| k.modifier_state())
}
