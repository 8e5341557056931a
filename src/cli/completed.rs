//! Names that a shell can complete: of patterns and of rules.

use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};

use clap_complete::CompletionCandidate;

use super::reading::settings;
use crate::pattern::{PatternFile, parse};
use crate::tennis::presets::PRESETS;

/// The patterns whose name begins as `current`: those of the file that the line names, else the starter patterns.
pub(super) fn patterns(current: &OsStr) -> Vec<CompletionCandidate> {
    let file = named_file(std::env::args_os());
    let Some(file) = patterns_of(file.as_deref()) else { return Vec::new() };
    beginning(current, file.patterns.iter().map(|p| p.name.as_str()))
}

/// The rules whose name begins as `current`, with what may stand before a name.
pub(super) fn rules(current: &OsStr) -> Vec<CompletionCandidate> {
    let begun = current.to_string_lossy();
    let mut rest = &*begun;
    for before in ["doubles-", "mixed-", "no-ad-"] {
        rest = rest.strip_prefix(before).unwrap_or(rest);
    }
    let before = &begun[..begun.len() - rest.len()];
    let names: Vec<String> = PRESETS.iter().map(|p| format!("{before}{}", p.name)).collect();
    beginning(current, names.iter().map(String::as_str))
}

fn beginning<'a>(current: &OsStr, names: impl Iterator<Item = &'a str>) -> Vec<CompletionCandidate> {
    let begun = current.to_string_lossy().to_lowercase();
    names.filter(|name| name.to_lowercase().starts_with(&begun)).map(CompletionCandidate::new).collect()
}

/// The file of patterns that a command line names.
fn named_file(words: impl Iterator<Item = OsString>) -> Option<PathBuf> {
    let words: Vec<_> = words.collect();
    let at = words.iter().position(|w| w == "--patterns")?;
    words.get(at + 1).map(PathBuf::from)
}

fn patterns_of(file: Option<&Path>) -> Option<PatternFile> {
    match file {
        Some(path) => parse(&settings(path).ok()?, &path.to_string_lossy()).ok(),
        None => PatternFile::starter().ok(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(current: &str) -> Vec<String> {
        let all = patterns(OsStr::new(current));
        all.iter().map(|c| c.get_value().to_string_lossy().into_owned()).collect()
    }

    #[test]
    fn patterns_are_completed_whatever_the_case() {
        assert!(found("drop SH").contains(&"Drop shot".to_owned()), "{:?}", found(""));
        assert!(found("no such pattern").is_empty());
    }

    #[test]
    fn rules_are_completed_also_after_what_stands_before_their_name() {
        let found = rules(OsStr::new("no-ad-short"));
        assert!(found.iter().any(|c| c.get_value() == "no-ad-short-sets"));
    }

    #[test]
    fn the_file_on_the_line_is_the_one_that_is_asked() {
        let line = |words: &[&str]| named_file(words.iter().map(Into::into));
        assert_eq!(
            line(&["summary", "--patterns", "my own.toml", "--pattern", ""]),
            Some("my own.toml".into())
        );
        assert_eq!(line(&["summary", "--pattern", ""]), None);
    }
}
