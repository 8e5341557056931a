//! The one object that widgets see: what is open, what the keys mean, what the user set.
//!
//! A widget asks the model for something ([`Model::ask`]) and shows what the model tells: its signals say that the record
//! changed, that something is to be said. No widget needs to know the window for that.

use std::cell::{Cell, RefCell};
use std::path::PathBuf;
use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::logging::KeyCard;
use crate::session::filter::Filter;
use crate::session::keeper::Ask;
use crate::session::own::Own;
use crate::session::settings::Settings;
use crate::session::stamps::Stamps;
use crate::session::state::Session;
use crate::time::MatchTime;

mod imp {
    use std::sync::OnceLock;

    use super::{
        Cell, Filter, KeyCard, ObjectImpl, ObjectSubclass, Own, Rc, RefCell, Session, Settings, Stamps,
        StaticType, glib,
    };

    #[derive(Default)]
    pub struct Model {
        pub session: RefCell<Option<Session>>,
        pub card: RefCell<Option<Rc<KeyCard>>>,
        pub settings: RefCell<Settings>,
        pub stamps: RefCell<Stamps>,
        pub own: RefCell<Own>,
        pub group: Cell<u32>,
        pub filters: RefCell<Vec<Filter>>,
        pub at_start: RefCell<Vec<String>>,
        pub muted: Cell<bool>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Model {
        const NAME: &'static str = "ChangeoverModel";
        type Type = super::Model;
    }

    impl ObjectImpl for Model {
        fn signals() -> &'static [glib::subclass::Signal] {
            static SIGNALS: OnceLock<Vec<glib::subclass::Signal>> = OnceLock::new();
            SIGNALS.get_or_init(|| {
                let text = [String::static_type()];
                let nanos = [u64::static_type()];
                let boxed = [glib::BoxedAnyObject::static_type()];
                vec![
                    glib::subclass::Signal::builder("asked").build(),
                    glib::subclass::Signal::builder("dims").build(),
                    glib::subclass::Signal::builder("quiet").build(),
                    glib::subclass::Signal::builder("plays").param_types(boxed).build(),
                    glib::subclass::Signal::builder("opens").param_types(boxed).build(),
                    glib::subclass::Signal::builder("says").param_types(text).build(),
                    glib::subclass::Signal::builder("adds").param_types(text).build(),
                    glib::subclass::Signal::builder("card-changed").build(),
                    glib::subclass::Signal::builder("patterns-changed").build(),
                    glib::subclass::Signal::builder("goes-to").param_types(nanos).build(),
                ]
            })
        }
    }
}

glib::wrapper! {
    /// What is open, what the keys mean, what the user set.
    pub struct Model(ObjectSubclass<imp::Model>);
}

impl Default for Model {
    fn default() -> Self {
        glib::Object::new()
    }
}

impl Model {
    /// What is open, if anything.
    pub fn session(&self) -> &RefCell<Option<Session>> {
        &self.imp().session
    }

    /// The key card; there is none only before the window is set up.
    pub fn card(&self) -> &RefCell<Option<Rc<KeyCard>>> {
        &self.imp().card
    }

    /// What the user set.
    pub fn settings(&self) -> &RefCell<Settings> {
        &self.imp().settings
    }

    /// How late the coach presses.
    pub fn stamps(&self) -> &RefCell<Stamps> {
        &self.imp().stamps
    }

    /// The user's own patterns.
    pub fn own(&self) -> &RefCell<Own> {
        &self.imp().own
    }

    /// The keyboard layout that is switched on, counted from 0.
    pub fn group(&self) -> &Cell<u32> {
        &self.imp().group
    }

    /// The choices of the filter's menu.
    pub fn filters(&self) -> &RefCell<Vec<Filter>> {
        &self.imp().filters
    }

    /// What is wrong with the user's own files: said again once footage is open, because opening it clears the message.
    pub fn at_start(&self) -> &RefCell<Vec<String>> {
        &self.imp().at_start
    }

    /// Whether the sound is off.
    pub fn muted(&self) -> &Cell<bool> {
        &self.imp().muted
    }

