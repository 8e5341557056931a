//! What a question found: types only. Every count is the length of a list of points: `P` is that list, or, where a file would
//! grow too long, the count alone ([`Findings::counted`]).

use schemars::JsonSchema;
use serde::Serialize;

use super::counts::Counts;
use super::noted::Noted;
use crate::evidence::{Caution, ChiSquared, Comparison, Entropy, Posterior, Stratified, Tiers, Verdict};
use crate::facts::PointRef;
use crate::summary::Tally;
use crate::tennis::CourtSide;
use crate::tennis::stroke::{Column, Depth, ServeTo};

/// The answer to one question.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Findings")]
pub struct Findings<P = Vec<PointRef>> {
    /// The question.
    pub question: String,
    /// What it asks for.
    pub about: String,
    /// Whose points, and which of them: `Holt, on serve; set 2`.
    pub looked_at: String,
    /// The answer in sentences; the first is the shortest answer.
    pub headline: Vec<String>,
    /// What to keep in mind beside the headline, the most common mistake first.
    pub cautions: Vec<Noted>,
    /// The points that the filter keeps.
    pub points: P,
    /// Points that may belong to them, because a facet, or whose point it is, is not known. They are counted nowhere else here.
    pub left_out: P,
    /// Those of the points looked at whose shots, faults, score or ending contradict each other, or whose ending is missing though
    /// every shot was logged. They count as they were logged.
    pub doubtful: P,
    /// The tables.
    pub sections: Vec<Section<P>>,
    /// The same points on the court.
    pub maps: Vec<CourtMap<P>>,
    /// How mixed the serves are; empty unless the question asks it, and of one player only.
    pub mixes: Vec<Mix<P>>,
}

/// One table: points grouped in one way.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Section")]
pub struct Section<P = Vec<PointRef>> {
    /// The fact by which they are grouped: `serve direction`; `pattern`.
    pub by: String,
    /// What is counted.
    pub counts: Counts,
    /// The rows, in the order of the court or the file, not in the order of their rates.
    pub rows: Vec<Row<P>>,
    /// Points whose row is not known. For patterns each row has its own list.
    pub cannot_tell: P,
    /// The data that those points lack: `serve direction`; empty for patterns.
    pub lacking: String,
    /// Points that belong to no row: an ace has no return.
    pub outside: P,
    /// The words for those points, after their number: `had no return`; empty for patterns.
    pub outside_means: String,
    /// Points whose row was not seen, but estimated from where the shots before landed.
    pub estimated: P,
    /// Which rows are better than which, by their places; nothing is said within a tier. Rows
    /// of fewer than 10 decided points are in none.
    pub tiers: Tiers,
}

/// One row: some points, and the others that they are compared with.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Row")]
pub struct Row<P = Vec<PointRef>> {
    /// Its name: `wide`; the pattern's name.
    pub name: String,
    /// What it means; may be empty.
    pub about: String,
    /// For a pattern, whose win counts: `server`, `receiver`, `a`, `b`, `striker`; else empty.
    pub won_by: String,
    /// Its points: `won` are those that count, `lost` those that do not, `unknown` those for which it is not known.
    pub tally: Tally<P>,
    /// The other points, likewise.
    pub others: Tally<P>,
    /// Points of which the record does not say whether they show the pattern.
    pub cannot_tell: P,
    /// Points that do not show the pattern, but may not belong among the others either.
    pub unplaced: P,
    /// Its rate against that of the others, among the points on serve and among those on return; none when neither has decided
    /// points of both.
    pub comparison: Option<Comparison>,
    /// The false discovery rate at which the difference would just be kept, among all rows of the answer.
    pub discovery: Option<f64>,
    /// The rate pulled toward that of all its points and the others; none without decided points.
    pub shrunk: Option<Posterior>,
    /// What can be said of the difference.
    pub verdict: Verdict,
    /// Both rates in a sentence; empty where no point is decided.
    pub numbers: String,
    /// The whole row in a sentence.
    pub says: String,
    /// What to keep in mind, most often wrong first.
    pub cautions: Vec<Caution>,
    /// The comparison within groups: first and second serves, matches. Only where the groups can say something.
    pub strata: Vec<Strata<P>>,
}

