//! Looking for players that is under way.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use super::follower::Stage;
use crate::gui::kit::job::Job;
use crate::session::proposed::Players;
use crate::session::proposing::Stretch;

/// Looking for players.
#[derive(Debug)]
pub struct Looking {
    pub(super) job: Job,
    /// Which work it is: what is heard of earlier work does not count.
    pub(super) number: u32,
    /// Whether the footage plays: then it rests.
    pub(super) plays: Arc<AtomicBool>,
    pub(super) stretch: Stretch,
    pub(super) stage: Stage,
}

/// What is known of the players of one point: kept until something on which it depends may be another.
#[derive(Debug, Default)]
pub struct PlayersKnown {
    known: RefCell<Option<(usize, Rc<Players>)>>,
    /// How often it was worked out.
    #[cfg(test)]
    pub(super) count: std::cell::Cell<usize>,
}

impl PlayersKnown {
    /// Of this point, worked out by `work` if it is not kept.
    pub(super) fn of(&self, point: usize, work: impl FnOnce() -> Players) -> Rc<Players> {
        if let Some((of, known)) = &*self.known.borrow()
            && *of == point
        {
            return Rc::clone(known);
        }
        #[cfg(test)]
        self.count.set(self.count.get() + 1);
        let known = Rc::new(work());
        self.known.replace(Some((point, Rc::clone(&known))));
        known
    }

    /// Something of it may be another.
    pub(super) fn forget(&self) {
        self.known.take();
    }
}
