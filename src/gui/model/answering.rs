//! Answering what the footage shows, and going on to the next of the films that were opened together.

use super::event::Event;
use super::object::Model;
use crate::logging::{Action, Meaning};
use crate::session::keeper::Ask;
use crate::session::question::{Answer, Question, Together};

/// The keys of the answers, in their order: those of the endings, which mean nothing before there is a point.
pub const ANSWERS: [Action; 4] =
    [Action::FinishAce, Action::FinishWinner, Action::FinishForced, Action::FinishUnforced];

impl Model {
    /// Takes a key as an answer while something is asked; Escape puts the question away. Returns whether it was one.
    pub(super) fn answer_by(&self, meaning: &Meaning) -> bool {
        let Meaning::Do(action) = meaning else { return false };
        let asked = self.session().borrow().as_ref().and_then(|s| s.question().cloned());
        let Some(asked) = asked else { return false };
        if *action == Action::ClearFilter {
            if let Some(s) = self.session().borrow_mut().as_mut() {
                s.stop_asking();
            }
            self.tell(Event::Changed);
            return true;
        }
        let nth = ANSWERS.iter().position(|a| a == action);
        let answer = nth.and_then(|n| asked.answers().get(n).map(|(answer, ..)| *answer));
        answer.inspect(|answer| self.answer(*answer)).is_some()
    }

    /// Takes an answer.
    pub fn answer(&self, answer: Answer) {
        match answer {
            Answer::Files(together) => self.answer_files(together),
            Answer::Footage(kind) => {
                let edit = self.session().borrow_mut().as_mut().and_then(|s| s.answered(kind));
                if let Some(edit) = edit {
                    self.ask(Ask::Edit(Box::new(edit)));
                }
            }
            Answer::Score(known) => {
                if let Some(s) = self.session().borrow_mut().as_mut() {
                    s.stop_asking();
                }
                if known {
                    self.want(Action::Correct);
                }
            }
        }
        self.tell(Event::Changed);
    }

    fn answer_files(&self, together: Together) {
        let paths = {
            let mut session = self.session().borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let Some(Question::Files { paths, .. }) = s.question().cloned() else { return };
            let shown = s.media.len() == paths.len();
            if together == Together::OneMatch && shown {
                // They are shown so already; now it is asked what they show.
                s.stop_asking();
                s.ask_what();
                return;
            }
            paths
        };
        self.open_as(&paths, Some(together));
    }

    /// Asks again what the footage shows.
    pub(super) fn ask_what_again(&self) {
        if let Some(s) = self.session().borrow_mut().as_mut() {
            s.ask_again();
        }
        self.want(Action::RoomLog);
        self.tell(Event::Changed);
    }

    /// Opens the next of the films that were opened together, each with a record of its own.
    pub(super) fn next_film(&self) {
        let next = self.rest().borrow_mut().pop_front();
        match next {
            Some(path) => self.open_next(path),
            None => self
                .say("There is no other file. Open several files together and choose \"Separate footage\"."),
        }
    }
}
