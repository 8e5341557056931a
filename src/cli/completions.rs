//! `changeover completions`: the file that makes a shell complete this program's verbs, options, files and names.
//!
//! The file asks the program at each tab key, through a variable of the environment ([`ASKED_BY`]), so that it also knows the
//! patterns of a file that was named on the line.

use std::io::Write;
use std::process::ExitCode;

use clap::ValueEnum;
use clap_complete::CompleteEnv;

use super::answer::Answer;

const EXAMPLES: &str = "\
Examples:
  changeover completions bash > ~/.local/share/bash-completion/completions/changeover
  changeover completions fish > ~/.config/fish/completions/changeover.fish

Packages of Changeover bring these files along.

Exit codes: 0 printed, 1 the answer could not be written, 2 the command line was not understood.";

/// By this variable the shell asks what fits; its value is the shell's name.
const ASKED_BY: &str = "CHANGEOVER_COMPLETE";

/// Our own files: clap's do not take the quotes off the words that they hand over, nor escape the spaces of names.
const BASH: &str = include_str!("../../packaging/completion/changeover.bash");
const ZSH: &str = include_str!("../../packaging/completion/changeover.zsh");
const FISH: &str = include_str!("../../packaging/completion/changeover.fish");

/// The arguments of `completions`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The shell.
    #[arg(value_enum)]
    shell: Shell,
}

/// The shells that can complete.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Shell {
    Bash,
    Zsh,
    Fish,
}

impl Shell {
    const fn file(self) -> &'static str {
        match self {
            Self::Bash => BASH,
            Self::Zsh => ZSH,
            Self::Fish => FISH,
        }
    }
}

/// Answers a shell that asks what fits, and ends the program; otherwise does nothing.
pub(super) fn answer_shell(command: fn() -> clap::Command) {
    CompleteEnv::with_factory(command).var(ASKED_BY).bin("changeover").completer("changeover").complete();
}

/// Prints the file for one shell.
///
/// # Errors
/// [`super::CliError::Output`] when it cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    out.write_all(args.shell.file().as_bytes())?;
    Ok(ExitCode::SUCCESS)
}
