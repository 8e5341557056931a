//! What a talk holds.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::drawing::{Colour, Shape};
use crate::lesson::model::{Clip, Footage, Pace};
use crate::time::MatchTime;

/// The coach's voice over the lesson, and what was on the screen meanwhile.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Talk {
    /// Whether the voice is made evenly loud when it is played. The voice file stays as it was recorded.
    #[serde(default)]
    pub gain: bool,
    /// Whether noise between and under the words is made quieter when it is played.
    #[serde(default)]
    pub gate: bool,
    /// What was recorded.
    pub takes: Vec<Take>,
    /// What is heard of it, in order.
    pub pieces: Vec<Piece>,
}

/// A part of a take, on that take's clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Piece {
    /// Which take, from 0.
    pub take: usize,
    /// Where it begins.
    pub from: MatchTime,
    /// Where it ends.
    pub to: MatchTime,
}

/// One recording. Its clock is that of its voice: 0 is the first sample.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Take {
    /// The voice: a WAV file in a folder beside the lesson.
    pub voice: Footage,
    /// The clips that were shown, as they were then: a later change of the lesson changes no talk.
    pub clips: Vec<Shown>,
    /// What was done, in order; first of all a clip appears.
    pub actions: Vec<Action>,
}

/// A clip that was shown.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Shown {
    /// The chapter that it belonged to.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub chapter: String,
    /// The clip; of two side by side, the left one.
    pub clip: Clip,
}

/// Something that was done, and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Action {
    /// When, on the take's clock.
    pub at: MatchTime,
    /// What was done.
    pub does: Deed,
}

/// What was done. A moment is that of the frame on the screen then, counted from the first moment of its file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Deed {
    /// Another clip appears and stands at this frame. Drawings are gone.
    Clip {
        /// Which clip of the take, from 0.
        clip: usize,
        /// The frame.
        moment: MatchTime,
    },
    /// It plays from this frame on, or goes on at another speed.
    Play {
        /// The frame.
        moment: MatchTime,
        /// How fast.
        pace: Pace,
    },
    /// It stands at this frame.
    Pause {
        /// The frame.
        moment: MatchTime,
    },
    /// One frame forward or back.
    Step {
        /// The frame reached.
        moment: MatchTime,
    },
    /// Another frame of the clip; what plays goes on from there.
    Go {
        /// The frame reached.
        moment: MatchTime,
    },
    /// Something is drawn over the picture. It stays until it is wiped or another clip appears.
    Draw {
        /// What is drawn.
        shape: Shape,
        /// Its colour.
        #[serde(default)]
        colour: Colour,
        /// How long it took: a free line appears as it was drawn.
        took: MatchTime,
    },
    /// All drawings are wiped away.
    Wipe,
}

impl Talk {
    /// How long it is.
    pub fn length(&self) -> MatchTime {
        self.pieces.iter().fold(MatchTime::ZERO, |sum, piece| sum.later(piece.to - piece.from))
    }

    /// All footage that it shows; the same file may come again.
    pub fn footage(&self) -> impl Iterator<Item = &Footage> {
        self.takes.iter().flat_map(|take| take.clips.iter().map(|shown| &shown.clip.footage))
    }

    /// Its voice files.
    pub fn voices(&self) -> impl Iterator<Item = &Footage> {
        self.takes.iter().map(|take| &take.voice)
    }
}
