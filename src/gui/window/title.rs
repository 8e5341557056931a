//! Which match is open, in the header: its players, and where and when it was played.

use gtk::glib;

use crate::gui::model::{Event, Model};

mod imp {
    use std::cell::{Cell, RefCell};

    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate, glib::Properties)]
    #[properties(wrapper_type = super::MatchTitle)]
    #[template(file = "../../../ui/window/title.ui")]
    pub struct MatchTitle {
        /// Whether a match is open.
        #[property(get, set)]
        open: Cell<bool>,
        /// Who plays.
        #[property(get, set)]
        players: RefCell<String>,
        /// Where, when and on what, or how far opening it is.
        #[property(get, set)]
        about: RefCell<String>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for MatchTitle {
        const NAME: &'static str = "ChangeoverMatchTitle";
        type Type = super::MatchTitle;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    #[glib::derived_properties]
    impl ObjectImpl for MatchTitle {}
    impl WidgetImpl for MatchTitle {}
    impl BoxImpl for MatchTitle {}
}

glib::wrapper! {
    /// The players' names and what else is known of the match.
    pub struct MatchTitle(ObjectSubclass<imp::MatchTitle>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl MatchTitle {
    /// Shows what this model has open.
    pub fn set_up(&self, model: &Model) {
        let on = |event, show: fn(&Self, &Model)| {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = title)]
                    self,
                    move |m: &Model| show(&title, m)
                ),
            );
        };
        on(Event::Closed, |title, _| {
            title.set_open(false);
            title.set_players("Changeover");
            title.set_about("");
        });
        on(Event::Opened, |title, _| title.set_open(true));
        on(Event::Changed, Self::show);
        on(Event::Reading, |title, m| {
            title.set_about(format!("opening… {:.0} %", m.reading().get() * 100.0));
        });
    }

    fn show(&self, model: &Model) {
        let session = model.session().borrow();
        let Some(about) = session.as_ref().map(|s| &s.view.record.about) else { return };
        self.set_players(about.title());
        let parts = [
            about.venue.clone(),
            about.date.map(|d| d.to_string()).unwrap_or_default(),
            about.surface.clone(),
        ];
        let parts: Vec<String> = parts.into_iter().filter(|p| !p.is_empty()).collect();
        self.set_about(parts.join(" · "));
    }
}
