//! What the talk is doing: the level of the microphone before and while it is recorded, and the time.

use std::time::{Duration, Instant};

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::model::{Event, Model, TalkState};
use crate::logging::Action;
use crate::session::show::recording::{Loud, meter};

/// How often the level is drawn.
const OFTEN: Duration = Duration::from_millis(60);
/// How long a message is shown.
const TOLD: Duration = Duration::from_secs(8);
/// How much the level falls each time, of 65,535 parts: a peak is seen for a second or two.
const FALL: u16 = 1_200;

mod imp {
    use std::cell::{Cell, OnceCell, RefCell};

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{Instant, Model};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/show/talk_bar.ui")]
    pub struct TalkBar {
        #[template_child]
        pub said: TemplateChild<gtk::Label>,
        #[template_child]
        pub level: TemplateChild<gtk::LevelBar>,
        #[template_child]
        pub hint: TemplateChild<gtk::Label>,
        pub model: OnceCell<Model>,
        /// What the model said last, and when.
        pub told: RefCell<Option<(String, Instant)>>,
        /// The peak that is shown, and whether it is being drawn.
        pub peak: Cell<u16>,
        pub drawing: Cell<bool>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for TalkBar {
        const NAME: &'static str = "ChangeoverTalkBar";
        type Type = super::TalkBar;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for TalkBar {}
    impl WidgetImpl for TalkBar {}
    impl BoxImpl for TalkBar {}
}

glib::wrapper! {
    /// What the talk is doing.
    pub struct TalkBar(ObjectSubclass<imp::TalkBar>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl TalkBar {
    /// Shows the talk of this model's lesson.
    pub fn set_up(&self, model: &Model) {
        // It is set up once.
        let _ = self.imp().model.set(model.clone());
        for event in [Event::Talk, Event::Lesson] {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = bar)]
                    self,
                    move |m| {
                        if event == Event::Lesson {
                            m.talk_changed();
                        }
                        bar.begin();
                    }
                ),
            );
        }
        // The message bar is on the other screen, or behind this one.
        let bar = self.downgrade();
        model.connect_says(move |text, _| {
            if let Some(bar) = bar.upgrade() {
                bar.imp().told.replace(Some((text.to_owned(), Instant::now())));
                bar.begin();
            }
        });
        self.begin();
    }

    /// Draws as long as there is something to show.
    fn begin(&self) {
        if self.draw() && !self.imp().drawing.replace(true) {
            glib::timeout_add_local(
                OFTEN,
                glib::clone!(
                    #[weak(rename_to = bar)]
                    self,
                    #[upgrade_or]
                    glib::ControlFlow::Break,
                    move || {
                        let more = bar.draw();
                        bar.imp().drawing.set(more);
                        if more { glib::ControlFlow::Continue } else { glib::ControlFlow::Break }
                    }
                ),
            );
        }
    }

    /// Says whether there is anything to show.
    fn draw(&self) -> bool {
        let imp = self.imp();
        let Some(model) = imp.model.get() else { return false };
        let state = model.talk_state();
        let told =
            imp.told.borrow().clone().filter(|(text, since)| !text.is_empty() && since.elapsed() < TOLD);
        let told = told.map(|(text, _)| text);
        let shows = state != TalkState::Off || told.is_some();
        self.set_visible(shows);
        let peak = model.talk_peak().max(imp.peak.get().saturating_sub(FALL));
        imp.peak.set(peak);
        imp.level.set_value(meter(peak));
        imp.level.set_visible(model.listens());
        if matches!(state, TalkState::Recording(_)) {
            self.add_css_class("recording");
        } else {
            self.remove_css_class("recording");
        }
        let (said, hint) = words(model, state, peak);
        imp.said.set_label(&said);
        imp.hint.set_label(&told.unwrap_or(hint));
        if matches!(state, TalkState::Playing(_)) {
            // What the talk draws changes with its time.
            if let Some(root) = self.root() {
                root.queue_draw();
            }
        }
        shows
    }

    /// What it says.
    #[cfg(test)]
    pub fn said(&self) -> (String, String) {
        (self.imp().said.text().into(), self.imp().hint.text().into())
    }
}

/// What is said of a state, and what can be done.
fn words(model: &Model, state: TalkState, peak: u16) -> (String, String) {
    let cap = |action| model.cap(action);
    let (record, play, cut) = (cap(Action::RecordTalk), cap(Action::PlayTalk), cap(Action::CutTalk));
    let whole = model.lesson().and_then(|v| Some(v.lesson.talk.as_ref()?.length().short()));
    let of = whole.map(|w| format!(" of {w}")).unwrap_or_default();
    match state {
        TalkState::Off => (String::new(), String::new()),
        TalkState::Ready => {
            let test = if model.has_test() { format!("{play} plays your test, ") } else { String::new() };
            (Loud::of(peak).words().into(), format!("{test}{record} records, Escape leaves"))
        }
        TalkState::Testing => ("▶ Your test".into(), format!("{play} stops, {record} records")),
        TalkState::Recording(at) => (format!("● Recording {}", at.short()), format!("{record} stops")),
        TalkState::Playing(at) => (format!("▶ Talk {}{of}", at.short()), format!("{play} stops, {cut} cuts")),
        TalkState::Paused(at) => (
            format!("‖ Talk {}{of}", at.short()),
            if model.listens() {
                format!("{play} goes on, {record} records again from here, {cut} cuts")
            } else {
                format!("{play} goes on, {record} opens the microphone, {cut} cuts")
            },
        ),
    }
}
