//! `changeover man-pages`: the manual pages, one for the program and one for each verb, made from the help.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use clap_mangen::Man;

use super::answer::{Answer, CliError};
use super::reading::shown;
use crate::about::VERSION;
use crate::saving::{Replace, save};
use crate::system::writing;

const EXAMPLES: &str = "\
Examples:
  changeover man-pages ~/.local/share/man/man1

Afterwards, \"man changeover\" and \"man changeover-clips\" show them. Packages of Changeover bring the pages along.

Exit codes: 0 written, 1 a page could not be written, 2 the command line was not understood.";

/// The arguments of `man-pages`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The folder into which the pages are written; it is made if it is not there.
    folder: PathBuf,
    /// Replace pages that are there already.
    #[arg(long)]
    force: bool,
}

/// Writes all pages and says how many.
///
/// # Errors
/// [`CliError`] when the folder or a page cannot be written, or a page is there and may not be replaced.
pub fn run(args: &Args, command: clap::Command, out: &mut dyn Write) -> Answer {
    let pages = pages(command)?;
    std::fs::create_dir_all(&args.folder)
        .map_err(|e| CliError::Failed(format!("{}: {}", shown(&args.folder), writing(&e))))?;
    let replace = if args.force { Replace::WhatWasWritten } else { Replace::Nothing };
    for (name, text) in &pages {
        save(&args.folder.join(name), text, replace, &[])?;
    }
    writeln!(out, "{} pages written to {}", pages.len(), shown(&args.folder))?;
    Ok(ExitCode::SUCCESS)
}

/// The pages, each with its file's name.
fn pages(command: clap::Command) -> std::io::Result<Vec<(String, String)>> {
    let mut all = command.version(VERSION).disable_help_subcommand(true);
    all.build();
    let verbs: Vec<clap::Command> = all.get_subcommands().cloned().collect();
    let mut pages = Vec::new();
    for command in std::iter::once(all).chain(verbs) {
        let page = Man::new(command).manual("Changeover").source(format!("changeover {VERSION}"));
        let mut text = Vec::new();
        page.render(&mut text)?;
        pages.push((page.get_filename(), String::from_utf8_lossy(&text).into_owned()));
    }
    Ok(pages)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_verb_has_a_page_with_its_examples() {
        let pages = pages(crate::cli::command()).unwrap();
        let page = |name: &str| pages.iter().find(|(n, _)| n == name).map(|(_, text)| text.as_str());
        assert!(page("changeover.1").unwrap().contains("changeover\\-clips(1)"));
        for verb in crate::cli::command().get_subcommands().filter(|v| v.get_name() != "help") {
            let text = page(&format!("changeover-{}.1", verb.get_name())).unwrap();
            assert!(text.contains("Examples:"), "{text}");
        }
    }

    #[test]
    fn pages_are_written_and_not_over_others() {
        let folder = tempfile::tempdir().unwrap();
        let to = |force| Args { folder: folder.path().join("man1"), force };
        assert!(run(&to(false), crate::cli::command(), &mut Vec::new()).is_ok());
        assert!(folder.path().join("man1/changeover-clips.1").is_file());
        assert!(matches!(run(&to(false), crate::cli::command(), &mut Vec::new()), Err(CliError::Save(_))));
        assert!(run(&to(true), crate::cli::command(), &mut Vec::new()).is_ok());
    }
}
