//! Tables and rows before they are compared.

use super::by::By;
use super::counts::Counts;
use super::groups::of;
use crate::evidence::Proportion;
use crate::facts::PointRef;
use crate::summary::{Row as PatternRow, Tally};

/// A table whose rows are still to be compared.
pub(super) struct Drafts {
    pub(super) by: Option<By>,
    pub(super) counts: Counts,
    pub(super) rows: Vec<Draft>,
    pub(super) cannot_tell: Vec<PointRef>,
    pub(super) outside: Vec<PointRef>,
    pub(super) estimated: Vec<PointRef>,
}

/// A row before it is compared.
#[derive(Debug, Default)]
pub(super) struct Draft {
    pub(super) name: String,
    pub(super) about: String,
    pub(super) won_by: String,
    pub(super) tally: Tally,
    pub(super) others: Tally,
    pub(super) cannot_tell: Vec<PointRef>,
    pub(super) unplaced: Vec<PointRef>,
    pub(super) by_definition: bool,
    /// Points that may belong to it: their shot missed, and where it was aimed is not known.
    pub(super) missed: Proportion,
    /// Whether it has, or is compared with, points known by where a missed shot was aimed.
    pub(super) aimed: bool,
}

impl From<PatternRow> for Draft {
    fn from(row: PatternRow) -> Self {
        Self {
            name: row.pattern,
            about: row.about,
            won_by: row.won_by,
            tally: row.happened,
            others: row.others,
            cannot_tell: row.cannot_tell,
            unplaced: row.unplaced,
            by_definition: row.by_definition,
            missed: of(&row.missed),
            aimed: row.aimed,
        }
    }
}
