//! The `changeover` program: see `changeover --help`.

use std::process::ExitCode;

fn main() -> ExitCode {
    changeover::cli::run()
}
