//! Talks: the coach's voice over the lesson, with everything that was done on the screen meanwhile.
//!
//! A talk is no filmed screen. It is takes and pieces. A [`Take`] is one recording: a voice file, the clips that were shown, and
//! timed [`Action`]s on the clock of that voice. [`Piece`]s say which parts of which takes are heard, one after another. So a cut, or
//! a part that was spoken again, changes only the pieces: voice and picture stay together whatever is cut.
//!
//! Each action says which frame was on the screen, by the time of that frame in its file. What is shown between two actions
//! follows from the first of them: [`Talk::frame_at`]. `model` is what a talk holds, `replay` what is on the screen when, `cut`
//! changes it, `sound` holds it to its limits, `watch` turns what is seen on the screen into actions.

mod cut;
mod model;
mod replay;
pub(super) mod sound;
#[cfg(test)]
mod tests;
mod watch;

pub use model::{Action, Deed, Piece, Shown, Take, Talk};
pub use replay::{Place, Scene, Timeline};
pub use sound::{LONGEST_TALK, MOST_ACTIONS, MOST_PIECES, MOST_TAKES};
pub use watch::{Screen, Watcher};
