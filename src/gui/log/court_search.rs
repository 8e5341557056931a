//! The search for the court in the frame shown: how far it is, a way to stop it, and what it found, as marks and in words.

use std::cell::{Cell, RefCell};
use std::ops::ControlFlow;
use std::rc::Rc;

use super::work_row::WorkRow;
use crate::find::{Belief, Court, Grey, NotFound, find_court_unless_stopped};
use crate::gui::kit::job::{Job, News, Teller};
use crate::gui::model::{Event, Model, Stage};
use crate::measure::Size;
use crate::record::{Corner, CourtMark, FoundBy};
use crate::session::marking::LEAST;

/// What the search tells: how far it is, and what came of it.
type Heard = News<f64, Result<Court, NotFound>>;

/// What came of a search.
#[derive(Debug)]
pub struct Found {
    /// The landmarks where the court that was found has them, if it may be proposed.
    pub marks: Option<(Vec<CourtMark>, FoundBy)>,
    /// What to do now.
    pub words: String,
}

/// The row of the Measure page that shows the search.
#[derive(Debug)]
pub struct CourtSearch {
    pub(super) row: WorkRow,
    job: RefCell<Option<Job>>,
    stage: RefCell<Option<Stage>>,
    /// Which search it is: what is heard of an earlier one does not count.
    number: Cell<u32>,
    /// Whether it may be begun.
    can_begin: Cell<bool>,
}

impl CourtSearch {
    /// Fills a box that is empty. `begin` is what its button does. A search ends with what is open.
    pub fn fill(into: &gtk::Box, model: &Model, begin: impl Fn() + 'static) -> Rc<Self> {
        let button = ["Find the court", "Looks for the lines of the court in this frame"];
        let search = Rc::new(Self {
            row: WorkRow::new(into, "Looking for the court", button),
            job: RefCell::default(),
            stage: RefCell::default(),
            number: Cell::default(),
            can_begin: Cell::default(),
        });
        let stopped = Rc::downgrade(&search);
        let cancel = move |m: &Model| {
            stopped.upgrade().into_iter().for_each(|s| s.stop());
            m.tell(Event::Court);
        };
        search.row.wire(model, cancel, move |_| begin());
        for event in [Event::Opened, Event::Closed] {
            let stopped = Rc::downgrade(&search);
            model.on(event, move |_| stopped.upgrade().into_iter().for_each(|s| s.stop()));
        }
        search.show();
        search
    }

    /// Whether it is under way.
    pub fn is_on(&self) -> bool {
        matches!(*self.stage.borrow(), Some(Stage::At(_)))
    }

    /// Looks for the court in a picture, on a thread; `then` hears what was found, unless the search was stopped.
    pub fn start(self: &Rc<Self>, grey: Grey, then: impl Fn(Found) + 'static) {
        self.stop();
        let size = grey.size();
        let number = self.number.get();
        let search = Rc::downgrade(self);
        let job = Job::start(
            move |teller: &Teller<_, _>| find_court_unless_stopped(&grey, &mut |part| teller.tell(part)),
            move |news: Heard| {
                let Some(search) = search.upgrade().filter(|s| s.number.get() == number) else {
                    return ControlFlow::Break(());
                };
                match news {
                    News::Progress(part) => search.tell(Some(Stage::At(part))),
                    News::Done(found) => {
                        search.stage.replace(Some(Stage::Done));
                        then(Found::of(found, size));
                        search.show();
                    }
                }
                ControlFlow::Continue(())
            },
        );
        self.job.replace(Some(job));
        self.tell(Some(Stage::At(0.0)));
    }

    /// Stops it: nothing more is heard of it.
    pub fn stop(&self) {
        self.number.set(self.number.get() + 1);
        if let Some(job) = self.job.take() {
            job.stop();
        }
        self.tell(None);
    }

    /// Says whether a search is wanted: if it is not, one that is under way ends.
    pub fn want(&self, can_begin: bool, is_wanted: bool) {
        self.can_begin.set(can_begin);
        if self.is_on() && !is_wanted {
            self.stop();
        }
        self.show();
    }

    /// Whether one of its buttons has the focus.
    pub fn has_focus(&self) -> bool {
        self.row.has_focus()
    }

    fn tell(&self, stage: Option<Stage>) {
        self.stage.replace(stage);
        self.show();
    }

    fn show(&self) {
        let says = ["Looking for the court", "The court was not looked for"];
        self.row.show(self.stage.borrow().as_ref(), says, "", self.can_begin.get());
    }
}

impl Found {
    fn of(found: Result<Court, NotFound>, size: Size) -> Self {
        let by_hand = "Click the corners by hand";
        let none = |why: &str| Self { marks: None, words: format!("Not found: {why}. {by_hand}.") };
        let court = match found {
            Ok(court) => court,
            Err(why) => return none(&why.to_string()),
        };
        let camera = court.calibration.camera();
        let mark = |landmark: Corner| {
            let at = camera.see_ground(landmark.landmark().spot).filter(|p| size.holds(*p, 0.0))?;
            Some(CourtMark { landmark, at: at.into() })
        };
        let marks: Vec<_> = Corner::ALL.into_iter().filter_map(mark).collect();
        if marks.len() < LEAST {
            return none("too little of a court is seen");
        }
        let (by, words) = match court.belief {
            Belief::Sure => (FoundBy::Found, "Found. Press Return if the lines lie on the court."),
            Belief::Proposal => (
                FoundBy::Checked,
                "This may be the court. Check the far baseline. If the lines lie on it, press Return; else mark the court again.",
            ),
        };
        Self { marks: Some((marks, by)), words: words.into() }
    }
}
