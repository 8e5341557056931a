//! Goes to a time that is typed.

use gtk::glib;
use gtk::prelude::*;

use crate::gui::kit::fields::{entry, quiet};
use crate::gui::kit::pages::{After, ask_to};
use crate::gui::kit::words::named;
use crate::gui::model::Model;
use crate::session::going::{Goal, GoalError};

/// Asks where to go.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    let open = model.session().borrow().as_ref().is_some_and(|s| !s.parts.is_empty());
    if open {
        dialog(model, parent).present();
    } else {
        model.say("There is no footage to go to a time in. Open the footage first.");
    }
}

/// The dialog.
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>) -> gtk::Window {
    let time = entry("");
    time.set_placeholder_text(Some("1:23:45"));
    named(time.upcast_ref(), "Time to go to");
    let page = gtk::Box::new(gtk::Orientation::Vertical, 8);
    page.append(&time);
    // One label a line: a page is as high as its lines are without wrapping.
    for line in ["1:23:45 or 83:45", "+30 or -10, seconds from here", "frame 1200, of this file"] {
        page.append(&quiet(line));
    }
    let go = glib::clone!(
        #[weak]
        model,
        #[weak]
        time,
        #[upgrade_or]
        Ok(After::Close),
        move |_: &gtk::Window| {
            let goal: Goal = time.text().parse()?;
            let at = {
                let session = model.session().borrow();
                let Some(s) = session.as_ref() else { return Ok(After::Close) };
                goal.moment(model.moment().get(), &s.parts)?
            };
            model.go_to(at);
            Ok::<_, GoalError>(After::Close)
        }
    );
    let dialog = ask_to(parent, ("Go to a time", "Go"), &[("Time", page)], go);
    time.grab_focus();
    dialog
}
