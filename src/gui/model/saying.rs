//! What the model has to say, and what it wants of the window: words for the message bar, an action that needs a dialog.

use gtk::prelude::*;

use super::event::Event;
use super::object::Model;
use crate::logging::Action;

impl Model {
    /// Says something in the message bar.
    pub fn say(&self, text: &str) {
        self.emit_by_name::<()>("says", &[&text]);
    }

    /// Says something more, below what the message bar says already.
    pub fn say_too(&self, text: &str) {
        self.emit_by_name::<()>("adds", &[&text]);
    }

    /// Says something, and below it what keeps the last edits off the disk.
    pub fn say_first(&self, text: &str) {
        self.say(text);
        let trouble = self.session().borrow().as_ref().and_then(|s| s.view.trouble.clone());
        if let Some(trouble) = trouble {
            self.say_too(&trouble);
        }
    }

    /// Takes back what was said; but what keeps the last edits off the disk is said until it is over.
    pub fn be_quiet(&self) {
        let trouble = self.session().borrow().as_ref().and_then(|s| s.view.trouble.clone());
        match trouble {
            Some(trouble) => self.say(&trouble),
            None => self.tell(Event::Quiet),
        }
    }

    /// Calls `then` with what is to be said; the flag is set when it comes below what is said already.
    pub fn connect_says(&self, then: impl Fn(&str, bool) + Clone + 'static) {
        for (signal, more) in [("says", false), ("adds", true)] {
            let then = then.clone();
            self.connect_local(signal, false, move |values| {
                if let Some(text) = values.get(1).and_then(|v| v.get::<String>().ok()) {
                    then(&text, more);
                }
                None
            });
        }
    }

    /// Asks for an action that the model cannot do itself: a dialog, another page, leaving.
    pub fn want(&self, action: Action) {
        self.emit_by_name::<()>("wants", &[&action.name()]);
    }

    /// Calls `then` with an action that is wanted.
    pub fn connect_wants(&self, then: impl Fn(Action) + 'static) {
        self.connect_local("wants", false, move |values| {
            let name = values.get(1).and_then(|v| v.get::<String>().ok());
            if let Some(action) = name.and_then(|n| Action::named(&n)) {
                then(action);
            }
            None
        });
    }
}
