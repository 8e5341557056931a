//! What is known of the clips that are played one after another: see `clips`.

use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::sync::Arc;

use crate::frames::FootageFile;
use crate::session::play_list::PlayList;
use crate::video::{Events, Player};

/// What a player tells, the footage that it plays, and which player it is.
pub type Played = (Rc<Events>, Arc<FootageFile>, u32);

/// A player that waits at the first frame of a clip.
pub struct Ready {
    /// The clip, by its place in the list.
    pub at: usize,
    /// Its footage.
    pub media: Arc<FootageFile>,
    /// Its first frame and its last.
    pub frames: (usize, usize),
    /// The player.
    pub player: Player,
    /// What it tells.
    pub events: Events,
}

/// The clips that are played, and the player of the next one.
#[derive(Default)]
pub struct Listing {
    /// The clips; none when no clips are played.
    pub list: RefCell<Option<PlayList>>,
    /// The last frame of the clip that is played.
    pub last: Cell<Option<usize>>,
    /// The player of the next clip.
    pub next: RefCell<Option<Ready>>,
    /// The next clip is to be played as soon as its player is there.
    pub wanted: Cell<bool>,
    /// Counts the lists, and the clips that were asked for, so that a late answer is dropped.
    pub turn: Cell<u32>,
    /// Footage that was read for a clip, the last few files.
    pub known: RefCell<Vec<Arc<FootageFile>>>,
}
