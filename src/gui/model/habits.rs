//! What the model keeps of the user: the key card, the settings, the own patterns, how late the stamps are.

use std::path::PathBuf;
use std::rc::Rc;
use std::time::Duration;

use gtk::gdk;
use gtk::glib;

use super::event::Event;
use super::object::Model;
use crate::gui::kit::job::off_loop;
use crate::gui::kit::keyboard;
use crate::gui::kit::small_pictures::switch;
use crate::logging::ball::PadKey;
use crate::logging::react::Pair;
use crate::logging::{Action, KeyCard, Plain};
use crate::pattern::{Pattern, PatternFile};
use crate::record::MatchInfo;
use crate::session::error::OwnFileError;
use crate::session::keeper::Ask;
use crate::session::own::{patterns_in, read};
use crate::session::settings::Settings;
use crate::session::stamps::{late_ms, pair};
use crate::session::state::Session;
use crate::tennis::Side;
use crate::time::MatchTime;

impl Model {
    /// The key card.
    pub fn key_card(&self) -> Option<Rc<KeyCard>> {
        self.card().borrow().clone()
    }

    /// The keys of an action, as they are written on the user's keyboard; empty without one.
    pub fn cap(&self, action: Action) -> String {
        self.card().borrow().as_ref().map(|c| c.cap(action)).unwrap_or_default()
    }

    /// The names of the two sides; "Player A" and "Player B" while nobody named them.
    pub fn side_names(&self) -> [String; 2] {
        let session = self.session().borrow();
        session.as_ref().map_or_else(
            || [Side::A, Side::B].map(|side| MatchInfo::default().side_name(side)),
            Session::names,
        )
    }

    /// Keys mean what this card says from now on.
    pub fn use_card(&self, card: KeyCard) {
        let Some(display) = gdk::Display::default() else { return };
        let now = keyboard::read(&display, self.group().get() as i32);
        let card = Rc::new(card.on_layout(now));
        self.card().replace(Some(card.clone()));
        self.tell(Event::Card);
        for lost in card.lost() {
            self.say_too(&lost.to_string());
        }
    }

    /// Another keyboard layout is switched on: the card's keys have other names.
    pub fn follow_layout(&self, group: u32) {
        self.group().set(group);
        let (Some(card), Some(display)) = (self.key_card(), gdk::Display::default()) else { return };
        if card.layout() != Some(&keyboard::read(&display, group as i32)) {
            self.use_card(card.as_ref().clone());
        }
    }

    /// What the user set holds from now on.
    pub fn use_settings(&self, settings: Settings) {
        switch(!settings.no_pictures);
        self.settings().replace(settings);
        self.tell_settings();
    }

    /// Tells a record's keeper what the user set.
    pub fn tell_settings(&self) {
        if self.session().borrow().is_none() {
            return;
        }
        let ask = {
            let settings = self.settings().borrow();
            let plain = Plain {
                forehand: settings.plain_forehand,
                groundstroke: settings.plain_groundstroke,
                misses: settings.plain_misses,
            };
            Ask::Prefer(plain, Duration::from_millis(settings.reaction_ms.into()))
        };
        self.ask(ask);
    }

    /// Reads the user's own patterns, from this file if one is given, on a thread.
    pub fn load_own(&self, path: Option<PathBuf>) {
        if let Some(path) = path {
            self.own().borrow_mut().path = path;
        }
        let path = self.own().borrow().path.clone();
        let reading = move || Ok(patterns_in(&read(&path)?, &path)?);
        let then = glib::clone!(
            #[weak(rename_to = model)]
            self,
            move |found: Result<PatternFile, OwnFileError>| match found {
                Ok(file) => model.set_own(file.patterns),
                Err(why) => model.say_at_start(&format!("Your own patterns were not loaded. {why}")),
            }
        );
        off_loop(reading, then);
    }

    /// Takes the user's own patterns among those that can be asked for.
    pub fn set_own(&self, patterns: Vec<Pattern>) {
        if let Some(s) = self.session().borrow_mut().as_mut() {
            s.set_own(&patterns);
        }
        self.own().borrow_mut().patterns = patterns;
        self.fill_filters();
        self.tell(Event::Changed);
    }

    /// Says what is wrong with the user's own files: below what is said already, and again once footage is open.
    pub fn say_at_start(&self, text: &str) {
        if self.session().borrow().is_none() {
            self.at_start().borrow_mut().push(text.to_owned());
        }
        self.say_too(text);
    }

    /// A key was pressed while the footage played. One that may start a point tells how late the coach is.
    pub fn stamped(&self, action: Action, shown: MatchTime, speed: f64) {
        let in_a_point = self.session().borrow().as_ref().is_some_and(Session::is_in_a_point);
        if action == Action::PointStart || PadKey::of(action).is_some() && !in_a_point {
            self.stamps().borrow_mut().pressed(shown, speed);
        }
    }

    /// The stamps that were moved after they were made, now and before.
    pub fn late_stamps(&self) -> Vec<Pair> {
        let before: Vec<Pair> = self.settings().borrow().late_ms.iter().filter_map(|ms| pair(*ms)).collect();
        before.into_iter().chain(self.stamps().borrow().pairs()).collect()
    }

    /// Saves how late the stamps were that were moved since the record was opened.
    pub fn keep_late(&self) {
        let late: Vec<i32> = self.stamps().take().pairs().iter().map(late_ms).collect();
        if late.is_empty() {
            return;
        }
        self.settings().borrow_mut().late_ms.extend(late);
        self.write_settings();
    }

    /// Keeps what a plain key of the pad means, where a key changed that.
    pub fn keep_plain(&self, plain: Plain) {
        let changed = {
            let mut settings = self.settings().borrow_mut();
            let of = |s: &Settings| (s.plain_forehand, s.plain_groundstroke, s.plain_misses);
            let before = of(&settings);
            (settings.plain_forehand, settings.plain_groundstroke) = (plain.forehand, plain.groundstroke);
            settings.plain_misses = plain.misses;
            before != of(&settings)
        };
        if changed {
            self.write_settings();
        }
    }

    /// Writes the settings; says so where that fails.
    pub fn write_settings(&self) {
        let written = self.settings().borrow().write();
        if let Err(why) = written {
            self.say_too(&why.to_string());
        }
    }
}
