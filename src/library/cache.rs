//! What was read of records before, in one file in the user's cache folder, so that a library of thousands is there at once.
//!
//! It is never needed: a file that is damaged, too long, or of another version is as good as none, and the records are read again.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::entry::{Content, Entry};
use super::stamp::Stamp;
use super::walk::MOST;
use crate::record::footage::{name_path, name_text};
use crate::textfile::{self, Limit};

/// The form of the file: of this version of the program, so that a change of what is kept reads everything again.
const FORM: &str = concat!("changeover-library 1 ", env!("CARGO_PKG_VERSION"));

/// What was read before, by the path of the record.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cache(HashMap<PathBuf, Entry>);

#[derive(Debug, Serialize, Deserialize)]
struct File {
    form: String,
    records: Vec<Kept>,
}

#[derive(Debug, Serialize, Deserialize)]
struct Kept {
    path: String,
    stamp: Stamp,
    content: Content,
}

impl Cache {
    /// What this file keeps; nothing if it is not there or cannot be understood.
    pub fn read(file: &Path) -> Self {
        let bytes = textfile::bytes(file, Limit::RECORD).unwrap_or_default();
        let found: File = match serde_json::from_slice(&bytes) {
            Ok(found) => found,
            Err(_) => return Self::default(),
        };
        if found.form != FORM {
            return Self::default();
        }
        let entry = |k: Kept| {
            let path = name_path(&k.path);
            (path.clone(), Entry { path, stamp: k.stamp, content: k.content })
        };
        Self(found.records.into_iter().take(MOST).map(entry).collect())
    }

    /// What was read of a record, if its file has not changed since.
    pub fn get(&self, path: &Path, stamp: Stamp) -> Option<&Entry> {
        self.0.get(path).filter(|e| e.stamp == stamp)
    }

    /// How many records it knows.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether it knows none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// With these records of these folders in place of those that it knew there. Records of other folders stay, as far as there
    /// is room.
    #[must_use]
    pub fn with<'e>(&self, folders: &[PathBuf], entries: impl IntoIterator<Item = &'e Entry>) -> Self {
        let mut new: HashMap<PathBuf, Entry> =
            entries.into_iter().map(|e| (e.path.clone(), e.clone())).take(MOST).collect();
        let elsewhere = self.0.iter().filter(|(p, _)| !folders.iter().any(|f| p.starts_with(f)));
        for (path, entry) in elsewhere.take(MOST - new.len().min(MOST)) {
            new.entry(path.clone()).or_insert_with(|| entry.clone());
        }
        Self(new)
    }

    /// Forgets a record, and says whether it knew it.
    pub fn forget(&mut self, path: &Path) -> bool {
        self.0.remove(path).is_some()
    }

    /// Whether it knows a record at this path.
    pub fn knows(&self, path: &Path) -> bool {
        self.0.contains_key(path)
    }

    /// Writes it, whole or not at all. It is a convenience: if it cannot be written, the records are read again the next time.
    ///
    /// # Errors
    /// What the system says.
    pub fn write(&self, file: &Path) -> std::io::Result<()> {
        let mut records: Vec<Kept> = self.0.values().map(kept).collect();
        records.sort_by(|a, b| a.path.cmp(&b.path));
        let bytes = serde_json::to_vec(&File { form: FORM.into(), records })?;
        if bytes.len() as u64 > Limit::RECORD.bytes() {
            // It would not be read again. Names of people in an old one may be out of date.
            return remove(file);
        }
        let folder = file.parent().unwrap_or(Path::new("."));
        std::fs::create_dir_all(folder)?;
        let temp = tempfile::NamedTempFile::new_in(folder)?;
        std::fs::write(temp.path(), &bytes)?;
        temp.persist(file).map(drop).map_err(|e| e.error)
    }
}

fn kept(e: &Entry) -> Kept {
    Kept { path: name_text(&e.path), stamp: e.stamp, content: e.content.clone() }
}

fn remove(file: &Path) -> std::io::Result<()> {
    match std::fs::remove_file(file) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => Err(e),
        _ => Ok(()),
    }
}
