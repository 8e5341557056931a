//! What can be done with a list of clips, of one record or several: save it to a file, copy it.

use gtk::glib;
use gtk::prelude::*;

use super::saving_as::{LeadFields, NEVER_REPLACED, ask_where};
use crate::clips::Lead;
use crate::counted::{Counted, Noun};
use crate::export::Format;
use crate::gui::kit::export_menu::{Wanted, copy};
use crate::gui::kit::fields::{attach, grid, quiet};
use crate::gui::kit::job::off_loop;
use crate::gui::kit::pages::{After, ask_to};
use crate::gui::model::Model;
use crate::session::exporting::ExportFailure;
use crate::session::library::finds::Finds;

/// Does what is wanted of a list; `over` is a widget in the window of the list.
pub fn export(model: &Model, over: &impl IsA<gtk::Widget>, finds: Finds, wanted: Wanted) {
    let over = over.upcast_ref::<gtk::Widget>();
    if wanted == Wanted::SaveAs {
        if let Some(window) = over.root().and_downcast::<gtk::Window>() {
            show(model, &window, finds);
        }
        return;
    }
    let n = finds.points.len();
    // Thousands of clips take their time.
    let text = move || match wanted {
        Wanted::Timecodes => finds.timecodes(Lead::default()),
        _ => finds.text(),
    };
    off_loop(
        text,
        glib::clone!(
            #[weak]
            over,
            #[weak]
            model,
            move |text: String| {
                copy(&over, &text);
                model.say(&format!("Copied {}.", Counted(n, Noun::Point)));
            }
        ),
    );
}

/// Asks for the format, and then where.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>, finds: Finds) {
    dialog(model, parent, finds).present();
}

/// The dialog.
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>, finds: Finds) -> gtk::Window {
    let grid = grid();
    let formats = gtk::DropDown::from_strings(&Format::ALL.map(Format::words));
    attach(&grid, 0, "Format", &formats);
    let lead = LeadFields::attached(&grid, 1);
    let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
    page.append(&grid);
    page.append(&quiet(NEVER_REPLACED));
    let save = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok(After::Close),
        move |dialog: &gtk::Window| {
            if finds.points.is_empty() {
                return Err(ExportFailure::NoPoints);
            }
            let format = Format::ALL[formats.selected() as usize % Format::ALL.len()];
            let (finds, lead) = (finds.clone(), lead.lead());
            let name = format!("clips.{}", format.ending());
            ask_where(&model, dialog, ("Save clips", &name, None), move |to| finds.save(format, lead, to));
            Ok(After::Stay)
        }
    );
    ask_to(parent, ("Save clips", "Save as…"), &[("Save clips", page)], save)
}
