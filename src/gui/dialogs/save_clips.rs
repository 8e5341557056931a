//! What can be done with a list of clips, of one record or several: save it to a file, copy it.

use std::path::PathBuf;
use std::rc::Rc;
use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;

use crate::clips::Lead;
use crate::counted::{Counted, Noun};
use crate::export::Format;
use crate::gui::kit::chooser::when_chosen;
use crate::gui::kit::export_menu::{Wanted, copy};
use crate::gui::kit::fields::{attach, grid, quiet};
use crate::gui::kit::job::off_loop;
use crate::gui::kit::pages::{After, ask_to};
use crate::gui::model::Model;
use crate::session::exporting::ExportFailure;
use crate::session::library::finds::Finds;

struct Fields {
    format: gtk::DropDown,
    before: gtk::SpinButton,
    after: gtk::SpinButton,
}

impl Fields {
    fn wish(&self) -> (Format, Lead) {
        let seconds = |field: &gtk::SpinButton| Duration::from_secs_f64(field.value().max(0.0));
        let format = Format::ALL[self.format.selected() as usize % Format::ALL.len()];
        (format, Lead { before: seconds(&self.before), after: seconds(&self.after), ..Lead::default() })
    }
}

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
    let lead = Lead::default();
    let seconds = |d: Duration| {
        let field = gtk::SpinButton::with_range(0.0, 60.0, 0.5);
        field.set_digits(1);
        field.set_value(d.as_secs_f64());
        field
    };
    let fields = Rc::new(Fields {
        format: gtk::DropDown::from_strings(&Format::ALL.map(Format::words)),
        before: seconds(lead.before),
        after: seconds(lead.after),
    });
    let grid = grid();
    attach(&grid, 0, "Format", &fields.format);
    attach(&grid, 1, "Seconds before each point", &fields.before);
    attach(&grid, 2, "Seconds after each point", &fields.after);
    let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
    page.append(&grid);
    page.append(&quiet("A record, footage or settings are never replaced."));
    let save = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok(After::Close),
        move |dialog: &gtk::Window| {
            if finds.points.is_empty() {
                return Err(ExportFailure::NoPoints);
            }
            ask_where(&model, dialog, &finds, fields.wish());
            Ok(After::Stay)
        }
    );
    ask_to(parent, ("Save clips", "Save as…"), &[("Save clips", page)], save)
}

fn ask_where(model: &Model, dialog: &gtk::Window, finds: &Finds, (format, lead): (Format, Lead)) {
    let action = gtk::FileChooserAction::Save;
    let chooser =
        gtk::FileChooserNative::new(Some("Save clips"), Some(dialog), action, Some("Save"), Some("Cancel"));
    chooser.set_modal(true);
    chooser.set_current_name(&format!("clips.{}", format.ending()));
    let finds = finds.clone();
    let then = glib::clone!(
        #[weak]
        model,
        #[weak]
        dialog,
        move |paths: Vec<PathBuf>| {
            if let Some(to) = paths.into_iter().next() {
                dialog.close();
                write(&model, finds.clone(), (format, lead), to);
            }
        }
    );
    when_chosen(&chooser, then);
}

/// Writes on a thread, and says what came of it.
pub fn write(model: &Model, finds: Finds, (format, lead): (Format, Lead), to: PathBuf) {
    let place = to.clone();
    let then = glib::clone!(
        #[weak]
        model,
        move |done: Result<(), ExportFailure>| match done {
            Ok(()) => model.say(&format!("Exported to {}.", place.display())),
            Err(why) => model.say(&format!("Nothing was exported: {why}")),
        }
    );
    off_loop(move || finds.save(format, lead, &to), then);
}
