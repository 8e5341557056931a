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
    /// The first frame of the clip that is played.
    pub first: Cell<Option<usize>>,
    /// The last frame of the clip that is played.
    pub last: Cell<Option<usize>>,
    /// The players of the next clip and, in a lesson, of the one before.
    pub ready: RefCell<Vec<Ready>>,
    /// The clips are those of the lesson: steps do not end them, and a clip may stand still, be slow and come again.
    pub lesson: Cell<bool>,
    /// A clip stops at its end; else the next one begins.
    pub holds: Cell<bool>,
    /// A clip that is begun stands at its first frame.
    pub still: Cell<bool>,
    /// Why the clip that was to stand at its first frame cannot be shown.
    pub refused: RefCell<Option<String>>,
    /// The next clip is to be played as soon as its player is there.
    pub wanted: Cell<bool>,
    /// Counts the lists, and the clips that were asked for, so that a late answer is dropped.
    pub turn: Cell<u32>,
    /// Footage that was read for a clip, the last few files.
    pub known: RefCell<Vec<Arc<FootageFile>>>,
}
