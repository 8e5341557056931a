//! The switch of the rooms, in the header.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::state::Room;

mod imp {
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/window/switch.ui")]
    pub struct RoomSwitch {
        #[template_child]
        pub log: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub study: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub library: TemplateChild<gtk::ToggleButton>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for RoomSwitch {
        const NAME: &'static str = "ChangeoverRoomSwitch";
        type Type = super::RoomSwitch;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for RoomSwitch {}
    impl WidgetImpl for RoomSwitch {}
    impl BoxImpl for RoomSwitch {}
}

glib::wrapper! {
    /// A button for each room.
    pub struct RoomSwitch(ObjectSubclass<imp::RoomSwitch>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl RoomSwitch {
    /// Shows which room it is. Without a match there is nothing to study.
    pub fn show(&self, room: Room, open: bool) {
        self.imp().study.set_visible(open);
        self.imp().library.set_active(room == Room::Library);
        self.imp().log.set_active(room == Room::Log);
        self.imp().study.set_active(room == Room::Study);
    }
}
