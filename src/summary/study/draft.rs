//! Tables and rows before they are compared.

use super::by::By;
use super::counts::Counts;
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
        }
    }
}
