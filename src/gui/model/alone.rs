//! Opening and making files that a sandbox shows without their folder: the user chooses the folder, once.

use std::path::{Path, PathBuf};

use gtk::prelude::*;

use super::event::Event;
use super::object::Model;
use crate::gui::kit::job::off_loop;
use crate::session::alone::{ChosenFolders, Purpose, is_alone, known_as, within};

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
                model.alone().replace((Purpose::Open, files));
                model.say(
                    "Changeover can see this file, but not its folder. Choose the folder that holds it, so that the \
                     record can be saved beside it.",
                );
                model.tell(Event::NeedsFolder);
            },
        );
    }

    /// Whether a new file would lie without its folder. If so, this asks for the folder.
    pub(super) fn needs_folder(&self, path: &Path, purpose: Purpose) -> bool {
        if !is_alone(path) {
            return false;
        }
        self.alone().replace((purpose, vec![path.to_owned()]));
        self.say(
            "Changeover may write this file, but nothing beside it. Choose the folder, so that every change can be \
             saved at once.",
        );
        self.tell(Event::NeedsFolder);
        true
    }

    /// Opens or makes the files within the folder that the user chose for them.
    pub fn open_within(&self, folder: PathBuf) {
        let (model, (purpose, files)) = (self.downgrade(), self.alone().take());
        let name =
            files.first().and_then(|f| f.file_name()).unwrap_or_default().to_string_lossy().into_owned();
        let shown = known_as(&folder);
        let found = move || {
            let there = if purpose == Purpose::Open {
                within(&folder, &files)?
            } else {
                files.iter().filter_map(|file| Some(folder.join(file.file_name()?))).collect()
            };
            if there.iter().any(|path| is_alone(path)) {
                return None;
            }
            ChosenFolders::default().remember(&folder);
            Some(there)
        };
        off_loop(found, move |found: Option<Vec<PathBuf>>| {
            let Some(model) = model.upgrade() else { return };
            match (found.as_deref(), purpose) {
                (Some(found), Purpose::Open) => model.open(found),
                (Some([path]), Purpose::LogWithout) => model.log_without(path),
                (Some([path]), Purpose::NewLesson) => model.make_lesson(path),
                _ => model.say(&format!(
                    "{name} is not in the folder {shown}. Open it again, and choose the folder that holds it."
                )),
            }
        });
    }
}
