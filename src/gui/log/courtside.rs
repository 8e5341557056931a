//! The page where the picture would be when nothing is filmed: the match clock, what is being played, what to press.

use std::cell::Cell;
use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::model::{Event, Model};
use crate::logging::log::open_point;
use crate::logging::{Action, KeyCard};
use crate::session::courtside::clock_words;
use crate::session::state::Session;
use crate::tennis::Side;

const TICK: Duration = Duration::from_millis(100);

/// What to press for it, in Pango's markup.
fn to_press(s: &Session, card: &KeyCard) -> String {
    let about = &s.view.record.about;
    let key = |a: Action| format!("<b>{}</b>", glib::markup_escape_text(&card.cap(a)));
    let wins = |side| glib::markup_escape_text(&format!("{} wins", about.player(side).name));
    if about.clock_started.is_none() {
        return "The match clock does not run.".into();
    }
    if open_point(&s.view.record).is_none() {
        return format!("{}  when the first serve is struck", key(Action::PointStart));
    }
    let keys = [
        format!("{}\u{a0}\u{a0}{}", key(Action::WinnerA), wins(Side::A)),
        format!("{}\u{a0}\u{a0}{}", key(Action::WinnerB), wins(Side::B)),
        format!("{}\u{a0}\u{a0}fault", key(Action::Fault)),
        format!("{}\u{a0}\u{a0}over, winner not seen", key(Action::PointEnd)),
    ];
    keys.join("    ")
}

pub mod imp {
    use super::{Cell, glib};
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/courtside.ui")]
    pub struct CourtsidePage {
        #[template_child]
        pub clock: TemplateChild<gtk::Label>,
        #[template_child]
        pub point: TemplateChild<gtk::Label>,
        #[template_child]
        pub keys: TemplateChild<gtk::Label>,
        #[template_child]
        pub start: TemplateChild<gtk::Button>,
        #[template_child]
        pub attach: TemplateChild<gtk::Button>,
        /// Whether the clock is kept going.
        pub ticking: Cell<bool>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for CourtsidePage {
        const NAME: &'static str = "ChangeoverCourtsidePage";
        type Type = super::CourtsidePage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for CourtsidePage {}
    impl WidgetImpl for CourtsidePage {}
    impl BoxImpl for CourtsidePage {}
}

glib::wrapper! {
    /// The page without footage.
    pub struct CourtsidePage(ObjectSubclass<imp::CourtsidePage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl CourtsidePage {
    /// Shows what the model has open.
    pub fn set_up(&self, model: &Model) {
        let show = glib::clone!(
            #[weak(rename_to = page)]
            self,
            move |m: &Model| page.show(m)
        );
        model.on(Event::Changed, show.clone());
        model.on(Event::Card, show);
        self.imp().start.connect_clicked(glib::clone!(
            #[weak]
            model,
            move |_| model.start_clock()
        ));
    }

    fn show(&self, model: &Model) {
        let session = model.session().borrow();
        let Some(s) = session.as_ref() else { return };
        self.set_visible(s.courtside());
        let Some(card) = model.key_card().filter(|_| s.courtside()) else { return };
        let imp = self.imp();
        imp.point.set_label(&s.going_on());
        imp.keys.set_markup(&to_press(s, &card));
        let stopped = s.view.record.about.clock_started.is_none();
        imp.start.set_visible(stopped && s.view.read_only.is_none());
        imp.attach.set_visible(s.view.read_only.is_none());
        self.show_time(s);
        self.keep_ticking(model);
    }

    fn show_time(&self, s: &Session) {
        let now = s.court_time().map_or_else(|| "–:––:––".into(), clock_words);
        if self.imp().clock.label() != now {
            self.imp().clock.set_label(&now);
        }
    }

    /// Keeps the clock on the page going until the page is put away.
    fn keep_ticking(&self, model: &Model) {
        if self.imp().ticking.replace(true) {
            return;
        }
        glib::timeout_add_local(
            TICK,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                #[weak]
                model,
                #[upgrade_or]
                glib::ControlFlow::Break,
                move || {
                    let session = model.session().borrow();
                    if let Some(s) = session.as_ref().filter(|s| s.courtside()) {
                        page.show_time(s);
                        return glib::ControlFlow::Continue;
                    }
                    page.imp().ticking.set(false);
                    glib::ControlFlow::Break
                }
            ),
        );
    }
}
