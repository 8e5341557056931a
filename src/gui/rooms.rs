//! The rooms of the window: going from one to the other, and what keys mean in the Study room.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::window::Window;
use crate::logging::action::{ACTIONS, Group};
use crate::logging::{Action, Key, Meaning};

/// The rooms of the window.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Room {
    /// Where a match is logged.
    #[default]
    Log,
    /// Where it is asked about.
    Study,
}

impl Window {
    /// Whether the Study room is to be seen.
    pub fn is_in_study(&self) -> bool {
        self.imp().rooms.visible_child_name().as_deref() == Some("study")
    }

    /// Wires the switch of the rooms.
    pub fn wire_rooms(&self) {
        let imp = self.imp();
        imp.study.imp().picture.set_paintable(Some(&imp.paintable));
        for (button, room) in [(&imp.log_button, Room::Log), (&imp.study_button, Room::Study)] {
            let window = self.downgrade();
            button.set_focus_on_click(false);
            button.connect_clicked(move |_| {
                if let Some(w) = window.upgrade() {
                    w.enter(room);
                }
            });
        }
    }

    /// Goes to a room. Without a match there is none.
    pub fn enter(&self, room: Room) {
        let imp = self.imp();
        imp.room.set(room);
        let open = self.model().session().borrow().is_some();
        imp.log_button.set_active(room == Room::Log);
        imp.study_button.set_active(room == Room::Study);
        imp.room_switch.set_visible(open);
        imp.ribbon_scroll.set_visible(open);
        if !open {
            return;
        }
        imp.rooms.set_visible_child_name(if room == Room::Log { "log" } else { "study" });
        match room {
            Room::Log => {
                self.model().session().borrow_mut().iter_mut().for_each(|s| s.only = None);
                imp.picture.grab_focus();
                self.show_record();
            }
            Room::Study => {
                imp.study.focus_question();
                imp.study.refresh();
                imp.study.show_again();
            }
        }
    }
}

impl Window {
    /// What becomes of a key in the Study room before the card is asked; none when that is for the card to say.
    pub fn study_key(&self, key: &Key) -> Option<glib::Propagation> {
        if !self.is_in_study() {
            return None;
        }
        let study = self.imp().study.imp();
        if key.is("tab")
            && !key.ctrl
            && (study.questions.focus_child().is_some() || study.questions.has_focus())
        {
            // Through the list go the arrows, each row a question; Tab leaves it.
            let next: &gtk::Widget =
                if key.shift { self.imp().study_button.upcast_ref() } else { study.own.upcast_ref() };
            next.grab_focus();
            return Some(glib::Propagation::Stop);
        }
        if self.study_keeps(key) {
            return Some(glib::Propagation::Proceed);
        }
        self.imp().study.move_focus(key).then_some(glib::Propagation::Stop)
    }

    /// Whether the widget with the focus has a use of its own for a key: lists and menus are walked through, and a row is
    /// played by Return.
    fn study_keeps(&self, key: &Key) -> bool {
        const WALKS: [&str; 7] = ["up", "down", "home", "end", "page_up", "page_down", "return"];
        let Some(focus) = GtkWindowExt::focus(self) else { return false };
        let study: &gtk::Widget = self.imp().study.upcast_ref();
        let list = [gtk::ListBox::static_type(), gtk::ListView::static_type(), gtk::DropDown::static_type()]
            .iter()
            .any(|t| focus.is_ancestor(study) && (focus.type_().is_a(*t) || focus.ancestor(*t).is_some()));
        list && !(key.ctrl || key.alt) && WALKS.iter().any(|k| key.is(k))
    }

    /// Does what a key means in the Study room, where that is something else. Says whether it is done.
    pub fn study_by(&self, meaning: &Meaning) -> bool {
        if !self.is_in_study() {
            return false;
        }
        match meaning {
            Meaning::Do(Action::PlayMatching) => self.imp().study.play(),
            Meaning::Do(Action::ClearFilter) => {
                self.be_quiet();
                self.stop();
            }
            Meaning::Do(Action::Undo | Action::Redo) => return false,
            Meaning::Do(Action::Filter) | Meaning::Tag(_) => self.say_logging(),
            Meaning::Do(action) => {
                let group = ACTIONS.iter().find(|r| r.action == *action).map(|r| r.group);
                if matches!(group, Some(Group::Watch | Group::Score | Group::Window)) {
                    return false;
                }
                self.say_logging();
            }
        }
        true
    }

    fn say_logging(&self) {
        let cap = self.card().map(|c| c.cap(Action::RoomLog)).unwrap_or_default();
        self.say(&format!("That is done in the Log room: {cap}."));
    }
}
