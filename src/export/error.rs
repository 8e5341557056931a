//! Why something cannot be exported.

use std::io;

use thiserror::Error;

use crate::system::reading;

/// Why something cannot be exported.
#[derive(Debug, Error)]
pub enum ExportError {
    /// A chapter file belongs to one media file.
    #[error("the clips come from {} files ({}), and a WebVTT file has the chapters of one; choose one with --file", files.len(), files.join(", "))]
    SeveralFiles {
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
    /// The text cannot be made.
    #[error("cannot make the {format} text: {why}")]
    Make {
        /// The format.
        format: &'static str,
        /// What went wrong.
        why: String,
    },
}
