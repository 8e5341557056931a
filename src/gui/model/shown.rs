//! What is known of the lesson that is open: see `showing` and `running`.

use std::cell::{Cell, RefCell};
use std::time::Instant;

use crate::session::show::adding::Adding;
use crate::session::show::keeper::Keeper;
use crate::session::show::run::Run;
use crate::session::show::view::View;

/// The lesson that is open.
#[derive(Default)]
pub struct Showing {
    /// What changes it.
    pub keeper: RefCell<Option<Keeper>>,
    /// How it stands; none when no lesson is open.
    pub view: RefCell<Option<View>>,
    /// Counts the lessons, so that a late answer about an earlier one is dropped.
    pub turn: Cell<u32>,
    /// How many requests were sent to the keeper.
    pub sent: Cell<u64>,
    /// The last thing that was done was adding clips: Undo takes them off again.
    pub added: Cell<bool>,
    /// The dialog for exports is wanted as soon as the lesson stands as the last key wants it.
    pub exports: Cell<bool>,
    /// Clips for a lesson whose name is being asked for.
    pub waiting: RefCell<Option<Adding>>,
    /// The clip that is shown, as it runs.
    pub run: RefCell<Option<Run>>,
    /// The speed of the stretch that is played; 0 stands for 1.
    pub pace: Cell<f64>,
    /// Since when the picture stands, if it does.
    pub stands: Cell<Option<Instant>>,
    /// Counts the freezes, so that a late end of one is dropped.
    pub freezes: Cell<u32>,
}
