//! Finding the records in folders.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// How a record's file name ends.
pub const ENDING: &str = ".points.json";

/// Folders within folders are followed so deep.
const DEEPEST: usize = 32;

/// More records than this are not listed: a limit on memory.
pub const MOST: usize = 20_000;

/// The records in a folder and its subfolders.
#[derive(Debug, Default)]
pub struct Walk {
    /// The records, in the order of their names.
    pub records: Vec<PathBuf>,
    /// The folders that could not be listed.
    pub failed: Vec<(PathBuf, io::Error)>,
}

impl Walk {
    /// Finds the records in a folder. Links to folders are not followed: they may lead round in a circle.
    pub fn of(folder: &Path) -> Self {
        let mut walk = Self::default();
        walk.list(folder, DEEPEST);
        walk
    }

    /// Finds the records in several folders, each once.
    pub fn of_all(folders: &[PathBuf]) -> Self {
        let mut all = Self::default();
        for folder in folders {
            let one = Self::of(folder);
            all.records.extend(one.records);
            all.failed.extend(one.failed);
        }
        let mut seen = std::collections::HashSet::new();
        all.records.retain(|p| seen.insert(p.clone()));
        all.records.truncate(MOST);
        all
    }

    fn list(&mut self, folder: &Path, deep: usize) {
        let entries = fs::read_dir(folder).and_then(Iterator::collect::<Result<Vec<_>, _>>);
        let mut entries: Vec<_> = match entries {
            Ok(entries) => entries,
            Err(e) => return self.failed.push((folder.to_owned(), e)),
        };
        entries.sort_by_key(fs::DirEntry::file_name);
        for entry in entries {
            if self.records.len() >= MOST {
                return;
            }
            let is_folder = entry.file_type().is_ok_and(|t| t.is_dir());
            if is_folder && deep > 0 {
                self.list(&entry.path(), deep - 1);
            } else if entry.file_name().as_encoded_bytes().ends_with(ENDING.as_bytes())
                && entry.path().is_file()
            {
                self.records.push(entry.path());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn records_in_subfolders_are_found_once_and_in_order() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::create_dir_all(at("b/c")).unwrap();
        for name in ["b/c/x.points.json", "a.points.json", "b/y.points.json", "b/film.mp4", "z.json"] {
            fs::write(at(name), "{}").unwrap();
        }
        let both = Walk::of_all(&[folder.path().into(), at("b")]);
        let names: Vec<_> =
            both.records.iter().map(|p| p.strip_prefix(folder.path()).unwrap().to_owned()).collect();
        assert_eq!(names, ["a.points.json", "b/c/x.points.json", "b/y.points.json"].map(PathBuf::from));
        assert_eq!(Walk::of(&at("gone")).failed.len(), 1);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_that_leads_round_is_not_followed() {
        let folder = tempfile::tempdir().unwrap();
        std::os::unix::fs::symlink(folder.path(), folder.path().join("again")).unwrap();
        fs::write(folder.path().join("a.points.json"), "{}").unwrap();
        assert_eq!(Walk::of(folder.path()).records.len(), 1);
    }
}
