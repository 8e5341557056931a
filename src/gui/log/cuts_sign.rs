//! How far the search for cuts in the open footage is: a button under the bar, which cancels the search or begins it again.

use gtk::glib;
use gtk::prelude::*;

use crate::gui::kit::focus::show_or_hide;
use crate::gui::kit::words::named;
use crate::gui::model::{Event, Model, Stage};

/// Makes the button say how far the search is.
pub fn set_up(button: &gtk::Button, model: &Model) {
    button.connect_clicked(glib::clone!(
        #[weak]
        model,
        move |_| match model.cutting_stage() {
            Some(Stage::At(_)) => model.cancel_cuts(),
            _ => model.find_cuts(),
        }
    ));
    for event in [Event::Cuts, Event::Opened, Event::Closed] {
        model.on(
            event,
            glib::clone!(
                #[weak]
                button,
                move |m| show(&button, m.cutting_stage().as_ref())
            ),
        );
    }
}

fn show(button: &gtk::Button, stage: Option<&Stage>) {
    let says = match stage {
        Some(Stage::At(part)) => Some((
            format!("Cuts: {:.0} %  ×", (part * 100.0).floor()),
            "Looking for cuts in the footage. Click to cancel the search".to_owned(),
        )),
        Some(Stage::Stopped) => Some((
            "Find cuts".to_owned(),
            "The search for cuts was cancelled. Click to begin it again".to_owned(),
        )),
        Some(Stage::Failed(why)) => {
            Some(("Find cuts".to_owned(), format!("The search for cuts failed: {why}. Click to try again")))
        }
        Some(Stage::Done) | None => None,
    };
    show_or_hide(button, says.is_some());
    if let Some((label, tooltip)) = says {
        button.set_label(&label);
        button.set_tooltip_text(Some(&tooltip));
        named(button.upcast_ref(), &format!("{label}. {tooltip}"));
    }
}
