//! The rooms of the window: going from one to the other, and what actions mean on the Study and Library pages.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::frame::Window;
use super::state::Room;
use crate::gui::model::Event;
use crate::logging::action::{ACTIONS, Group};
use crate::logging::{Action, Meaning};

impl Window {
    /// Whether the Study page is to be seen.
    pub fn is_in_study(&self) -> bool {
        self.imp().rooms.visible_child_name().as_deref() == Some("study")
    }

    /// Whether the Library page is to be seen.
    pub fn is_in_library(&self) -> bool {
        self.imp().rooms.visible_child_name().as_deref() == Some("library")
    }

    /// Wires the switch of the rooms, and what the Study page asks for.
    pub fn wire_rooms(&self) {
        let imp = self.imp();
        imp.study.connect_large_notify(glib::clone!(
            #[weak(rename_to = w)]
            self,
            move |study| w.imp().ribbon.set_visible(!study.large())
        ));
        self.connect_fullscreened_notify(|w| {
            if w.imp().log.is_mapped() {
                w.set_alone(w.is_fullscreen());
            }
        });
        self.imp().message.connect_takes(glib::clone!(
            #[weak(rename_to = w)]
            self,
            move || w.place_message()
        ));
        let on = |event, does: fn(&Self)| {
            self.model().on(
                event,
                glib::clone!(
                    #[weak(rename_to = w)]
                    self,
                    move |_| does(&w)
                ),
            );
        };
        on(Event::Opened, |w| {
            // Whoever opens a match wants to see it.
            let room = w.imp().room.get();
            w.enter(if room == Room::Show { Room::Log } else { room });
        });
        on(Event::Reading, |w| w.imp().message.set_wants_place(false));
        on(Event::Closed, |w| {
            w.imp().rooms.set_visible_child_name("empty");
            w.enter(Room::Log);
        });
    }

    /// Makes the footage large, or as it was before.
    pub fn large_footage(&self) {
        let imp = self.imp();
        if self.is_in_show() {
            imp.show.toggle_large();
        } else if self.is_in_library() {
            imp.library.toggle_large();
        } else if self.is_in_study() {
            imp.study.toggle_large();
        } else if imp.log.is_mapped() {
            self.set_alone(!imp.log.is_alone());
        }
    }

    /// Zooms the picture of the page in or out, or shows all of it.
    pub fn zoom(&self, larger: Option<bool>) {
        let imp = self.imp();
        match self.imp().rooms.visible_child_name().as_deref() {
            Some("library") => imp.library.zoom(larger),
            Some("study") => imp.study.zoom(larger),
            Some("show") => imp.show.zoom(larger),
            _ => imp.log.zoom(larger),
        }
    }

    /// Gives the picture of the Log page all of the window, or takes that back.
    pub fn set_alone(&self, alone: bool) {
        let imp = self.imp();
        imp.log.set_alone(alone);
        imp.ribbon.set_visible(!alone);
    }

    /// The list of the Show page makes room for the message under it.
    fn place_message(&self) {
        let imp = self.imp();
        let in_show = imp.room.get() == Room::Show;
        imp.message.stand(in_show);
        imp.show.make_room(if in_show { imp.message.takes() } else { 0 });
    }

    /// Goes to a room. Without a match there are only the library, the lesson, and the page to begin with.
    pub fn enter(&self, room: Room) {
        let imp = self.imp();
        imp.room.set(room);
        let open = self.model().session().borrow().is_some();
        imp.switch.show(room, open);
        imp.log.set_alone(false);
        imp.ribbon.set_visible(open && !matches!(room, Room::Library | Room::Show));
        self.place_message();
        imp.rooms.set_visible_child_name(match (room, open) {
            (Room::Library, _) => "library",
            (Room::Show, _) => "show",
            (_, false) => "empty",
            (Room::Log, _) => "log",
            (Room::Study, _) => "study",
        });
        imp.library.set_seen(room == Room::Library);
        imp.show.set_seen(room == Room::Show);
        match room {
            Room::Library | Room::Show => imp.study.set_seen(false),
            _ if !open => {}
            Room::Log => {
                imp.study.set_seen(false);
                self.model().leave_elsewhere();
                self.model().session().borrow_mut().iter_mut().for_each(|s| s.only = None);
                self.model().tell(Event::Footage);
                self.model().tell(Event::Changed);
            }
            Room::Study => {
                imp.study.set_seen(true);
            }
        }
    }
}

impl Window {
    /// Does what a key means in the Study page or the Library page, where that is something else. Says whether it is done.
    pub fn study_by(&self, meaning: &Meaning) -> bool {
        let library = self.is_in_library();
        if !self.is_in_study() && !library {
            return false;
        }
        if library && self.imp().library.does(meaning) {
            return true;
        }
        match meaning {
            Meaning::Do(Action::PlayMatching) => self.imp().study.play(),
            Meaning::Do(Action::ClearFilter) => {
                self.model().be_quiet();
                self.imp().study.stop(self.model());
            }
            Meaning::Do(Action::Undo | Action::Redo) => return false,
            Meaning::Do(Action::Filter) | Meaning::Tag(_) => self.say_logging(),
            Meaning::Do(action) => {
                let group = ACTIONS.iter().find(|r| r.action == *action).map(|r| r.group);
                if matches!(group, Some(Group::Watch | Group::Score | Group::Show | Group::Window)) {
                    return false;
                }
                self.say_logging();
            }
        }
        true
    }

    pub fn say_logging(&self) {
        let cap = self.model().cap(Action::RoomLog);
        self.model().say(&format!("You can do that on the Log page ({cap})."));
    }
}
