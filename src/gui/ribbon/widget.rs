//! The score ribbon: the match laid out by sets, games and points, and the way through the footage.
//!
//! `sheet` says what it shows, `layout` where everything stands, `drawing` how it looks.

use std::cell::{Cell, RefCell};

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{cairo, glib, graphene};

use super::drawing::{Colours, HEADINGS, HEIGHT, Picture, SIGNS, draw, draw_empty};
use super::layout::{Layout, POINT};
use crate::gui::kit::words::capital;
use crate::gui::log::point_row;
use crate::gui::model::{Event, Model};
use crate::session::sheet::{Mark, Set, filtered, sets, spoken};
use crate::session::state::Session;
use crate::time::MatchTime;

mod imp {
    use super::{
        Cell, Colours, HEADINGS, HEIGHT, Layout, Mark, MatchTime, Picture, RefCell, SIGNS, Set, cairo,
        capital, draw, draw_empty, glib, graphene, scale,
    };
    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use std::sync::OnceLock;

    #[derive(Default)]
    pub struct Ribbon {
        pub marks: RefCell<Vec<Mark>>,
        pub sets: RefCell<Vec<Set>>,
        pub layout: RefCell<Layout>,
        pub current: Cell<Option<usize>>,
        pub dark: Cell<bool>,
        pub strong: Cell<bool>,
        /// Where the hand pressed, on the window.
        pub pressed: Cell<Option<(f64, f64)>>,
        /// The moment to which a hand has dragged.
        pub dragged: Cell<Option<MatchTime>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Ribbon {
        const NAME: &'static str = "ChangeoverRibbon";
        type Type = super::Ribbon;
        type ParentType = gtk::Widget;

        fn class_init(klass: &mut Self::Class) {
            klass.set_accessible_role(gtk::AccessibleRole::Slider);
            klass.set_css_name("ribbon");
        }
    }

    impl ObjectImpl for Ribbon {
        fn signals() -> &'static [glib::subclass::Signal] {
            static SIGNALS: OnceLock<Vec<glib::subclass::Signal>> = OnceLock::new();
            SIGNALS.get_or_init(|| {
                vec![glib::subclass::Signal::builder("chosen").param_types([u32::static_type()]).build()]
            })
        }

        fn constructed(&self) {
            self.parent_constructed();
            let click = gtk::GestureClick::new();
            let ribbon = self.obj().downgrade();
            click.connect_pressed(move |_, _, x, y| {
                let Some(ribbon) = ribbon.upgrade() else { return };
                ribbon.grab_focus();
                if let Some(point) = ribbon.imp().point_at(x, y) {
                    ribbon.emit_by_name::<()>("chosen", &[&(point as u32)]);
                }
            });
            self.obj().add_controller(click);
            self.obj().set_has_tooltip(true);
            self.obj().update_property(&[gtk::accessible::Property::Label("Score ribbon")]);
        }
    }

    impl WidgetImpl for Ribbon {
        fn measure(&self, orientation: gtk::Orientation, _: i32) -> (i32, i32, i32, i32) {
            let size = if orientation == gtk::Orientation::Horizontal {
                self.layout.borrow().width().max(200.0)
            } else {
                HEIGHT + if self.marks.borrow().iter().any(|m| m.doubted) { SIGNS } else { 0.0 }
            };
            let size = (size * scale()).ceil() as i32;
            (size, size, -1, -1)
        }

        fn query_tooltip(&self, x: i32, y: i32, keyboard: bool, tooltip: &gtk::Tooltip) -> bool {
            let under = if keyboard { self.current.get() } else { self.point_at(x.into(), y.into()) };
            let marks = self.marks.borrow();
            let Some(mark) = under.and_then(|n| marks.get(n)) else { return false };
            tooltip.set_text(Some(&capital(&mark.spoken)));
            true
        }

        fn snapshot(&self, snapshot: &gtk::Snapshot) {
            let (from, to) = self.seen();
            let tall = self.obj().height() as f32;
            let cr: cairo::Context =
                snapshot.append_cairo(&graphene::Rect::new(from as f32, 0.0, (to - from) as f32, tall));
            let scale = scale();
            cr.scale(scale, scale);
            let (marks, sets) = (self.marks.borrow(), self.sets.borrow());
            let colours = Colours::of(self.dark.get(), self.strong.get());
            if marks.is_empty() {
                return draw_empty(&cr, colours);
            }
            let picture = Picture {
                marks: &marks,
                sets: &sets,
                layout: &self.layout.borrow(),
                current: self.current.get(),
                colours,
            };
            draw(&cr, &picture, from / scale, to / scale);
        }
    }

    impl Ribbon {
        /// What is in sight, in pixels from the left.
        fn seen(&self) -> (f64, f64) {
            let wide = f64::from(self.obj().width());
            match self.obj().scroller() {
                Some(s) => {
                    let at = s.hadjustment();
                    (at.value().clamp(0.0, wide), (at.value() + at.page_size()).clamp(0.0, wide))
                }
                None => (0.0, wide),
            }
        }

        /// The point at a place; at the heading of a set, its first.
        fn point_at(&self, x: f64, y: f64) -> Option<usize> {
            let (x, layout) = (x / scale(), self.layout.borrow());
            if y / scale() < HEADINGS {
                return layout.set_at(x).and_then(|n| layout.sets.get(n)).map(|s| s.points.start);
            }
            layout.hit(x)
        }
    }
}

glib::wrapper! {
    /// The score ribbon.
    pub struct Ribbon(ObjectSubclass<imp::Ribbon>)
        @extends gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget;
}

