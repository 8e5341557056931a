//! What a talk shows, as a reel shows it.

use std::collections::BTreeMap;
use std::path::PathBuf;

use crate::lesson::Part;
use crate::time::MatchTime;

/// Where the voice files of a talk lie, by the names that it has for them.
pub type Voices = BTreeMap<String, PathBuf>;

/// A clip for as long as a talk shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// The file, as the lesson names it.
    pub file: String,
    /// The chapter that the clip belonged to.
    pub chapter: String,
    /// The clip as a part, with its words.
    pub part: Part,
    /// The frame of the file that each frame of the reel shows.
    pub frames: Vec<usize>,
    /// Where the clip's own sound is heard: the first and the last frame of the scene, and where it begins on the clock of the file.
    pub heard: Vec<(u64, u64, MatchTime)>,
}
