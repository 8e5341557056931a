//! What a key of a pattern file takes: declared once, for the reader, its messages, the form and the guide.

use std::fmt;

/// What a key takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Values {
    /// One of these words, or several.
    Words(Vec<&'static str>),
    /// True or false.
    YesNo,
    /// A whole number.
    Number {
        /// The largest; the least is 1.
        most: usize,
    },
    /// A length in metres.
    Metres,
    /// A text.
    Text,
    /// Conditions in a table, or in a list of tables.
    Tables,
}

impl Values {
    /// The words of a list of words and their meanings.
    pub(super) fn words<T>(all: &[(&'static str, T)]) -> Self {
        Self::Words(all.iter().map(|(word, _)| *word).collect())
    }
}

/// As a message goes on after "allowed:".
impl fmt::Display for Values {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Words(words) => {
                for (n, word) in words.iter().enumerate() {
                    write!(f, "{}\"{word}\"", if n == 0 { "" } else { ", " })?;
                }
                Ok(())
            }
            Self::YesNo => f.write_str("true, false"),
            Self::Number { most } => write!(f, "a whole number from 1 to {most}"),
            Self::Metres => f.write_str("metres from 0 to 50, for example 1.5"),
            Self::Text => f.write_str("a text in quotes that is not blank"),
            Self::Tables => f.write_str("a table, or a list of tables"),
        }
    }
}
