//! Choosing files.

use std::cell::RefCell;
use std::path::PathBuf;

use gtk::gio;
use gtk::prelude::*;

/// Shows a file chooser, and does `then` with what was chosen in it. Cancelled, it does nothing.
pub fn when_chosen(chooser: &gtk::FileChooserNative, then: impl Fn(Vec<PathBuf>) + 'static) {
    // The chooser must live until it is answered: the closure keeps it.
    let keep = RefCell::new(Some(chooser.clone()));
    chooser.connect_response(move |c, response| {
        keep.take();
        let paths: Vec<PathBuf> =
            c.files().iter::<gio::File>().filter_map(|f| f.ok().and_then(|f| f.path())).collect();
        if response == gtk::ResponseType::Accept && !paths.is_empty() {
            then(paths);
        }
    });
    chooser.show();
}
