//! Opening footage and records on a thread, and letting go of them.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::thread::JoinHandle;
use std::time::Duration;

use chrono::Local;
use gtk::glib;
use gtk::prelude::*;

use super::event::Event;
use super::object::Model;
use crate::counted::{Counted, Noun};
use crate::frames::FootageFile;
use crate::gui::kit::job::{Job, News, Teller};
use crate::gui::kit::recent;
use crate::logging::Action;
use crate::logging::clock::{RunningClock, steady};
use crate::record::consent::refusals;
use crate::session::alone::is_alone;
use crate::session::each::each;
use crate::session::error::{LookError, ProbeError};
use crate::session::keeper::{Ask, Told};
use crate::session::looking::{FootageReader, Found, Watch, look};
use crate::session::question::Together;
use crate::session::recent::RecentFiles;
use crate::session::show::adding::is_lesson;
use crate::session::state::Session;
use crate::session::words::sentence;
use crate::time::MatchTime;
use crate::video::probe_watched;

/// How often it is asked whether the window that holds the record has closed.
const LOOK_AGAIN: Duration = Duration::from_secs(1);

/// What there is, and what could not be saved of the record open before.
type Opened = (Result<Found, LookError>, Option<String>);

/// What is known of a file of footage, from the video room.
pub fn read_footage(path: &Path, watch: Watch<'_>) -> Result<FootageFile, ProbeError> {
    Ok(probe_watched(path, watch)?)
}

impl Model {
    /// Opens footage, one file or all those of a match (with the record beside it, or a new one), or a record (with
    /// its footage); or a lesson.
    pub fn open(&self, paths: &[PathBuf]) {
        if paths.iter().any(|path| is_alone(path)) {
            return self.open_alone(paths.to_vec());
        }
        if let [one] = paths
            && is_lesson(one)
        {
            return self.open_lesson(one.clone());
        }
        self.rest().take();
        self.open_as(paths, None);
    }

    /// As [`Self::open`], where it was said how several files belong together.
    pub(super) fn open_as(&self, paths: &[PathBuf], together: Option<Together>) {
        let paths = paths.to_vec();
        self.open_by(paths.first().cloned(), move |reader| {
            if together != Some(Together::Each) {
                return look(&paths, together, reader);
            }
            let found = each(&paths, reader)?;
            for path in found.rest.iter().rev() {
                RecentFiles::default().remember(path);
            }
            Ok(found)
        });
    }

    /// Opens the next of several films; those after it go on waiting.
    pub(super) fn open_next(&self, path: PathBuf) {
        self.open_as(&[path], None);
    }

