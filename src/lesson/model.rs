//! The parts of a lesson.

use std::time::Duration;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::drawing::Drawing;
use crate::time::{FrameRate, MatchTime};

/// One thing that is shown.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// A heading: the parts after it belong to it, up to the next.
    Chapter(Chapter),
    /// A span of footage.
    Clip(Box<Clip>),
    /// Two clips side by side, so that the strike of each comes at the same moment.
    Pair(Box<Pair>),
    /// A picture of the court with words.
    Still(Box<Still>),
}

impl Part {
    /// The clips in it: one, two side by side, or none.
    pub fn clips(&self) -> impl Iterator<Item = &Clip> {
        let [one, other] = match self {
            Self::Clip(clip) => [Some(&**clip), None],
            Self::Pair(pair) => [Some(&pair.left), Some(&pair.right)],
            Self::Chapter(_) | Self::Still(_) => [None, None],
        };
        one.into_iter().chain(other)
    }

    /// How long it takes to show its footage once; `span` gives what there is of each clip.
    pub fn plays(&self, mut span: impl FnMut(&Clip) -> (MatchTime, MatchTime)) -> Duration {
        match self {
            Self::Clip(clip) => clip.plays(span(clip)),
            Self::Pair(pair) => {
                let [left, right] = [&pair.left, &pair.right].map(|clip| clip.plays(span(clip)));
                let before = [pair.left_at - pair.left.from, pair.right_at - pair.right.from];
                let wait = |own: Duration, other: Duration| other.saturating_sub(own);
                (wait(before[0], before[1]) + left).max(wait(before[1], before[0]) + right)
            }
            Self::Chapter(_) | Self::Still(_) => Duration::ZERO,
        }
    }
}

/// A heading.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Chapter {
    /// The heading's words.
    pub title: String,
    /// Notes that only the coach sees.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notes: String,
}

/// A file of footage, with what is needed to find it again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Footage {
    /// File name relative to the lesson's folder, written as in a record.
    pub file: String,
    /// Content fingerprint, as in a record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fingerprint: Option<String>,
    /// How long it plays.
    pub duration: MatchTime,
    /// Frame rate; absent when it varies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate: Option<FrameRate>,
}

/// The point that a clip shows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct OfPoint {
    /// The record's file name relative to the lesson's folder.
    pub record: String,
    /// The point's place in it, from 0.
    pub point: usize,
    /// When it starts on the record's match clock, by which it is known again when points were added before it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start: Option<MatchTime>,
}

/// A span of footage with all that is shown and said with it. All times are counted from the file's own first moment.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Clip {
    /// The file.
    pub footage: Footage,
    /// The first moment that is shown.
    pub from: MatchTime,
    /// The moment at which it ends.
    pub to: MatchTime,
    /// What is written under it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
    /// Where in the match it is, as `Holt–Okafor 2–1 30–40`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub score: String,
    /// Notes that only the coach sees.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notes: String,
    /// The point that it shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<OfPoint>,
    /// The pattern by which it was found, by its name.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub pattern: String,
    /// The conditions of its pattern, each met, missed or unknown.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conditions: Vec<Condition>,
    /// Stretches that are not played at the full speed, in order and without overlap.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stretches: Vec<Stretch>,
    /// Moments at which the picture stands still, in order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub freezes: Vec<Freeze>,
    /// Drawings over the moving picture.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drawings: Vec<Drawing>,
    /// How many times it is shown in a row; 1 if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 20))]
    pub times: Option<u8>,
}

impl Clip {
    /// How long it takes to show a span of its footage once, at the speed of each stretch and with its freezes.
    pub fn plays(&self, (from, to): (MatchTime, MatchTime)) -> Duration {
        let paced = |s: &Stretch| {
            let part = (s.to.min(to) - s.from.max(from)).as_secs_f64();
            part * (100.0 / f64::from(s.pace.0.max(1)) - 1.0)
        };
        let more: f64 = self.stretches.iter().map(paced).sum();
        let still = self.freezes.iter().filter(|f| from <= f.at && f.at < to);
        let still: f64 = still.map(|f| f.lasts.as_secs_f64()).sum();
        Duration::from_secs_f64(((to - from).as_secs_f64() + more + still).max(0.0))
    }
}

/// One condition of a pattern, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Condition {
    /// What it asks, as `opponent deep`.
    pub words: String,
    /// Its answer.
    pub met: Met,
}

/// Whether a condition was met.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Met {
    /// It was.
    Met,
    /// It was not.
    Missed,
    /// Nobody can tell.
    Unknown,
}

/// A speed as a percentage of the full speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct Pace(#[schemars(range(min = 10, max = 400))] pub u16);

/// A part of a clip at another speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Stretch {
    /// Where it begins.
    pub from: MatchTime,
    /// Where it ends.
    pub to: MatchTime,
    /// Its speed in per cent; 50 is half as fast.
    pub pace: Pace,
}

/// A moment at which the picture stands still.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Freeze {
    /// The moment: the frame that is shown then.
    pub at: MatchTime,
    /// For how long.
    pub lasts: MatchTime,
    /// What is drawn on it. Their times are counted from the beginning of the freeze.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drawings: Vec<Drawing>,
}

/// Two clips side by side.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Pair {
    /// On the left.
    pub left: Clip,
    /// On the right.
    pub right: Clip,
    /// The moment of the left one that is shown together with `right_at`: a strike.
    pub left_at: MatchTime,
    /// The moment of the right one.
    pub right_at: MatchTime,
    /// What is written under both.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
    /// Notes that only the coach sees.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notes: String,
}

/// A picture of the court that stands for a while.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Still {
    /// What is written under it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
    /// How long it stands in a reel.
    pub lasts: MatchTime,
    /// What it shows.
    pub shows: Picture,
    /// Notes that only the coach sees.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notes: String,
}

/// What a still shows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Picture {
    /// The court from above, with these drawings on its ground.
    Court(Vec<Drawing>),
    /// Words only.
    Words(String),
}
