//! Files that a sandbox lets the program see alone, without their folder.
//!
//! A file chosen inside a sandbox appears in a folder of its own below the document portal. A record written beside it there would be
//! lost, so the user is asked for the folder of the footage, once: it is remembered.

use std::path::{Path, PathBuf};

use super::folders;
use crate::system::{below_portal, shown};
use crate::textfile::{self, Limit};

/// How many folders are remembered: the newest.
const MOST: usize = 50;

/// What shall be done with files once their folder is known.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Purpose {
    /// They are opened.
    #[default]
    Open,
    /// A record of this name is made, to log without footage.
    LogWithout,
    /// A lesson of this name is made.
    NewLesson,
}

/// Whether a sandbox shows this file without its folder: `/run/user/1000/doc/1a2b3c4d/match.mp4`.
pub fn is_alone(path: &Path) -> bool {
    // A folder that was chosen lies one step deeper, and its files are seen with it.
    below_portal(path).is_some_and(|rest| rest.components().count() == 1)
}

/// A path as the user knows it: in a sandbox, without the document portal's folders.
pub fn known_as(path: &Path) -> String {
    shown(path)
}

/// The folders that the user has chosen, as the file that keeps them.
#[derive(Debug, Clone)]
pub struct ChosenFolders {
    file: PathBuf,
}

impl Default for ChosenFolders {
    /// The user's own.
    fn default() -> Self {
        Self { file: folders::data().join("folders.json") }
    }
}

impl ChosenFolders {
    fn all(&self) -> Vec<PathBuf> {
        let text = textfile::bytes(&self.file, Limit::SETTINGS).unwrap_or_default();
        serde_json::from_slice(&text).unwrap_or_default()
    }

    /// The same files within a folder that was chosen before, if one holds them all.
    pub fn find(&self, files: &[PathBuf]) -> Option<Vec<PathBuf>> {
        self.all().iter().find_map(|folder| within(folder, files))
    }

    /// Remembers a folder. If that fails the user is asked again, so nothing is said.
    pub fn remember(&self, folder: &Path) {
        let mut all = self.all();
        all.retain(|known| known != folder);
        all.insert(0, folder.to_owned());
        all.truncate(MOST);
        let Some(home) = self.file.parent() else { return };
        let Ok(text) = serde_json::to_vec(&all) else { return };
        let written = std::fs::create_dir_all(home)
            .and_then(|()| tempfile::NamedTempFile::new_in(home))
            .and_then(|new| {
                std::fs::write(new.path(), &text)?;
                new.persist(&self.file).map_err(|e| e.error)
            });
        drop(written);
    }
}

/// The same files within `folder`: of the same names and sizes. None if one is missing.
pub fn within(folder: &Path, files: &[PathBuf]) -> Option<Vec<PathBuf>> {
    let same = |file: &PathBuf| {
        let there = folder.join(file.file_name()?);
        let size = |path: &Path| path.metadata().ok().filter(std::fs::Metadata::is_file).map(|m| m.len());
        (size(&there)? == size(file)?).then_some(there)
    };
    files.iter().map(same).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_of_the_document_portal_are_alone_and_those_of_a_chosen_folder_are_not() {
        for (path, alone) in [
            ("/run/user/1000/doc/1a2b3c4d/match.mp4", true),
            ("/run/flatpak/doc/1a2b3c4d/match.points.json", true),
            ("/run/user/1000/doc/1a2b3c4d/Footage/match.mp4", false),
            ("/run/user/1000/doc/1a2b3c4d", false),
            ("/home/coach/doc/1a2b3c4d/match.mp4", false),
            ("run/user/1000/doc/1a2b3c4d/match.mp4", false),
        ] {
            assert_eq!(is_alone(Path::new(path)), alone, "{path}");
        }
    }

    #[test]
    fn a_folder_is_asked_for_once() {
        let here = tempfile::tempdir().unwrap();
        let at = |name: &str| here.path().join(name);
        for folder in ["a", "b", "home", "other"] {
            std::fs::create_dir(at(folder)).unwrap();
        }
        for (file, text) in [
            ("a/1.mp4", "one"),
            ("b/2.mp4", "two"),
            ("home/1.mp4", "one"),
            ("home/2.mp4", "two"),
            ("other/1.mp4", "another"),
        ] {
            std::fs::write(at(file), text).unwrap();
        }
        let chosen = ChosenFolders { file: at("data/folders.json") };
        let files = [at("a/1.mp4"), at("b/2.mp4")];
        assert_eq!(chosen.find(&files), None);
        assert_eq!(within(&at("other"), &files[..1]), None, "a file of that name, but another");
        chosen.remember(&at("other"));
        chosen.remember(&at("home"));
        assert_eq!(chosen.find(&files), Some(vec![at("home/1.mp4"), at("home/2.mp4")]));
    }
}
