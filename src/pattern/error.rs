//! What can be wrong with a pattern file.

use std::fmt;

use thiserror::Error;

use crate::near::Hint;

/// A place in a pattern file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct At {
    /// The file's name, as given.
    pub file: Box<str>,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

impl At {
    pub(crate) fn new(file: &str, text: &str, byte: usize) -> Self {
        let before: String = text.char_indices().take_while(|(i, _)| *i < byte).map(|(_, c)| c).collect();
        let (line, column) = before.chars().fold((1, 1), |(l, c), ch| match ch {
            '\n' => (l + 1, 1),
            _ => (l, c + 1),
        });
        Self { file: file.into(), line, column }
    }
}

impl fmt::Display for At {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, line {}, column {}", self.file, self.line, self.column)
    }
}

/// What is wrong with a pattern file, or with the name of a pattern.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PatternError {
    /// Not TOML.
    #[error("{at}: {found}")]
    Syntax {
        /// Where.
        at: At,
        /// What the parser found.
        found: Box<str>,
    },
    /// A key that is not one of ours.
    #[error("{at}: there is no key \"{found}\" here; allowed: {allowed}{hint}")]
    Key {
        /// Where.
        at: At,
        /// The key as found.
        found: Box<str>,
        /// The keys allowed here.
        allowed: Box<str>,
        /// The nearest of them.
        hint: Hint,
    },
    /// A value that the key does not take.
    #[error("{at}: \"{key}\" cannot be {found}; allowed: {allowed}{hint}")]
    Value {
        /// Where.
        at: At,
        /// The key.
        key: Box<str>,
        /// The value as found.
        found: Box<str>,
        /// What the key takes.
        allowed: Box<str>,
        /// The nearest allowed word.
        hint: Hint,
    },
    /// Something that must be there is not.
    #[error("{at}: {what}")]
    Missing {
        /// Where.
        at: At,
        /// What is missing, and of what.
        what: String,
    },
    /// Two of one name.
    #[error("{at}: there is already a {what} \"{name}\"")]
    Twice {
        /// Where the second is.
        at: At,
        /// What it is: a pattern, a tag in a group.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// No pattern of this name.
    #[error("there is no pattern \"{found}\" in {file}; it has: {allowed}{hint}")]
    NoPattern {
        /// The file.
        file: String,
        /// The name asked for.
        found: Box<str>,
        /// The names that it has.
        allowed: Box<str>,
        /// The nearest of them.
        hint: Hint,
    },
}
