//! Patterns: named questions about a point, answered yes, no or unknown.
//!
//! A pattern file is TOML: `[[pattern]]` tables with a `name`, an `about`, whose win counts (`won_by`) and
//! conditions on tags, server, serve, score, balls and outcome. `sample-tags/starter-patterns.toml` is built in and shows
//! every key. [`write()`] is the way back.
//!
//! Answers follow Kleene's logic of three values: what is learnt about a point may turn unknown into yes or no, and never
//! yes into no. [`fn@explain`] says why, part by part.

mod answer;
mod ball;
mod condition;
mod draft;
mod error;
mod explain;
mod find;
mod keys;
mod nearest;
mod parse;
pub mod patch;
mod say;
mod sequence;
mod write;

use crate::facts::PointFacts;
use crate::tennis::Side;
use crate::tennis::stroke::Wing;

pub use answer::Answer;
pub use ball::ShotTest;
pub use condition::{About, Condition, Met, Moment, Named, Plans, ServeTest, TagTest, Who, same_tag};
pub use draft::{Ball as BallDraft, Draft, Place, Row, Scope, Values};
pub use error::{At, Hint, PatternError};
pub use explain::{Explanation, explain};
pub use keys::CALLS;
pub use nearest::nearest;
pub use parse::parse;
pub use sequence::{Step, Striker};
pub use write::write;

/// The name by which messages call the file that is built in.
pub const STARTER_NAME: &str = "starter-patterns.toml";

/// The text of the pattern file that is built in.
pub const STARTER: &str = include_str!("../../sample-tags/starter-patterns.toml");

/// The patterns of one file, in its order, and what it says beside them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PatternFile {
    /// The file's name, for messages.
    pub name: String,
    /// What a point without any tag says of a tag: unknown or no.
    pub untagged: Answer,
    /// The weaker wings of A and B, as the coach sees them.
    pub weaker_wing: [Option<Wing>; 2],
    /// Groups of tags, of which a point has one at most: a name, and the tags.
    pub groups: Vec<(String, Vec<String>)>,
    /// Its patterns.
    pub patterns: Vec<Pattern>,
}

impl PatternFile {
    /// One that says nothing.
    pub fn empty(name: &str) -> Self {
        Self {
            name: name.into(),
            untagged: Answer::Unknown,
            weaker_wing: [None; 2],
            groups: Vec::new(),
            patterns: Vec::new(),
        }
    }

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

    /// Gives conditions about plans the patterns that a plan can name.
    pub(super) fn link(&mut self) {
        let plain =
            self.patterns.iter().filter(|p| !p.conditions.iter().chain(&p.among).any(Condition::asks_plan));
        let plans = Plans(plain.cloned().collect());
        let all = self.patterns.iter_mut().flat_map(|p| p.conditions.iter_mut().chain(&mut p.among));
        all.for_each(|c| c.link(&plans));
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

    /// Whether the point, if it is one of those, meets all the conditions.
    pub fn is_met(&self, f: &PointFacts) -> Answer {
        Answer::all(self.conditions.iter().map(|c| c.answer(f)))
    }

    /// Whose win counts in this point, if it is known. Where it is the striker's, that of the first ball that surely is
    /// the one that the pattern is about.
    pub fn won_side(&self, f: &PointFacts) -> Option<Side> {
        match self.won_by {
            Who::Striker => self.conditions.iter().find_map(|c| c.ball(f))?.by(),
            who => who.side(f),
        }
    }

    /// Whether a point that does not show the pattern cannot have the ball either that it is about.
    pub(crate) fn has_no_ball_unless_shown(&self) -> bool {
        use Condition::{About, Any, Sequence, SomeShot};
        matches!(self.conditions.as_slice(), [About(_) | Any(_) | Sequence(_) | SomeShot(_)])
    }

    /// Whether some condition is about a ball.
    pub fn has_ball(&self) -> bool {
        self.conditions.iter().any(Condition::has_ball)
    }

    /// The same pattern with the ball that it is about struck by this side, where the striker's win counts.
    #[must_use]
    pub fn struck_by(&self, side: Side) -> Self {
        let mut pattern = self.clone();
        if self.won_by == Who::Striker {
            pattern.conditions.iter_mut().for_each(|c| c.struck_by(side));
        }
        pattern
    }
}

/// Whether the point shows the pattern: all conditions met, one missed, or not known.
pub fn answer(pattern: &Pattern, f: &PointFacts) -> Answer {
    pattern.is_among(f).and(pattern.is_met(f))
}

#[cfg(test)]
mod properties;
#[cfg(test)]
mod starter_tests;
#[cfg(test)]
mod tests;
