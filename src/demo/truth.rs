//! The ground truth of a simulated match: what happened, when, where and who, as JSON beside the footage.
//!
//! Times are on the match clock (`HH:MM:SS.mmm`), places are metres on the court's axes (x right, y away from the
//! camera, origin on the ground at the middle of the net).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::tennis::court::{Metres, Spot};
use crate::tennis::rules::Rules;
pub use crate::tennis::stroke::{ServeTo, Wing};
use crate::tennis::{CourtSide, End, Side};
use crate::time::{FrameRate, MatchTime, Span};

/// What `format` says in every truth file.
pub const FORMAT: &str = "changeover-truth";

/// The whole truth of one simulated match.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Truth {
    /// Always `changeover-truth`.
    pub format: String,
    /// Version of this layout: 1.
    pub version: u32,
    /// The number that the match was made from; the same number gives the same match.
    pub number: u64,
    /// Whether the time between points was shortened.
    pub brisk: bool,
    /// The two invented players: side A, then side B.
    pub players: [Player; 2],
    /// The rules that the score follows.
    pub rules: Rules,
    /// Who serves first.
    pub first_server: Side,
    /// The end at which side A starts.
    pub a_starts: End,
    /// The files, in order.
    pub files: Vec<File>,
    /// Where the footage was cut: the times of the first frames after each cut. Left out if it was not.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cuts: Vec<MatchTime>,
    /// The points, in order.
    pub points: Vec<Point>,
}

/// One of the players.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Player {
    /// Invented name.
    pub name: String,
    /// The hand that holds the racket: `right`.
    pub hand: String,
    /// What the player wears, to tell them apart: a colour and a shape.
    pub shirt: String,
}

/// One footage file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct File {
    /// File name, beside the truth file.
    pub name: String,
    /// Where its first frame is on the match clock.
    pub start: MatchTime,
    /// Where its last frame ends on the match clock.
    pub end: MatchTime,
    /// Number of frames.
    pub frames: u64,
    /// Frames a second, or null when the rate varies.
    pub rate: Option<FrameRate>,
    /// Width of the upright picture in pixels.
    pub width: u32,
    /// Height of the upright picture in pixels.
    pub height: u32,
    /// Degrees clockwise by which a player must turn the stored picture to show it upright.
    pub rotation: u16,
}

/// The score as it stood before a point.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Score {
    /// Games of A and B in the sets already finished.
    pub sets: Vec<[u16; 2]>,
    /// Games of A and B in the set being played.
    pub games: [u16; 2],
    /// The game as called, server first: `30–15`, `deuce`, `advantage receiver`.
    pub called: String,
}

/// One point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Point {
    /// Number in the match, from 1.
    pub number: u32,
    /// From the strike of the first serve to the moment the last ball lands (in or out) or meets the net.
    pub span: Span,
    /// Who serves.
    pub server: Side,
    /// The court that is served to and from.
    pub court_side: CourtSide,
    /// The end at which the server stands.
    pub server_end: End,
    /// The score before it.
    pub score: Score,
    /// Every strike in order, faults too.
    pub strikes: Vec<Strike>,
    /// Who won it.
    pub winner: Side,
    /// How it ended.
    pub ending: Ending,
    /// Tactics that it shows, in order of appearance.
    pub tags: Vec<Tag>,
}

/// One racket–ball contact.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Strike {
    /// When the racket meets the ball.
    pub time: MatchTime,
    /// Who strikes.
    pub by: Side,
    /// Number of the shot in the rally: 1 is the serve in play, 2 the return; null for a fault.
    pub shot: Option<u32>,
    /// The stroke.
    pub stroke: Stroke,
    /// Forehand or backhand; null for a serve and an overhead.
    pub wing: Option<Wing>,
    /// Direction of a serve; null for other strokes.
    pub serve: Option<ServeTo>,
    /// Where the ball is struck, on the ground below it.
    pub from: Spot,
    /// Height of the ball when struck.
    pub height: Metres,
    /// What became of it.
    pub fate: Fate,
    /// When the ball lands, meets the net, or is met in the air.
    pub fate_time: MatchTime,
    /// Where that is, on the ground below it.
    pub fate_spot: Spot,
    /// Where a missed shot was meant to land; null for a serve and for a shot that did not miss.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aim: Option<Spot>,
    /// Where A and B stand at the strike.
    pub positions: [Spot; 2],
}

/// The stroke, whichever wing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Stroke {
    /// A serve.
    Serve,
    /// A drive after the bounce.
    Drive,
    /// A sliced ground stroke.
    Slice,
    /// A drop shot.
    DropShot,
    /// A lob.
    Lob,
    /// A ball struck before it bounces.
    Volley,
    /// A ball struck above the head, other than a serve.
    Overhead,
}

/// What became of a struck ball.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Fate {
    /// It landed in.
    In,
    /// It landed out.
    Out,
    /// It met the net and fell back.
    Net,
    /// The opponent met it before it bounced.
    Met,
}

/// How a point ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Ending {
    /// A serve in that was not touched.
    Ace,
    /// A ball in that was not touched.
    Winner,
    /// A miss under pressure.
    ForcedError,
    /// A miss without pressure.
    UnforcedError,
    /// Two faults.
    DoubleFault,
}

/// A tactic that a point shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum Tag {
    /// The serve in play went wide.
    #[serde(rename = "wide serve")]
    WideServe,
    /// The serve in play went to the body.
    #[serde(rename = "body serve")]
    BodyServe,
    /// The serve in play went down the T.
    #[serde(rename = "T serve")]
    TServe,
    /// The serve in play was the second.
    #[serde(rename = "second serve")]
    SecondServe,
    /// The return was a backhand.
    #[serde(rename = "backhand return")]
    BackhandReturn,
    /// The server's shot 3 went into the open court.
    #[serde(rename = "serve plus one open court")]
    ServePlusOneOpen,
    /// Some shot went away from where the opponent was.
    #[serde(rename = "open court")]
    OpenCourt,
    /// Some shot went back to where the opponent came from.
    #[serde(rename = "behind")]
    Behind,
    /// Somebody played a drop shot.
    #[serde(rename = "drop shot")]
    DropShot,
    /// Somebody played a lob.
    #[serde(rename = "lob")]
    Lob,
    /// Somebody came to the net.
    #[serde(rename = "net")]
    Net,
    /// More than eight shots.
    #[serde(rename = "long rally")]
    LongRally,
}

impl Tag {
    /// The tag as written in the truth file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::WideServe => "wide serve",
            Self::BodyServe => "body serve",
            Self::TServe => "T serve",
            Self::SecondServe => "second serve",
            Self::BackhandReturn => "backhand return",
            Self::ServePlusOneOpen => "serve plus one open court",
            Self::OpenCourt => "open court",
            Self::Behind => "behind",
            Self::DropShot => "drop shot",
            Self::Lob => "lob",
            Self::Net => "net",
            Self::LongRally => "long rally",
        }
    }
}
