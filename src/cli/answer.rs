//! The result of a verb: its exit code, or why it failed.

use std::io::{self, Write};
use std::process::ExitCode;

use thiserror::Error;

use crate::record::RecordError;
use crate::saving::SaveError;
use crate::system::writing;

/// Something was found, or failed.
pub const FOUND: u8 = 1;

/// Why a verb could not do its work.
#[derive(Debug, Error)]
pub enum CliError {
    /// Standard output does not take the answer.
    #[error("cannot write the answer: {}", writing(.0))]
    Output(#[from] io::Error),
    /// A record cannot be read or written.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// A file is not written.
    #[error(transparent)]
    Save(#[from] SaveError),
    /// Demo footage cannot be made.
    #[cfg(feature = "video")]
    #[error(transparent)]
    Demo(#[from] crate::demo::DemoError),
    /// Anything else, in words.
    #[error("{0}")]
    Failed(String),
}

/// The result of a verb: its exit code.
pub type Answer = Result<ExitCode, CliError>;

/// Tells what failed. A reader that has seen enough and closed the pipe (as `head` does) is not a failure.
pub(super) fn failed(error: &CliError) -> ExitCode {
    match error {
        CliError::Output(e) if e.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        error => {
            complain(error);
            ExitCode::from(FOUND)
        }
    }
}

/// One complaint on standard error.
pub(super) fn complain(what: &dyn std::fmt::Display) {
    // When nobody reads complaints either, the exit code still tells.
    let _ = writeln!(io::stderr(), "changeover: {what}");
}
