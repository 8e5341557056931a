//! The desktop's list of recent files.

use std::path::Path;
use std::sync::Arc;

use gtk::gio;
use gtk::prelude::*;

use crate::frames::FootageFile;
use crate::record::Store;
use crate::time::MatchTime;

/// Puts what was opened on the desktop's list: the footage, or the record where there is no footage.
pub fn tell_desktop(store: &Store, files: &[(Arc<FootageFile>, MatchTime)]) {
    // A test leaves nothing on the list of its user.
    if cfg!(test) {
        return;
    }
    let opened = files.first().map_or_else(|| store.path().to_owned(), |(file, _)| file.path.clone());
    let Ok(path) = std::path::absolute(opened) else { return };
    let data = gtk::RecentData::new(None, None, &kind(&path), "Changeover", "changeover %f", &[], false);
    // The list is a convenience: if it cannot be written, nothing is said.
    let _ = gtk::RecentManager::default().add_full(&gio::File::for_path(&path).uri(), &data);
}

fn kind(path: &Path) -> String {
    if path.to_string_lossy().ends_with(".points.json") {
        return "application/vnd.changeover.points+json".into();
    }
    let (guessed, _) = gio::content_type_guess(Some(path), None::<&[u8]>);
    gio::content_type_get_mime_type(&guessed).map_or_else(|| "video/mp4".into(), Into::into)
}
