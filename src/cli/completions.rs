//! `changeover completions`: the file that makes a shell complete this program's verbs, options, files and names.
//!
//! The file asks the program at each tab key, through a variable of the environment ([`ASKED_BY`]), so that it also knows the
//! patterns of a file that was named on the line.

use std::io::Write;
use std::process::ExitCode;

use clap::ValueEnum;
use clap_complete::CompleteEnv;
use clap_complete::env::Shells;

use super::answer::Answer;

const EXAMPLES: &str = "\
Examples:
  changeover completions bash > ~/.local/share/bash-completion/completions/changeover
  changeover completions fish > ~/.config/fish/completions/changeover.fish

Packages of Changeover bring these files along.

Exit codes: 0 printed, 1 the answer could not be written, 2 the command line was not understood.";

/// By this variable the shell asks what fits; its value is the shell's name.
const ASKED_BY: &str = "CHANGEOVER_COMPLETE";

/// Clap's own file for bash does not escape the spaces of names.
const BASH: &str = include_str!("../../packaging/completion/changeover.bash");

/// Zsh reads the file at the first tab key: it should complete then too.
const ZSH: &str =
    "if [ \"$funcstack[1]\" = _changeover ]; then _clap_dynamic_completer_changeover \"$@\"; fi\n";

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
    const fn name(self) -> &'static str {
        match self {
            Self::Bash => "bash",
            Self::Zsh => "zsh",
            Self::Fish => "fish",
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
    let name = args.shell.name();
    match Shells::builtins().completer(name) {
        Some(shell) if args.shell != Shell::Bash => {
            shell.write_registration(ASKED_BY, "changeover", "changeover", "changeover", out)?;
            if args.shell == Shell::Zsh {
                out.write_all(ZSH.as_bytes())?;
            }
        }
        _ => out.write_all(BASH.as_bytes())?,
    }
    Ok(ExitCode::SUCCESS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_shell_has_a_file_that_asks_the_program() {
        for shell in Shell::value_variants() {
            let mut out = Vec::new();
            run(&Args { shell: *shell }, &mut out).unwrap();
            let text = String::from_utf8(out).unwrap();
            assert!(text.contains(ASKED_BY) && text.contains(shell.name()), "{text}");
        }
    }
}