impl Ribbon {
    /// Shows these points, in the games of these sets.
    pub fn set_sheet(&self, sets: Vec<Set>, marks: Vec<Mark>) {
        let imp = self.imp();
        if *imp.sets.borrow() != sets {
            imp.layout.replace(Layout::new(&sets));
            imp.sets.replace(sets);
        }
        imp.marks.replace(marks);
        self.queue_resize();
        self.queue_draw();
    }

    /// Rings this point, says it to a screen reader, and brings its game into sight.
    pub fn set_current(&self, current: Option<usize>) {
        self.imp().current.set(current);
        {
            let marks = self.imp().marks.borrow();
            let none = if marks.is_empty() { "no points yet" } else { "no point is shown" };
            let spoken = current.and_then(|i| marks.get(i)).map_or(none, |m| m.spoken.as_str());
            let (now, most) = (current.map_or(0.0, |i| i as f64 + 1.0), marks.len().max(1) as f64);
            self.update_property(&[
                gtk::accessible::Property::ValueMax(most),
                gtk::accessible::Property::ValueMin(0.0),
                gtk::accessible::Property::ValueNow(now),
                gtk::accessible::Property::ValueText(spoken),
                // Before GTK 4.10 a widget of one's own has no value that a screen reader is told.
                gtk::accessible::Property::Description(spoken),
            ]);
        }
        self.show_current();
        self.queue_draw();
    }

    /// Light or dark, and whether the contrast is strong.
    pub fn set_colours(&self, dark: bool, strong: bool) {
        self.imp().dark.set(dark);
        self.imp().strong.set(strong);
        self.queue_draw();
    }

    /// Keeps what is drawn, and the current point, where it is seen.
    fn follow_scrolling(&self, scroller: &gtk::ScrolledWindow) {
        let ribbon = self.downgrade();
        scroller.hadjustment().connect_value_changed(move |_| {
            if let Some(r) = ribbon.upgrade() {
                r.queue_draw();
            }
        });
        let ribbon = self.downgrade();
        // A new point is not reached before the ribbon has grown.
        scroller.hadjustment().connect_changed(move |_| {
            let ribbon = ribbon.clone();
            glib::idle_add_local_once(move || {
                if let Some(r) = ribbon.upgrade() {
                    r.show_current();
                }
            });
        });
    }

    pub(super) fn scroller(&self) -> Option<gtk::ScrolledWindow> {
        self.ancestor(gtk::ScrolledWindow::static_type()).and_downcast()
    }

    /// Scrolls so that the current point is seen, with as much of its game as there is room for.
    fn show_current(&self) {
        let (Some(scroller), Some(current)) = (self.scroller(), self.imp().current.get()) else { return };
        if self.imp().dragged.get().is_some() {
            return; // Nothing moves under a hand that drags.
        }
        let layout = self.imp().layout.borrow();
        let (Some(x), Some(game)) = (layout.place(current), layout.game_of(current)) else { return };
        let (scale, at) = (scale(), scroller.hadjustment());
        let (from, page) = (at.value() / scale, at.page_size() / scale);
        let room = (page / 3.0).min(60.0);
        let (left, right) = (game.from.max(x - page / 2.0), game.to.min(x + page / 2.0));
        if left < from + POINT || right > from + page - POINT {
            let to = if left < from + POINT { left - room } else { right + room - page };
            drop(layout);
            at.set_value(to * scale);
        }
    }

    /// Calls back with the point that was clicked.
    pub fn connect_chosen(&self, f: impl Fn(usize) + 'static) {
        self.connect_local("chosen", false, move |v| {
            if let Some(point) = v.get(1).and_then(|v| v.get::<u32>().ok()) {
                f(point as usize);
            }
            None
        });
    }
}

/// How much larger the text is than the usual one; the ribbon grows with it.
pub fn scale() -> f64 {
    let usual = 96.0 * 1024.0;
    let dpi = gtk::Settings::default().map_or(usual, |s| f64::from(s.gtk_xft_dpi()));
    if dpi > 0.0 { dpi / usual } else { 1.0 }
}

impl Ribbon {
    /// Shows what the model has open, in what scrolls it.
    pub fn set_up(&self, scroller: &gtk::ScrolledWindow, model: &Model) {
        self.follow_scrolling(scroller);
        self.connect_chosen(glib::clone!(
            #[weak]
            model,
            move |point| model.choose(point)
        ));
        self.follow_drags(model);
        let show = glib::clone!(
            #[weak(rename_to = ribbon)]
            self,
            move |m: &Model| {
                if let Some(s) = m.session().borrow().as_ref() {
                    ribbon.show(s);
                }
            }
        );
        model.on(Event::Changed, show.clone());
        model.on(Event::Dimmed, show);
        model.on(
            Event::Current,
            glib::clone!(
                #[weak(rename_to = ribbon)]
                self,
                move |m| ribbon.set_current(m.session().borrow().as_ref().and_then(Session::current))
            ),
        );
        model.on(
            Event::Dark,
            glib::clone!(
                #[weak(rename_to = ribbon)]
                self,
                move |m| ribbon.set_colours(m.dark().get(), m.strong().get())
            ),
        );
    }

    /// Shows a session.
    pub fn show(&self, s: &Session) {
        let record = &*s.view.record;
        let marks = s.facts().iter().map(|f| {
            let (kept, doubts) = (s.answer(f.number), s.doubts(f.number));
            Mark {
                winner: f.winner,
                length: f.length,
                kept,
                doubted: !doubts.is_empty(),
                spoken: point_row::spoken(filtered(spoken(record, f), kept), &doubts),
            }
        });
        self.set_sheet(sets(record, s.facts(), &s.view.after), marks.collect());
        self.set_current(s.current());
    }
}
