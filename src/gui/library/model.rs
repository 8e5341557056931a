//! What the parts of the Library page share: the records, the words, what was typed and found.

use std::cell::{Cell, RefCell};
use std::collections::VecDeque;
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::Arc;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::facts::PointRef;
use crate::gui::kit::job::{Job, off_loop};
use crate::gui::model::Model;
use crate::library::{Cache, Kept, Listed};
use crate::record::Point;
use crate::search::{Search, Vocabulary};
use crate::session::library::finds::Finds;
use crate::session::library::marking::Mark;
use crate::session::play_list::Item;

/// A clip that was given to be played: the record and the point that it is of.
#[derive(Debug, Clone)]
pub struct Played {
    pub item: Item,
    pub path: PathBuf,
    pub point: usize,
}

/// A mark to be put on a point of a record.
#[derive(Debug, Clone)]
pub struct Wish {
    pub path: PathBuf,
    pub point: usize,
    /// The point as the list shows it.
    pub seen: Point,
    pub mark: Mark,
    /// The point in words.
    pub words: String,
    pub step: Step,
}

/// Whether something is done for the first time, taken back, or done again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    New,
    Back,
    Again,
}

/// The marks that wait until the one before is on the disk; what can be taken back, and what can be done again, the last one last.
#[derive(Debug, Default)]
pub struct Marks {
    pub waiting: RefCell<VecDeque<Wish>>,
    pub writes: Cell<bool>,
    pub done: RefCell<Vec<Done>>,
    pub undone: RefCell<Vec<Undone>>,
}

impl Marks {
    /// Something new was done: what was taken back before cannot be done again.
    pub fn did(&self, done: Done) {
        self.done.borrow_mut().push(done);
        self.undone.borrow_mut().clear();
    }
}

/// What can be taken back.
#[derive(Debug)]
pub enum Done {
    /// A mark, by what undoes it.
    Marked(Box<Wish>),
    /// A clip was taken out of the list.
    Removed,
}

/// What was taken back and can be done again.
#[derive(Debug)]
pub enum Undone {
    /// A mark, by what does it again.
    Marked(Box<Wish>),
    /// A clip is back at its place in the list.
    Removed(usize, PointRef),
}

/// What the library tells its parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// The list of records is another.
    Listed,
    /// The words that are understood are others, or other words were typed.
    Words,
    /// Other clips were found.
    Found,
    /// What is being worked on has changed.
    Working,
}

impl Told {
    const ALL: [Self; 4] = [Self::Listed, Self::Words, Self::Found, Self::Working];

    const fn signal(self) -> &'static str {
        match self {
            Self::Listed => "listed",
            Self::Words => "words",
            Self::Found => "found",
            Self::Working => "working",
        }
    }
}

mod imp {
    use std::cell::OnceCell;
    use std::sync::OnceLock;

    use super::{
        Arc, Cache, Cell, Finds, Job, Kept, Listed, Marks, Model, Played, Rc, RefCell, Search, Told,
        Vocabulary, glib,
    };
    use gtk::subclass::prelude::*;

    #[derive(Default)]
    pub struct LibraryModel {
        pub model: OnceCell<Model>,
        pub records: RefCell<Rc<Vec<Listed>>>,
        pub cache: RefCell<Arc<Cache>>,
        pub kept: RefCell<Arc<Kept>>,
        pub words: RefCell<Arc<Vocabulary>>,
        pub typed: RefCell<String>,
        pub search: RefCell<Search>,
        pub finds: RefCell<Finds>,
        pub working: RefCell<String>,
        /// The folder that could not be listed, in words; empty if all could.
        pub trouble: RefCell<String>,
        pub job: RefCell<Option<Job>>,
        /// Whether the page is in sight.
        pub seen: Cell<bool>,
        /// Whether it looks for changes every few seconds.
        pub looks: Cell<bool>,
        /// Whether records are being read.
        pub reads: Cell<bool>,
        /// The clips that were given to be played, each with its record and its point.
        pub played: RefCell<Vec<Played>>,
        pub marks: Marks,
        /// Counts the searches, so that a late answer is dropped.
        pub turn: Cell<u32>,
        /// Whether an answer is awaited.
        pub finds_now: Cell<bool>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for LibraryModel {
        const NAME: &'static str = "ChangeoverLibraryModel";
        type Type = super::LibraryModel;
    }

