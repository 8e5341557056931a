//! `changeover rules`: the rules that have a name, and rules from a file.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use clap_complete::ArgValueCompleter;

use super::answer::{Answer, CliError};
use super::completed;
use super::reading::settings;
use crate::near::{Hint, nearest};
use crate::record::printable;
use crate::tennis::presets::PRESETS;
use crate::tennis::rules::{Rules, RulesError};

const EXAMPLES: &str = "\
Examples:
  changeover rules
  changeover rules no-ad-short-sets > club.toml
  changeover rules club.toml

The second example prints rules as a file to start from. The third reports what is wrong with a file, or prints it in full, \
with the defaults that it leaves out. A name may begin with doubles- or mixed-, then no-ad-. If a file has the same name as \
built-in rules, write ./ before it.

Exit codes: 0 printed, 1 there are no such rules or the file is wrong, 2 the command line was not understood.";

/// The arguments of `rules`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The name of rules, or a rules file (TOML); without it, all names are listed.
    #[arg(value_name = "NAME-OR-FILE", add = ArgValueCompleter::new(completed::rules))]
    rules: Option<String>,
}

/// The rules of a name or a file: shared with `import`.
pub(super) fn named(name: &str) -> Result<Rules, CliError> {
    let unknown = match Rules::named(name) {
        Err(e @ RulesError::Name { .. }) => e,
        other => return other.map_err(|e| CliError::Failed(e.to_string())),
    };
    let path = Path::new(name);
    let is_path = name.contains(['/', '\\']) || path.extension().is_some();
    if !is_path && path.symlink_metadata().is_err() {
        return Err(CliError::Failed(format!("{unknown}{}", hint(name))));
    }
    let shown = printable(name, 400);
    let failed = |what: &dyn std::fmt::Display| CliError::Failed(format!("{shown}: {what}"));
    Rules::parse(&settings(path)?).map_err(|e| failed(&e))
}

/// The name that was meant, with what may stand before it.
fn hint(name: &str) -> Hint {
    let mut rest = name;
    for before in ["doubles-", "mixed-", "no-ad-"] {
        rest = rest.strip_prefix(before).unwrap_or(rest);
    }
    let before = &name[..name.len() - rest.len()];
    Hint(nearest(rest, PRESETS.iter().map(|p| p.name)).map(|n| format!("{before}{n}").into()))
}

/// Rules as a file that reads as them.
fn as_file(rules: Rules) -> Result<String, CliError> {
    let head = match rules.name() {
        Some(name) => format!("# {name}\n"),
        None => "# rules without a name\n".into(),
    };
    Ok(head + &toml::to_string(&rules).map_err(|e| CliError::Failed(e.to_string()))?)
}

/// Lists the names, or prints rules.
///
/// # Errors
/// [`CliError`] when there are no such rules, the file is wrong, or the answer cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    if let Some(name) = &args.rules {
        out.write_all(as_file(named(name)?)?.as_bytes())?;
        return Ok(ExitCode::SUCCESS);
    }
    let width = PRESETS.iter().map(|p| p.name.len()).max().unwrap_or(0);
    for preset in PRESETS {
        writeln!(out, "{:width$}  {}", preset.name, preset.about)?;
    }
    writeln!(out, "\nA name may begin with doubles- or mixed-, then no-ad-: doubles-no-ad-best-of-3.")?;
    Ok(ExitCode::SUCCESS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_is_printed_as_a_file_that_reads_as_it() {
        for preset in PRESETS {
            let text = as_file(preset.rules).unwrap();
            assert_eq!(Rules::parse(&text), Ok(preset.rules), "{text}");
        }
        let rules = Rules::named("mixed-no-ad-short-sets-match-tie-break-10").unwrap();
        assert_eq!(Rules::parse(&as_file(rules).unwrap()), Ok(rules));
    }
}
