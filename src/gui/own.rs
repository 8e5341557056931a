//! The window's part of the user's own patterns: reading them, and taking them among those that can be asked for.

use std::path::PathBuf;

use super::window::Window;
use crate::pattern::Pattern;
use crate::session::own::{patterns_in, read};

impl Window {
    /// Reads the user's own patterns, from this file if one is given, on a thread.
    pub fn load_own(&self, path: Option<PathBuf>) {
        if let Some(path) = path {
            self.model().own().borrow_mut().path = path;
        }
        let path = self.model().own().borrow().path.clone();
        let reading = move || read(&path).and_then(|t| patterns_in(&t, &path).map_err(|e| e.to_string()));
        self.off_loop(reading, |w, found| match found {
            Ok(file) => w.set_own(file.patterns),
            Err(why) => w.say_at_start(&format!("Your own patterns are left out. {why}")),
        });
    }

    /// Takes the user's own patterns among those that can be asked for.
    pub fn set_own(&self, patterns: Vec<Pattern>) {
        if let Some(s) = self.model().session().borrow_mut().as_mut() {
            s.set_own(&patterns);
        }
        self.model().own().borrow_mut().patterns = patterns;
        self.show_filters();
        self.show_record();
    }
}