    /// Opens what `find` finds, on a thread; `remembered` is then among the files opened before.
    pub fn open_by(
        &self,
        remembered: Option<PathBuf>,
        find: impl FnOnce(&mut FootageReader<'_>) -> Result<Found, LookError> + Send + 'static,
    ) {
        let before = self.close_session();
        self.opened().set(self.opened().get() + 1);
        let turn = self.opened().get();
        self.reading().set(0.0);
        self.tell(Event::Reading);
        let work = move |teller: &Teller<f64, Opened>| {
            // The record open before is written, and its lock is free, before another is opened: it may be the same.
            let unsaved = before.and_then(|thread| thread.join().ok().flatten());
            // Nobody listens any more when another file is opened: then the reading stops.
            let mut watch = |part| teller.tell(part);
            let found = find(&mut FootageReader { probe: read_footage, watch: &mut watch });
            if let (Ok(_), Some(first)) = (&found, remembered) {
                RecentFiles::default().remember(&first);
            }
            (found, unsaved)
        };
        let model = self.downgrade();
        let job = Job::start(work, move |news| {
            let open = model.upgrade().filter(|m| m.opened().get() == turn);
            open.map_or(ControlFlow::Break(()), |m| {
                m.on_news(news);
                ControlFlow::Continue(())
            })
        });
        if let Some(before) = self.opening().replace(Some(job)) {
            before.stop();
        }
    }

    fn on_news(&self, news: News<f64, Opened>) {
        match news {
            News::Progress(part) => {
                self.reading().set(part);
                self.tell(Event::Reading);
            }
            News::Done((Ok(found), unsaved)) => self.begin(found, unsaved),
            News::Done((Err(why), _)) => {
                self.tell(Event::Closed);
                self.say(&why.to_string());
            }
        }
    }

    fn begin(&self, found: Found, unsaved: Option<String>) {
        let Found { store, files, notices: about_files, asks, rest } = found;
        let mut notices: Vec<String> = unsaved.into_iter().chain(store.notices().iter().cloned()).collect();
        notices.extend(store.read_only().map(|why| format!("this record is read-only: {why}")));
        notices.extend(store.trouble().map(str::to_owned));
        notices.extend(about_files);
        notices.extend(self.at_start().take());
        notices.extend(refusals(store.record()));
        recent::tell_desktop(&store, &files);
        notices.extend(self.keep_rest(rest));
        let clock = RunningClock::set(store.record(), Local::now().fixed_offset(), steady());
        let (mut session, told) = Session::new(store, files, clock);
        session.set_own(&self.own().borrow().patterns);
        match asks {
            Some(asks) => session.ask_files(asks.paths, asks.own_records),
            None => session.ask_what(),
        }
        self.keep_late();
        self.session().replace(Some(session));
        self.listen(told);
        self.wait_for_the_record();
        self.fill_filters();
        self.tell(Event::Opened);
        self.tell(Event::Changed);
        self.tell_settings();
        self.resume();
        if notices.is_empty() {
            self.tell(Event::Quiet);
        } else {
            let all: Vec<String> = notices.iter().map(|n| sentence(n)).collect();
            self.say(&all.join("\n"));
        }
    }

    /// Keeps the films that wait, and says how to go on to them.
    fn keep_rest(&self, rest: Vec<PathBuf>) -> Option<String> {
        if !rest.is_empty() {
            self.rest().replace(rest.into());
        }
        let left = self.rest().borrow().len();
        let cap = self.cap(Action::NextFilm);
        (left > 0).then(|| format!("{} not opened yet: {cap} opens the next one.", Counted(left, Noun::File)))
    }

    fn listen(&self, told: async_channel::Receiver<Told>) {
        let turn = self.opened().get();
        let model = self.downgrade();
        glib::spawn_future_local(async move {
            while let Ok(told) = told.recv().await {
                let Some(m) = model.upgrade().filter(|m| m.opened().get() == turn) else { return };
                m.on_told(&told);
            }
        });
    }

    /// While another program holds the record: asks the keeper to take it over, until it does.
    pub(super) fn wait_for_the_record(&self) {
        if !self.session().borrow().as_ref().is_some_and(|s| s.view.held) {
            return;
        }
        let turn = self.opened().get();
        let model = self.downgrade();
        glib::timeout_add_local(LOOK_AGAIN, move || {
            let open = model.upgrade().filter(|m| m.opened().get() == turn);
            let Some(m) = open else { return glib::ControlFlow::Break };
            let (held, waits) = match m.session().borrow().as_ref() {
                Some(s) => (s.view.held, s.waits()),
                None => (false, false),
            };
            if held && !waits {
                m.ask(Ask::TakeOver);
            }
            if held { glib::ControlFlow::Continue } else { glib::ControlFlow::Break }
        });
    }

    /// Takes up the work where it was left: at the end of the last point, or its start.
    pub fn resume(&self) {
        let place = {
            let session = self.session().borrow();
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
    pub fn close_session(&self) -> Option<JoinHandle<Option<String>>> {
        self.end_clips();
        drop(self.player().take());
        self.events().take();
        self.players().set(self.players().get() + 1);
        self.frames().clear();
        self.session().take().map(|s| s.keeper.close())
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc;

    use super::*;

    #[gtk::test]
    fn another_file_stops_the_reading_of_the_one_before() {
        let model = Model::default();
        let (tx, stopped) = mpsc::channel();
        let reads_for_ever = move |reader: &mut FootageReader<'_>| {
            while (reader.watch)(0.5).is_continue() {
                std::thread::sleep(Duration::from_millis(1));
            }
            let _ = tx.send(());
            Err(LookError::NoFile)
        };
        model.open_by(None, reads_for_ever);
        while model.reading().get() < 0.5 {
            glib::MainContext::default().iteration(true);
        }
        let said = std::rc::Rc::new(std::cell::RefCell::new(Vec::new()));
        let heard = said.clone();
        model.connect_local("says", false, move |values| {
            heard.borrow_mut().extend(values[1].get::<String>());
            None
        });
        model.open_by(None, |_| Err(LookError::NoFile));
        assert!(stopped.recv_timeout(Duration::from_secs(5)).is_ok(), "it reads on");
        while said.borrow().is_empty() {
            glib::MainContext::default().iteration(true);
        }
        assert_eq!(*said.borrow(), [LookError::NoFile.to_string()]);
    }
}
