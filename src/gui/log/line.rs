//! One line under the footage: the current point in words, its shots, and what contradicts its score.
//!
//! The line has a fixed height, so that the footage never changes its size because of text. Text without room is cut; the tooltip
//! has all of it.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::line_parts::{Part, markup, parts, plain, shorten};
use crate::facts::start_of;
use crate::gui::kit::handles::before_drawing;
use crate::gui::kit::words::DOUBT;
use crate::gui::model::{Event, Model};
use crate::logging::line::Line;
use crate::logging::log::open_point;
use crate::logging::{Action, Meaning};
use crate::session::leading::between_words;
use crate::session::state::Session;
use crate::session::words::capital;

pub mod imp {
    use std::cell::Cell;

    use super::{Model, before_drawing, glib};
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
        pub model: glib::WeakRef<Model>,
        /// The room that words and balls were laid out for, and the height of the text.
        pub laid: Cell<(i32, i32)>,
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

    impl WidgetImpl for PointLine {
        fn snapshot(&self, snapshot: &gtk::Snapshot) {
            self.parent_snapshot(snapshot);
            // It was given another room, or text has another size.
            if self.laid.get() != self.obj().space() {
                let line = self.obj().downgrade();
                before_drawing(move || line.upgrade().into_iter().for_each(|l| l.show_anew()));
            }
        }
    }
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
        self.imp().model.set(Some(model));
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
        let doubts = s.current().map(|c| s.doubts(c)).unwrap_or_default();
        let doubts: Vec<String> = doubts.iter().map(|d| format!("{DOUBT} {}", capital(d))).collect();
        imp.doubt.set_label(&doubts.join("  "));
        imp.doubt.set_tooltip_text(Some(&doubts.join("\n")));
        imp.doubt.set_visible(!doubts.is_empty());
        let parts = shots(s);
        let space = self.space();
        imp.laid.set(space);
        let room = space.0;
        let words = words(s, model);
        imp.words.set_label(&words);
        // The shots need room too: where words and shots do not fit and the words have more than half of the line, the tooltip has the
        // rest of them.
        imp.balls.set_markup(&markup(&parts, s.view.pad.goes_to, s.view.pad.chosen, usize::MAX));
        // All of them: the label cuts itself.
        let wide = imp.words.create_pango_layout(Some(&words)).pixel_size().0;
        if room > 0 && wide > (room / 2).max(room - natural(&*imp.balls)) {
            imp.words.set_label(&short(s, model));
        }
        imp.words.set_tooltip_text(Some(&words));
        imp.words.update_property(&[gtk::accessible::Property::Label(&words)]);
        self.show_balls(s, &parts, room - natural(&*imp.words).min(room));
    }

    fn show_anew(&self) {
        if let Some(model) = self.imp().model.upgrade() {
            self.show(&model);
        }
    }

    fn show_balls(&self, s: &Session, parts: &[Part], room: i32) {
        let balls = &*self.imp().balls;
        let (goes_to, chosen) = (s.view.pad.goes_to, s.view.pad.chosen);
        let fill = |parts: &[Part], letters| balls.set_markup(&markup(parts, goes_to, chosen, letters));
        let letter = balls.create_pango_layout(Some("Holt returns deep, ")).pixel_size().0 / 19;
        // Bold letters are wider: fewer shots, and then fewer words, until they have room.
        let mut letters =
            if room > 0 { usize::try_from(room / letter.max(1)).unwrap_or_default() } else { 80 };
        let mut said = parts.to_vec();
        fill(&said, letters);
        while room > 0 && natural(balls) > room && (letters > 0 || shorten(&mut said, goes_to)) {
            letters = (letters * 9 / 10).min(letters.saturating_sub(1));
            fill(&said, letters);
        }
        let whole = plain(parts);
        balls.set_tooltip_text(Some(&whole));
        // A screen reader says all of it, not what had room.
        balls.update_property(&[gtk::accessible::Property::Label(&whole)]);
    }

    /// The room for words and shots, in pixels, once the line has a width, and the height of a line of text.
    fn space(&self) -> (i32, i32) {
        let imp = self.imp();
        let spacing = self.spacing();
        let others: [&gtk::Widget; 3] =
            [imp.doubt.upcast_ref(), imp.work.upcast_ref(), imp.correct.upcast_ref()];
        let taken: i32 = others.iter().filter(|o| o.get_visible()).map(|o| natural(*o) + spacing).sum();
        let line = self.create_pango_layout(Some("U")).pixel_size().1;
        ((self.width() - taken - spacing).max(0), line)
    }
}

/// The width that a widget would have.
fn natural(widget: &impl IsA<gtk::Widget>) -> i32 {
    widget.measure(gtk::Orientation::Horizontal, -1).1
}

/// The shots of the current point, and the plan of the next one.
fn shots(s: &Session) -> Vec<Part> {
    let mut parts = parts(&Line::of(&s.view.record, s.facts(), s.current(), &s.view.pad));
    if open_point(&s.view.record).is_none() && !s.view.plan.is_empty() {
        let plan = format!("next plan: {}", s.view.plan);
        let letters = plan.chars().count() + 3;
        let markup = glib::markup_escape_text(&plan).into();
        parts.push(Part { ball: None, letters, markup, plain: plan });
    }
    parts
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

/// The same in few words: the number of the point and its score, or what to press.
fn short(s: &Session, model: &Model) -> String {
    match s.current().and_then(|i| s.facts().get(i)) {
        Some(f) => {
            let called = f.called.as_ref().map_or_else(|| "score not known".into(), ToString::to_string);
            format!("Point {} · {called}", f.number + 1)
        }
        None if s.facts().is_empty() => begin(model),
        None => no_point(s, model),
    }
}

/// What is said while no point is current: where the film is, or what to press.
fn no_point(s: &Session, model: &Model) -> String {
    if let Some(between) = s.between().filter(|_| !s.facts().is_empty()) {
        return between_words(between);
    }
    let begin = begin(model);
    if s.courtside() {
        return format!("No points yet. {begin}");
    }
    format!("No points yet. Play, and {}", begin.replacen("Press", "press", 1))
}

/// The key that begins a point.
fn begin(model: &Model) -> String {
    if model.cap(Action::PadMiddle).is_empty() {
        return format!("Press {} when the first serve is struck.", model.cap(Action::PointStart));
    }
    "Press the pad key where the first serve lands.".into()
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
