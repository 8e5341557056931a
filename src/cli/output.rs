//! Where a verb's answer goes: to standard output, or to a file.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::answer::CliError;
use super::values::written;
use crate::saving::{Replace, save};

/// The options of a verb whose answer may go to a file.
#[derive(Debug, clap::Args)]
pub(super) struct Output {
    /// Write to this file instead of standard output.
    #[arg(long, value_name = "FILE", value_parser = written())]
    out: Option<PathBuf>,
    /// Replace the file when it is there already and a program wrote it. A record, footage, a file of keys, patterns,
    /// questions or rules, and what this command reads are never replaced.
    #[arg(long, requires = "out")]
    force: bool,
}

impl Output {
    /// The file, if there is one.
    pub(super) fn file(&self) -> Option<&Path> {
        self.out.as_deref()
    }

    /// Writes the whole answer, for which the files `reads` were read.
    ///
    /// # Errors
    /// [`CliError`] when it is not taken, or the file is there and may not be replaced.
    pub(super) fn write(&self, text: &str, reads: &[&Path], stdout: &mut dyn Write) -> Result<(), CliError> {
        let replace = if self.force { Replace::WhatWasWritten } else { Replace::Nothing };
        match &self.out {
            Some(path) => Ok(save(path, text, replace, reads)?),
            None => Ok(stdout.write_all(text.as_bytes())?),
        }
    }
}
