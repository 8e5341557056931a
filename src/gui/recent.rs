//! The files opened before: a short list in the user's data folder.

use std::path::{Path, PathBuf};

use gtk::glib;

const MOST: usize = 6;

fn list_file() -> PathBuf {
    glib::user_data_dir().join("changeover").join("recent.json")
}

/// The files opened before that are still there, the newest first. An unreadable list is an empty one.
pub fn recent() -> Vec<PathBuf> {
    let text = std::fs::read(list_file()).unwrap_or_default();
    let all: Vec<PathBuf> = serde_json::from_slice(&text).unwrap_or_default();
    all.into_iter().filter(|p| p.is_file()).take(MOST).collect()
}

/// Puts a file at the head of the list. The list is a convenience: if it cannot be written, nothing is said.
pub fn remember(path: &Path) {
    let Ok(path) = std::path::absolute(path) else { return };
    let mut all = recent();
    all.retain(|p| *p != path);
    all.insert(0, path);
    all.truncate(MOST);
    let file = list_file();
    let Some(folder) = file.parent() else { return };
    let Ok(text) = serde_json::to_vec(&all) else { return };
    let written = std::fs::create_dir_all(folder)
        .and_then(|()| tempfile::NamedTempFile::new_in(folder))
        .and_then(|t| std::fs::write(t.path(), &text).and_then(|()| t.persist(&file).map_err(|e| e.error)));
    drop(written);
}