impl<P> Row<P> {
    /// Its name; of a pattern of the server or the receiver, with whose win it counts: `Serve at the body (server)`.
    pub fn title(&self) -> String {
        let says_so = self.name.to_lowercase().contains(&self.won_by);
        match self.won_by.as_str() {
            "server" | "receiver" if !says_so => format!("{} ({})", self.name, self.won_by),
            _ => self.name.clone(),
        }
    }
}

/// A comparison within groups.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Strata")]
pub struct Strata<P = Vec<PointRef>> {
    /// What a group is: `who serves`, `kind of serve`, `match`; the last two on serve and on return apart.
    pub by: &'static str,
    /// Pooled and within the groups.
    pub compared: Stratified,
    /// The reversal in words; `None` if there is none worth mentioning.
    pub says: Option<String>,
    /// The groups, if there is a reversal; else empty.
    pub groups: Vec<Group<P>>,
    /// Points whose group is not known; listed with the groups.
    pub cannot_tell: P,
}

/// One group of a comparison.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Group")]
pub struct Group<P = Vec<PointRef>> {
    /// Its name: `first serve`; `match 2, Holt – Okafor`.
    pub name: String,
    /// The row's points in it.
    pub this: Tally<P>,
    /// The others in it.
    pub that: Tally<P>,
}

/// A place on the court.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(tag = "place", rename_all = "snake_case")]
pub enum Place {
    /// A third of a service box.
    Box {
        /// The court served to.
        court: CourtSide,
        /// The third.
        to: ServeTo,
    },
    /// A ninth of a half court, as whoever struck the shot sees it.
    Half {
        /// The third of its width: the striker's left, middle or right.
        column: Column,
        /// The third of its length.
        depth: Depth,
    },
}

/// The points by where a shot landed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "CourtMap")]
pub struct CourtMap<P = Vec<PointRef>> {
    /// Which shot: `serve in play`, `first serve, in or out`, `return`, `serve plus one`, `last shot`.
    pub ball: String,
    /// The cells: of a half from the net to the baseline, each from left to right; of the boxes deuce court first.
    pub cells: Vec<CourtCell<P>>,
    /// Points of which the record does not say where it landed.
    pub cannot_tell: P,
    /// Points without such a shot in court.
    pub outside: P,
    /// What those did not have: `no return in play`.
    pub outside_means: String,
    /// What the picture does not show: where shots landed says nothing of those that missed. May be empty.
    pub note: String,
}

/// One cell of a map.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "CourtCell")]
pub struct CourtCell<P = Vec<PointRef>> {
    /// Where it is.
    pub at: Place,
    /// Its name: `deuce court, wide`; `deep, left`.
    pub name: String,
    /// The points whose shot landed there.
    pub tally: Tally<P>,
}

/// How mixed one kind of serve is.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Mix")]
pub struct Mix<P = Vec<PointRef>> {
    /// Which serves: `first serve, deuce court`.
    pub of: String,
    /// The points whose serve's direction is known, in the order played.
    pub points: P,
    /// How many of them went wide, to the body, and down the T.
    pub directions: [usize; 3],
    /// Whether the direction changes more or less often than chance makes it, all kinds of serve considered.
    pub is_regular: bool,
    /// Whether a direction depends on the one before; none with fewer than 45 pairs.
    #[serde(skip)]
    pub linked: Option<ChiSquared>,
    /// Whether it depends on it, all kinds of serve considered.
    #[serde(skip)]
    pub is_linked: bool,
    /// How uncertain the direction is.
    pub entropy: Entropy,
    /// How uncertain it is for one who knows the serve before; none without two in a row.
    pub knowing_last: Option<Entropy>,
    /// How often the direction chosen most changes to another and back; none where there is no choice.
    pub changes: Option<Changes>,
    /// Whether the directions could come from an even mix; none with fewer than 15 serves.
    pub even: Option<ChiSquared>,
    /// Whether they are too uneven for that, all kinds of serve considered.
    pub is_uneven: bool,
    /// Whether all directions win alike; none where they cannot differ, or are too few.
    pub equal: Option<ChiSquared>,
    /// All of it in a sentence.
    pub says: String,
}

/// Runs of one direction among others, over all matches.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Changes {
    /// Unbroken runs.
    pub runs: usize,
    /// How many chance gives on average.
    pub expected: f64,
    /// How often chance alone is as far off, or farther.
    pub p: f64,
}
