//! Which points the coach wants to see.

use crate::facts::PointFacts;
use crate::pattern::{Answer, Pattern, answer};

/// Which points the coach wants to see.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Filter {
    /// All of them.
    All,
    /// Those with a tag.
    Tag(Box<Pattern>),
    /// Those that show a pattern.
    Pattern(Box<Pattern>),
}

impl Filter {
    /// Those with a tag. A point without any tag does not say whether it would have this one.
    pub fn tag(tag: &str) -> Self {
        Self::Tag(Box::new(Pattern::tagged(tag)))
    }

    /// As the menu shows it.
    pub fn title(&self) -> String {
        match self {
            Self::All => "All points".into(),
            Self::Tag(p) => p.name.clone(),
            Self::Pattern(p) => format!("Pattern: {}", p.name),
        }
    }

    /// Whether a point is one of them.
    pub fn answer(&self, f: &PointFacts) -> Answer {
        match self {
            Self::All => Answer::Yes,
            Self::Tag(p) | Self::Pattern(p) => answer(p, f),
        }
    }
}
