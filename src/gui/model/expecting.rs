//! Telling the player where the next key can lead, so that those frames are decoded before the key is pressed.

use super::event::Event;
use super::object::Model;

impl Model {
    /// From now on the player is told whenever the next key leads elsewhere.
    pub(super) fn look_ahead(&self) {
        for event in [Event::Opened, Event::Changed, Event::Current, Event::Transport] {
            self.on(event, Self::expect);
        }
    }

    /// Tells the player to which frames of its file the next key can lead.
    pub(super) fn expect(&self) {
        let frames: Vec<usize> = {
            let session = self.session().borrow();
            let Some(s) = session.as_ref().filter(|s| self.part() == Some(s.part)) else { return };
            let places = s.next_places(self.settings().borrow().lead_in());
            places.into_iter().filter(|p| p.part == s.part).map(|p| p.frame).collect()
        };
        if let Some(player) = &*self.player().borrow() {
            player.expect(&frames);
        }
    }
}
