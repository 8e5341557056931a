//! The container of the score ribbon: it scrolls if the match is longer than the window is wide.

use gtk::glib;
use gtk::subclass::prelude::*;

use super::widget::Ribbon;
use crate::gui::model::Model;

pub mod imp {
    use gtk::prelude::*;
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::Ribbon;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/ribbon/bed.ui")]
    pub struct RibbonBed {
        #[template_child]
        pub scroll: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub ribbon: TemplateChild<Ribbon>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for RibbonBed {
        const NAME: &'static str = "ChangeoverRibbonBed";
        type Type = super::RibbonBed;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            Ribbon::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for RibbonBed {}
    impl WidgetImpl for RibbonBed {}
    impl BoxImpl for RibbonBed {}
}

glib::wrapper! {
    /// The score ribbon, scrolled.
    pub struct RibbonBed(ObjectSubclass<imp::RibbonBed>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl RibbonBed {
    /// Shows what this model has open.
    pub fn set_up(&self, model: &Model) {
        self.imp().ribbon.set_up(&self.imp().scroll, model);
    }
}
