//! What the dialogs share that save clips: the seconds around each point, the question where, and the writing.

use std::fmt::Display;
use std::path::{Path, PathBuf};
use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;

use crate::clips::Lead;
use crate::gui::kit::chooser::when_chosen;
use crate::gui::kit::fields::attach;
use crate::gui::kit::job::off_loop;
use crate::gui::kit::pages::refuse;
use crate::gui::model::Model;
use crate::session::alone::known_as;
use crate::session::exporting::{ExportFailure, check};

/// What is said below the fields.
pub const NEVER_REPLACED: &str = "A record, footage or settings are never replaced.";

/// The same where not even a file that a program wrote is replaced.
pub const NOTHING_REPLACED: &str = "A file or folder that is there already is never replaced.";

/// Seconds before and after each point.
pub struct LeadFields {
    before: gtk::SpinButton,
    after: gtk::SpinButton,
}

impl LeadFields {
    /// The usual seconds, in two rows of a grid from `row` on.
    pub fn attached(to: &gtk::Grid, row: i32) -> Self {
        let lead = Lead::default();
        let [before, after] = [lead.before, lead.after].map(|d| {
            let field = gtk::SpinButton::with_range(0.0, 60.0, 0.5);
            field.set_digits(1);
            field.set_value(d.as_secs_f64());
            field
        });
        attach(to, row, "Seconds before each point", &before);
        attach(to, row + 1, "Seconds after each point", &after);
        Self { before, after }
    }

    /// Whether they can be changed.
    pub fn set_sensitive(&self, on: bool) {
        self.before.set_sensitive(on);
        self.after.set_sensitive(on);
    }

    /// Calls `then` when they change.
    pub fn connect_changed(&self, then: impl Fn() + Clone + 'static) {
        for field in [&self.before, &self.after] {
            let then = then.clone();
            field.connect_value_changed(move |_| then());
        }
    }

    /// What they say.
    pub fn lead(&self) -> Lead {
        let [before, after] =
            [&self.before, &self.after].map(|field| Duration::from_secs_f64(field.value().max(0.0)));
        Lead { before, after, ..Lead::default() }
    }
}

/// Asks where, `named` so and in this folder to begin with; then closes the dialog and does `save` on a thread.
pub fn ask_where(
    model: &Model,
    dialog: &gtk::Window,
    about: (&str, &str, Option<&Path>),
    save: impl Fn(&Path) -> Result<(), ExportFailure> + Clone + Send + 'static,
) {
    let then = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok(()),
        move |to: PathBuf| {
            check(&to)?;
            write(&model, save.clone(), to);
            Ok::<_, ExportFailure>(())
        }
    );
    ask_place(dialog, gtk::FileChooserAction::Save, about, then);
}

/// Asks for a file, or for the folder in which one is made, and goes on with it; then closes the dialog. A place that is refused is
/// told in the dialog, where all that was chosen stays.
pub fn ask_place<E: Display>(
    dialog: &gtk::Window,
    action: gtk::FileChooserAction,
    (title, named, folder): (&str, &str, Option<&Path>),
    then: impl Fn(PathBuf) -> Result<(), E> + 'static,
) {
    let accept = if action == gtk::FileChooserAction::Save { "Save" } else { "Choose" };
    let chooser =
        gtk::FileChooserNative::new(Some(title), Some(dialog), action, Some(accept), Some("Cancel"));
    chooser.set_modal(true);
    if action == gtk::FileChooserAction::Save {
        chooser.set_current_name(named);
    }
    if let Some(folder) = folder.and_then(|f| std::path::absolute(f).ok()) {
        // The chooser offers another folder when it cannot show this one.
        let _ = chooser.set_current_folder(Some(&gtk::gio::File::for_path(folder)));
    }
    let then = glib::clone!(
        #[weak]
        dialog,
        move |paths: Vec<PathBuf>| {
            if let Some(to) = paths.into_iter().next() {
                match then(to) {
                    Ok(()) => dialog.close(),
                    Err(why) => refuse(&dialog, &why),
                }
            }
        }
    );
    when_chosen(&chooser, then);
}

/// Writes on a thread, and says what came of it.
pub fn write(
    model: &Model,
    save: impl FnOnce(&Path) -> Result<(), ExportFailure> + Send + 'static,
    to: PathBuf,
) {
    let place = to.clone();
    let then = glib::clone!(
        #[weak]
        model,
        move |done: Result<(), ExportFailure>| match done {
            Ok(()) => model.say(&format!("Exported to {}.", known_as(&place))),
            Err(why) => model.say(&format!("Nothing was exported: {why}")),
        }
    );
    off_loop(move || save(&to), then);
}
