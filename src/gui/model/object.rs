//! The model's parts: what is open, what the keys mean, what the user set, what plays; and its signals.

use std::cell::{Cell, RefCell};
use std::collections::VecDeque;
use std::path::PathBuf;
use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::cutter::Cutting;
use super::event::Event;
use super::follower::Following;
use super::listing::{Listing, Played};
use super::looker::{Looking, PlayersKnown};
use super::shown::Showing;
use super::talking::Talking;
use crate::gui::kit::job::Job;
use crate::gui::picture::paintable::FramePaintable;
use crate::logging::KeyCard;
use crate::session::alone::Purpose;
use crate::session::filter::Filter;
use crate::session::own::Own;
use crate::session::parts::Place;
use crate::session::settings::Settings;
use crate::session::stamps::Stamps;
use crate::session::state::Session;
use crate::time::MatchTime;
use crate::video::Player;

mod imp {
    use std::sync::OnceLock;

    use glib::subclass::Signal;

    use super::{
        Cell, Cutting, Event, Filter, Following, FramePaintable, Job, KeyCard, Listing, Looking, MatchTime,
        ObjectImpl, ObjectSubclass, Own, PathBuf, Place, Played, Player, PlayersKnown, Purpose, Rc, RefCell,
        Session, Settings, Showing, Stamps, StaticType, Talking, VecDeque, glib,
    };
    use gtk::subclass::prelude::{ObjectImplExt, ObjectSubclassExt};

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
        pub dark: Cell<bool>,
        pub strong: Cell<bool>,
        pub alone: RefCell<(Purpose, Vec<PathBuf>)>,
        pub frames: FramePaintable,
        pub player: RefCell<Option<Player>>,
        /// Counts the files opened, so that a late answer about an earlier one is dropped.
        pub opened: Cell<u32>,
        /// The reading of files that was begun last.
        pub opening: RefCell<Option<Job>>,
        /// Counts the players, so that a late frame of an earlier one is dropped.
        pub players: Cell<u32>,
        /// What the player tells, of which file, and which player that is.
        pub events: RefCell<Option<Played>>,
        /// What a player warned of last: each file's player would warn of it again.
        pub warned: RefCell<String>,
        /// Films that were opened together with this one, each with a record of its own.
        pub rest: RefCell<VecDeque<PathBuf>>,
        pub reading: Cell<f64>,
        pub moment: Cell<Option<(MatchTime, Place)>>,
        pub listing: Listing,
        pub showing: Showing,
        pub talking: Talking,
        /// The search for cuts.
        pub cutting: RefCell<Option<Cutting>>,
        /// Following the court.
        pub following: RefCell<Option<Following>>,
        /// Looking for players.
        pub looking: RefCell<Option<Looking>>,
        /// What is known of the players of the current point.
        pub players_known: PlayersKnown,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Model {
        const NAME: &'static str = "ChangeoverModel";
        type Type = super::Model;
    }

    impl ObjectImpl for Model {
        fn constructed(&self) {
            self.parent_constructed();
            self.obj().look_ahead();
            self.obj().look_for_cuts();
            self.obj().know_courts();
            self.obj().know_players();
        }

        fn signals() -> &'static [Signal] {
            static SIGNALS: OnceLock<Vec<Signal>> = OnceLock::new();
            SIGNALS.get_or_init(|| {
                let text = [String::static_type()];
                let mut all = vec![
                    Signal::builder("says").param_types(text).build(),
                    Signal::builder("adds").param_types(text).build(),
                    Signal::builder("wants").param_types(text).build(),
                    Signal::builder("settled").param_types([glib::BoxedAnyObject::static_type()]).build(),
                ];
                all.extend(Event::ALL.map(|e| Signal::builder(e.signal()).build()));
                all
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

    /// Whether the window is dark.
    pub fn dark(&self) -> &Cell<bool> {
        &self.imp().dark
    }

    /// Whether the desktop asks for strong contrast.
    pub fn strong(&self) -> &Cell<bool> {
        &self.imp().strong
    }

    /// The files whose folder is not seen, and what shall be done with them.
    pub fn alone(&self) -> &RefCell<(Purpose, Vec<PathBuf>)> {
        &self.imp().alone
    }

    /// The frame on the screen.
    pub fn frames(&self) -> &FramePaintable {
        &self.imp().frames
    }

    /// What plays the footage, if any is open.
    pub fn player(&self) -> &RefCell<Option<Player>> {
        &self.imp().player
    }

    /// Counts the files opened.
    pub fn opened(&self) -> &Cell<u32> {
        &self.imp().opened
    }

    /// The reading of files that was begun last.
    pub fn opening(&self) -> &RefCell<Option<Job>> {
        &self.imp().opening
    }

    /// What the player tells, of which file, and which player that is.
    pub fn events(&self) -> &RefCell<Option<Played>> {
        &self.imp().events
    }

    /// Counts the players.
    pub fn players(&self) -> &Cell<u32> {
        &self.imp().players
    }

    /// What a player warned of last.
    pub fn warned(&self) -> &RefCell<String> {
        &self.imp().warned
    }

    /// Films that were opened together with this one and wait.
    pub fn rest(&self) -> &RefCell<VecDeque<PathBuf>> {
        &self.imp().rest
    }

    /// How much of what is being opened has been read, from 0 to 1.
    pub fn reading(&self) -> &Cell<f64> {
        &self.imp().reading
    }

    /// The search for cuts.
    pub(in crate::gui) fn cutting(&self) -> &RefCell<Option<Cutting>> {
        &self.imp().cutting
    }

    /// Following the court.
    pub(super) fn following(&self) -> &RefCell<Option<Following>> {
        &self.imp().following
    }

    /// Looking for players.
    pub(super) fn looking(&self) -> &RefCell<Option<Looking>> {
        &self.imp().looking
    }

    /// What is known of the players of the current point.
    pub(super) fn players_known(&self) -> &PlayersKnown {
        &self.imp().players_known
    }

    /// The clips that are played one after another.
    pub(super) fn listing(&self) -> &Listing {
        &self.imp().listing
    }

    /// The lesson that is open.
    pub(super) fn showing(&self) -> &Showing {
        &self.imp().showing
    }

    /// The lesson's talk.
    pub(super) fn talking(&self) -> &Talking {
        &self.imp().talking
    }

    /// The moment that is shown, and which frame of which file it is; none in footage that the open record has not.
    pub fn moment(&self) -> &Cell<Option<(MatchTime, Place)>> {
        &self.imp().moment
    }

    /// Tells of something.
    pub fn tell(&self, event: Event) {
        self.emit_by_name::<()>(event.signal(), &[]);
    }

    /// Calls `then` when something happened.
    pub fn on(&self, event: Event, then: impl Fn(&Self) + 'static) {
        self.connect_local(event.signal(), false, move |values| {
            if let Some(model) = values.first().and_then(|v| v.get::<Self>().ok()) {
                then(&model);
            }
            None
        });
    }
}
