//! Whether a record's file is still as it was when it was read.

use std::fs::{self, Metadata};
use std::path::Path;
use std::time::UNIX_EPOCH;

use serde::{Deserialize, Serialize};

/// When a record's file and its journal were written, and how long they are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    record: Written,
    journal: Option<Written>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
struct Written {
    /// Nanoseconds since 1970; 0 where the system does not say.
    at: u64,
    bytes: u64,
}

impl From<Metadata> for Written {
    fn from(about: Metadata) -> Self {
        let since = about.modified().ok().and_then(|t| t.duration_since(UNIX_EPOCH).ok());
        Self { at: since.map_or(0, |d| d.as_nanos() as u64), bytes: about.len() }
    }
}

impl Stamp {
    /// Of the record at this path; `None` if it is not there.
    pub fn of(record: &Path) -> Option<Self> {
        let journal = fs::metadata(record.with_extension("journal")).ok().map(Into::into);
        Some(Self { record: fs::metadata(record).ok()?.into(), journal })
    }
}
