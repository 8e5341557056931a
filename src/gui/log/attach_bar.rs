//! The bar that says what to look for while footage is being put on the match clock.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::model::{Event, Model};
use crate::logging::Action;
use crate::session::state::Session;

pub mod imp {
    use super::glib;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/attach_bar.ui")]
    pub struct AttachBar {
        #[template_child]
        pub words: TemplateChild<gtk::Label>,
        #[template_child]
        pub leave: TemplateChild<gtk::Button>,
        #[template_child]
        pub here: TemplateChild<gtk::Button>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for AttachBar {
        const NAME: &'static str = "ChangeoverAttachBar";
        type Type = super::AttachBar;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for AttachBar {}
    impl WidgetImpl for AttachBar {}
    impl BoxImpl for AttachBar {}
}

glib::wrapper! {
    /// What to look for while footage is being attached.
    pub struct AttachBar(ObjectSubclass<imp::AttachBar>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl AttachBar {
    /// Shows what the model attaches.
    pub fn set_up(&self, model: &Model) {
        let show = glib::clone!(
            #[weak(rename_to = bar)]
            self,
            move |m: &Model| {
                if let Some(s) = m.session().borrow().as_ref() {
                    bar.show(s, &m.cap(Action::PointStart));
                }
            }
        );
        model.on(Event::Changed, show.clone());
        model.on(Event::Current, show);
    }

    fn show(&self, s: &Session, cap: &str) {
        let imp = self.imp();
        self.set_visible(s.attaching.is_some());
        imp.here.set_sensitive(s.logged().is_some());
        imp.words.set_label(&match (s.current(), s.logged()) {
            (Some(i), Some(at)) => format!(
                "Point {} was logged at {}. Go to the frame where it starts, then press {cap}. You can choose another \
                 point.",
                i + 1,
                at.short()
            ),
            _ => "This point has no start. Choose another point.".into(),
        });
    }
}
