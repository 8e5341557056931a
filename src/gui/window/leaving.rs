//! Leaving: not before everything is on disk, and a copy elsewhere where that fails.

use std::path::PathBuf;

use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gio, glib};

use super::frame::Window;
use super::state::Leaving;
use crate::gui::kit::chooser::when_chosen;
use crate::gui::model::{Model, Settled};
use crate::logging::Action;
use crate::session::keeper::{Ask, Done};
use crate::session::looking::record_name;

impl Window {
    /// Asks for another place for a record whose own folder cannot be written to.
    fn ask_where_to_keep(&self) {
        let title = "The record’s folder cannot be written to: choose where to keep the record";
        let chooser = self.chooser(title, gtk::FileChooserAction::Save, "Save");
        let session = self.model().session().borrow();
        let name = session.as_ref().and_then(|s| s.view.path.file_name().map(PathBuf::from));
        chooser.set_current_name(&name.unwrap_or_default().to_string_lossy());
        drop(session);
        let home = glib::user_special_dir(glib::UserDirectory::Documents).unwrap_or_else(glib::home_dir);
        // The chooser offers another folder when it cannot show this one.
        let _ = chooser.set_current_folder(Some(&gio::File::for_path(home)));
        let model = self.model().clone();
        when_chosen(&chooser, move |paths| {
            if let [path] = &paths[..] {
                model.ask(Ask::MoveTo(record_name(path)));
            }
        });
    }

    /// The keeper has done something.
    pub fn on_settled(&self, settled: &Settled) {
        let leaving = self.imp().leaving.get() == Leaving::Saving;
        self.imp().message.set_wants_place(settled.needs_place);
        if settled.outcome == Ok(Done::NotSaved) && !leaving {
            self.ask_where_to_keep();
        }
        if leaving && settled.outcome != Ok(Done::Chosen) {
            self.leave_if_safe(settled);
        }
    }

    /// The window is to close: not before everything is on disk.
    pub fn leave(&self) -> glib::Propagation {
        let (imp, model) = (self.imp(), self.model());
        imp.show.keep_words();
        model.keep_late();
        let read_only = match model.session().borrow().as_ref() {
            None => return glib::Propagation::Proceed,
            Some(s) => s.view.read_only.is_some(),
        };
        match imp.leaving.get() {
            Leaving::Saving => model.say("Still writing the last changes to the disk…"),
            Leaving::No if !read_only => {
                imp.leaving.set(Leaving::Saving);
                model.ask(Ask::Save);
            }
            Leaving::No | Leaving::Warned => self.go(model),
        }
        glib::Propagation::Stop
    }

    /// Leaves when everything is saved. When it is not, says so once, and leaves at the next wish.
    fn leave_if_safe(&self, settled: &Settled) {
        let model = self.model();
        let why = match &settled.outcome {
            Ok(Done::Saved) => return self.go(model),
            Ok(Done::NotSaved) => settled.trouble.clone().unwrap_or_default(),
            Err(why) => why.to_string(),
            _ => return,
        };
        if settled.unsaved > 0 {
            self.imp().leaving.set(Leaving::Warned);
            let cap = model.cap(Action::Save);
            model.say(&format!(
                "{why}\nPress {cap} to choose another place. Quit once more to quit without saving."
            ));
        }
    }

    fn go(&self, model: &Model) {
        // The program ends only when the keeper's thread has; see `run`.
        drop(model.close_session());
        self.destroy();
    }
}
