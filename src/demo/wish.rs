//! What demo footage is wished for, and why a wish cannot be met.

use std::path::PathBuf;

use thiserror::Error;

use super::camera_work::CameraWork;
use crate::record::printable;
use crate::time::FrameRate;
use crate::video::VideoError;

/// Why demo footage cannot be made.
#[derive(Debug, Error)]
pub enum DemoError {
    /// The picture's size, the number of files, or another wish that cannot be met.
    #[error("{what} is not possible; {allowed}")]
    Wish {
        /// What was asked for.
        what: String,
        /// What is allowed.
        allowed: String,
    },
    /// The folder or the truth file cannot be written.
    #[error("cannot write {path}: {reason}")]
    Write {
        /// Where.
        path: PathBuf,
        /// What the system said.
        reason: String,
    },
    /// A file is where one would go; it is not replaced.
    #[error("{} is there already and is not replaced; name another folder", printable(&path.to_string_lossy(), 400))]
    There {
        /// The file.
        path: PathBuf,
    },
    /// The caller wished to stop.
    #[error("stopped; finished files are kept, unfinished ones are deleted")]
    Stopped,
    /// The footage cannot be encoded.
    #[error(transparent)]
    Video(#[from] VideoError),
}

/// What footage to make.
#[derive(Debug, Clone, PartialEq, Eq)]
#[expect(clippy::struct_excessive_bools, reason = "each is a wish of its own")]
pub struct Demo {
    /// The number that the match is made from.
    pub number: u64,
    /// Games at most; none for the whole match.
    pub games: Option<u32>,
    /// Points at most; none for the whole match.
    pub points: Option<u32>,
    /// Dead time shortened to about six seconds.
    pub brisk: bool,
    /// Width of the upright picture in pixels, even.
    pub width: u32,
    /// Height of the upright picture in pixels, even.
    pub height: u32,
    /// Frames a second, or none for gaps of 17 to 100 ms.
    pub rate: Option<FrameRate>,
    /// Degrees clockwise by which a player must turn the stored picture: 0, 90, 180, 270.
    pub rotation: u16,
    /// Number of files, from 1.
    pub files: u32,
    /// Whether the pauses are cut out, of one file.
    pub cut: bool,
    /// WebM rather than MP4.
    pub webm: bool,
    /// Each frame's number in the picture.
    pub frame_numbers: bool,
    /// How the camera moves.
    pub camera: CameraWork,
}

impl Default for Demo {
    fn default() -> Self {
        Self {
            number: 1,
            games: None,
            points: None,
            brisk: false,
            width: 1280,
            height: 720,
            rate: FrameRate::new(30, 1).ok(),
            rotation: 0,
            files: 1,
            cut: false,
            webm: false,
            frame_numbers: false,
            camera: CameraWork::Still,
        }
    }
}

/// The size of the picture as a wish that cannot be met.
pub(super) fn size(demo: &Demo) -> DemoError {
    DemoError::Wish {
        what: format!("a picture of {} × {} pixels", demo.width, demo.height),
        allowed: "even numbers from 64 to 4096 are allowed".to_owned(),
    }
}

pub(super) fn check(demo: &Demo) -> Result<(), DemoError> {
    let wish = |what: String, allowed: &str| Err(DemoError::Wish { what, allowed: allowed.to_owned() });
    let even = |n: u32| n.is_multiple_of(2) && (64..=4096).contains(&n);
    if !even(demo.width) || !even(demo.height) {
        return Err(size(demo));
    }
    if !matches!(demo.rotation, 0 | 90 | 180 | 270) {
        return wish(format!("a rotation of {}°", demo.rotation), "0, 90, 180 and 270 are allowed");
    }
    if demo.cut && demo.files != 1 {
        return wish(
            "edited footage in several files".to_owned(),
            "--cut makes one file; leave out --cut or --files",
        );
    }
    if demo.webm && demo.rotation != 0 {
        return wish(
            "a rotated WebM file".to_owned(),
            "WebM has no rotation flag; leave out --webm or --rotate",
        );
    }
    Ok(())
}
