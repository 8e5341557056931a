//! Who holds the lock of a record.

use std::fmt;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::printable::printable;

/// Who holds a record's lock. A message goes on after "it is open in".
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum HeldBy {
    /// A program that signed the lock.
    #[error("{0}")]
    Program(Holder),
    /// One that did not.
    #[error("another program")]
    Unsigned,
    /// One that takes the lock and leaves it again and again.
    #[error("another program that opens and closes it all the time")]
    Restless,
    /// One that signed the lock, where the system keeps no locks.
    #[error("{holder}, as {lock} says; take that file away if it is not so")]
    AsSigned {
        /// The program.
        holder: Holder,
        /// The name of the lock file.
        lock: String,
    },
}

/// A program, as it signs a lock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Holder {
    pub(super) pid: u32,
    #[serde(default)]
    pub(super) host: String,
    pub(super) since: String,
}

impl fmt::Display for Holder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "process {}", self.pid)?;
        if !self.host.is_empty() {
            write!(f, " on {}", printable(&self.host, 60))?;
        }
        write!(f, ", since {}", printable(&self.since, 40))
    }
}
