//! What the window does at a key press or a click: asks for one edit, or does one thing of its own.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::dialogs;
use super::rooms::Room;
use super::window::{Leaving, Window, capital};
use crate::logging::{Action, Meaning, Moment};
use crate::session::filter::Filter;
use crate::session::keeper::{Ask, Done, Told};
use crate::video::Player;

impl Window {
    /// Does what a key means.
    pub fn perform(&self, meaning: &Meaning) {
        if self.attach_by(meaning) || self.study_by(meaning) || self.refuse_to_play(meaning) {
            return;
        }
        match meaning {
            Meaning::Tag(tag) => self.ask(Ask::Tag(tag.clone())),
            Meaning::Do(action) => self.act(*action),
        }
    }

    fn act(&self, action: Action) {
        match action {
            Action::PlayPause => self.play_pause(),
            Action::FrameForward => self.step(1),
            Action::FrameBack => self.step(-1),
            Action::SkipForward => self.skip(true),
            Action::SkipBack => self.skip(false),
            Action::Faster => self.faster(true),
            Action::Slower => self.faster(false),
            Action::NormalSpeed => self.normal_speed(),
            Action::LoopPoint => self.loop_point(),
            Action::Mute => self.mute(),
            Action::LargeFootage => self.large_footage(),
            Action::Note => self.begin_note(),
            Action::Plan => dialogs::plan::show(self.model(), self),
            Action::Preferences => dialogs::preferences::show(self.model(), self),
            Action::Undo => self.ask(Ask::Undo),
            Action::Redo => self.ask(Ask::Redo),
            Action::PointBack
            | Action::PointForward
            | Action::GameBack
            | Action::GameForward
            | Action::SetBack
            | Action::SetForward
            | Action::FirstPoint
            | Action::LastPoint
            | Action::MatchBack
            | Action::MatchForward => self.walk(action),
            Action::Filter => self.open_filter(),
            Action::ClearFilter => self.clear_filter(),
            Action::PlayMatching => self.play_matching(),
            Action::Patterns => dialogs::builder::show(self.model(), self),
            Action::Explain => dialogs::explain::show(self.model(), self),
            Action::RoomLog => self.enter(Room::Log),
            Action::RoomStudy => self.enter(Room::Study),
            Action::Open => self.ask_for_files(),
            Action::LogWithout => self.ask_where_to_log(),
            Action::AttachFootage => self.ask_for_film(),
            Action::MatchDetails => dialogs::details::show(self.model(), self),
            Action::Correct => dialogs::correct::show(self.model(), self),
            Action::Save => self.ask(Ask::Save),
            Action::LightDark => self.light_dark(),
            Action::Help => dialogs::help::show(self.model(), self, "keys"),
            Action::FullScreen => self.set_fullscreened(!self.is_fullscreen()),
            Action::Quit => self.close(),
            logging => self.log(logging),
        }
    }

    /// Logs. The stamp is the frame on the screen now, or the match clock, whenever the keeper comes to it.
    fn log(&self, action: Action) {
        let at = self.shown().or_else(|| self.court_time());
        let stamps =
            matches!(action, Action::PointStart | Action::PointEnd | Action::StartHere | Action::EndHere);
        match at {
            None if stamps && self.model().session().borrow().is_some() => self.say_no_moment(),
            at => {
                let speed = self.imp().player.borrow().as_ref().filter(|p| p.is_playing()).map(Player::speed);
                if let (Some(shown), Some(speed)) = (at, speed) {
                    self.model().stamped(action, shown, speed);
                }
                self.ask(Ask::Act(action, Moment { shown: at.unwrap_or_default(), speed }));
            }
        }
    }

    /// Asks the keeper for something. What comes of it is shown when it is told that it is on disk.
    pub fn ask(&self, ask: Ask) {
        self.model().ask(ask);
    }

    /// The keeper has done something.
    pub fn on_told(&self, told: &Told) {
        let moved = self.model().session().borrow_mut().as_mut().is_some_and(|s| {
            self.model().stamps().borrow_mut().told(&s.view.record, &told.view.record);
            s.take(told)
        });
        match &told.outcome {
            Ok(Done::Changed) => {
                self.show_record();
                self.be_quiet();
            }
            Ok(Done::Saved) => self.show_saved(),
            Ok(Done::NotSaved) => {
                self.be_quiet();
                if self.imp().leaving.get() != Leaving::Saving {
                    self.ask_where_to_copy();
                }
            }
            Ok(Done::Copied) => self.say(
                "The copy is saved. Open it to go on there: what is logged here is still in memory only.",
            ),
            Ok(Done::Chosen) => {
                self.show_pad();
                self.keep_plain(told.view.pad.plain);
            }
            Ok(Done::NothingToUndo) => self.say("There is nothing to undo."),
            Ok(Done::NothingToRedo) => self.say("There is nothing to redo."),
            Err(message) => {
                self.say(message);
                self.not_attached();
            }
        }
        if moved {
            self.show_other_footage();
        }
        self.show_saved();
        if !told.notices.is_empty() {
            self.say(&told.notices.join("\n"));
        }
        if self.imp().leaving.get() == Leaving::Saving && told.outcome != Ok(Done::Chosen) {
            self.leave_if_safe(told);
        }
    }

