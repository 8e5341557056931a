//! The folders for settings, for files that the user made, and for the list of recent files, as the desktop names them.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use etcetera::base_strategy::{BaseStrategy, choose_base_strategy};

/// Our folder below one of the desktop's; a test has folders of its own, so that it never touches what its user has set.
fn ours(of: impl FnOnce(&dyn BaseStrategy) -> PathBuf) -> PathBuf {
    if cfg!(test) {
        return std::env::temp_dir()
            .join(format!("changeover-test-{}", std::process::id()))
            .join("changeover");
    }
    // Without a home folder there is nowhere else to keep anything.
    let below = choose_base_strategy().map_or_else(|_| PathBuf::from("."), |s| of(&s));
    below.join("changeover")
}

/// Settings and the user's own patterns and questions.
pub fn config() -> PathBuf {
    ours(|s| s.config_dir())
}

/// The list of files opened before.
pub fn data() -> PathBuf {
    ours(|s| s.data_dir())
}

/// What can be made again: small pictures of footage.
pub fn cache() -> PathBuf {
    ours(|s| s.cache_dir())
}

/// Deletes the oldest files of a folder of ours beyond so many.
pub fn keep_newest(folder: &Path, most: usize) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    let age = |path: &Path| path.metadata().and_then(|m| m.modified()).unwrap_or(SystemTime::UNIX_EPOCH);
    let mut files: Vec<_> = entries.flatten().map(|e| (age(&e.path()), e.path())).collect();
    files.sort();
    let beyond = files.len().saturating_sub(most);
    for (_, path) in files.into_iter().take(beyond) {
        let _ = std::fs::remove_file(path);
    }
}
