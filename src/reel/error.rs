//! Why a reel is not made.

use std::path::PathBuf;

use thiserror::Error;

use super::plan::PlanError;
use crate::system::shown;
use crate::video::VideoError;
use crate::voice::VoiceError;

/// Why a reel is not made. Nothing is left behind then.
#[derive(Debug, Error)]
pub enum ReelError {
    /// The lesson cannot be shown.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// Footage cannot be read, or the reel not written.
    #[error(transparent)]
    Video(#[from] VideoError),
    /// The voice of a talk cannot be read.
    #[error(transparent)]
    Voice(#[from] VoiceError),
    /// A picture cannot be painted.
    #[error("a picture of the reel cannot be painted: {0}; try a smaller size")]
    Paint(#[from] cairo::Error),
    /// A drawing cannot be painted.
    #[error(transparent)]
    Drawing(#[from] crate::paint::PaintError),
    /// Pixels are in use.
    #[error("a picture of the reel cannot be painted: its pixels are in use")]
    Borrowed(#[from] cairo::BorrowError),
    /// Its loudness cannot be measured.
    #[error("the loudness of \"{file}\" cannot be measured: {reason}")]
    Loudness {
        /// The file, as the lesson names it.
        file: String,
        /// What the meter says.
        reason: String,
    },
    /// The disk has too little room.
    #[error(
        "{}: the disk has {} MB free, and the reel needs about {} MB; make room, or choose a smaller size",
        shown(path), free / 1_000_000, needs.div_ceil(1_000_000)
    )]
    NoRoom {
        /// The file to be written.
        path: PathBuf,
        /// How many bytes it needs.
        needs: u64,
        /// How many there are.
        free: u64,
    },
    /// The user stopped it.
    #[error("stopped; nothing was written")]
    Stopped,
}
