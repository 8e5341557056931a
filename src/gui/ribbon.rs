//! The score ribbon: the match laid out by sets, games and points, and the way through the footage.
//!
//! Each point is a mark: up and filled when A won it, down and hollow when B did, a dot on the line when nobody knows.
//! Points that the filter leaves out are faint. Height will be the rally once shots are logged; for now it is the
//! time that the point took.

use std::cell::{Cell, RefCell};

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{cairo, gdk, glib, graphene};

use crate::tennis::Side;

/// What the ribbon draws of one point.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Who won.
    pub winner: Option<Side>,
    /// Seconds that the point took, if known.
    pub seconds: Option<f64>,
    /// Number of its set.
    pub set: usize,
    /// Number of its game in the set.
    pub game: usize,
    /// Games before this point, `3–1`.
    pub games: String,
    /// Whether the filter keeps it.
    pub kept: bool,
    /// Whether something speaks against the score there.
    pub doubted: bool,
    /// What a screen reader says.
    pub spoken: String,
}

const POINT: f64 = 13.0;
const GAME_GAP: f64 = 8.0;
const SET_GAP: f64 = 26.0;
const TOP: f64 = 26.0;
const HALF: f64 = 32.0;
const HEIGHT: f64 = TOP + 2.0 * HALF + 24.0;
/// The row of signs below, there only when there is a sign to show.
const SIGNS: f64 = 16.0;

mod imp {
    use super::{Cell, Mark, RefCell, cairo, gdk, glib, graphene, layout};
    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use std::sync::OnceLock;

