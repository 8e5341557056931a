//! Opening and leaving: which files make one match, the window's first page, and what is said when a file is no use.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::thread::JoinHandle;

use chrono::Local;
use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::kit::job;
use super::window::{Leaving, Window};
use crate::frames::FootageFile;
use crate::logging::clock::{RunningClock, steady};
use crate::record::consent::refusals;
use crate::session::keeper::{Ask, Done, Told};
use crate::session::looking::{FootageReader, Found, Watch, look};
use crate::session::recent::{Recent, RecentFiles};
use crate::session::state::Session;
use crate::time::MatchTime;
use crate::video::probe_watched;

/// What a thread that opens files tells.
enum News {
    /// So much of the footage has been read, from 0 to 1.
    Read(f64),
    /// What there is, and what could not be saved of the record open before.
    Found(Box<Result<Found, String>>, Option<String>),
}

/// What is known of a file of footage, from the video room.
pub fn read_footage(path: &Path, watch: Watch<'_>) -> Result<FootageFile, String> {
    probe_watched(path, watch).map_err(|e| e.to_string())
}

impl Window {
    /// Runs `work` on a thread, and `then` on the main loop with what came of it if the window is still there.
    pub fn off_loop<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
        then: impl FnOnce(&Self, T) + 'static,
    ) {
        let then = glib::clone!(
            #[weak(rename_to = window)]
            self,
            move |done| then(&window, done)
        );
        job::off_loop(work, then);
    }

    /// Opens footage, one file or all those of a match (with the record beside it, or a new one), or a record (with
    /// its footage).
    pub fn open(&self, paths: &[PathBuf]) {
        let paths = paths.to_vec();
        self.open_by(paths.first().cloned(), move |reader| look(&paths, reader));
    }

    /// Opens what `find` finds, on a thread; `remembered` is then among the files opened before.
    pub fn open_by(
        &self,
        remembered: Option<PathBuf>,
        find: impl FnOnce(&mut FootageReader<'_>) -> Result<Found, String> + Send + 'static,
    ) {
        let before = self.close_session();
        let imp = self.imp();
        imp.opened.set(imp.opened.get() + 1);
        let turn = imp.opened.get();
        imp.subtitle.set_label("opening…");
        let (tx, rx) = async_channel::unbounded();
        std::thread::spawn(move || {
            // The record open before is written, and its lock is free, before another is opened: it may be the same.
            let unsaved = before.and_then(|thread| thread.join().ok().flatten());
            // Nobody listens any more when another file is opened: then the reading stops.
            let mut watch = |part| match tx.try_send(News::Read(part)) {
                Ok(()) => ControlFlow::Continue(()),
                Err(_) => ControlFlow::Break(()),
            };
            let found = find(&mut FootageReader { probe: read_footage, watch: &mut watch });
            if let (Ok(_), Some(first)) = (&found, remembered) {
                RecentFiles::default().remember(&first);
            }
            let _ = tx.send_blocking(News::Found(Box::new(found), unsaved));
        });
        let window = self.downgrade();
        glib::spawn_future_local(async move {
            while let Ok(news) = rx.recv().await {
                let Some(w) = window.upgrade().filter(|w| w.imp().opened.get() == turn) else { return };
                w.on_news(news);
            }
        });
    }

    fn on_news(&self, news: News) {
        match news {
            News::Read(part) => self.imp().subtitle.set_label(&format!("opening… {:.0} %", part * 100.0)),
            News::Found(found, unsaved) => match *found {
                Ok(found) => self.begin(found, unsaved),
                Err(message) => {
                    self.show_empty();
                    self.say(&message);
                }
            },
        }
    }

    fn begin(&self, found: Found, unsaved: Option<String>) {
        let imp = self.imp();
        let Found { store, files, notices: about_files } = found;
        let mut notices: Vec<String> = unsaved.into_iter().chain(store.notices().iter().cloned()).collect();
        notices.extend(store.read_only().map(|why| format!("this record is read-only: {why}")));
        notices.extend(store.trouble().map(str::to_owned));
        notices.extend(about_files);
        notices.extend(self.model().at_start().take());
        notices.extend(refusals(&store.record().about));
        let clock = RunningClock::set(store.record(), Local::now().fixed_offset(), steady());
        let (mut session, told) = Session::new(store, files, clock);
        session.set_own(&self.model().own().borrow().patterns);
        self.model().keep_late();
        self.model().session().replace(Some(session));
        self.listen(told);
        imp.details_button.set_visible(true);
        self.show_filters();
        self.show_record();
        self.model().tell_settings();
        self.enter(imp.room.get());
        self.resume();
        if notices.is_empty() {
            imp.message_revealer.set_reveal_child(false);
        } else {
            self.say(&notices.join("\n"));
        }
    }

    fn listen(&self, told: async_channel::Receiver<Told>) {
        let turn = self.imp().opened.get();
        let window = self.downgrade();
        glib::spawn_future_local(async move {
            while let Ok(told) = told.recv().await {
                let Some(w) = window.upgrade().filter(|w| w.imp().opened.get() == turn) else { return };
                w.on_told(&told);
            }
        });
    }

    /// Takes up the work where it was left: at the end of the last point, or its start.
    pub fn resume(&self) {
        let place = {
            let session = self.model().session().borrow();
            let Some(s) = session.as_ref() else { return };
            let point = s.current().and_then(|c| s.view.record.points.get(c));
            let at = point.and_then(|p| p.end.or(p.start)).unwrap_or(MatchTime::ZERO);
            s.parts.nearest(at, true)
        };
        if let Some(place) = place {
            self.show_place(place, false);
        }
    }

    /// Lets go of what is open; the thread that is returned ends when it is saved, with what could not be.
    fn close_session(&self) -> Option<JoinHandle<Option<String>>> {
        let imp = self.imp();
        drop(imp.player.take());
        imp.players.set(imp.players.get() + 1);
        imp.paintable.clear();
        self.model().session().take().map(|s| s.keeper.close())
    }

    /// The window is to close: not before everything is on disk.
    pub fn leave(&self) -> glib::Propagation {
        self.model().keep_late();
        let imp = self.imp();
        let read_only = match self.model().session().borrow().as_ref() {
            None => return glib::Propagation::Proceed,
            Some(s) => s.view.read_only.is_some(),
        };
        match imp.leaving.get() {
            Leaving::Saving => self.say("Still writing the last edits to the disk…"),
            Leaving::No if !read_only => {
                imp.leaving.set(Leaving::Saving);
                self.ask(Ask::Save);
            }
            Leaving::No | Leaving::Warned => self.go(),
        }
        glib::Propagation::Stop
    }

    /// Leaves when everything is saved. When it is not, says so once, and leaves at the next wish.
    pub fn leave_if_safe(&self, told: &Told) {
        let why = match &told.outcome {
            Ok(Done::Saved) => return self.go(),
            Ok(Done::NotSaved) => told.view.trouble.as_deref().unwrap_or_default(),
            Err(why) => why,
            _ => return,
        };
        if told.view.unsaved > 0 {
            self.imp().leaving.set(Leaving::Warned);
            let cap = self.card().map(|c| c.cap(crate::logging::Action::Save)).unwrap_or_default();
            self.say(&format!("{why}\n{cap} saves a copy elsewhere. Quit once more to leave all the same."));
        }
    }

    fn go(&self) {
        // The program ends only when the keeper's thread has; see `run`.
        drop(self.close_session());
        self.destroy();
    }

    /// The first page, without a file.
    pub fn show_empty(&self) {
        let imp = self.imp();
        imp.rooms.set_visible_child_name("empty");
        self.enter(super::rooms::Room::Log);
        imp.details_button.set_visible(false);
        imp.title.set_label("Changeover");
        imp.subtitle.set_label("");
        imp.saved.set_label("");
        let cap = self.card().map(|c| c.cap(crate::logging::Action::Open)).unwrap_or_default();
        let without = self.card().map(|c| c.cap(crate::logging::Action::LogWithout)).unwrap_or_default();
        imp.empty_hint.set_label(&format!(
            "Drop a video here, or all the files of one match, or press {cap}. What you log is kept beside it as \
             NAME.points.json. Courtside, without a film yet, {without} starts the match clock. Nothing leaves this \
             computer. Ask the players, and the parents of minors, before you film."
        ));
        self.show_recent();
    }

    /// Lists the files opened before; those that are gone are said to be, and can be taken off.
    pub fn show_recent(&self) {
        self.off_loop(
            || RecentFiles::default().all(),
            |w, files| {
                let imp = w.imp();
                while let Some(row) = imp.recent.first_child() {
                    imp.recent.remove(&row);
                }
                imp.recent.set_visible(!files.is_empty());
                imp.recent_title.set_visible(!files.is_empty());
                for file in files {
                    imp.recent.append(&w.recent_row(file));
                }
            },
        );
    }

    fn recent_row(&self, file: Recent) -> gtk::Box {
        let Recent { path, there } = file;
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let folder = path.parent().unwrap_or(&path).to_string_lossy().into_owned();
        let said = if there { folder } else { format!("not there: {folder}") };
        let words = gtk::Box::new(gtk::Orientation::Vertical, 0);
        for (text, class) in [(&name, "plain"), (&said, "quiet")] {
            words.append(
                &gtk::Label::builder()
                    .label(text)
                    .ellipsize(gtk::pango::EllipsizeMode::Middle)
                    .xalign(0.0)
                    .css_classes([class])
                    .build(),
            );
        }
        let open = gtk::Button::builder().child(&words).hexpand(true).sensitive(there).build();
        open.add_css_class("flat");
        open.set_tooltip_text(Some(&path.to_string_lossy()));
        open.update_property(&[gtk::accessible::Property::Label(&format!("Open {name}, {said}"))]);
        let off = gtk::Button::builder().label("×").valign(gtk::Align::Center).css_classes(["flat"]).build();
        off.set_tooltip_text(Some("Take off this list"));
        off.update_property(&[gtk::accessible::Property::Label(&format!("Take {name} off this list"))]);
        let (window, wanted) = (self.downgrade(), path.clone());
        open.connect_clicked(move |_| {
            if let Some(w) = window.upgrade() {
                w.open(std::slice::from_ref(&wanted));
            }
        });
        let window = self.downgrade();
        off.connect_clicked(move |_| {
            if let Some(w) = window.upgrade() {
                let path = path.clone();
                w.off_loop(move || RecentFiles::default().forget(&path), |w, ()| w.show_recent());
            }
        });
        let row = gtk::Box::new(gtk::Orientation::Horizontal, 4);
        row.append(&open);
        row.append(&off);
        row
    }

    /// Asks for a file, or for all files of a match.
    pub fn ask_for_files(&self) {
        let chooser = gtk::FileChooserNative::new(
            Some("Open footage or a record"),
            Some(self),
            gtk::FileChooserAction::Open,
            Some("Open"),
            Some("Cancel"),
        );
        chooser.set_select_multiple(true);
        self.when_chosen(&chooser, |w, paths| w.open(&paths));
    }
}
