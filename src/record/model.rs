//! What a record holds: the match, its footage, its points. Only what was observed; never what follows from it.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::tennis::rules::Rules;
use crate::tennis::{End, Side};
use crate::time::{FrameRate, MatchTime};

/// The name that every record carries in its first field.
pub const FORMAT: &str = "changeover-record";
/// The version that this program writes.
pub const VERSION: u32 = 1;

/// All that is known of one match; saved as the sidecar `NAME.points.json` beside the footage.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Record {
    /// Always `changeover-record`.
    pub format: String,
    /// Version of the form, now 1.
    pub version: u32,
    /// Who played, when, under which rules.
    #[serde(rename = "match")]
    pub about: MatchInfo,
    /// The media files and their place on the match clock, in the order of their start.
    #[serde(default)]
    pub footage: Vec<Footage>,
    /// The points in the order in which they were played.
    #[serde(default)]
    pub points: Vec<Point>,
}

impl Default for Record {
    fn default() -> Self {
        Self {
            format: FORMAT.into(),
            version: VERSION,
            about: MatchInfo::default(),
            footage: Vec::new(),
            points: Vec::new(),
        }
    }
}

/// Who played, when, where, under which rules.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct MatchInfo {
    /// Day of the match.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub date: Option<NaiveDate>,
    /// Where it was played.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub venue: String,
    /// Surface of the court, in the user's words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub surface: String,
    /// The first-named player.
    pub a: Player,
    /// The second-named player.
    pub b: Player,
    /// The rules of the match.
    #[serde(default)]
    pub rules: Rules,
    /// Who served the first point.
    pub first_server: Side,
    /// The end at which A started.
    pub a_starts: End,
}

impl MatchInfo {
    /// The player of a side.
    pub const fn player(&self, side: Side) -> &Player {
        match side {
            Side::A => &self.a,
            Side::B => &self.b,
        }
    }
}

impl Default for MatchInfo {
    fn default() -> Self {
        Self {
            date: None,
            venue: String::new(),
            surface: String::new(),
            a: Player::named("Player A"),
            b: Player::named("Player B"),
            rules: Rules::default(),
            first_server: Side::A,
            a_starts: End::Near,
        }
    }
}

/// A player, under a name or a pseudonym.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Player {
    /// Name or pseudonym, as shown.
    pub name: String,
    /// The hand that holds the racket.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<Hand>,
    /// Whether the player (or a parent) agreed to be filmed; absent when nobody asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub consent: Option<bool>,
    /// The last day on which the footage may be kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keep_until: Option<NaiveDate>,
}

impl Player {
    /// A player of whom only the name is known.
    pub fn named(name: &str) -> Self {
        Self { name: name.into(), hand: None, consent: None, keep_until: None }
    }
}

/// The hand that holds the racket.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Hand {
    /// Right-handed.
    Right,
    /// Left-handed.
    Left,
}

/// One media file of the match.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Footage {
    /// File name relative to the record's folder.
    pub file: String,
    /// Content fingerprint (`sha256:` of size, first and last mebibyte), to find the file again when it moved.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fingerprint: Option<String>,
    /// How long it plays.
    pub duration: MatchTime,
    /// Frame rate; absent when it varies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate: Option<FrameRate>,
    /// Degrees clockwise by which the picture is turned for showing: 0, 90, 180 or 270.
    #[serde(default)]
    pub rotation: u16,
    /// Where its first moment lies on the match clock.
    #[serde(default)]
    pub start: MatchTime,
}

/// One point.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Point {
    /// When it began: the frame of the first serve. Absent only without footage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start: Option<MatchTime>,
    /// When it was over. Absent while it is being played, and without footage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end: Option<MatchTime>,
    /// Serves that were faults: 0, 1 or 2. Absent when nobody noted them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub faults: Option<u8>,
    /// Who won it; absent when not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub winner: Option<Side>,
    /// How it ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finish: Option<Finish>,
    /// Tags, in the user's words.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub tags: BTreeSet<String>,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// How a point ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Finish {
    /// A serve in play that the receiver did not touch.
    Ace,
    /// Two faults.
    DoubleFault,
    /// A ball that the opponent could not reach.
    Winner,
    /// An error under pressure.
    ForcedError,
    /// An error without pressure.
    UnforcedError,
}

impl Finish {
    /// In the trade's words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Ace => "ace",
            Self::DoubleFault => "double fault",
            Self::Winner => "winner",
            Self::ForcedError => "forced error",
            Self::UnforcedError => "unforced error",
        }
    }
}
