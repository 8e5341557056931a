//! The message bar: what the model has to say, until it is closed: over the right end of the score ribbon, or on the Show page
//! under the list of clips, which makes room for it: neither the picture nor what the coach reads changes its place.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::kit::words::capital;
use crate::gui::model::{Event, Model};

mod imp {
    use std::cell::{Cell, OnceCell, RefCell};

    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{Event, Model};

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
        /// What is said.
        #[template_child]
        pub words: TemplateChild<gtk::Label>,
        pub model: OnceCell<Model>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for MessageBar {
        const NAME: &'static str = "ChangeoverMessageBar";
        type Type = super::MessageBar;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
            klass.install_action("message.close", None, |bar, _, _| {
                if let Some(model) = bar.imp().model.get() {
                    model.tell(Event::Quiet);
                    model.tell(Event::Footage);
                }
            });
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
        // It is set up once.
        let _ = self.imp().model.set(model.clone());
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

    /// Stands at the left, narrow, or at the right.
    pub fn stand(&self, left: bool) {
        let (side, start, wide) = if left { (gtk::Align::Start, 22, 36) } else { (gtk::Align::End, 0, 64) };
        self.set_halign(side);
        self.set_margin_start(start);
        self.imp().words.set_max_width_chars(wide);
    }

    /// How high it is, in pixels; 0 when nothing is said.
    pub fn takes(&self) -> i32 {
        // While it slides in, it is not yet as high as what it holds.
        let held = self.first_child().and_downcast::<gtk::Revealer>().and_then(|sliding| sliding.child());
        let Some(held) = held.filter(|_| self.get_visible()) else { return 0 };
        let wide = held.measure(gtk::Orientation::Horizontal, -1).1;
        held.measure(gtk::Orientation::Vertical, wide).1 + self.margin_bottom()
    }

    /// Calls `then` when it comes, goes, or says something else.
    pub fn connect_takes(&self, then: impl Fn() + Clone + 'static) {
        let again = then.clone();
        self.connect_visible_notify(move |_| then());
        self.connect_text_notify(move |_| again());
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
