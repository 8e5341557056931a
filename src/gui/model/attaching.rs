//! Giving footage to a record that was logged without it: the film is shown from its first frame; at the frame where a
//! logged point starts, one key puts the two clocks together, as one edit.

use std::path::PathBuf;
use std::sync::Arc;

use gtk::glib;

use super::event::Event;
use super::object::Model;
use super::opening::read_footage;
use crate::frames::FootageFile;
use crate::gui::kit::job::off_loop;
use crate::logging::action::{ACTIONS, Group};
use crate::logging::{Action, Meaning};
use crate::record::Footage;
use crate::session::alone::{is_alone, within};
use crate::session::error::LookError;
use crate::session::keeper::Ask;
use crate::session::looking::{FootageReader, films};
use crate::session::parts::Place;
use crate::time::MatchTime;

impl Model {
    /// Why footage cannot be attached now, in words; `None` when it can.
    pub fn why_not_attach(&self) -> Option<String> {
        match self.session().borrow().as_ref() {
            None => Some("First open the record that the footage belongs to.".to_owned()),
            Some(s) if s.view.read_only.is_some() => s.view.read_only.clone(),
            Some(s) if s.view.record.points.iter().all(|p| p.start.is_none()) => Some(
                "No point has a start yet. Log one first: its start connects the footage with the match clock.".into(),
            ),
            Some(_) => None,
        }
    }

    /// Whether footage is being attached.
    pub fn is_attaching(&self) -> bool {
        self.session().borrow().as_ref().is_some_and(|s| s.attaching.is_some())
    }

    /// Reads films, and shows them to be placed.
    pub fn attach(&self, paths: Vec<PathBuf>) {
        let Some(record) = self.session().borrow().as_ref().map(|s| s.view.path.clone()) else {
            return;
        };
        let turn = self.opened().get();
        self.say("Reading the footage…");
        off_loop(
            move || {
                // A sandbox shows a chosen file alone, but the record's folder may be known.
                let alone = paths.iter().any(|path| is_alone(path));
                let here = record.parent().filter(|_| alone).and_then(|folder| within(folder, &paths));
                let paths = here.unwrap_or(paths);
                let watch = &mut |_| std::ops::ControlFlow::Continue(());
                films(&record, &paths, &mut FootageReader { probe: read_footage, watch })
            },
            glib::clone!(
                #[weak(rename_to = m)]
                self,
                move |found: Result<Vec<(Footage, Arc<FootageFile>)>, LookError>| match found {
                    // Another record was opened meanwhile.
                    _ if m.opened().get() != turn => {}
                    Ok(found) => m.begin_attaching(found),
                    Err(why) => m.say(&why.to_string()),
                }
            ),
        );
    }

    fn begin_attaching(&self, found: Vec<(Footage, Arc<FootageFile>)>) {
        let mut notices: Vec<String> = found.iter().flat_map(|(_, m)| m.warnings.clone()).collect();
        if found.len() > 1 {
            notices.push(format!("{} files. Each one starts where the one before it ends.", found.len()));
        }
        if let Some(s) = self.session().borrow_mut().as_mut() {
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
        self.tell(Event::Changed);
        self.show_place(Place { part: 0, frame: 0 }, false);
        self.tell(Event::Footage);
        if !notices.is_empty() {
            self.say(&notices.join("\n"));
        }
    }

    /// Puts the player away: what it shows is not what there is any more.
    fn let_go(&self) {
        self.end_clips();
        drop(self.player().take());
        self.events().take();
        self.players().set(self.players().get() + 1);
        self.frames().clear();
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
        let (here, leave) = (self.cap(Action::PointStart), self.cap(Action::ClearFilter));
        self.say(&format!(
            "The footage has no place yet: press {here} where the point starts, or {leave} to cancel."
        ));
        true
    }

    /// The current point starts at the frame on the screen: that places all the footage.
    fn place_footage(&self) {
        let shown = self.shown();
        let edit = self.session().borrow_mut().as_mut().zip(shown).and_then(|(s, t)| s.sync_at(t));
        if let Some(edit) = edit {
            self.ask(Ask::Edit(Box::new(edit)));
        }
    }

    /// The edit did not work: it can be tried again.
    pub fn not_attached(&self) {
        if let Some(s) = self.session().borrow_mut().as_mut() {
            s.sync_failed();
        }
    }

    fn leave_attaching(&self) {
        if let Some(s) = self.session().borrow_mut().as_mut() {
            s.stop_attaching();
        }
        self.let_go();
        self.be_quiet();
        self.tell(Event::Changed);
        self.resume();
    }

    /// The record's footage is other than it was: shows it at the current point.
    pub fn show_other_footage(&self) {
        self.let_go();
        self.tell(Event::Changed);
        let place = self.session().borrow().as_ref().and_then(|s| {
            let at = s.logged().unwrap_or_default();
            s.parts.nearest(at, true)
        });
        if let Some(place) = place {
            self.show_place(place, false);
        }
        let (from, to) = {
            let session = self.session().borrow();
            let Some(s) = session.as_ref().filter(|s| !s.parts.is_empty()) else { return };
            let ends = s.view.record.footage.iter().map(|f| f.start.later(f.duration - MatchTime::ZERO));
            let starts = s.view.record.footage.iter().map(|f| f.start);
            (starts.min().unwrap_or_default(), ends.max().unwrap_or_default())
        };
        let undo = self.cap(Action::Undo);
        self.say(&format!(
            "The footage covers {} to {} on the match clock. {undo} undoes this.",
            from.short(),
            to.short()
        ));
    }
}
