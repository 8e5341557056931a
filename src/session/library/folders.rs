//! The folders of the library, and where what is known of their records is kept.

use std::path::{Path, PathBuf};

use super::super::folders;
use super::super::settings::Settings;
use crate::record::footage::{name_path, name_text};

/// The file in the user's cache folder that keeps what is known of the records.
pub fn cache_file() -> PathBuf {
    folders::cache().join("library.json")
}

impl Settings {
    /// The folders of the library.
    pub fn library_folders(&self) -> Vec<PathBuf> {
        self.library.iter().map(|f| name_path(f)).collect()
    }

    /// Adds a folder to the library; says whether it was not there yet.
    pub fn add_to_library(&mut self, folder: &Path) -> bool {
        let folder = std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned());
        let name = name_text(&folder);
        let new = !self.library.contains(&name);
        if new {
            self.library.push(name);
        }
        new
    }

    /// Takes a folder out of the library. The folder itself stays as it is.
    pub fn remove_from_library(&mut self, folder: &Path) {
        self.library.retain(|f| name_path(f) != folder);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_in_the_library_once() {
        let mut settings = Settings::default();
        assert!(settings.add_to_library(Path::new("/matches")));
        assert!(!settings.add_to_library(Path::new("/matches")));
        let text = toml::to_string(&settings).unwrap();
        let mut read: Settings = toml::from_str(&text).unwrap();
        assert_eq!(read.library_folders(), [PathBuf::from("/matches")]);
        read.remove_from_library(Path::new("/matches"));
        assert_eq!(read.library_folders(), Vec::<PathBuf>::new());
    }
}
