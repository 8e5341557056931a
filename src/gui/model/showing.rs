//! The lesson that is open: opened, made, changed by its keeper, and clips of any list added to it.

use std::path::{Path, PathBuf};

use gtk::glib;
use gtk::prelude::*;

use super::event::Event;
use super::object::Model;
use crate::clips::Lead;
use crate::counted::{Counted, Noun};
use crate::gui::kit::job::off_loop;
use crate::lesson::{Clip, Lesson};
use crate::logging::Action;
use crate::session::alone::{Purpose, is_alone};
use crate::session::library::finds::Finds;
use crate::session::recent::RecentFiles;
use crate::session::show::act::Act;
use crate::session::show::adding::{Adding, lesson_name};
use crate::session::show::keeper::{Ask, Done, Keeper, Told};
use crate::session::show::view::View;
use crate::time::MatchTime;

impl Model {
    /// The lesson that is open, as it stands.
    pub fn lesson(&self) -> Option<View> {
        self.showing().view.borrow().clone()
    }

    /// Whether the lesson stands as the last key wants it.
    pub fn lesson_is_settled(&self) -> bool {
        let view = self.showing().view.borrow();
        view.as_ref().is_some_and(|v| v.handled == self.showing().sent.get())
    }

    /// The dialog for exports must wait for what was asked of the lesson: it is wanted again when that is done. Says whether it waits.
    pub fn exports_later(&self) -> bool {
        let waits = self.lesson().is_some() && !self.lesson_is_settled();
        self.showing().exports.set(waits);
        waits
    }

    /// Opens a lesson, in the place of the one before, and goes to the Show page.
    pub fn open_lesson(&self, path: PathBuf) {
        if is_alone(&path) {
            return self.open_alone(vec![path]);
        }
        self.begin_lesson(path, None);
        self.want(Action::RoomShow);
    }

    /// Makes a lesson and opens it. Clips that wait for it are put in.
    pub fn make_lesson(&self, path: &Path) {
        if self.needs_folder(path, Purpose::NewLesson) {
            return;
        }
        let waiting = self.showing().waiting.take();
        let title = waiting.as_ref().map(|w| w.finds.title.clone()).unwrap_or_default();
        let title = title.chars().take(200).collect();
        self.begin_lesson(lesson_name(path), Some(Lesson { title, ..Lesson::default() }));
        match waiting {
            Some(adding) => self.ask_lesson(Ask::Add(Box::new(adding))),
            None => self.want(Action::RoomShow),
        }
    }

    fn begin_lesson(&self, path: PathBuf, new: Option<Lesson>) {
        let showing = self.showing();
        let path = std::path::absolute(&path).unwrap_or(path);
        let same = showing.view.borrow().as_ref().is_some_and(|v| v.path == path);
        if same && new.is_none() {
            return;
        }
        if self.in_lesson() {
            self.stop();
        }
        showing.keeper.take();
        showing.view.take();
        showing.added.set(false);
        showing.turn.set(showing.turn.get() + 1);
        let turn = showing.turn.get();
        let (keeper, told) = Keeper::start(path, new);
        showing.sent.set(0);
        showing.keeper.replace(Some(keeper));
        self.tell(Event::Lesson);
        let model = self.downgrade();
        glib::spawn_future_local(async move {
            let mut first = true;
            while let Ok(told) = told.recv().await {
                let Some(m) = model.upgrade().filter(|m| m.showing().turn.get() == turn) else { return };
                m.on_lesson(told, std::mem::take(&mut first));
                if m.lesson_is_settled() && m.showing().exports.take() {
                    m.want(Action::Export);
                }
            }
        });
    }

    /// Closes the lesson: its thread saves what is left.
    pub fn close_lesson(&self) {
        let showing = self.showing();
        showing.keeper.take();
        showing.view.take();
        showing.turn.set(showing.turn.get() + 1);
    }

    /// Asks the lesson's keeper for something.
    pub fn ask_lesson(&self, ask: Ask) {
        let showing = self.showing();
        showing.added.set(false);
        match &*showing.keeper.borrow() {
            Some(keeper) => {
                showing.sent.set(showing.sent.get() + 1);
                keeper.ask(ask);
            }
            None => self.say(&format!(
                "Open a lesson first ({}), or make a new one ({}).",
                self.cap(Action::OpenLesson),
                self.cap(Action::NewLesson)
            )),
        }
    }

