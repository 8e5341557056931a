//! Adding to the Study room: questions of one's own, and more matches.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::study::{PATIENCE, Study};
use super::study_asking::{self, Added};
use super::window::Window;

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

    /// Adds the questions of a file, for this session.
    pub fn add_questions(&self, path: PathBuf) {
        let Some(window) = self.window() else { return };
        window.off_loop(
            move || study_asking::read_questions(&path),
            |w, read| match read {
                Err(why) => w.say(&why),
                Ok(more) => {
                    let room = &w.imp().study;
                    let first = more.first().map(|q| q.name.clone());
                    study_asking::add(&mut room.imp().asked.borrow_mut(), more);
                    let place =
                        room.imp().asked.borrow().iter().position(|q| Some(&q.name) == first.as_ref());
                    room.imp().question.set(place.unwrap_or(0));
                    room.fill_questions();
                    room.ask_question(place.unwrap_or(0));
                }
            },
        );
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
            move || study_asking::read_matches(paths, &known, &done),
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
