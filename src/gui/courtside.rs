//! Logging without footage: where the picture would be, a page with the match clock, what is being played, what to press.
//!
//! The clock is [`RunningClock`](crate::logging::RunningClock); a key stamps what it shows, in hundredths of a second.

use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{Local, SubsecRound};
use gtk::prelude::*;
use gtk::subclass::prelude::*;
use gtk::{gio, glib};

use super::kit::chooser;
use super::window::{Window, capital};
use crate::facts::heading_of;
use crate::logging::action::{ACTIONS, Group};
use crate::logging::clock::steady;
use crate::logging::log::open_point;
use crate::logging::{Action, KeyCard, Meaning};
use crate::record::{Edit, MatchInfo, Record};
use crate::session::keeper::Ask;
use crate::session::looking::{record_name, without_footage};
use crate::session::state::Session;
use crate::tennis::Side;
use crate::time::MatchTime;

const TICK: Duration = Duration::from_millis(100);

/// Who has won the match, in words, once somebody has.
pub fn match_won(record: &Record, won: Option<Side>) -> Option<String> {
    Some(format!("{} has won the match", record.about.side_name(won?)))
}

impl Session {
    /// Whether nothing was filmed, and nothing is being attached.
    pub fn courtside(&self) -> bool {
        self.view.record.footage.is_empty() && self.parts.is_empty()
    }

    /// What the match clock shows where nothing is filmed.
    pub fn court_time(&self) -> Option<MatchTime> {
        let about = Some(&self.view.record.about).filter(|_| self.courtside())?;
        self.clock.shows(about, steady())
    }

    /// What is going on in the match, in words: the point being played, or the one to come.
    fn going_on(&self) -> String {
        let record = &*self.view.record;
        let open = open_point(record).and_then(|i| self.facts().get(i));
        if let Some(f) = open {
            let since = record.points[f.number].start.unwrap_or_default().short();
            return format!("{}\nbeing played since {since}", capital(&heading_of(record, f)));
        }
        if let Some(over) = match_won(record, self.view.won) {
            return over;
        }
        let (next, server) = (&self.view.after, self.view.after.server);
        let (mine, theirs) = (next.games[server.index()], next.games[server.other().index()]);
        let (name, call) = (&record.about.player(server).name, next.called.server_first(server));
        format!("Point {} comes: {name} serves at {mine}–{theirs}, {call}", record.points.len() + 1)
    }

    /// What to press for it, in Pango's markup.
    fn to_press(&self, card: &KeyCard) -> String {
        let about = &self.view.record.about;
        let key = |a: Action| format!("<b>{}</b>", glib::markup_escape_text(&card.cap(a)));
        let wins = |side| glib::markup_escape_text(&format!("{} wins", about.player(side).name));
        if about.clock_started.is_none() {
            return "The match clock does not run.".into();
        }
        if open_point(&self.view.record).is_none() {
            return format!("{}  as the first serve is struck", key(Action::PointStart));
        }
        let keys = [
            format!("{}  {}", key(Action::WinnerA), wins(Side::A)),
            format!("{}  {}", key(Action::WinnerB), wins(Side::B)),
            format!("{}  fault", key(Action::Fault)),
            format!("{}  over, winner not seen", key(Action::PointEnd)),
        ];
        keys.map(|k| k.replace("  ", "\u{a0}\u{a0}")).join("    ")
    }
}

/// The match clock as the page shows it. What runs for days was left, and its days are all there is to say.
fn clock_words(t: MatchTime) -> String {
    const DAY: u64 = 86_400_000_000_000;
    match t.nanos() / DAY {
        0 => t.short(),
        1 => "1 day".into(),
        days => format!("{days} days"),
    }
}

impl Window {
    /// Wires the page and the bar by which footage is attached.
    pub fn wire_court(&self) {
        let imp = self.imp();
        self.on_click(&imp.empty_without, Action::LogWithout);
        self.on_click(&imp.court_attach, Action::AttachFootage);
        self.on_click(&imp.attach_here, Action::PointStart);
        self.on_click(&imp.attach_leave, Action::ClearFilter);
        imp.court_start.set_focus_on_click(false);
        let window = self.downgrade();
        imp.court_start.connect_clicked(move |_| {
            if let Some(w) = window.upgrade() {
                w.start_clock();
            }
        });
    }

    /// Whether the page without footage is on.
    pub fn is_courtside(&self) -> bool {
        self.model().session().borrow().as_ref().is_some_and(Session::courtside)
    }

    /// What the match clock shows, where nothing is filmed.
    pub fn court_time(&self) -> Option<MatchTime> {
        self.model().session().borrow().as_ref().and_then(Session::court_time)
    }

    /// Says that there is no footage where a key would play it.
    pub fn refuse_to_play(&self, meaning: &Meaning) -> bool {
        let Meaning::Do(action) = meaning else { return false };
        let watch = ACTIONS.iter().any(|r| r.action == *action && r.group == Group::Watch);
        let refused = self.is_courtside() && (watch || *action == Action::PlayMatching);
        if refused {
            let cap = self.card().map(|c| c.cap(Action::AttachFootage)).unwrap_or_default();
            self.say(&format!(
                "There is no footage yet. Log by the match clock; {cap} attaches the film later."
            ));
        }
        refused
    }