    fn on_lesson(&self, told: Told, first: bool) {
        let Told { outcome, view, notices } = told;
        let showing = self.showing();
        let done = match outcome {
            Ok(done) => done,
            Err(why) if first => {
                showing.keeper.take();
                self.tell(Event::Lesson);
                return self.say(&why.to_string());
            }
            Err(why) => {
                showing.view.replace(Some(view));
                self.tell(Event::Lesson);
                return self.say(&why.to_string());
            }
        };
        if first {
            remember(&view);
        }
        let trouble = view.trouble.clone();
        let read_only = view.read_only.clone().filter(|_| first);
        let said = self.words_of(done, &view);
        showing.view.replace(Some(view));
        self.tell(Event::Lesson);
        let read_only = read_only.map(|why| format!("this lesson is read-only: {why}"));
        let all: Vec<String> = said.into_iter().chain(notices).chain(read_only).chain(trouble).collect();
        if !all.is_empty() {
            self.say(&all.join("\n"));
        }
    }

    fn words_of(&self, done: Done, view: &View) -> Option<String> {
        Some(match done {
            Done::Added(0, _) => {
                "None of these clips can be added: each needs a start, an end and its footage.".into()
            }
            Done::Added(added, lost) => {
                self.showing().added.set(true);
                let lost = match lost {
                    0 => String::new(),
                    n => format!(" {} left out: no start, no end, or no footage.", Counted(n, Noun::Point)),
                };
                let (clips, undo) = (Counted(added, Noun::Clip), self.cap(Action::Undo));
                let show = self.cap(Action::RoomShow);
                let them = if added == 1 { "it" } else { "them" };
                format!(
                    "{clips} added to the lesson “{}”.{lost} {undo} takes {them} off, {show} shows the lesson.",
                    view.title()
                )
            }
            Done::Saved => "The lesson is saved.".into(),
            Done::Undone => "Undone in the lesson.".into(),
            Done::Redone => "Redone in the lesson.".into(),
            Done::Nothing | Done::Chosen | Done::Changed => return None,
        })
    }

    /// Adds clips to the lesson that is open, or to a new one whose name is asked for.
    pub fn add_to_lesson(&self, finds: Finds) {
        if finds.points.is_empty() {
            return self.say("There is no clip to add: the list is empty.");
        }
        let adding = Adding { finds, lead: Lead::default(), pattern: None };
        if self.showing().keeper.borrow().is_some() {
            return self.ask_lesson(Ask::Add(Box::new(adding)));
        }
        self.showing().waiting.replace(Some(adding));
        self.want(Action::NewLesson);
    }

    /// What the clips show that wait for a new lesson, if there are any.
    pub fn waiting_title(&self) -> Option<String> {
        self.showing().waiting.borrow().as_ref().map(|waiting| waiting.finds.title.clone())
    }

    /// A new lesson is wanted, and an empty one: clips that waited for one wait no longer.
    pub(super) fn want_new_lesson(&self) {
        self.showing().waiting.take();
        self.want(Action::NewLesson);
    }

    /// Whether clips were added to the lesson, and nothing was done since.
    pub fn has_added(&self) -> bool {
        self.showing().added.get()
    }

    /// Something else was done since clips were added to the lesson: Undo is about that now.
    pub fn forget_added(&self) {
        self.showing().added.set(false);
    }

    /// Undo right after clips were added takes them off the lesson. Says whether it did.
    pub(super) fn takes_off(&self) -> bool {
        let added = self.showing().added.take();
        if added {
            self.ask_lesson(Ask::Undo);
        }
        added
    }

    /// Changes the chosen clip at the frame on the screen: the act gets the frame's moment, and the one at which it is gone.
    pub fn act_at_frame(&self, act: impl FnOnce(MatchTime, MatchTime) -> Act) {
        let found = self.frame_of_clip();
        match found {
            Some((at, gone, _)) => self.ask_lesson(Ask::Act(act(at, gone))),
            None if self.lesson().is_none_or(|v| v.chosen.is_none()) => {
                self.say("Choose a clip of the lesson first.");
            }
            None => self.say("Choose a single clip whose footage is there, and step to a frame of it."),
        }
    }

    /// The frame on the screen, if it is of the clip that is chosen: its moment in the file, and when it is gone.
    fn frame_of_clip(&self) -> Option<(MatchTime, MatchTime, Clip)> {
        let shown = self.frames().painted()?;
        let events = self.events().borrow();
        let (_, media, _) = events.as_ref()?;
        let view = self.showing().view.borrow();
        let clip = view.as_ref()?.clip_of(&media.path)?;
        Some((shown.frame.time, media.index.gone(shown.frame.index), clip.clone()))
    }
}

/// Puts the lesson at the head of the list of lessons opened before.
fn remember(view: &View) {
    let path = view.path.clone();
    off_loop(move || RecentFiles::lessons().remember(&path), |()| {});
}
