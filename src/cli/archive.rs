//! Records that a verb is given one by one, or as folders.

use std::fs;
use std::path::{Path, PathBuf};

use super::answer::{CliError, complain};
use super::reading::shown;
use crate::record::{Record, load_whole};
use crate::system::reading;

/// How a record's file name ends.
const ENDING: &str = ".points.json";

/// Folders within folders are followed so deep.
const DEEPEST: usize = 32;

/// Records, each with its file.
pub(super) struct Archive {
    pub(super) paths: Vec<PathBuf>,
    pub(super) records: Vec<Record>,
    /// Whether every record in the folders was read.
    pub(super) whole: bool,
}

/// What is said instead of empty tables, if nothing is logged in any of these records yet.
pub(super) fn nothing_logged<'a>(records: impl IntoIterator<Item = &'a Record>) -> Option<&'static str> {
    let mut records = records.into_iter();
    let first = records.next()?;
    let empty = first.points.is_empty() && records.by_ref().all(|r| r.points.is_empty());
    empty.then_some(
        "no points are logged yet, so there is nothing to count; log some in the window (`changeover RECORD` opens it), or make a \
         record of a table with `changeover import`",
    )
}

impl Archive {
    /// Reads these records, and the records in these folders and their subfolders. What cannot be read in a folder is reported,
    /// and the rest is read.
    ///
    /// # Errors
    /// [`CliError`] when a record that was named cannot be read, or a folder cannot be listed or holds none.
    pub(super) fn read(given: &[PathBuf]) -> Result<Self, CliError> {
        let mut archive = Self { paths: Vec::new(), records: Vec::new(), whole: true };
        for path in given {
            if !path.is_dir() {
                archive.take(path)?;
                continue;
            }
            let mut found = Vec::new();
            list(path, DEEPEST, &mut found)?;
            if found.is_empty() {
                return Err(CliError::Failed(format!(
                    "{}: no file in this folder ends with {ENDING}: name a record, or a folder with records",
                    shown(path)
                )));
            }
            for path in &found {
                if let Err(e) = archive.take(path) {
                    complain(&e);
                    archive.whole = false;
                }
            }
        }
        Ok(archive)
    }

    fn take(&mut self, path: &Path) -> Result<(), CliError> {
        let (record, notices) = load_whole(path)?;
        for notice in notices {
            complain(&format!("{}: {notice}", shown(path)));
        }
        self.records.push(record);
        self.paths.push(path.to_owned());
        Ok(())
    }
}

/// The records in a folder, in the order of their names. Links to folders are not followed: they may lead round in a circle.
fn list(folder: &Path, deep: usize, found: &mut Vec<PathBuf>) -> Result<(), CliError> {
    let unlisted =
        |e| CliError::Failed(format!("{}: the folder cannot be listed: {}", shown(folder), reading(&e)));
    let mut entries: Vec<_> =
        fs::read_dir(folder).and_then(Iterator::collect::<Result<Vec<_>, _>>).map_err(unlisted)?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let path = entry.path();
        let is_folder = entry.file_type().is_ok_and(|t| t.is_dir());
        if is_folder && deep > 0 {
            if let Err(e) = list(&path, deep - 1, found) {
                complain(&e);
            }
        } else if path.as_os_str().as_encoded_bytes().ends_with(ENDING.as_bytes()) && path.is_file() {
            found.push(path);
        }
    }
    Ok(())
}
