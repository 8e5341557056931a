//! Patterns: named questions about a point, answered yes, no or unknown.
//!
//! A pattern file is TOML: `[[pattern]]` tables with a `name`, an `about`, whose win counts (`won_by`) and
//! conditions on tags, server, serve, score and outcome. `sample-tags/starter-patterns.toml` is built in and shows
//! every key.

mod answer;
mod condition;
mod error;
mod keys;
mod nearest;
mod parse;

use crate::facts::PointFacts;

pub use answer::Answer;
pub use condition::{Condition, Moment, TagTest, Who, same_tag};
pub use error::{At, Hint, PatternError};
pub use nearest::nearest;
pub use parse::parse;

/// The name by which messages call the file that is built in.
pub const STARTER_NAME: &str = "starter-patterns.toml";

/// The text of the pattern file that is built in.
pub const STARTER: &str = include_str!("../../sample-tags/starter-patterns.toml");

/// The patterns of one file, in its order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PatternFile {
    /// The file's name, for messages.
    pub name: String,
    /// Its patterns.
    pub patterns: Vec<Pattern>,
}

impl PatternFile {
    /// The patterns that are built in.
    ///
    /// # Errors
    /// None in a released program: a test parses the file.
    pub fn starter() -> Result<Self, PatternError> {
        parse(STARTER, STARTER_NAME)
    }

    /// The pattern of this name, without regard to case.
    ///
    /// # Errors
    /// [`PatternError::NoPattern`] with the names that there are, and the nearest.
    pub fn named(&self, name: &str) -> Result<&Pattern, PatternError> {
        let names = || self.patterns.iter().map(|p| p.name.as_str());
        self.patterns.iter().find(|p| same_tag(&p.name, name)).ok_or_else(|| PatternError::NoPattern {
            file: self.name.clone(),
            found: name.into(),
            allowed: names().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ").into(),
            hint: Hint(nearest(name, names()).map(Into::into)),
        })
    }
}

/// A named sequence or condition that a point does or does not show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pattern {
    /// Its name.
    pub name: String,
    /// What it means and when to play it; may be empty.
    pub about: String,
    /// Whose win of the point counts as won.
    pub won_by: Who,
    /// The conditions, all of which a point must meet.
    pub conditions: Vec<Condition>,
    /// The points among which it is looked for: the others of these are what it is compared with. Empty: all.
    pub among: Vec<Condition>,
}

impl Pattern {
    /// The pattern of all points with a tag; points without any tag are unknown.
    pub fn tagged(tag: &str) -> Self {
        let test = TagTest { tag: tag.into(), instead: None, untagged: Answer::Unknown };
        Self {
            name: tag.into(),
            about: String::new(),
            won_by: Who::Server,
            conditions: vec![Condition::Tag(test)],
            among: Vec::new(),
        }
    }

    /// Whether the point is one of those among which the pattern is looked for.
    pub fn is_among(&self, f: &PointFacts) -> Answer {
        Answer::all(self.among.iter().map(|c| c.answer(f)))
    }

    /// Each condition by itself, in words: met, missed or unknown.
    pub fn explain(&self, f: &PointFacts) -> Vec<(String, Answer)> {
        self.among.iter().chain(&self.conditions).map(|c| (c.words(), c.answer(f))).collect()
    }
}

/// Whether the point shows the pattern: all conditions met, one missed, or not known.
pub fn answer(pattern: &Pattern, f: &PointFacts) -> Answer {
    Answer::all(pattern.among.iter().chain(&pattern.conditions).map(|c| c.answer(f)))
}

#[cfg(test)]
mod tests;
