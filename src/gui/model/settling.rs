//! Handles the keeper's answers: shows the result, says it in the message bar, and passes it to those who wait for it.

use gtk::glib;
use gtk::prelude::*;

use super::event::Event;
use super::object::Model;
use crate::session::alone::known_as;
use crate::session::error::AskError;
use crate::session::keeper::{Done, Told, View};

/// What came of something that the keeper was asked.
#[derive(Debug, Clone)]
pub struct Settled {
    /// What was done, or why nothing was.
    pub outcome: Result<Done, AskError>,
    /// How many edits are in the journal only.
    pub unsaved: usize,
    /// Why the last edits are not on disk, if so.
    pub trouble: Option<String>,
    /// Whether that is so until the record has another place.
    pub needs_place: bool,
}

impl Model {
    /// The keeper has done something.
    pub(super) fn on_told(&self, told: &Told) {
        let (moved, shot) = match self.session().borrow_mut().as_mut() {
            Some(s) => {
                self.stamps().borrow_mut().told(&s.view.record, &told.view.record);
                let before = s.chosen_shot();
                let moved = s.take(told);
                (moved, s.chosen_shot().filter(|shot| Some(*shot) != before))
            }
            None => (false, None),
        };
        self.say_outcome(told);
        if moved {
            self.show_other_footage();
        } else if let Some(at) = shot.and_then(|s| s.at).filter(|_| !self.is_attaching()) {
            self.show_still(at);
        }
        self.tell(Event::Saving);
        if !told.notices.is_empty() {
            self.say_too(&told.notices.join("\n"));
        }
        let settled = Settled {
            outcome: told.outcome.clone(),
            unsaved: told.view.unsaved,
            trouble: told.view.trouble.clone(),
            needs_place: told.view.needs_place,
        };
        self.emit_by_name::<()>("settled", &[&glib::BoxedAnyObject::new(settled)]);
    }

    /// Shows what was done, or says why nothing was.
    fn say_outcome(&self, told: &Told) {
        match &told.outcome {
            Ok(Done::Changed) => {
                self.tell(Event::Changed);
                self.be_quiet();
                if let Some(reversed) = &told.reversed {
                    self.say_first(reversed);
                }
            }
            Ok(Done::Saved) => {}
            Ok(Done::NotSaved) => self.be_quiet(),
            Ok(Done::Moved) => self.say_moved(&told.view),
            Ok(Done::TookOver) => {
                self.tell(Event::Changed);
                self.say("The other window has closed. You can change the record here now.");
            }
            Ok(Done::GaveWay) => {
                self.tell(Event::Changed);
                self.say("Another window has logged this match. You see its record; your last key changed nothing.");
                self.wait_for_the_record();
            }
            Ok(Done::Chosen) => {
                self.tell(Event::Pad);
                self.keep_plain(told.view.pad.plain);
            }
            Ok(Done::NothingToUndo) => self.say("There is nothing to undo."),
            Ok(Done::NothingToRedo) => self.say("There is nothing to redo."),
            Err(why) => {
                self.say(&why.to_string());
                self.not_attached();
            }
        }
    }

    /// The record is kept elsewhere from now on.
    fn say_moved(&self, view: &View) {
        self.tell(Event::Changed);
        let place = known_as(&view.path);
        self.say(&if view.record.footage.is_empty() {
            format!("The record is now {place}. All that was logged is in it.")
        } else {
            format!(
                "The record is now {place}. All that was logged is in it. Copy the footage beside it to open both again."
            )
        });
    }

    /// Calls `then` with what came of everything that the keeper was asked.
    pub fn connect_settled(&self, then: impl Fn(&Settled) + 'static) {
        self.connect_local("settled", false, move |values| {
            if let Some(told) = values.get(1).and_then(|v| v.get::<glib::BoxedAnyObject>().ok()) {
                then(&told.borrow::<Settled>());
            }
            None
        });
    }
}