    /// Makes a point current and shows its first frame.
    pub fn choose(&self, point: usize) {
        let start = {
            let mut session = self.model().session().borrow_mut();
            let Some(s) = session.as_mut().filter(|s| point < s.facts().len()) else { return };
            s.choose(point);
            s.queue.clear();
            s.view.record.points[point].start
        };
        self.show_record();
        if let Some(start) = start.filter(|_| !self.is_attaching()) {
            self.go_to(start);
        }
    }

    fn walk(&self, action: Action) {
        let to = {
            let session = self.model().session().borrow();
            let Some(s) = session.as_ref() else { return };
            let last = s.facts().len().checked_sub(1);
            match action {
                Action::PointBack => s.current().and_then(|c| c.checked_sub(1)),
                Action::PointForward => s.current().map(|c| c + 1).filter(|c| Some(*c) <= last),
                Action::GameBack => s.part_from(false, |state| (state.set, state.game)),
                Action::GameForward => s.part_from(true, |state| (state.set, state.game)),
                Action::SetBack => s.part_from(false, |state| state.set),
                Action::SetForward => s.part_from(true, |state| state.set),
                Action::FirstPoint => last.map(|_| 0),
                Action::LastPoint => last,
                Action::MatchBack => s.kept_from(false),
                _ => s.kept_from(true),
            }
        };
        if let Some(point) = to {
            self.choose(point);
        }
    }

    /// Sees the points of one row of the filter menu.
    pub fn filter_by(&self, row: usize) {
        let Some(filter) = self.model().filters().borrow().get(row).cloned() else { return };
        let first = {
            let mut session = self.model().session().borrow_mut();
            let Some(s) = session.as_mut() else { return };
            s.filter = filter;
            if s.current().is_some_and(|c| s.keeps(c)) { None } else { s.kept().first().copied() }
        };
        match first {
            Some(point) => self.choose(point),
            None => self.show_record(),
        }
        self.imp().picture.grab_focus();
    }

    fn open_filter(&self) {
        self.imp().side.set_visible_child_name("points");
        self.show_filters();
        self.imp().filter.grab_focus();
        self.imp().filter.activate();
    }

    fn clear_filter(&self) {
        if let Some(s) = self.model().session().borrow_mut().as_mut() {
            s.filter = Filter::All;
            s.queue.clear();
        }
        self.be_quiet();
        self.show_filters();
        self.show_record();
    }

    fn begin_note(&self) {
        let note = {
            let session = self.model().session().borrow();
            let Some(s) = session.as_ref() else { return };
            s.current().and_then(|c| s.view.record.points.get(c)).map(|p| p.note.clone())
        };
        let Some(note) = note else { return self.say("There is no point to write a note on yet.") };
        let entry = &self.imp().note_entry;
        entry.set_text(&note);
        entry.set_visible(true);
        entry.grab_focus();
    }

    /// Puts the note's entry away.
    pub fn end_note(&self) {
        self.imp().note_entry.set_visible(false);
        self.imp().picture.grab_focus();
    }

    /// Keeps a note.
    pub fn keep_note(&self, text: &str) {
        self.ask(Ask::Note(text.to_owned()));
        self.end_note();
    }

    fn light_dark(&self) {
        let dark = !self.imp().dark.get();
        self.imp().dark.set(dark);
        if dark {
            self.add_css_class("dark");
        } else {
            self.remove_css_class("dark");
        }
        self.imp().ribbon.set_dark(dark);
        self.imp().pad.set_dark(dark);
    }

    /// Says something in the bar at the top.
    pub fn say(&self, text: &str) {
        self.model().say(text);
    }

    /// Says something more, below what stands in the bar already.
    pub fn say_too(&self, text: &str) {
        self.model().say_too(text);
    }

    /// Shows what was said, in the place of what was said before.
    pub fn show_said(&self, text: &str) {
        self.imp().message.set_label(&capital(text));
        self.imp().message_revealer.set_reveal_child(true);
    }

    /// Shows what was said below what stands in the bar already.
    pub fn show_too(&self, text: &str) {
        let said = Some(self.imp().message.label()).filter(|_| self.imp().message_revealer.reveals_child());
        match said {
            Some(said) if said.contains(&capital(text)) => {}
            Some(said) => self.show_said(&format!("{said}\n{}", capital(text))),
            None => self.show_said(text),
        }
    }

    /// Takes back what was said; but what keeps the last edits off the disk is said until it is over.
    pub fn be_quiet(&self) {
        let trouble = self.model().session().borrow().as_ref().and_then(|s| s.view.trouble.clone());
        match trouble {
            Some(trouble) => self.say(&trouble),
            None => self.imp().message_revealer.set_reveal_child(false),
        }
    }
}
