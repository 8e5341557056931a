//! Adding to the Study room: questions of one's own, and more matches.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::study::{PATIENCE, Study};
use super::window::Window;
use crate::session::study::asking::{self, Added};
use crate::summary::study::Question;

impl Study {
    fn chooser(&self, title: &str, ending: &str, many: bool) -> Option<(Window, gtk::FileChooserNative)> {
        let window = self.window()?;
        let action = gtk::FileChooserAction::Open;
        let chooser =
            gtk::FileChooserNative::new(Some(title), Some(&window), action, Some("Open"), Some("Cancel"));
        chooser.set_select_multiple(many);
        let filter = gtk::FileFilter::new();
        filter.add_pattern(&format!("*.{ending}"));
        filter.set_name(Some(&format!("*.{ending}")));
        chooser.add_filter(&filter);
        Some((window, chooser))
    }

    pub fn choose_questions(&self) {
        let Some((window, chooser)) = self.chooser("A file of questions", "toml", false) else { return };
        window.when_chosen(&chooser, |w, paths| {
            if let Some(path) = paths.into_iter().next() {
                w.imp().study.add_questions(path);
            }
        });
    }

    /// Adds the questions of a file, for this session, and asks the first of them.
    pub fn add_questions(&self, path: PathBuf) {
        self.imp().added.borrow_mut().push(path);
        self.read_questions();
    }

    /// Reads all questions, of the patterns there are now, and asks the one that was asked before, or the first new one.
    pub fn read_questions(&self) {
        let Some(window) = self.window() else { return };
        let imp = self.imp();
        let patterns =
            window.model().session().borrow().as_ref().map_or_else(Vec::new, |s| s.patterns().to_vec());
        imp.patterns.replace(patterns.clone());
        let own = glib::user_config_dir().join("changeover").join("questions.toml");
        let added = imp.added.borrow().clone();
        window.off_loop(
            move || asking::all_questions(&own, &added, patterns),
            |w, (questions, wrong)| {
                w.imp().study.take_questions(questions);
                if !wrong.is_empty() {
                    // What could not be read is not asked for again and again.
                    w.imp().study.imp().added.borrow_mut().retain(|p| {
                        let name = p.display().to_string();
                        !wrong.iter().any(|why| why.starts_with(&name))
                    });
                    w.say(&wrong.join("\n"));
                }
            },
        );
    }

    fn take_questions(&self, questions: Vec<Question>) {
        let imp = self.imp();
        let before = imp.asked.replace(questions);
        let now = imp.asked.borrow();
        let asked = before.get(imp.question.get());
        let same = asked.and_then(|a| now.iter().position(|q| q.name == a.name)).unwrap_or(0);
        let new = now.iter().position(|q| !before.is_empty() && before.iter().all(|b| b.name != q.name));
        drop(now);
        imp.question.set(new.unwrap_or(same));
        self.fill_questions();
        if new.is_some() {
            imp.spot.set(None);
        }
        self.ask();
    }

    pub fn choose_matches(&self) {
        let Some((window, chooser)) = self.chooser("Records to count too", "points.json", true) else {
            return;
        };
        window.when_chosen(&chooser, |w, paths| w.imp().study.add_matches(paths));
    }

    /// Counts the points of these records too.
    pub fn add_matches(&self, paths: Vec<PathBuf>) {
        let Some(window) = self.window() else { return };
        let known: Vec<PathBuf> = self
            .imp()
            .path
            .borrow()
            .iter()
            .cloned()
            .chain(self.imp().others.borrow().iter().map(|(p, _)| p.clone()))
            .collect();
        let (all, done) = (paths.len(), Arc::new(AtomicUsize::new(0)));
        let (counted, room) = (Arc::downgrade(&done), self.downgrade());
        // Ends when the thread has let go of its counter.
        glib::timeout_add_local(PATIENCE, move || {
            let (Some(n), Some(room)) = (counted.upgrade(), room.upgrade()) else {
                return glib::ControlFlow::Break;
            };
            room.imp()
                .pool_words
                .set_label(&format!("reading {} of {all} records…", n.load(Ordering::Relaxed)));
            glib::ControlFlow::Continue
        });
        window.off_loop(
            move || asking::read_matches(paths, &known, &done),
            |w, read: (Vec<Added>, Vec<String>)| {
                w.imp().study.imp().others.borrow_mut().extend(read.0);
                if !read.1.is_empty() {
                    w.say(&read.1.join("\n"));
                }
                w.imp().study.ask();
            },
        );
    }
}
