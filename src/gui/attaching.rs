//! Giving footage to a record that was logged without it: the film is shown from its first frame; at the frame where a
//! logged point starts, one key puts the two clocks together, as one edit.

use std::path::PathBuf;
use std::sync::Arc;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::opening::read_footage;
use super::window::Window;
use crate::logging::action::{ACTIONS, Group};
use crate::logging::{Action, Meaning};
use crate::record::Footage;
use crate::session::keeper::Ask;
use crate::session::looking::{FootageReader, films};
use crate::session::parts::Place;
use crate::session::state::Session;
use crate::time::MatchTime;
use crate::video::Media;

impl Window {
    /// Whether footage is being attached.
    pub fn is_attaching(&self) -> bool {
        self.model().session().borrow().as_ref().is_some_and(|s| s.attaching.is_some())
    }

    /// Asks for the film, or for all films of the match.
    pub fn ask_for_film(&self) {
        let why_not = match self.model().session().borrow().as_ref() {
            None => Some("Open the record first that the footage belongs to.".to_owned()),
            Some(s) if s.view.read_only.is_some() => s.view.read_only.clone(),
            Some(s) if s.view.record.points.iter().all(|p| p.start.is_none()) => Some(
                "No point has a start yet. Log one first: its start puts footage and clock together.".into(),
            ),
            Some(_) => None,
        };
        if let Some(why) = why_not {
            return self.say(&why);
        }
        let title = Some("Attach footage, from the record's folder");
        let open = gtk::FileChooserAction::Open;
        let chooser = gtk::FileChooserNative::new(title, Some(self), open, Some("Attach"), Some("Cancel"));
        chooser.set_select_multiple(true);
        let folder =
            self.model().session().borrow().as_ref().and_then(|s| Some(s.view.path.parent()?.to_owned()));
        if let Some(folder) = folder.and_then(|f| std::path::absolute(f).ok()) {
            // The chooser offers another folder when it cannot show this one.
            let _ = chooser.set_current_folder(Some(&gtk::gio::File::for_path(folder)));
        }
        self.when_chosen(&chooser, Self::attach);
    }

    /// Reads films, and shows them to be placed.
    pub fn attach(&self, paths: Vec<PathBuf>) {
        let imp = self.imp();
        let Some(record) = self.model().session().borrow().as_ref().map(|s| s.view.path.clone()) else {
            return;
        };
        let turn = imp.opened.get();
        self.say("Reading the footage…");
        self.off_loop(
            move || {
                let watch = &mut |_| std::ops::ControlFlow::Continue(());
                films(&record, &paths, &mut FootageReader { probe: read_footage, watch })
            },
            move |w, found| match found {
                // Another record was opened meanwhile.
                _ if w.imp().opened.get() != turn => {}
                Ok(found) => w.begin_attaching(found),
                Err(why) => w.say(&why),
            },
        );
    }

    fn begin_attaching(&self, found: Vec<(Footage, Arc<Media>)>) {
        let mut notices: Vec<String> = found.iter().flat_map(|(_, m)| m.warnings.clone()).collect();
        if found.len() > 1 {
            notices.push(format!("{} files, each taken to go on where the one before it ends.", found.len()));
        }
        if let Some(s) = self.model().session().borrow_mut().as_mut() {
            s.attach(found);
            // Some point with a start must be the one to look for.
            if s.logged().is_none()
                && let Some(point) = s.view.record.points.iter().position(|p| p.start.is_some())
            {
                s.choose(point);
            }
        }
        self.let_go();
        self.be_quiet();
        self.show_record();
        self.show_place(Place { part: 0, frame: 0 }, false);
        self.imp().picture.grab_focus();
        if !notices.is_empty() {
            self.say(&notices.join("\n"));
        }
    }

    /// Puts the player away: what it shows is not what there is any more.
    fn let_go(&self) {
        let imp = self.imp();
        drop(imp.player.take());
        imp.players.set(imp.players.get() + 1);
        imp.paintable.clear();
    }

    /// Shows the bar that says what to look for.
    pub fn show_attaching(&self, s: &Session) {
        let imp = self.imp();
        imp.attach_bar.set_visible(s.attaching.is_some());
        let Some(cap) = self.card().map(|c| c.cap(Action::PointStart)) else { return };
        imp.attach_here.set_sensitive(s.logged().is_some());
        imp.attach_words.set_label(&match (s.current(), s.logged()) {
            (Some(i), Some(at)) => format!(
                "Point {} was logged at {}. Go to the frame where it starts, then press {cap}. Another point will do \
                 as well.",
                i + 1,
                at.short()
            ),
            _ => "This point has no start. Choose another one.".into(),
        });
    }

    /// While footage is being attached: does what a key means there, or says that it must wait. Answers whether that was
    /// all.
    pub fn attach_by(&self, meaning: &Meaning) -> bool {
        if !self.is_attaching() {
            return false;
        }
        let Meaning::Do(action) = meaning else { return self.let_it_wait() };
        let group = ACTIONS.iter().find(|r| r.action == *action).map(|r| r.group);
        match (action, group) {
            (Action::PointStart | Action::StartHere, _) => self.place_footage(),
            (Action::ClearFilter, _) => self.leave_attaching(),
            (Action::LoopPoint | Action::PlayMatching, _) | (_, Some(Group::Log)) => {
                return self.let_it_wait();
            }
            _ => return false,
        }
        true
    }

    fn let_it_wait(&self) -> bool {
        let caps = self.card().map(|c| (c.cap(Action::PointStart), c.cap(Action::ClearFilter)));
        let (here, leave) = caps.unwrap_or_default();
        self.say(&format!(
            "The footage has no place yet: press {here} where the point starts, or {leave} to leave it."
        ));
        true
    }

    /// The current point starts at the frame on the screen: that places all the footage.
    fn place_footage(&self) {
        let shown = self.shown();
        let edit = self.model().session().borrow_mut().as_mut().zip(shown).and_then(|(s, t)| s.sync_at(t));
        if let Some(edit) = edit {
            self.ask(Ask::Edit(Box::new(edit)));
        }
    }

    /// The edit did not work: it can be tried again.
    pub fn not_attached(&self) {
        if let Some(s) = self.model().session().borrow_mut().as_mut() {
            s.sync_failed();
        }
    }

    fn leave_attaching(&self) {
        if let Some(s) = self.model().session().borrow_mut().as_mut() {
            s.stop_attaching();
        }
        self.let_go();
        self.be_quiet();
        self.show_record();
        self.resume();
    }

    /// The record's footage is other than it was: shows it at the current point.
    pub fn show_other_footage(&self) {
        self.let_go();
        self.show_record();
        let place = self.model().session().borrow().as_ref().and_then(|s| {
            let at = s.logged().unwrap_or_default();
            s.parts.nearest(at, true)
        });
        if let Some(place) = place {
            self.show_place(place, false);
        }
        let (from, to) = {
            let session = self.model().session().borrow();
            let Some(s) = session.as_ref().filter(|s| !s.parts.is_empty()) else { return };
            let ends = s.view.record.footage.iter().map(|f| f.start.later(f.duration - MatchTime::ZERO));
            let starts = s.view.record.footage.iter().map(|f| f.start);
            (starts.min().unwrap_or_default(), ends.max().unwrap_or_default())
        };
        let undo = self.card().map(|c| c.cap(Action::Undo)).unwrap_or_default();
        self.say(&format!(
            "The footage lies from {} to {} on the match clock. {undo} takes that back.",
            from.short(),
            to.short()
        ));
    }
}
