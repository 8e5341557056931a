//! What the Measure page says of following the court: how far it is, with a way to stop it, and what came of it.

use std::rc::Rc;

use super::work_row::{WorkRow, show_when_seen};
use crate::gui::model::{Event, Model};

/// Fills a box that is empty.
pub fn fill(into: &gtk::Box, model: &Model) {
    let button = ["Follow the court", "Finds out in all frames where the camera looks"];
    let row = Rc::new(WorkRow::new(into, "Following the court", button));
    row.wire(model, Model::cancel_following, Model::follow_court);
    show(&row, model);
    let events = [Event::Court, Event::Changed, Event::Opened, Event::Moment];
    show_when_seen(into, model, &events, move |m| show(&row, m));
}

fn show(row: &WorkRow, model: &Model) {
    let known = {
        let (session, shown) = (model.session().borrow(), model.shown());
        session.as_ref().zip(shown).and_then(|(s, at)| s.cameras.following_words(at)).unwrap_or_default()
    };
    let says = ["Following the court", "The court was not followed"];
    row.show(model.following_stage().as_ref(), says, &known, model.can_follow());
}
