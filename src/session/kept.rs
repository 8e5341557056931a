//! What was found in footage, kept in the user's cache folder by the footage's fingerprint, so that it is looked for once. Whether
//! it can be kept does not matter to anybody: it can be found again.

use std::path::{Path, PathBuf};

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::folders;
use crate::textfile::{self, Limit};

/// A folder of the cache: a file for each file of footage.
#[derive(Debug, Clone)]
pub struct Kept {
    folder: PathBuf,
    /// The form of a file, with the version of the program, so that a better search looks again.
    form: &'static str,
    /// How many files are kept at most; the oldest go first.
    most: usize,
}

#[derive(Debug, Serialize, Deserialize)]
struct File<T> {
    form: String,
    found: T,
}

impl Kept {
    /// In this folder of the cache.
    pub fn new(folder: PathBuf, form: &'static str, most: usize) -> Self {
        Self { folder, form, most }
    }

    /// What is kept for the footage with this fingerprint; `None` if it was not looked for.
    pub fn of<T: DeserializeOwned>(&self, fingerprint: &str) -> Option<T> {
        let bytes = textfile::bytes(&self.file(fingerprint)?, Limit::TABLE).ok()?;
        let read: File<T> = serde_json::from_slice(&bytes).ok()?;
        (read.form == self.form).then_some(read.found)
    }

    /// Keeps what was found.
    pub fn keep<T: Serialize>(&self, fingerprint: &str, found: T) {
        let Some(file) = self.file(fingerprint) else { return };
        let Ok(text) = serde_json::to_vec(&File { form: self.form.to_owned(), found }) else { return };
        if std::fs::create_dir_all(&self.folder).is_err() {
            return;
        }
        // Another program that reads it meanwhile finds the old file or the new one.
        let part = file.with_extension(format!("part-{}", std::process::id()));
        if std::fs::write(&part, text).and_then(|()| std::fs::rename(&part, &file)).is_err() {
            let _ = std::fs::remove_file(&part);
        }
        folders::keep_newest(&self.folder, self.most);
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The file for a fingerprint, if it is one.
    pub fn file(&self, fingerprint: &str) -> Option<PathBuf> {
        let sum = fingerprint.strip_prefix("sha256:")?;
        let plain = sum.len() == 64 && sum.bytes().all(|b| b.is_ascii_hexdigit());
        plain.then(|| self.folder.join(format!("{sum}.json")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn print(n: u8) -> String {
        format!("sha256:{}", format!("{n:02x}").repeat(32))
    }

    #[test]
    fn a_damaged_file_or_one_of_another_form_is_as_good_as_none() {
        let folder = tempfile::tempdir().unwrap();
        let kept = Kept::new(folder.path().to_owned(), "numbers 2", 5);
        kept.keep(&print(1), [1, 2]);
        assert_eq!(kept.of(&print(1)), Some(vec![1, 2]));
        let file = kept.file(&print(1)).unwrap();
        for text in ["", "{\"form\":\"numbers 1\",\"found\":[1]}", "{\"form\":7}", "[[[["] {
            std::fs::write(&file, text).unwrap();
            assert_eq!(kept.of::<Vec<u8>>(&print(1)), None, "{text}");
        }
        kept.keep("sha256:../../evil", [1]);
        assert_eq!(std::fs::read_dir(kept.folder()).unwrap().count(), 1);
    }

    #[test]
    fn so_many_files_are_kept_and_the_oldest_go() {
        let folder = tempfile::tempdir().unwrap();
        let kept = Kept::new(folder.path().to_owned(), "numbers", 3);
        for n in 0..5 {
            kept.keep(&print(n), [n]);
            std::thread::sleep(std::time::Duration::from_millis(15));
        }
        let left: Vec<u8> = (0..5).filter(|n| kept.of::<Vec<u8>>(&print(*n)).is_some()).collect();
        assert_eq!(left, [2, 3, 4]);
    }
}
