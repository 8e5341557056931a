//! The content of a record: the match, its footage, its points. Only what was observed, never what follows from it.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset, NaiveDate};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::court_marks::CourtMarks;
use super::kind::Kind;
use super::shared::Shared;
use super::shot::Shot;
use super::source::{Source, Whose};
use crate::drawing::Drawing;
use crate::tennis::mark::Mark;
use crate::tennis::pair::{Partner, Server, SetOrder};
use crate::tennis::rules::Rules;
use crate::tennis::stroke::{Miss, Stance};
use crate::tennis::{CourtSide, End, Side};
use crate::time::{FrameRate, MatchTime};

/// The name that every record carries in its first field.
pub const FORMAT: &str = "changeover-record";
/// The version that this program writes.
///
/// Version 2 added, all optional: partners, backhand and gender of players, the order of serve in doubles, the outcome,
/// what was seen of a point's server, receiver, court and end, replayed points, and score marks. A version 1 record is
/// a version 2 record without them.
///
/// Version 3 added, all optional: aims of missed shots, kinds of faults and of volleys, shots at the net, net cords, depths
/// without a column, lets, misses that were long and wide, unreturned serves, point penalties and time violations; what the
/// footage shows, people, where a point comes from, points joined late or left early, and whose a tag is; marks of the court,
/// positions and drawings. A version 2 record is a version 3 record without them.
pub const VERSION: u32 = 3;

/// All that is known of one match; saved as the sidecar `NAME.points.json` beside the footage.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Record {
    /// Always `changeover-record`.
    #[schemars(extend("const" = FORMAT))]
    pub format: String,
    /// Version of the form, now 3.
    #[schemars(range(min = 1))]
    pub version: u32,
    /// Who played, when, under which rules.
    #[serde(rename = "match")]
    pub about: MatchInfo,
    /// The media files and their place on the match clock, in the order of their start.
    #[serde(default)]
    pub footage: Vec<Footage>,
    /// Who plays in points of many matches, each with what is known of them. Since version 3.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub people: Vec<Player>,
    /// The marks of the court in pictures of the footage. Since version 3.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub calibrations: Vec<CourtMarks>,
    /// What was drawn on the footage, with times on the match clock. Since version 3.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drawings: Vec<Drawing>,
    /// The points in the order in which they were played.
    #[serde(default)]
    pub points: Shared<Point>,
    /// The score after the last point, if the end of the match was not recorded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closing_score: Option<Mark>,
}

impl Default for Record {
    fn default() -> Self {
        Self {
            format: FORMAT.into(),
            version: VERSION,
            about: MatchInfo::default(),
            footage: Vec::new(),
            people: Vec::new(),
            calibrations: Vec::new(),
            drawings: Vec::new(),
            points: Shared::default(),
            closing_score: None,
        }
    }
}

/// Who played, when, where, and by which rules.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct MatchInfo {
    /// Day of the match.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub date: Option<NaiveDate>,
    /// When the match clock showed 0, for points logged by the wall clock without footage; see [`super::align`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clock_started: Option<DateTime<FixedOffset>>,
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
    /// The partner of player A, in doubles.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub a_partner: Option<Player>,
    /// The partner of player B, in doubles.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub b_partner: Option<Player>,
    /// The rules of the match.
    #[serde(default)]
    pub rules: Rules,
    /// What the footage shows; a whole match if absent. Since version 3.
    #[serde(default, skip_serializing_if = "Kind::is_match")]
    pub shows: Kind,
    /// Who served the first point.
    pub first_server: Side,
    /// The end at which A started.
    pub a_starts: End,
    /// In doubles, the order of serving and receiving from each set on in which it was noted, the first set first;
    /// `null` for a set in which it stayed as before.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub order: Vec<Option<SetOrder>>,
    /// How the match ended, if not by its score.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outcome: Option<Outcome>,
}

/// How a match ended, if not by its score.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// This side retired; the other won.
    Retired(Side),
    /// This side was defaulted; the other won.
    Defaulted(Side),
    /// It was not finished, and nobody won.
    Unfinished,
}

impl MatchInfo {
    /// The player of a side.
    pub const fn player(&self, side: Side) -> &Player {
        match side {
            Side::A => &self.a,
            Side::B => &self.b,
        }
    }

    /// The partner of a side's player, in doubles.
    pub const fn partner(&self, side: Side) -> Option<&Player> {
        match side {
            Side::A => self.a_partner.as_ref(),
            Side::B => self.b_partner.as_ref(),
        }
    }

    /// How a side is named: its player, and in doubles both, `Holt / Reyes`.
    pub fn side_name(&self, side: Side) -> String {
        match self.partner(side) {
            Some(partner) => format!("{} / {}", self.player(side).name, partner.name),
            None => self.player(side).name.clone(),
        }
    }

