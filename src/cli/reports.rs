//! What several verbs do alike: look at files one after another and tell of each.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde::Serialize;

use super::{Answer, FOUND, complain};

/// What is said of one file.
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

/// Looks at each file, whatever the ones before it were like, and tells of it at once; in JSON, of all in one list.
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
