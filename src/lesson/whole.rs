//! What a lesson holds.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::model::{Footage, Part};
use super::talk::Talk;

/// The name that every lesson carries in its first field.
pub const FORMAT: &str = "changeover-lesson";
/// The version that this program writes.
pub const VERSION: u32 = 1;

/// Clips in their order, with words and drawings; saved as `NAME.lesson.json`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Lesson {
    /// Always `changeover-lesson`.
    #[schemars(extend("const" = FORMAT))]
    pub format: String,
    /// Version of the form, now 1.
    #[schemars(range(min = 1))]
    pub version: u32,
    /// What it is called.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub title: String,
    /// Whom it is for, as a name or a pseudonym.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub player: String,
    /// Its parts, in the order in which they are shown.
    #[serde(default)]
    pub parts: Vec<Part>,
    /// What the coach says over it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub talk: Option<Box<Talk>>,
}

impl Default for Lesson {
    fn default() -> Self {
        Self {
            format: FORMAT.into(),
            version: VERSION,
            title: String::new(),
            player: String::new(),
            parts: Vec::new(),
            talk: None,
        }
    }
}

impl Lesson {
    /// The footage of each clip, in order, and what the talk shows; the same file may come again.
    pub fn footage(&self) -> impl Iterator<Item = &Footage> {
        let told = self.talk.iter().flat_map(|talk| talk.footage());
        self.parts.iter().flat_map(Part::clips).map(|clip| &clip.footage).chain(told)
    }
}
