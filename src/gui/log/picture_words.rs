//! The words over the picture: which frame is shown, or that none of the footage can be.

use gtk::glib;
use gtk::prelude::*;

use crate::gui::model::{Event, Model};
use crate::record::printable;

/// Which frame of which file is shown.
pub fn frame(model: &Model) -> Option<String> {
    let session = model.session().borrow();
    let (s, (_, place)) = session.as_ref().zip(model.moment().get())?;
    let file = s.media.get(place.part)?;
    let rate = file.rate.map_or_else(|| "variable rate".into(), |r| format!("{r} fps"));
    let mut parts = vec![format!("frame {} of {}", place.frame + 1, file.index.len()), rate];
    if s.parts.len() > 1 {
        parts.insert(0, format!("file {} of {}", place.part + 1, s.parts.len()));
        parts.extend(s.parts.border(place.part));
    }
    Some(parts.join(" · "))
}

/// Keeps the label right that says that no footage can be shown: it is seen only where there is nothing to look at.
pub fn keep_gone(label: &gtk::Label, model: &Model) {
    for event in [Event::Opened, Event::Closed, Event::Changed] {
        model.on(
            event,
            glib::clone!(
                #[weak]
                label,
                move |m| {
                    let words = gone(m);
                    label.set_visible(words.is_some());
                    label.set_label(&words.unwrap_or_default());
                }
            ),
        );
    }
}

fn gone(model: &Model) -> Option<String> {
    let session = model.session().borrow();
    let s = session.as_ref().filter(|s| s.parts.is_empty())?;
    let (first, others) = s.view.record.footage.split_first()?;
    let more = if others.is_empty() { String::new() } else { format!(" and {} more", others.len()) };
    // Why not, a message has said: it may be there and be broken.
    Some(format!(
        "The footage cannot be shown: {}{more}.\nIf it was moved, put it back beside the record and open the record again.",
        printable(&first.file, 80)
    ))
}
