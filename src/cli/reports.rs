//! Shared by several verbs: examines files one after another and prints a report on each.

use std::io::Write;
#[cfg(feature = "video")]
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde::Serialize;

use super::answer::{Answer, FOUND, complain};
#[cfg(feature = "video")]
use super::working::Bar;
#[cfg(feature = "video")]
use crate::record::printable;

/// The report on one file.
pub(super) trait Report: Serialize {
    /// Looks at the file.
    fn of(path: &Path) -> Self;

    /// Why it cannot be read, if it cannot.
    fn error(&self) -> Option<&str>;

    /// Whether nothing is wrong with it.
    fn is_fine(&self) -> bool {
        self.error().is_none()
    }

    /// Prints all but the error, for people.
    fn print(&self, out: &mut dyn Write) -> std::io::Result<()>;
}

/// Examines each file, whatever the files before it were like, and prints its report at once; in JSON, all reports in one list.
pub(super) fn each<R: Report>(files: &[PathBuf], json: bool, out: &mut dyn Write) -> Answer {
    let mut fine = true;
    let mut reports = Vec::new();
    for path in files {
        let report = R::of(path);
        fine &= report.is_fine();
        if json {
            reports.push(report);
            continue;
        }
        report.print(out)?;
        if let Some(error) = report.error() {
            out.flush()?;
            complain(&error);
        }
    }
    if json {
        serde_json::to_writer_pretty(&mut *out, &reports).map_err(std::io::Error::from)?;
        writeln!(out)?;
    }
    Ok(if fine { ExitCode::SUCCESS } else { ExitCode::from(FOUND) })
}

/// Reads a film with a bar on the terminal: `read` says how far it is, from 0 to 1, by what it is given.
#[cfg(feature = "video")]
pub(super) fn with_bar<T>(path: &Path, read: impl FnOnce(&mut dyn FnMut(f64) -> ControlFlow<()>) -> T) -> T {
    let bar = Bar::new(printable(&path.to_string_lossy(), 30));
    read(&mut |part| {
        bar.at(part);
        ControlFlow::Continue(())
    })
}
