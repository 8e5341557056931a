//! Opening files that a sandbox shows without their folder: the user chooses the folder, once.

use std::path::PathBuf;

use gtk::prelude::*;

use super::event::Event;
use super::object::Model;
use crate::gui::kit::job::off_loop;
use crate::session::alone::{ChosenFolders, is_alone, within};

impl Model {
    /// Opens the files within a folder that was chosen before, or asks for their folder.
    pub(super) fn open_alone(&self, files: Vec<PathBuf>) {
        let model = self.downgrade();
        let wanted = files.clone();
        off_loop(
            move || ChosenFolders::default().find(&wanted),
            move |found| {
                let Some(model) = model.upgrade() else { return };
                if let Some(found) = found {
                    return model.open(&found);
                }
                model.alone().replace(files);
                model.say(
                    "Changeover can see this file, but not its folder. Choose the folder that holds it, so that the \
                     record can be saved beside it.",
                );
                model.tell(Event::NeedsFolder);
            },
        );
    }

    /// Opens the files within the folder that the user chose for them.
    pub fn open_within(&self, folder: PathBuf) {
        let (model, files) = (self.downgrade(), self.alone().take());
        let name =
            files.first().and_then(|f| f.file_name()).unwrap_or_default().to_string_lossy().into_owned();
        let shown = folder.display().to_string();
        off_loop(
            move || {
                let found = within(&folder, &files).filter(|all| !all.iter().any(|path| is_alone(path)))?;
                ChosenFolders::default().remember(&folder);
                Some(found)
            },
            move |found| {
                let Some(model) = model.upgrade() else { return };
                match found {
                    Some(found) => model.open(&found),
                    None => model.say(&format!(
                        "{name} is not in the folder {shown}. Open it again, and choose the folder that holds it."
                    )),
                }
            },
        );
    }
}