    /// Says why there is no moment to stamp.
    pub fn say_no_moment(&self) {
        self.say(if self.is_courtside() {
            "The match clock does not run: start it first."
        } else {
            "There is no frame to take the moment from."
        });
    }

    /// Shows the page where there is no footage, and puts it away where there is.
    pub fn show_court(&self, s: &Session) {
        let (imp, courtside) = (self.imp(), s.courtside());
        if imp.court.get_visible() != courtside {
            imp.court.set_visible(courtside);
            imp.transport.set_visible(!courtside);
            self.show_hints(courtside);
            imp.picture.update_property(&[gtk::accessible::Property::Label(if courtside {
                "No footage; the match clock runs"
            } else {
                "Footage"
            })]);
        }
        let Some(card) = self.card().filter(|_| courtside) else { return };
        imp.court_point.set_label(&s.going_on());
        imp.court_keys.set_markup(&s.to_press(&card));
        let stopped = s.view.record.about.clock_started.is_none();
        imp.court_start.set_visible(stopped && s.view.read_only.is_none());
        imp.court_attach.set_visible(s.view.read_only.is_none());
        self.show_court_time(s);
        self.keep_ticking();
    }

    fn show_court_time(&self, s: &Session) {
        let now = s.court_time().map_or_else(|| "–:––:––".into(), clock_words);
        if self.imp().court_clock.label() != now {
            self.imp().court_clock.set_label(&now);
        }
    }

    /// Keeps the clock on the page going until the page is put away.
    fn keep_ticking(&self) {
        if self.imp().ticking.replace(true) {
            return;
        }
        let window = self.downgrade();
        glib::timeout_add_local(TICK, move || {
            let Some(w) = window.upgrade() else { return glib::ControlFlow::Break };
            let session = w.model().session().borrow();
            if let Some(s) = session.as_ref().filter(|s| s.courtside()) {
                w.show_court_time(s);
                return glib::ControlFlow::Continue;
            }
            w.imp().ticking.set(false);
            glib::ControlFlow::Break
        });
    }

    fn start_clock(&self) {
        let about = {
            let session = self.model().session().borrow();
            let Some(s) = session.as_ref() else { return };
            let zero = s.clock.zero(&s.view.record, steady()).map(|z| z.trunc_subsecs(2));
            MatchInfo { clock_started: zero, ..s.view.record.about.clone() }
        };
        self.ask(Ask::Edit(Box::new(Edit::SetMatch(Box::new(about)))));
    }

    /// Asks where the record of a match without footage is to be.
    pub fn ask_where_to_log(&self) {
        let title = Some("Log without footage: where to keep the record");
        let save = gtk::FileChooserAction::Save;
        let chooser = gtk::FileChooserNative::new(title, Some(self), save, Some("Start"), Some("Cancel"));
        chooser.set_current_name(&format!("match-{}.points.json", Local::now().format("%Y-%m-%d")));
        if let Ok(here) = std::env::current_dir() {
            // The chooser offers another folder when it cannot show this one.
            let _ = chooser.set_current_folder(Some(&gio::File::for_path(here)));
        }
        self.when_chosen(&chooser, |w, paths| {
            if let [path] = &paths[..] {
                w.log_without(path);
            }
        });
    }

    /// Asks for another place for a record whose own folder takes nothing.
    pub fn ask_where_to_copy(&self) {
        let title = Some("The record's folder takes nothing: save a copy elsewhere");
        let save = gtk::FileChooserAction::Save;
        let chooser = gtk::FileChooserNative::new(title, Some(self), save, Some("Save"), Some("Cancel"));
        let name =
            self.model().session().borrow().as_ref().and_then(|s| s.view.path.file_name().map(PathBuf::from));
        chooser.set_current_name(&name.unwrap_or_default().to_string_lossy());
        self.when_chosen(&chooser, |w, paths| {
            if let [path] = &paths[..] {
                w.ask(Ask::SaveCopy(record_name(path)));
            }
        });
    }

    /// Starts a match without footage: a new record, and the match clock at 0 now.
    pub fn log_without(&self, path: &Path) {
        let (path, zero) = (record_name(path), Local::now().fixed_offset().trunc_subsecs(2));
        self.open_by(Some(path.clone()), move |_| without_footage(&path, zero));
    }

    /// Shows a file chooser, and does `then` with what was chosen in it.
    pub fn when_chosen(
        &self,
        chooser: &gtk::FileChooserNative,
        then: impl Fn(&Self, Vec<PathBuf>) + 'static,
    ) {
        let then = glib::clone!(
            #[weak(rename_to = window)]
            self,
            move |paths| then(&window, paths)
        );
        chooser::when_chosen(chooser, then);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_that_ran_for_days_says_so() {
        assert_eq!(clock_words(MatchTime::from_secs(3605)), "1:00:05");
        assert_eq!(clock_words(MatchTime::from_secs(86_400)), "1 day");
        assert_eq!(clock_words(MatchTime::from_secs(2 * 86_400 + 61)), "2 days");
    }
}
