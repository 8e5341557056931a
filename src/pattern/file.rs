//! A pattern, and the patterns of one file.

use super::answer::Answer;
use super::ball::Ball;
use super::condition::{Condition, Pattern, Plans};
use super::decided::is_decided;
use super::error::PatternError;
use super::renamed::renamed;
use super::tag::{TagTest, same_tag};
use super::who::Who;
use crate::facts::PointFacts;
use crate::near::Hint;
use crate::tennis::Side;
use crate::tennis::stroke::Wing;

/// The patterns of one file, in its order, and its other settings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PatternFile {
    /// The file's name, for messages.
    pub name: String,
    /// The answer about a tag for a point without any tag: unknown or no.
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

    /// The pattern of this name, without regard to case.
    ///
    /// # Errors
    /// [`PatternError::NoPattern`] with the names that there are, and the nearest.
    pub fn named(&self, name: &str) -> Result<&Pattern, PatternError> {
        let names = || self.patterns.iter().map(|p| p.name.as_str());
        let of = |name: &str| self.patterns.iter().find(|p| same_tag(&p.name, name));
        of(name).or_else(|| of(renamed(name)?)).ok_or_else(|| PatternError::NoPattern {
            file: self.name.clone(),
            found: name.into(),
            allowed: names().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ").into(),
            hint: Hint::of(name, names()),
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

    /// Whose win counts in this point, if it is known. If it is the striker's, the striker of the first shot that certainly is
    /// the one that the pattern is about; where no shot tells, the player whose tag it is.
    pub fn won_side(&self, f: &PointFacts) -> Option<Side> {
        match self.won_by {
            Who::Striker => {
                let ball = self.conditions.iter().find_map(|c| c.ball(f));
                ball.map_or_else(|| self.conditions.iter().find_map(|c| c.tagged(f)), Ball::by)
            }
            who => who.side(f),
        }
    }

    /// Whether a point that does not show the pattern cannot contain the shot that the pattern is about.
    pub(crate) fn has_no_ball_unless_shown(&self) -> bool {
        use Condition::{About, Any, Sequence, SomeShot};
        matches!(self.conditions.as_slice(), [About(_) | Any(_) | Sequence(_) | SomeShot(_)])
    }

    /// Whether its conditions already say who won, so that its rate tells nothing.
    pub fn is_decided(&self) -> bool {
        is_decided(&self.conditions)
    }

    /// Whether some condition is about a shot.
    pub fn has_ball(&self) -> bool {
        self.conditions.iter().any(Condition::has_ball)
    }

    /// The same pattern with the shot that it is about struck by this side, where the striker's win counts.
    #[must_use]
    pub fn struck_by(&self, side: Side) -> Self {
        let mut pattern = self.clone();
        if self.won_by == Who::Striker {
            pattern.conditions.iter_mut().for_each(|c| c.struck_by(side));
        }
        pattern
    }
}
