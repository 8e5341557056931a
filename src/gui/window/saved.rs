//! Whether all is saved, in the header.

use gtk::glib;

use crate::gui::model::{Event, Model};
use crate::session::state::Session;

mod imp {
    use std::cell::RefCell;

    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate, glib::Properties)]
    #[properties(wrapper_type = super::SavedSign)]
    #[template(file = "../../../ui/window/saved.ui")]
    pub struct SavedSign {
        /// What the sign says.
        #[property(get, set)]
        words: RefCell<String>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for SavedSign {
        const NAME: &'static str = "ChangeoverSavedSign";
        type Type = super::SavedSign;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    #[glib::derived_properties]
    impl ObjectImpl for SavedSign {}
    impl WidgetImpl for SavedSign {}
    impl BoxImpl for SavedSign {}
}

glib::wrapper! {
    /// Says whether all is saved.
    pub struct SavedSign(ObjectSubclass<imp::SavedSign>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl SavedSign {
    /// Tells of what this model has open.
    pub fn set_up(&self, model: &Model) {
        for event in [Event::Saving, Event::Changed, Event::Closed] {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = sign)]
                    self,
                    move |m| sign.set_words(m.session().borrow().as_ref().map(words).unwrap_or_default())
                ),
            );
        }
    }
}

/// Whether all is saved; the journal holds every change in any case.
fn words(s: &Session) -> String {
    match s.view.unsaved {
        _ if s.view.read_only.is_some() => "read-only".into(),
        _ if s.saves() => "saving…".into(),
        n if n > 0 && s.view.trouble.is_some() => "not on disk".into(),
        _ => "saved".into(),
    }
}
