//! Tags, and whose they are. A stroke's key in a point without shots is a tag, and the next winner's key then says whose.

use super::error::LogError;
use super::log::{LastTag, Logger, Step};
use crate::record::{Record, Whose};
use crate::tennis::Side;

impl Logger {
    /// Puts a tag on the current point, or takes it off.
    ///
    /// # Errors
    /// [`LogError::NoPoint`].
    pub fn tag(&self, tag: &str, record: &Record) -> Result<Step, LogError> {
        self.tagged(tag, false, record)
    }

    /// As [`Self::tag`]; with `asks`, the next key of a winner says whose it is.
    pub(super) fn tagged(&self, tag: &str, asks: bool, record: &Record) -> Result<Step, LogError> {
        let mut on = false;
        let step = self.with_current(record, |point, _| {
            on = !point.tags.remove(tag);
            if on {
                point.tags.insert(tag.to_owned());
            } else {
                point.tags_by.remove(tag);
            }
            Ok(())
        })?;
        let tag = on.then(|| LastTag { tag: tag.to_owned(), asks });
        Ok(Step { after: Self { tag, ..step.after }, ..step })
    }

    /// The tag of which the keys of the winners say whose it is.
    pub fn asks_whose(&self) -> Option<&str> {
        self.tag.as_ref().filter(|t| t.asks).map(|t| t.tag.as_str())
    }

    /// The same logger once the keys of the winners mean the winner again.
    pub(super) fn calm(&self) -> Self {
        let tag = self.tag.clone().map(|t| LastTag { asks: false, ..t });
        Self { tag, ..self.clone() }
    }

    /// The last tag is this side's too, or is not after all.
    pub(super) fn tag_of(&self, side: Side, record: &Record) -> Result<Step, LogError> {
        let tag = self.tag.as_ref().map(|t| t.tag.clone());
        self.with_current(record, |point, i| {
            let only = || Some(point.tags.first()?.clone()).filter(|_| point.tags.len() == 1);
            let last = tag.filter(|t| point.tags.contains(t)).or_else(only);
            let tag = last.ok_or(LogError::NoTag { number: i + 1 })?;
            let now = match point.tags_by.get(&tag) {
                Some(Whose::Both) => Some(side.other().into()),
                Some(one) if one.is(side) => None,
                Some(other) => Some(other.and(side)),
                None => Some(side.into()),
            };
            match now {
                Some(whose) => point.tags_by.insert(tag, whose),
                None => point.tags_by.remove(&tag),
            };
            Ok(())
        })
    }
}
