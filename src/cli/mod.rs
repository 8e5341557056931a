//! The command line: one file per verb, on the same core as the window.

use std::process::ExitCode;

/// Runs the program with the process's own arguments and says how it ended.
pub fn run() -> ExitCode {
    ExitCode::SUCCESS
}
