//! Where a verb's answer goes: to standard output, or to a file.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::answer::CliError;
use crate::export::write_file;

/// The options of a verb whose answer may go to a file.
#[derive(Debug, clap::Args)]
pub(super) struct Output {
    /// Write to this file instead of standard output.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Replace the file when it is there already.
    #[arg(long, requires = "out")]
    force: bool,
}

impl Output {
    /// The file, if there is one.
    pub(super) fn file(&self) -> Option<&Path> {
        self.out.as_deref()
    }

    /// Writes the whole answer.
    ///
    /// # Errors
    /// [`CliError`] when it is not taken, or the file is there and may not be replaced.
    pub(super) fn write(&self, text: &str, stdout: &mut dyn Write) -> Result<(), CliError> {
        match &self.out {
            Some(path) => write_file(path, text, self.force).map_err(|e| CliError::Failed(e.to_string())),
            None => Ok(stdout.write_all(text.as_bytes())?),
        }
    }
}
