//! Logging without footage: a key stamps what the match clock shows, in hundredths of a second.

use std::path::Path;

use chrono::{Local, SubsecRound};

use super::object::Model;
use crate::logging::action::{ACTIONS, Group};
use crate::logging::clock::steady;
use crate::logging::{Action, Meaning};
use crate::record::{Edit, MatchInfo};
use crate::session::alone::Purpose;
use crate::session::keeper::Ask;
use crate::session::looking::{record_name, without_footage};
use crate::session::state::Session;
use crate::time::MatchTime;

impl Model {
    /// Whether the page without footage is on.
    pub fn is_courtside(&self) -> bool {
        self.session().borrow().as_ref().is_some_and(Session::courtside)
    }

    /// What the match clock shows, where nothing is filmed.
    pub fn court_time(&self) -> Option<MatchTime> {
        self.session().borrow().as_ref().and_then(Session::court_time)
    }

    /// Says that there is no footage where a key would play it.
    pub fn refuse_to_play(&self, meaning: &Meaning) -> bool {
        let Meaning::Do(action) = meaning else { return false };
        let watch = ACTIONS.iter().any(|r| r.action == *action && r.group == Group::Watch);
        let refused = self.is_courtside() && !self.in_lesson() && (watch || *action == Action::PlayMatching);
        if refused {
            let cap = self.cap(Action::AttachFootage);
            self.say(&format!(
                "There is no footage yet. Log by the match clock; {cap} attaches the footage later."
            ));
        }
        refused
    }

    /// Says why there is no moment to stamp.
    pub fn say_no_moment(&self) {
        self.say(if self.is_courtside() {
            "The match clock does not run: start it first."
        } else {
            "No frame is shown, so there is no moment to log."
        });
    }

    /// Starts the match clock at what it last showed.
    pub fn start_clock(&self) {
        let about = {
            let session = self.session().borrow();
            let Some(s) = session.as_ref() else { return };
            let zero = s.clock.zero(&s.view.record, steady()).map(|z| z.trunc_subsecs(2));
            MatchInfo { clock_started: zero, ..s.view.record.about.clone() }
        };
        self.ask(Ask::Edit(Box::new(Edit::SetMatch(Box::new(about)))));
    }

    /// Starts a match without footage: a new record, and the match clock at 0 now.
    pub fn log_without(&self, path: &Path) {
        if self.needs_folder(path, Purpose::LogWithout) {
            return;
        }
        let (path, zero) = (record_name(path), Local::now().fixed_offset().trunc_subsecs(2));
        self.open_by(Some(path.clone()), move |_| without_footage(&path, zero));
    }
}