    impl ObjectImpl for LibraryModel {
        fn signals() -> &'static [glib::subclass::Signal] {
            static SIGNALS: OnceLock<Vec<glib::subclass::Signal>> = OnceLock::new();
            SIGNALS
                .get_or_init(|| Told::ALL.map(|t| glib::subclass::Signal::builder(t.signal()).build()).into())
        }

        fn dispose(&self) {
            self.job.take().iter().for_each(Job::stop);
        }
    }
}

glib::wrapper! {
    /// The records, the words, what was typed and found.
    pub struct LibraryModel(ObjectSubclass<imp::LibraryModel>);
}

impl Default for LibraryModel {
    fn default() -> Self {
        glib::Object::new()
    }
}

impl LibraryModel {
    /// Plays by this model, and has its folders.
    pub fn set_up(&self, model: &Model) {
        // It is set up once.
        let _ = self.imp().model.set(model.clone());
    }

    /// What plays; nothing before the window is set up.
    pub fn model(&self) -> Option<&Model> {
        self.imp().model.get()
    }

    /// The records, the newest first.
    pub fn records(&self) -> Rc<Vec<Listed>> {
        self.imp().records.borrow().clone()
    }

    /// Whether the user has named folders.
    pub fn has_folders(&self) -> bool {
        !self.folders().is_empty()
    }

    /// Whether the records were never read whole yet, and are read now.
    pub fn reads(&self) -> bool {
        self.imp().reads.get() && self.imp().kept.borrow().is_empty()
    }

    /// What is being worked on, in words; empty when nothing is.
    pub fn working(&self) -> String {
        self.imp().working.borrow().clone()
    }

    /// Says how far long work is.
    pub fn work(&self, words: &str) {
        if self.imp().working.replace(words.to_owned()) != words {
            self.tell(Told::Working);
        }
    }

    /// The words that are understood.
    pub fn words(&self) -> Arc<Vocabulary> {
        self.imp().words.borrow().clone()
    }

    /// How what was typed is understood.
    pub fn search(&self) -> Search {
        self.imp().search.borrow().clone()
    }

    /// Looks for what these words describe. The user's order is kept while they describe the same.
    pub fn find(&self, typed: &str) {
        let imp = self.imp();
        imp.typed.replace(typed.to_owned());
        let search = Search::read(typed, &self.words());
        imp.search.replace(search.clone());
        self.tell(Told::Words);
        let turn = imp.turn.get() + 1;
        imp.turn.set(turn);
        imp.finds_now.set(true);
        let kept = imp.kept.borrow().clone();
        // As long as a word is not understood, what the others find is no answer.
        let ask = search.unknown().count() == 0;
        let work = move || {
            let found = if ask { kept.answer(&search) } else { crate::library::Answered::default() };
            Finds::new(kept, search.to_string(), found.points, found.unknown)
        };
        off_loop(
            work,
            glib::clone!(
                #[weak(rename_to = library)]
                self,
                move |finds| {
                    let imp = library.imp();
                    if imp.turn.get() == turn {
                        imp.finds_now.set(false);
                        let mut finds = finds.after(&imp.finds.take());
                        // A mark may have been put on the disk meanwhile.
                        finds.follow(imp.kept.borrow().clone());
                        imp.finds.replace(finds);
                        library.tell(Told::Found);
                    }
                }
            ),
        );
    }

    /// Looks again: the records may have changed.
    pub fn find_again(&self) {
        let typed = self.imp().typed.borrow().clone();
        self.find(&typed);
    }

    /// The clips that were found.
    pub const fn finds(&self) -> LibraryFinds<'_> {
        LibraryFinds(self)
    }

    /// Tells of something.
    pub fn tell(&self, told: Told) {
        self.emit_by_name::<()>(told.signal(), &[]);
    }

    /// Calls `then` when something is told.
    pub fn on(&self, told: Told, then: impl Fn(&Self) + 'static) {
        self.connect_local(told.signal(), false, move |values| {
            if let Some(library) = values.first().and_then(|v| v.get::<Self>().ok()) {
                then(&library);
            }
            None
        });
    }
}

/// The clips that were found, to be looked at or changed.
pub struct LibraryFinds<'l>(&'l LibraryModel);

impl LibraryFinds<'_> {
    /// Looks at them.
    pub fn look<R>(&self, at: impl FnOnce(&Finds) -> R) -> R {
        at(&self.0.imp().finds.borrow())
    }

    /// Changes them, and tells.
    pub fn change(&self, how: impl FnOnce(&mut Finds)) {
        how(&mut self.0.imp().finds.borrow_mut());
        self.0.tell(Told::Found);
    }
}
