//! Why something cannot be exported.

use std::io;

use thiserror::Error;

use super::timecode::TimecodeError;
use crate::system::reading;

/// Why something cannot be exported.
#[derive(Debug, Error)]
pub enum ExportError {
    /// A chapter file belongs to one media file.
    #[error("the clips come from {} files ({}), and {what} of one; choose one with --file", files.len(), files.join(", "))]
    SeveralFiles {
        /// What is made, as `Matroska chapters are`.
        what: &'static str,
        /// The files.
        files: Vec<String>,
    },
    /// No clip is of the file asked for.
    #[error("no clip is of the file \"{found}\"; there are clips of: {allowed}")]
    NoSuchFile {
        /// The file asked for.
        found: String,
        /// The files that there are.
        allowed: String,
    },
    /// A folder or a record is not where it was named.
    #[error("cannot find {path}: {}", reading(why))]
    Lost {
        /// Its path.
        path: String,
        /// What the system says.
        why: io::Error,
    },
    /// Frames of a file that has no constant rate cannot be counted.
    #[error(
        "the footage \"{file}\" has no constant frame rate, so its clips have no timecode; export CSV, or convert the footage to a constant rate"
    )]
    NoRate {
        /// The file.
        file: String,
    },
    /// An edit decision list has one rate.
    #[error(
        "the clips have several frame rates ({rates}), and an edit decision list has one; choose one file with --file"
    )]
    SeveralRates {
        /// Two of them.
        rates: String,
    },
    /// An edit decision list numbers its events with three digits.
    #[error(
        "there are {found} clips, and an edit decision list holds at most {most}; export OpenTimelineIO instead"
    )]
    TooMany {
        /// How many there are.
        found: usize,
        /// How many may be.
        most: usize,
    },
    /// There is nothing to take a frame rate from.
    #[error("no clip is found, so there is nothing to write")]
    NoClips,
    /// A label that does not exist.
    #[error(transparent)]
    Timecode(TimecodeError),
    /// The text cannot be made.
    #[error("cannot make the {format} text: {why}")]
    Make {
        /// The format.
        format: &'static str,
        /// What went wrong.
        why: String,
    },
}
