//! The message bar: what the model has to say, until it is closed: over the right end of the score ribbon, or below the Show page,
//! where it would hide what the coach reads.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::kit::words::capital;
use crate::gui::model::{Event, Model};

mod imp {
    use std::cell::{Cell, RefCell};

    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate, glib::Properties)]
    #[properties(wrapper_type = super::MessageBar)]
    #[template(file = "../../../ui/window/message.ui")]
    pub struct MessageBar {
        /// What is said.
        #[property(get, set)]
        text: RefCell<String>,
        /// Whether it asks where to keep the record: it then has a button for it. A dialog would take the next keys.
        #[property(get, set)]
        wants_place: Cell<bool>,
        /// Closes the bar.
        #[template_child]
        pub close: TemplateChild<gtk::Button>,
        /// Asks where to keep the record.
        #[template_child]
        pub place: TemplateChild<gtk::Button>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for MessageBar {
        const NAME: &'static str = "ChangeoverMessageBar";
        type Type = super::MessageBar;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    #[glib::derived_properties]
    impl ObjectImpl for MessageBar {}
    impl WidgetImpl for MessageBar {}
    impl BoxImpl for MessageBar {}
}

glib::wrapper! {
    /// The message bar.
    pub struct MessageBar(ObjectSubclass<imp::MessageBar>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl MessageBar {
    /// Shows what this model says.
    pub fn set_up(&self, model: &Model) {
        // Not by actions: a widget that is moved elsewhere in the window loses them, and this one is.
        self.imp().close.connect_clicked(glib::clone!(
            #[weak]
            model,
            move |_| {
                model.tell(Event::Quiet);
                model.tell(Event::Footage);
            }
        ));
        self.imp().place.connect_clicked(|place| {
            let window = place.root().and_upcast::<gtk::Widget>();
            // The window has the action.
            let _ = window.map(|window| window.activate_action("win.save", None));
        });
        model.connect_says(glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |text, more| if more { bar.say_too(text) } else { bar.say(text) }
        ));
        model.on(
            Event::Quiet,
            glib::clone!(
                #[weak(rename_to = bar)]
                self,
                move |_| bar.set_visible(false)
            ),
        );
    }

    /// Shows what was said, in the place of what was said before.
    pub fn say(&self, text: &str) {
        self.set_text(capital(text));
        self.set_visible(true);
    }

    /// Shows what was said below what stands in the bar already.
    fn say_too(&self, text: &str) {
        let said = self.text();
        match self.get_visible() {
            true if said.contains(&capital(text)) => {}
            true => self.say(&format!("{said}\n{}", capital(text))),
            false => self.say(text),
        }
    }
}