    /// One of a pair, where it is known which and that one is named; else the side.
    pub fn name_of(&self, side: Side, partner: Option<Partner>) -> String {
        match (partner, self.partner(side)) {
            (Some(Partner::First), Some(_)) => self.player(side).name.clone(),
            (Some(Partner::Second), Some(second)) => second.name.clone(),
            _ => self.side_name(side),
        }
    }
}

impl Default for MatchInfo {
    fn default() -> Self {
        Self {
            date: None,
            clock_started: None,
            venue: String::new(),
            surface: String::new(),
            a: Player::named("Player A"),
            b: Player::named("Player B"),
            rules: Rules::default(),
            shows: Kind::Match,
            first_server: Side::A,
            a_starts: End::Near,
            a_partner: None,
            b_partner: None,
            order: Vec::new(),
            outcome: None,
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
    /// Hands on the racket in a backhand drive.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backhand: Option<Backhand>,
    /// Used only in mixed doubles, where the deciding point depends on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gender: Option<Gender>,
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
        Self { name: name.into(), hand: None, backhand: None, gender: None, consent: None, keep_until: None }
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

/// Hands on the racket in a backhand drive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Backhand {
    /// One.
    OneHanded,
    /// Both.
    TwoHanded,
}

/// Of a player in mixed doubles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Gender {
    /// A woman or a girl.
    Woman,
    /// A man or a boy.
    Man,
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
    /// The time of its first moment on the match clock.
    #[serde(default)]
    pub start: MatchTime,
}

/// One point.
#[expect(clippy::struct_excessive_bools, reason = "each is a field of the file by itself")]
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Point {
    /// When it started: the frame of the first serve. Absent only without footage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start: Option<MatchTime>,
    /// When it ended. Absent while it is being played, and without footage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end: Option<MatchTime>,
    /// The score just before it, if play before it was not recorded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub score_before: Option<Mark>,
    /// Who was seen to serve, if that does not follow from the order of serve or contradicts it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub served_by: Option<Server>,
    /// Who of the pair was seen to receive, under the same condition.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub received_by: Option<Partner>,
    /// The court that it was seen to be served from: at a deciding point, in a drill, or by error.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<CourtSide>,
    /// The end that it was seen to be served from, if that is not the end that follows from the score.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub server_end: Option<End>,
    /// The match that it comes from, in footage of many matches. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Box<Source>>,
    /// Whether it was joined in mid-rally: shots before the first logged one were not seen. Since version 3.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub joined_late: bool,
    /// Who struck the first logged shot of a point that was joined late. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first_by: Option<Side>,
    /// Whether it was left before its end: shots after the last logged one were not seen. Since version 3.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub left_early: bool,
    /// Whether it was replayed (a let) and so does not count.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub replayed: bool,
    /// Serves that were faults: 0, 1 or 2. Absent if nobody logged them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub faults: Option<u8>,
    /// Who won it; absent when not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub winner: Option<Side>,
    /// How it ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finish: Option<Finish>,
    /// Where the last shot went, when it was missed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub miss: Option<Miss>,
    /// Whether the last shot, which went long, went wide too. Since version 3.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub also_wide: bool,
    /// Whether the serve in play was not returned, without saying whether it was an ace or an error. Since version 3.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub unreturned: bool,
    /// Serves that touched the net, landed in the box and were replayed. Absent if nobody logged one. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lets: Option<u8>,
    /// The side that a point penalty was given against: nothing was played, and the other side won the point. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub penalty: Option<Side>,
    /// The side that was called for a time violation before the point or in it. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_violation: Option<Side>,
    /// The shots, from the serve in play on; a missed one too.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub shots: Vec<Shot>,
    /// Which shots `shots` holds. Absent when they were not logged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub logged: Option<Logged>,
    /// The serves that were faults, if they were seen; `faults` counts all of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub serves_out: Vec<Shot>,
    /// Where the server stood.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stance: Option<Stance>,
    /// The name of the pattern that was planned before the point.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub plan: String,
    /// Tags, in the user's words.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub tags: BTreeSet<String>,
    /// The player of each tag, for tags of which that was said. Since version 3.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub tags_by: BTreeMap<String, Whose>,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Which shots of a point were logged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Logged {
    /// Only the first shots, such as serve, return and plus one; there may have been more.
    Opening,
    /// Every shot, the last one too.
    Every,
}

/// How a point ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Finish {
    /// A serve in play that the receiver did not touch.
    Ace,
    /// Two faults.
    DoubleFault,
    /// A shot that the opponent could not reach.
    Winner,
    /// An error under pressure.
    ForcedError,
    /// An error without pressure.
    UnforcedError,
}

impl Finish {
    /// Every one, in the order in which they are offered.
    pub const ALL: [Self; 5] =
        [Self::Ace, Self::DoubleFault, Self::Winner, Self::ForcedError, Self::UnforcedError];

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
