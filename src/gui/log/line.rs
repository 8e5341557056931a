//! One line under the footage: the current point in words, its shots, and what contradicts its score.
//!
//! The line has a fixed height, so that the footage never changes its size because of text. Text without room is cut; the tooltip
//! has all of it.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::line_parts::{Part, markup, parts, plain};
use crate::facts::start_of;
use crate::gui::kit::words::DOUBT;
use crate::gui::model::{Event, Model};
use crate::logging::line::Line;
use crate::logging::log::open_point;
use crate::logging::{Action, Meaning};
use crate::session::leading::between_words;
use crate::session::state::Session;
use crate::session::words::capital;

pub mod imp {
    use super::glib;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/line.ui")]
    pub struct PointLine {
        #[template_child]
        pub words: TemplateChild<gtk::Label>,
        #[template_child]
        pub balls: TemplateChild<gtk::Label>,
        #[template_child]
        pub doubt: TemplateChild<gtk::Label>,
        /// Work in the background on the footage. It stands here because nothing moves when it comes and goes: the words give way.
        #[template_child]
        pub work: TemplateChild<gtk::Button>,
        #[template_child]
        pub correct: TemplateChild<gtk::Button>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PointLine {
        const NAME: &'static str = "ChangeoverPointLine";
        type Type = super::PointLine;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for PointLine {}
    impl WidgetImpl for PointLine {}
    impl BoxImpl for PointLine {}
}

glib::wrapper! {
    /// The current point in one line.
    pub struct PointLine(ObjectSubclass<imp::PointLine>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl PointLine {
    /// Shows what the model has open.
    pub fn set_up(&self, model: &Model) {
        let show = glib::clone!(
            #[weak(rename_to = line)]
            self,
            move |m: &Model| line.show(m)
        );
        for event in [Event::Changed, Event::Current, Event::Pad, Event::Card] {
            model.on(event, show.clone());
        }
        self.imp().balls.connect_activate_link(glib::clone!(
            #[weak]
            model,
            #[upgrade_or]
            glib::Propagation::Stop,
            move |_, ball| {
                if let Ok(ball) = ball.parse() {
                    choose_ball(&model, ball);
                }
                glib::Propagation::Stop
            }
        ));
    }

    fn show(&self, model: &Model) {
        let session = model.session().borrow();
        let Some(s) = session.as_ref() else { return };
        let imp = self.imp();
        let words = words(s, model);
        imp.words.set_label(&words);
        // The shots need room too: where the words have more than half of the line, the tooltip has the rest of them.
        let wide = imp.words.create_pango_layout(Some(&words)).pixel_size().0;
        if let Some(short) = short(s).filter(|_| wide > self.room_for_words()) {
            imp.words.set_label(&short);
        }
        imp.words.set_tooltip_text(Some(&words));
        imp.words.update_property(&[gtk::accessible::Property::Label(&words)]);
        let doubts = s.current().map(|c| s.doubts(c)).unwrap_or_default();
        let doubts: Vec<String> = doubts.iter().map(|d| format!("{DOUBT} {}", capital(d))).collect();
        imp.doubt.set_label(&doubts.join("  "));
        imp.doubt.set_tooltip_text(Some(&doubts.join("\n")));
        imp.doubt.set_visible(!doubts.is_empty());
        self.show_balls(s);
    }

    /// How wide the words may be; before the line has a width, as in a small window.
    fn room_for_words(&self) -> i32 {
        Some(self.width()).filter(|w| *w > 0).unwrap_or(800) / 2
    }

    fn show_balls(&self, s: &Session) {
        let line = Line::of(&s.view.record, s.facts(), s.current(), &s.view.pad);
        let mut parts = parts(&line);
        if open_point(&s.view.record).is_none() && !s.view.plan.is_empty() {
            let plan = format!("next plan: {}", s.view.plan);
            let letters = plan.chars().count() + 3;
            parts.push(Part {
                ball: None,
                letters,
                markup: glib::markup_escape_text(&plan).into(),
                plain: plan,
            });
        }
        let text = markup(&parts, s.view.pad.goes_to, s.view.pad.chosen, self.room());
        self.imp().balls.set_markup(&text);
        let whole = plain(&parts);
        let balls = &*self.imp().balls;
        balls.set_tooltip_text(Some(&whole));
        // A screen reader says all of it, not what had room.
        balls.update_property(&[gtk::accessible::Property::Label(&whole)]);
    }

    /// How many letters the balls have room for.
    fn room(&self) -> usize {
        let letter = self.imp().balls.create_pango_layout(Some("Holt returns deep, ")).pixel_size().0 / 19;
        let words = self.imp().words.measure(gtk::Orientation::Horizontal, -1).1;
        let free = self.width() - words.min(self.width() / 2) - 110;
        usize::try_from(free / letter.max(1)).ok().filter(|n| *n > 20).unwrap_or(80)
    }
}

fn words(s: &Session, model: &Model) -> String {
    let record = &*s.view.record;
    match s.current().and_then(|i| s.facts().get(i)) {
        None => no_point(s, model),
        Some(f) => {
            let point = &record.points[f.number];
            let open = if point.start.is_some() && point.end.is_none() { ", being played" } else { "" };
            let note =
                if point.note.is_empty() { String::new() } else { format!(" · “{}”", point.note) };
            format!("Point {} of {}{open} · {}{note}", f.number + 1, s.facts().len(), start_of(record, f))
        }
    }
}

/// The current point in few words: its number and its score.
fn short(s: &Session) -> Option<String> {
    let f = s.facts().get(s.current()?)?;
    let called = f.called.as_ref().map_or_else(|| "score not known".into(), ToString::to_string);
    Some(format!("Point {} · {called}", f.number + 1))
}

/// What is said while no point is current: where the film is, or what to press.
fn no_point(s: &Session, model: &Model) -> String {
    if let Some(between) = s.between().filter(|_| !s.facts().is_empty()) {
        return between_words(between);
    }
    let cap = model.cap(Action::PointStart);
    let play = if s.courtside() { "Press" } else { "Play, and press" };
    if model.cap(Action::PadMiddle).is_empty() {
        return format!("No points yet. {play} {cap} when the first serve is struck.");
    }
    format!("No points yet. {play} the pad key where the first serve lands.")
}

/// Chooses a ball of the current point, as its keys do.
fn choose_ball(model: &Model, ball: usize) {
    let (now, chosen) = {
        let session = model.session().borrow();
        let Some(pad) = session.as_ref().map(|s| &s.view.pad) else { return };
        let Some(now) = pad.goes_to else { return };
        (now, pad.chosen)
    };
    if !chosen {
        model.perform(&Meaning::Do(Action::BallBack));
    }
    let way = if ball < now { Action::BallBack } else { Action::BallForward };
    for _ in 0..ball.abs_diff(now) {
        model.perform(&Meaning::Do(way));
    }
}
