//! Why something is not made.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::lesson::Astray;
use crate::page::PageError;
use crate::paint::PaintError;
use crate::record::{RecordError, printable};
use crate::reel::{PlanError, ReelError};
use crate::saving::SaveError;
use crate::session::exporting::ExportFailure;
use crate::system::{shown, writing};
use crate::video::VideoError;
use crate::voice::VoiceError;

/// Why something is not made. Nothing is left behind then.
#[derive(Debug, Error)]
pub enum MakingError {
    /// Footage is not opened.
    #[error("the footage \"{}\" {why}", printable(file, 120))]
    Astray {
        /// Its name.
        file: String,
        /// Why not.
        why: Astray,
    },
    /// A voice file of the talk is not opened.
    #[error("the voice \"{}\" {why}", printable(file, 120))]
    NoVoice {
        /// Its name.
        file: String,
        /// Why not.
        why: Astray,
    },
    /// A voice file of the talk cannot be read.
    #[error(transparent)]
    Voice(#[from] VoiceError),
    /// A record does not name the footage of its clip.
    #[error("its record does not name this footage")]
    Unknown,
    /// Where a record says that its footage is, none can be.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// A name without a known ending.
    #[error("{}: the name says no kind of video; let it end with .mp4, .webm or .mkv", shown(.0))]
    Kind(PathBuf),
    /// The name is that of something else than what is made.
    #[error("{}: the name must end with .{ending}, for that is what is made", shown(path))]
    Ending {
        /// The path that was given.
        path: PathBuf,
        /// The ending that the name must have, without the dot.
        ending: &'static str,
    },
    /// Something is there already.
    #[error("{} is there already; choose another name", shown(.0))]
    Exists(PathBuf),
    /// Something is there already where a folder is to be made.
    #[error("{} is there already; give the name of a folder that does not exist yet", shown(.0))]
    FolderExists(PathBuf),
    /// The system makes no folder there.
    #[error("cannot make {}: {}", shown(path), writing(why))]
    NoFolder {
        /// Its path.
        path: PathBuf,
        /// What the system says.
        why: io::Error,
    },
    /// The disk has too little room for files of clips.
    #[error(
        "{}: the disk has {} MB free, and the clips need about {} MB; make room, or select fewer clips",
        shown(path), free / 1_000_000, needs.div_ceil(1_000_000)
    )]
    NoRoom {
        /// What was to be made.
        path: PathBuf,
        /// How many bytes it needs.
        needs: u64,
        /// How many there are.
        free: u64,
    },
    /// No footage of the clips is there.
    #[error("no footage of these clips is there, so nothing is made")]
    NoFootage,
    /// All clips begin after the end of their footage.
    #[error(
        "the footage ends before the first of these clips begins, so nothing was made; see whether it was copied whole and is that of the match"
    )]
    NothingThere,
    /// The lesson has no clips.
    #[error("the lesson has no clips; add clips to it first")]
    NoClips,
    /// A sheet would be empty.
    #[error("nothing was found to print: there are no points or clips")]
    NothingToPrint,
    /// The user stopped it.
    #[error("stopped; nothing was written")]
    Stopped,
    /// A lesson cannot be shown as a video.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The video cannot be made.
    #[error(transparent)]
    Reel(ReelError),
    /// The page cannot be made.
    #[error(transparent)]
    Page(PageError),
    /// Footage cannot be read, or a clip not written.
    #[error(transparent)]
    Video(VideoError),
    /// The sheet cannot be painted.
    #[error(transparent)]
    Paint(#[from] PaintError),
    /// The clips do not fit the format of a list.
    #[error(transparent)]
    List(ExportFailure),
    /// It cannot be saved there.
    #[error(transparent)]
    Save(SaveError),
}

impl MakingError {
    /// Whether the user stopped it.
    pub const fn is_stop(&self) -> bool {
        matches!(self, Self::Stopped)
    }

    /// What the system says of a folder that is to be made.
    pub fn of_folder(path: &Path, why: io::Error) -> Self {
        match why.kind() {
            io::ErrorKind::AlreadyExists => Self::FolderExists(path.to_owned()),
            _ => Self::NoFolder { path: path.to_owned(), why },
        }
    }
}

impl From<SaveError> for MakingError {
    fn from(why: SaveError) -> Self {
        match why {
            SaveError::Exists { path } => Self::Exists(path),
            why => Self::Save(why),
        }
    }
}

impl From<VideoError> for MakingError {
    fn from(why: VideoError) -> Self {
        match why {
            VideoError::Stopped { .. } => Self::Stopped,
            why => Self::Video(why),
        }
    }
}

impl From<ReelError> for MakingError {
    fn from(why: ReelError) -> Self {
        match why {
            ReelError::Stopped | ReelError::Video(VideoError::Stopped { .. }) => Self::Stopped,
            why => Self::Reel(why),
        }
    }
}

impl From<PageError> for MakingError {
    fn from(why: PageError) -> Self {
        match why {
            PageError::Video(VideoError::Stopped { .. }) => Self::Stopped,
            why => Self::Page(why),
        }
    }
}
