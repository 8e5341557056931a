//! A record with its score, counted before a key is pressed: who serves is asked of it, and not counted again.

use std::ops::Deref;

use crate::facts::Tally;
use crate::record::Record;
use crate::tennis::{CourtSide, End, Side};

/// A record, and what was counted of it.
#[derive(Debug, Clone, Copy)]
pub struct Scored<'r> {
    record: &'r Record,
    tally: &'r Tally,
}

impl<'r> Scored<'r> {
    /// `tally` must be that of this record as it is now.
    pub const fn new(record: &'r Record, tally: &'r Tally) -> Self {
        Self { record, tally }
    }

    /// Who serves a point, where every score that is possible says the same.
    pub(super) fn server(&self, at: usize) -> Option<Side> {
        self.tally.facts().get(at)?.server
    }

    /// The court that a point is served from, likewise.
    pub(super) fn court(&self, at: usize) -> Option<CourtSide> {
        self.tally.facts().get(at)?.court
    }

    /// The end from which a point is served, likewise; also of the point that comes next.
    pub(super) fn server_end(&self, at: usize) -> Option<End> {
        self.tally.facts().get(at).map_or_else(|| self.tally.next_server_end(), |f| f.server_end)
    }
}

impl Deref for Scored<'_> {
    type Target = Record;

    fn deref(&self) -> &Record {
        self.record
    }
}
