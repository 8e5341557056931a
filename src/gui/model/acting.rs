//! What the model does at a key: asks the keeper for one edit, plays, or walks along the score.

use super::event::Event;
use super::object::Model;
use crate::logging::{Action, Meaning, Moment};
use crate::session::filter::Filter;
use crate::session::keeper::Ask;
use crate::tennis::End;
use crate::video::Player;

impl Model {
    /// Does what a key means; what it cannot do itself it wants of the window.
    pub fn perform(&self, meaning: &Meaning) {
        if self.attach_by(meaning)
            || self.answer_by(meaning)
            || self.refuse_to_play(meaning)
            || self.refuse_elsewhere(meaning)
        {
            return;
        }
        let refused = self.session().borrow().as_ref().and_then(|s| s.refuses(meaning));
        if let Some(why) = refused {
            return self.say(&why);
        }
        match meaning {
            Meaning::Tag(tag) => self.ask(Ask::Tag(tag.clone())),
            Meaning::Do(action) => self.act(*action),
        }
    }

    /// While a clip of other footage is shown nothing is logged: goes back to the footage of the open record and says so.
    fn refuse_elsewhere(&self, meaning: &Meaning) -> bool {
        let refused = match meaning {
            Meaning::Tag(_) => true,
            Meaning::Do(action) => logs(*action),
        };
        let refused = refused && self.leave_elsewhere();
        if refused {
            self.say("A clip of other footage was shown. This is the open match again; nothing was logged.");
        }
        refused
    }

    fn act(&self, action: Action) {
        match action {
            Action::PlayPause => self.play_pause(),
            Action::PlayBackward => self.play_backward(),
            Action::FrameForward => self.step(1),
            Action::FrameBack => self.step(-1),
            Action::SkipForward => self.skip(true),
            Action::SkipBack => self.skip(false),
            Action::Faster => self.faster(true),
            Action::Slower => self.faster(false),
            Action::NormalSpeed => self.normal_speed(),
            Action::LoopPoint => self.loop_point(),
            Action::Mute => self.mute(),
            Action::CutHere => self.cut_here(),
            Action::Undo if self.takes_off() => {}
            Action::Undo => self.ask(Ask::Undo),
            Action::NewLesson => self.want_new_lesson(),
            Action::Redo => self.ask(Ask::Redo),
            Action::Save => self.ask(Ask::Save),
            Action::WhatFootage => self.ask_what_again(),
            Action::NextFilm => self.next_film(),
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
            Action::ClearFilter => self.clear_filter(),
            Action::PlayMatching => self.play_matching(),
            Action::LightDark => {
                self.dark().set(!self.dark().get());
                self.tell(Event::Dark);
            }
            logging if logs(logging) => self.log(logging),
            other => self.want(other),
        }
    }

    /// Logs. The stamp is the frame on the screen now, or the match clock, whenever the keeper comes to it.
    fn log(&self, action: Action) {
        let at = self.shown().or_else(|| self.court_time());
        let stamps =
            matches!(action, Action::PointStart | Action::PointEnd | Action::StartHere | Action::EndHere);
        match at {
            None if stamps && self.session().borrow().is_some() => self.say_no_moment(),
            at => {
                let speed = self.player().borrow().as_ref().filter(|p| p.is_playing()).map(Player::speed);
                if let (Some(shown), Some(speed)) = (at, speed) {
                    self.stamped(action, shown, speed);
                }
                self.ask(Ask::Act(action, Moment { shown: at.unwrap_or_default(), speed }));
            }
        }
    }

    /// The server of the point that the pad is about stands at this end.
    pub fn tell_end(&self, end: End) {
        let edit = self.session().borrow().as_ref().and_then(|s| s.end_told(end));
        match edit {
            Some(edit) => self.ask(Ask::Edit(Box::new(edit))),
            None => self.say("Log the serve first. Then choose the end."),
        }
    }

    /// Asks the keeper for something. What comes of it is shown when the keeper tells that it is on disk.
    pub fn ask(&self, ask: Ask) {
        self.forget_added();
        if let Some(s) = self.session().borrow_mut().as_mut() {
            s.ask(ask);
        }
        self.tell(Event::Saving);
    }

    /// Makes a point current and goes to its lead-in.
    pub fn choose(&self, point: usize) {
        self.end_clips();
        let start = {
            let mut session = self.session().borrow_mut();
            let Some(s) = session.as_mut().filter(|s| point < s.facts().len()) else { return };
            s.choose(point);
            s.lead_in_of(point, self.settings().borrow().lead_in())
        };
        // The footage goes first: what else shows the point is drawn while the frame is on its way.
        if let Some(start) = start.filter(|_| !self.is_attaching()) {
            self.go_to(start);
            self.take_frame();
        }
        self.tell(Event::Current);
    }

    fn walk(&self, action: Action) {
        let to = self.session().borrow().as_ref().and_then(|s| s.led_to(action));
        if let Some(point) = to {
            self.choose(point);
        }
    }

    /// Sees the points of one row of the filter's menu.
    pub fn filter_by(&self, row: usize) {
        let Some(filter) = self.filters().borrow().get(row).cloned() else { return };
        let first = {
            let mut session = self.session().borrow_mut();
            let Some(s) = session.as_mut() else { return };
            s.filter = filter;
            if s.current().is_some_and(|c| s.keeps(c)) { None } else { s.kept().first().copied() }
        };
        self.tell(Event::Changed);
        if let Some(point) = first {
            self.choose(point);
        }
        self.tell(Event::Footage);
    }

    fn clear_filter(&self) {
        if let Some(s) = self.session().borrow_mut().as_mut() {
            s.filter = Filter::All;
        }
        self.end_clips();
        self.be_quiet();
        self.fill_filters();
        self.tell(Event::Changed);
    }

    /// Finds the choices of the filter anew: all, the tags, the patterns.
    pub fn fill_filters(&self) {
        let filters = {
            let session = self.session().borrow();
            let Some(s) = session.as_ref() else { return };
            let card = self.card().borrow().clone();
            s.filters(card.iter().flat_map(|c| c.tags().map(|(_, t)| t)))
        };
        self.filters().replace(filters);
        self.tell(Event::Filters);
    }
}

/// Whether an action writes in the record by the logger.
fn logs(action: Action) -> bool {
    use crate::logging::action::{ACTIONS, Group};
    let dialogs = [Action::Plan, Action::Note, Action::Correct, Action::Sources];
    let group = ACTIONS.iter().find(|r| r.action == action).map(|r| r.group);
    matches!(group, Some(Group::Log | Group::Pad | Group::Balls)) && !dialogs.contains(&action)
}
