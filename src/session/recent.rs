//! The files opened before: a short list in the user's data folder. To be asked for on a thread.

use std::path::{Path, PathBuf};

use super::folders;
use crate::textfile::{self, Limit};

const MOST: usize = 6;

/// A file opened before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recent {
    /// Where it was.
    pub path: PathBuf,
    /// Whether it is there now.
    pub there: bool,
}

/// The list, as the file that keeps it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecentFiles {
    file: PathBuf,
}

impl Default for RecentFiles {
    /// The user's own.
    fn default() -> Self {
        Self { file: folders::data().join("recent.json") }
    }
}

impl RecentFiles {
    /// The paths in the list. An unreadable list is an empty one.
    fn paths(&self) -> Vec<PathBuf> {
        let text = textfile::bytes(&self.file, Limit::SETTINGS).unwrap_or_default();
        serde_json::from_slice(&text).unwrap_or_default()
    }

    /// The files opened before, the newest first.
    pub fn all(&self) -> Vec<Recent> {
        let all = self.paths().into_iter().take(MOST);
        all.map(|path| Recent { there: path.is_file(), path }).collect()
    }

    /// Puts a file at the head of the list.
    pub fn remember(&self, path: &Path) {
        let Ok(path) = std::path::absolute(path) else { return };
        let mut all = self.paths();
        all.retain(|p| *p != path);
        all.insert(0, path);
        all.truncate(MOST);
        self.write(&all);
    }

    /// Takes a file off the list.
    pub fn forget(&self, path: &Path) {
        let mut all = self.paths();
        all.retain(|p| p != path);
        self.write(&all);
    }

    /// The list is a convenience: if it cannot be written, nothing is said.
    fn write(&self, all: &[PathBuf]) {
        let Some(folder) = self.file.parent() else { return };
        let Ok(text) = serde_json::to_vec(all) else { return };
        let written =
            std::fs::create_dir_all(folder).and_then(|()| tempfile::NamedTempFile::new_in(folder)).and_then(
                |t| std::fs::write(t.path(), &text).and_then(|()| t.persist(&self.file).map_err(|e| e.error)),
            );
        drop(written);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_gone_stays_in_the_list_until_it_is_taken_off() {
        let folder = tempfile::tempdir().unwrap();
        let (there, gone) = (folder.path().join("holt.mp4"), folder.path().join("reyes.mp4"));
        std::fs::write(&there, "pictures").unwrap();
        let list = RecentFiles { file: folder.path().join("data").join("recent.json") };
        list.remember(&gone);
        list.remember(&there);
        let found = |path: &Path| list.all().into_iter().find(|r| r.path == path).map(|r| r.there);
        assert_eq!((found(&there), found(&gone)), (Some(true), Some(false)));
        list.forget(&gone);
        assert_eq!((found(&there), found(&gone)), (Some(true), None));
    }

    /// A list that cannot be one is not read through: a pipe would be waited for.
    #[cfg(unix)]
    #[test]
    fn a_list_that_is_no_file_is_an_empty_one() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("recent.json");
        assert!(std::process::Command::new("mkfifo").arg(&file).status().unwrap().success());
        assert_eq!(RecentFiles { file }.all(), []);
        assert_eq!(RecentFiles { file: "/dev/zero".into() }.all(), []);
    }
}
