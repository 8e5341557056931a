//! Keys: those that a text field, a list or the pad uses for itself, and all others as the key card says.

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gdk, glib};

use super::frame::Window;
use crate::gui::kit::keyboard::press_of;
use crate::gui::pad::Pad;
use crate::logging::{Action, Key, Meaning};

impl Window {
    /// Does what a key means.
    pub fn perform(&self, meaning: &Meaning) {
        if self.model().is_attaching() || !(self.show_by(meaning) || self.study_by(meaning)) {
            self.model().perform(meaning);
        }
    }

    pub fn wire_keys(&self) {
        let keys = gtk::EventControllerKey::new();
        keys.set_propagation_phase(gtk::PropagationPhase::Capture);
        keys.connect_key_pressed(glib::clone!(
            #[weak(rename_to = w)]
            self,
            #[upgrade_or]
            glib::Propagation::Proceed,
            move |keys, key, number, mods| {
                crate::video::hold_back();
                w.model().follow_layout(keys.group());
                w.key(key, number, mods)
            }
        ));
        self.add_controller(keys);
        self.connect_is_active_notify(|w| w.model().follow_layout(w.model().group().get()));
    }

    /// One key press. Keys typed into a text field stay there, but for Escape.
    fn key(&self, key: gdk::Key, number: u32, mods: gdk::ModifierType) -> glib::Propagation {
        let Some(card) = self.model().key_card() else { return glib::Propagation::Proceed };
        let pressed = press_of(key, number, mods, card.layout());
        let writing =
            GtkWindowExt::focus(self).is_some_and(|f| f.is::<gtk::Text>() || f.is::<gtk::TextView>());
        let popped =
            GtkWindowExt::focus(self).is_some_and(|f| f.ancestor(gtk::Popover::static_type()).is_some());
        if popped || (writing && !(pressed.sign.ctrl || pressed.sign.is("escape"))) {
            return glib::Propagation::Proceed;
        }
        if writing && pressed.sign.is("escape") {
            let imp = self.imp();
            if !(imp.show.leave_field() || imp.library.leave_search() || imp.study.leave_search()) {
                self.imp().log.leave_field();
            }
            return glib::Propagation::Stop;
        }
        if moves_in_pad(key, mods) && self.focus_in_pad() {
            return glib::Propagation::Proceed;
        }
        if self.is_in_study()
            && let Some(to) = self.imp().study.key(&pressed.sign)
        {
            return to;
        }
        if self.draws_or_measures(&pressed.sign) {
            return glib::Propagation::Stop;
        }
        match card.pressed(&pressed).cloned() {
            Some(Meaning::Do(Action::PlayMatching)) if self.focus_takes_return() => {
                glib::Propagation::Proceed
            }
            Some(meaning) => {
                self.perform(&meaning);
                glib::Propagation::Stop
            }
            None => glib::Propagation::Proceed,
        }
    }

    /// Does what a key means while something is drawn or measured. Says whether it means something then.
    fn draws_or_measures(&self, key: &Key) -> bool {
        let log = &self.imp().log;
        if !self.is_in_study() && !self.is_in_show() && log.drawing_key(key) {
            return true;
        }
        let measure = &log.imp().measure;
        measure.is_mapped() && !(self.focus_takes_return() && key.is("return")) && measure.key(key)
    }

    /// Whether the focus is on something that Return itself presses.
    fn focus_takes_return(&self) -> bool {
        if self.is_in_library() && self.imp().library.focus_in_list() {
            return true;
        }
        GtkWindowExt::focus(self)
            .is_some_and(|f| f.is::<gtk::Button>() || f.ancestor(gtk::DropDown::static_type()).is_some())
    }

    fn focus_in_pad(&self) -> bool {
        GtkWindowExt::focus(self).is_some_and(|f| f.ancestor(Pad::static_type()).is_some())
    }
}

/// Whether a key event is one that moves about the pad or presses its cap, when the focus is there.
fn moves_in_pad(key: gdk::Key, mods: gdk::ModifierType) -> bool {
    let free = !mods.intersects(gdk::ModifierType::CONTROL_MASK | gdk::ModifierType::ALT_MASK);
    let keys =
        [gdk::Key::Left, gdk::Key::Right, gdk::Key::Up, gdk::Key::Down, gdk::Key::Return, gdk::Key::KP_Enter];
    free && keys.contains(&key)
}
