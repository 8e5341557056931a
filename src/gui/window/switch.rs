//! The switch of the rooms, in the header.

use gtk::glib;
use gtk::prelude::*;

use super::state::Room;

mod imp {
    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/window/switch.ui")]
    pub struct RoomSwitch {}

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
        let of = [Room::Log, Room::Study, Room::Library, Room::Show];
        let buttons = std::iter::successors(self.first_child(), gtk::prelude::WidgetExt::next_sibling);
        let buttons = buttons.filter_map(|b| b.downcast::<gtk::ToggleButton>().ok());
        for (button, of) in buttons.zip(of) {
            button.set_active(of == room);
            button.set_visible(open || of != Room::Study);
        }
    }
}