    #[derive(Default)]
    pub struct Ribbon {
        pub marks: RefCell<Vec<Mark>>,
        pub current: Cell<Option<usize>>,
        pub dark: Cell<bool>,
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
            click.connect_pressed(move |_, _, x, _| {
                let Some(ribbon) = ribbon.upgrade() else { return };
                ribbon.grab_focus();
                let x = x / super::scale();
                let hit = layout(&ribbon.imp().marks.borrow())
                    .iter()
                    .position(|at| (x - at).abs() <= super::POINT / 2.0);
                if let Some(point) = hit {
                    ribbon.emit_by_name::<()>("chosen", &[&(point as u32)]);
                }
            });
            self.obj().add_controller(click);
            self.obj().update_property(&[gtk::accessible::Property::Label("Score ribbon")]);
        }
    }

    impl WidgetImpl for Ribbon {
        fn measure(&self, orientation: gtk::Orientation, _: i32) -> (i32, i32, i32, i32) {
            let size = if orientation == gtk::Orientation::Horizontal {
                layout(&self.marks.borrow()).last().map_or(200.0, |x| x + super::SET_GAP)
            } else {
                super::HEIGHT + if self.marks.borrow().iter().any(|m| m.doubted) { super::SIGNS } else { 0.0 }
            };
            let size = (size * super::scale()).ceil() as i32;
            (size, size, -1, -1)
        }

        fn snapshot(&self, snapshot: &gtk::Snapshot) {
            let (w, h) = (self.obj().width() as f32, self.obj().height() as f32);
            let cr: cairo::Context = snapshot.append_cairo(&graphene::Rect::new(0.0, 0.0, w, h));
            let ink = if self.dark.get() {
                gdk::RGBA::new(0.91, 0.90, 0.86, 1.0)
            } else {
                gdk::RGBA::new(0.13, 0.15, 0.16, 1.0)
            };
            let scale = super::scale();
            cr.scale(scale, scale);
            super::draw(&cr, &self.marks.borrow(), self.current.get(), self.dark.get(), &ink);
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
    /// Shows these points.
    pub fn set_marks(&self, marks: Vec<Mark>) {
        self.imp().marks.replace(marks);
        self.queue_resize();
        self.queue_draw();
    }

    /// Rings this point, and says it to a screen reader.
    pub fn set_current(&self, current: Option<usize>) {
        self.imp().current.set(current);
        let marks = self.imp().marks.borrow();
        let spoken = current.and_then(|i| marks.get(i)).map_or("no points yet", |m| m.spoken.as_str());
        let (now, most) = (current.map_or(0.0, |i| i as f64 + 1.0), marks.len().max(1) as f64);
        self.update_property(&[
            gtk::accessible::Property::ValueMax(most),
            gtk::accessible::Property::ValueMin(0.0),
            gtk::accessible::Property::ValueNow(now),
            gtk::accessible::Property::ValueText(spoken),
            // Before GTK 4.10 a widget of one's own has no value that a screen reader is told.
            gtk::accessible::Property::Description(spoken),
        ]);
        self.queue_draw();
    }

    /// Light or dark.
    pub fn set_dark(&self, dark: bool) {
        self.imp().dark.set(dark);
        self.queue_draw();
    }

    /// Where a point stands, in pixels from the left, for scrolling to it.
    pub fn place_of(&self, point: usize) -> Option<f64> {
        layout(&self.imp().marks.borrow()).get(point).map(|x| x * scale())
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
fn scale() -> f64 {
    let usual = 96.0 * 1024.0;
    let dpi = gtk::Settings::default().map_or(usual, |s| f64::from(s.gtk_xft_dpi()));
    if dpi > 0.0 { dpi / usual } else { 1.0 }
}

/// The middle of each point's mark, in pixels from the left.
fn layout(marks: &[Mark]) -> Vec<f64> {
    let mut x = 20.0;
    let mut last: Option<&Mark> = None;
    marks
        .iter()
        .map(|m| {
            if let Some(l) = last {
                x += if l.set != m.set {
                    SET_GAP
                } else if l.game != m.game {
                    GAME_GAP
                } else {
                    0.0
                };
            }
            last = Some(m);
            x += POINT;
            x - POINT / 2.0
        })
        .collect()
}

type Colour = (f64, f64, f64);

fn draw(cr: &cairo::Context, marks: &[Mark], current: Option<usize>, dark: bool, ink: &gdk::RGBA) {
    let ink: Colour = (ink.red().into(), ink.green().into(), ink.blue().into());
    let at = layout(marks);
    let middle = TOP + HALF;
    for (i, m) in marks.iter().enumerate() {
        let first = i == 0 || marks[i - 1].set != m.set || marks[i - 1].game != m.game;
        if first {
            draw_game(cr, marks, &at, i, dark, ink);
        }
        let alpha = if m.kept { 1.0 } else { 0.25 };
        let tall = 8.0 + m.seconds.map_or(4.0, |s| (s / 20.0).min(1.0) * (HALF - 10.0));
        draw_mark(cr, m.winner, at[i], middle, tall, alpha, dark);
        if m.doubted {
            draw_doubt(cr, at[i], dark);
        }
    }
    if let Some(x) = current.and_then(|i| at.get(i)) {
        cr.set_source_rgb(ink.0, ink.1, ink.2);
        cr.set_line_width(1.6);
        cr.rectangle(x - POINT / 2.0, TOP - 2.0, POINT, 2.0 * HALF + 4.0);
        let _ = cr.stroke();
        cr.move_to(x - 4.0, TOP - 9.0);
        cr.line_to(x + 4.0, TOP - 9.0);
        cr.line_to(*x, TOP - 3.0);
        let _ = cr.fill();
    }
}

/// The bed of a game, its score below, and the number of its set above its first game.
fn draw_game(cr: &cairo::Context, marks: &[Mark], at: &[f64], first: usize, dark: bool, ink: Colour) {
    let m = &marks[first];
    let last = marks[first..].iter().take_while(|n| n.set == m.set && n.game == m.game).count() + first - 1;
    let bed: Colour = if dark { (0.18, 0.20, 0.22) } else { (0.95, 0.93, 0.89) };
    cr.set_source_rgb(bed.0, bed.1, bed.2);
    cr.rectangle(at[first] - POINT / 2.0 - 1.0, TOP, at[last] - at[first] + POINT + 2.0, 2.0 * HALF);
    let _ = cr.fill();
    cr.set_source_rgba(ink.0, ink.1, ink.2, 0.25);
    cr.set_line_width(1.0);
    cr.move_to(at[first] - POINT / 2.0, TOP + HALF + 0.5);
    cr.line_to(at[last] + POINT / 2.0, TOP + HALF + 0.5);
    let _ = cr.stroke();
    cr.select_font_face("sans-serif", cairo::FontSlant::Normal, cairo::FontWeight::Normal);
    cr.set_font_size(11.0);
    cr.set_source_rgba(ink.0, ink.1, ink.2, 0.75);
    let width = cr.text_extents(&m.games).map_or(0.0, |e| e.width());
    if width <= at[last] - at[first] + POINT + GAME_GAP {
        cr.move_to(f64::midpoint(at[first], at[last]) - width / 2.0, TOP + 2.0 * HALF + 15.0);
        let _ = cr.show_text(&m.games);
    }
    if first == 0 || marks[first - 1].set != m.set {
        cr.select_font_face("sans-serif", cairo::FontSlant::Normal, cairo::FontWeight::Bold);
        cr.set_source_rgb(ink.0, ink.1, ink.2);
        cr.move_to(at[first] - POINT / 2.0, 13.0);
        let _ = cr.show_text(&format!("Set {}", m.set + 1));
    }
}

/// A triangle with an exclamation mark, below a point where something speaks against the score.
fn draw_doubt(cr: &cairo::Context, x: f64, dark: bool) {
    let (sign, inside): (Colour, Colour) =
        if dark { ((0.97, 0.83, 0.75), (0.1, 0.1, 0.1)) } else { ((0.54, 0.18, 0.06), (1.0, 1.0, 1.0)) };
    let top = HEIGHT - 4.0;
    cr.set_source_rgb(sign.0, sign.1, sign.2);
    cr.move_to(x, top);
    cr.line_to(x + 8.0, top + 14.0);
    cr.line_to(x - 8.0, top + 14.0);
    let _ = cr.fill();
    cr.set_source_rgb(inside.0, inside.1, inside.2);
    cr.rectangle(x - 0.9, top + 4.5, 1.8, 5.0);
    cr.rectangle(x - 0.9, top + 10.6, 1.8, 1.8);
    let _ = cr.fill();
}

fn draw_mark(
    cr: &cairo::Context,
    winner: Option<Side>,
    x: f64,
    middle: f64,
    tall: f64,
    alpha: f64,
    dark: bool,
) {
    let (a, b): (Colour, Colour) = if dark {
        ((0.49, 0.75, 0.96), (0.96, 0.64, 0.42))
    } else {
        ((0.04, 0.39, 0.68), (0.71, 0.28, 0.04))
    };
    match winner {
        Some(Side::A) => {
            cr.set_source_rgba(a.0, a.1, a.2, alpha);
            cr.rectangle(x - 3.5, middle - tall, 7.0, tall);
            let _ = cr.fill();
        }
        Some(Side::B) => {
            cr.set_source_rgba(b.0, b.1, b.2, alpha);
            cr.set_line_width(1.8);
            cr.rectangle(x - 3.0, middle + 1.0, 6.0, tall - 1.0);
            let _ = cr.stroke();
        }
        None => {
            let g = if dark { 0.75 } else { 0.35 };
            cr.set_source_rgba(g, g, g, alpha);
            cr.arc(x, middle, 2.6, 0.0, std::f64::consts::TAU);
            let _ = cr.fill();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn games_and_sets_stand_apart() {
        let mark = |set, game| Mark {
            winner: None,
            seconds: None,
            set,
            game,
            games: String::new(),
            kept: true,
            doubted: false,
            spoken: String::new(),
        };
        let at = layout(&[mark(0, 0), mark(0, 0), mark(0, 1), mark(1, 0)]);
        assert!((at[1] - at[0] - POINT).abs() < 1e-9);
        assert!((at[2] - at[1] - POINT - GAME_GAP).abs() < 1e-9);
        assert!((at[3] - at[2] - POINT - SET_GAP).abs() < 1e-9);
    }
}