    /// Asks the keeper for something. What comes of it is shown when the keeper tells that it is on disk.
    pub fn ask(&self, ask: Ask) {
        if let Some(s) = self.imp().session.borrow_mut().as_mut() {
            s.ask(ask);
        }
        self.emit_by_name::<()>("asked", &[]);
    }

    /// Says something in the message bar.
    pub fn say(&self, text: &str) {
        self.emit_by_name::<()>("says", &[&text]);
    }

    /// Says something more, below what the message bar says already.
    pub fn say_too(&self, text: &str) {
        self.emit_by_name::<()>("adds", &[&text]);
    }

    /// Shows the footage at a moment of the match clock.
    pub fn go_to(&self, at: MatchTime) {
        self.emit_by_name::<()>("goes-to", &[&at.nanos()]);
    }

    /// Plays points of the open match, one clip after another.
    pub fn play_points(&self, points: Vec<usize>) {
        self.emit_by_name::<()>("plays", &[&glib::BoxedAnyObject::new(points)]);
    }

    /// Opens other files in the place of what is open.
    pub fn open(&self, paths: &[PathBuf]) {
        self.emit_by_name::<()>("opens", &[&glib::BoxedAnyObject::new(paths.to_vec())]);
    }

    /// Takes back what was said.
    pub fn be_quiet(&self) {
        self.emit_by_name::<()>("quiet", &[]);
    }

    /// Shows anew which points are dimmed.
    pub fn dim(&self) {
        self.emit_by_name::<()>("dims", &[]);
    }

    /// Calls `then` when points are to be played.
    pub fn connect_plays(&self, then: impl Fn(Vec<usize>) + 'static) {
        self.connect_boxed("plays", then);
    }

    /// Calls `then` when files are to be opened.
    pub fn connect_opens(&self, then: impl Fn(Vec<PathBuf>) + 'static) {
        self.connect_boxed("opens", then);
    }

    fn connect_boxed<T: Clone + 'static>(&self, signal: &str, then: impl Fn(T) + 'static) {
        self.connect_local(signal, false, move |values| {
            if let Some(what) = values.get(1).and_then(|v| v.get::<glib::BoxedAnyObject>().ok()) {
                then(what.borrow::<T>().clone());
            }
            None
        });
    }

    /// Calls `then` when what was said is to be taken back.
    pub fn connect_quiet(&self, then: impl Fn() + 'static) {
        self.connect_plain("quiet", then);
    }

    /// Calls `then` when other points are dimmed.
    pub fn connect_dims(&self, then: impl Fn() + 'static) {
        self.connect_plain("dims", then);
    }

    /// Calls `then` when something was asked: it is not on disk yet.
    pub fn connect_asked(&self, then: impl Fn() + 'static) {
        self.connect_plain("asked", then);
    }

    /// Calls `then` when keys mean something else.
    pub fn connect_card_changed(&self, then: impl Fn() + 'static) {
        self.connect_plain("card-changed", then);
    }

    /// Calls `then` when the user's own patterns are others.
    pub fn connect_patterns_changed(&self, then: impl Fn() + 'static) {
        self.connect_plain("patterns-changed", then);
    }

    fn connect_plain(&self, signal: &str, then: impl Fn() + 'static) {
        self.connect_local(signal, false, move |_| {
            then();
            None
        });
    }

    /// Calls `then` with the moment that is to be shown.
    pub fn connect_goes_to(&self, then: impl Fn(MatchTime) + 'static) {
        self.connect_local("goes-to", false, move |values| {
            if let Some(nanos) = values.get(1).and_then(|v| v.get::<u64>().ok()) {
                then(MatchTime::from_nanos(nanos));
            }
            None
        });
    }

    /// Calls `then` with what is to be said; the flag is set when it comes below what is said already.
    pub fn connect_says(&self, then: impl Fn(&str, bool) + Clone + 'static) {
        for (signal, more) in [("says", false), ("adds", true)] {
            let then = then.clone();
            self.connect_local(signal, false, move |values| {
                if let Some(text) = values.get(1).and_then(|v| v.get::<String>().ok()) {
                    then(&text, more);
                }
                None
            });
        }
    }
}
