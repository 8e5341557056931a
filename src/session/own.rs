//! The user's own patterns: one file, read when the program starts, written by the builder.

use std::path::{Path, PathBuf};

use super::error::OwnFileError;
use super::folders;
use crate::pattern::{Pattern, PatternError, PatternFile, parse, patch};
use crate::saving::update;
use crate::textfile::{self, Limit};

/// The file, and what it held when it was last read or written.
#[derive(Debug, Clone)]
pub struct Own {
    /// Where it is, or will be.
    pub path: PathBuf,
    /// Its patterns.
    pub patterns: Vec<Pattern>,
}

impl Default for Own {
    fn default() -> Self {
        let path = folders::config().join("own.patterns.toml");
        Self { path, patterns: Vec::new() }
    }
}

/// The text of the file; empty if there is no file yet.
///
/// # Errors
/// [`OwnFileError::Text`].
pub fn read(path: &Path) -> Result<String, OwnFileError> {
    match textfile::text(path, Limit::SETTINGS) {
        Ok(text) => Ok(text),
        Err(e) if e.is_missing() => Ok(String::new()),
        Err(why) => Err(OwnFileError::Text { path: path.to_owned(), why }),
    }
}

/// The patterns of a text. It may have none yet, or none any more.
///
/// # Errors
/// With the line and the column.
pub fn patterns_in(text: &str, path: &Path) -> Result<PatternFile, PatternError> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    if patch::count(text) != Some(0) {
        return parse(text, &name);
    }
    parse(text, &name).or_else(|_| {
        // The rest of it is read as it is in a file with a pattern.
        let file = parse(&patch::append(text, "[[pattern]]\nname = \"none\"\nserve = 1"), &name)?;
        Ok(PatternFile { patterns: Vec::new(), ..file })
    })
}

/// Replaces the text that was read by another one, completely or not at all, and never anything else.
///
/// # Errors
/// [`OwnFileError::Save`], also where the file is not any more as it was read.
pub fn write(path: &Path, was: &str, text: &str) -> Result<(), OwnFileError> {
    Ok(update(path, was, text)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_changed_meanwhile_is_not_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("new").join("own.patterns.toml");
        assert_eq!(read(&path).unwrap(), "");
        write(&path, "", "one").unwrap();
        assert_eq!(read(&path).unwrap(), "one");
        let said = write(&path, "", "two").unwrap_err().to_string();
        assert!(said.contains("own.patterns.toml was changed"), "{said}");
        assert_eq!(read(&path).unwrap(), "one");
        write(&path, "one", "two").unwrap();
        assert_eq!(std::fs::read_dir(path.parent().unwrap()).unwrap().count(), 1, "nothing is left lying");
        std::fs::write(&path, [0xff]).unwrap();
        assert!(read(&path).unwrap_err().to_string().contains("not text in UTF-8"));
    }

    #[test]
    fn no_patterns_yet_is_no_error_but_a_mistake_is() {
        let path = Path::new("own.patterns.toml");
        for text in ["", "# mine\n\n", "weaker_wing = \"backhand\"\n"] {
            assert!(patterns_in(text, path).unwrap().patterns.is_empty(), "{text}");
        }
        let said = patterns_in("\nweker_wing = 1", path).unwrap_err().to_string();
        assert!(said.starts_with("own.patterns.toml, line 2, column 1"), "{said}");
        let said = patterns_in("[[pattern]]\nname = \"x\"\nsevre = 1\n", path).unwrap_err().to_string();
        assert!(said.starts_with("own.patterns.toml, line 3, column 1"), "{said}");
    }
}
