//! The study: what is asked, the answer, and the spot whose clips are listed. Widgets show it and never each other.

use std::cell::{Cell, OnceCell, RefCell};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::facts::PointRef;
use crate::gui::model::Model;
use crate::pattern::Pattern;
use crate::session::study::asking::{Added, Answered, Asked};
use crate::session::study::spot::Spot;

/// What the study tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// There are other questions.
    Questions,
    /// Another question is asked.
    Asked,
    /// How far work is that takes its time: see [`StudyModel::working`].
    Working,
    /// There is another answer.
    Answered,
    /// Another spot is chosen, or its clips are others.
    Chosen,
    /// Another court picture is to be shown.
    Map,
    /// Another part of the match in numbers is to be shown.
    Part,
    /// Clips are played.
    Played,
}

impl Told {
    const ALL: [Self; 8] = [
        Self::Questions,
        Self::Asked,
        Self::Working,
        Self::Answered,
        Self::Chosen,
        Self::Map,
        Self::Part,
        Self::Played,
    ];

    const fn signal(self) -> &'static str {
        match self {
            Self::Questions => "questions",
            Self::Asked => "asked",
            Self::Working => "working",
            Self::Answered => "answered",
            Self::Chosen => "chosen",
            Self::Map => "map",
            Self::Part => "part",
            Self::Played => "played",
        }
    }
}

pub mod imp {
    use std::sync::OnceLock;

    use gtk::glib;
    use gtk::subclass::prelude::*;

    use super::{
        Added, Answered, Asked, BTreeMap, Cell, Model, OnceCell, PathBuf, Pattern, PointRef, Rc, RefCell,
        Spot, Told,
    };

    #[derive(Default)]
    pub struct StudyModel {
        pub model: OnceCell<Model>,
        pub asked: RefCell<Vec<Asked>>,
        /// The patterns that the questions ask for.
        pub patterns: RefCell<Vec<Pattern>>,
        /// Files of questions that were opened, besides the user's own.
        pub added: RefCell<Vec<PathBuf>>,
        pub question: Cell<usize>,
        /// The label chosen of each facet.
        pub picked: RefCell<Vec<String>>,
        /// The matches besides the one that is open.
        pub others: RefCell<Vec<Added>>,
        /// The record that the answer is of.
        pub path: RefCell<Option<PathBuf>>,
        pub answered: RefCell<Option<Rc<Answered>>>,
        /// Whether a question is being answered, and whether it must be asked again.
        pub busy: Cell<bool>,
        pub again: Cell<bool>,
        pub working: RefCell<String>,
        /// Whether the page is in sight: what is not seen is not asked.
        pub seen: Cell<bool>,
        pub spot: Cell<Option<Spot>>,
        /// Which of several court pictures is shown.
        pub map: Cell<usize>,
        /// Which part of the match in numbers is shown: the whole match, or a set.
        pub part: Cell<usize>,
        /// The point of each clip that is played.
        pub played: RefCell<Vec<PointRef>>,
        /// Why some of the clips that are listed cannot be played.
        pub not_played: RefCell<BTreeMap<PointRef, &'static str>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for StudyModel {
        const NAME: &'static str = "ChangeoverStudyModel";
        type Type = super::StudyModel;
    }

    impl ObjectImpl for StudyModel {
        fn signals() -> &'static [glib::subclass::Signal] {
            static SIGNALS: OnceLock<Vec<glib::subclass::Signal>> = OnceLock::new();
            SIGNALS
                .get_or_init(|| Told::ALL.map(|t| glib::subclass::Signal::builder(t.signal()).build()).into())
        }
    }
}

glib::wrapper! {
    /// What is asked, the answer, and the spot that is chosen.
    pub struct StudyModel(ObjectSubclass<imp::StudyModel>);
}

impl Default for StudyModel {
    fn default() -> Self {
        glib::Object::new()
    }
}

impl StudyModel {
    /// Studies what this model has open.
    pub fn set_up(&self, model: &Model) {
        // It is set up once.
        let _ = self.imp().model.set(model.clone());
    }

    /// What is open; nothing before the window is set up.
    pub fn model(&self) -> Option<&Model> {
        self.imp().model.get()
    }

    /// Says something in the message bar.
    pub fn say(&self, text: &str) {
        if let Some(model) = self.model() {
            model.say(text);
        }
    }

    /// The answer that is shown.
    pub fn answered(&self) -> Option<Rc<Answered>> {
        self.imp().answered.borrow().clone()
    }

    /// The spot that is chosen: all points until another one is.
    pub fn spot(&self) -> Spot {
        self.imp().spot.get().unwrap_or(Spot::All)
    }

    /// What is being worked on, in words; empty when nothing takes its time.
    pub fn working(&self) -> String {
        self.imp().working.borrow().clone()
    }

    /// Says how far long work is.
    pub fn work(&self, words: &str) {
        self.imp().working.replace(words.to_owned());
        self.tell(Told::Working);
    }

    /// Which court picture is shown.
    pub fn map(&self) -> usize {
        self.imp().map.get()
    }

    /// Shows another court picture.
    pub fn show_map(&self, map: usize) {
        if self.imp().map.replace(map) != map {
            self.tell(Told::Map);
        }
    }

    /// Which part of the match in numbers is shown, by its place.
    pub fn part(&self) -> usize {
        self.imp().part.get()
    }

    /// Shows another part of the match in numbers.
    pub fn show_part(&self, part: usize) {
        if self.imp().part.replace(part) != part {
            self.tell(Told::Part);
        }
    }

    /// Tells of something.
    pub fn tell(&self, told: Told) {
        self.emit_by_name::<()>(told.signal(), &[]);
    }

    /// Calls `then` when something is told.
    pub fn on(&self, told: Told, then: impl Fn(&Self) + 'static) {
        self.connect_local(told.signal(), false, move |values| {
            if let Some(study) = values.first().and_then(|v| v.get::<Self>().ok()) {
                then(&study);
            }
            None
        });
    }
}
