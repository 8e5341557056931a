//! Who holds a record's lock.

use std::fmt;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::printable::printable;

/// Who holds a record's lock. The words continue a message that ends with "it is open in".
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum HeldBy {
    /// A program that signed the lock.
    #[error("{0}")]
    Program(Holder),
    /// A program that did not sign the lock.
    #[error("another program")]
    Unsigned,
    /// A program that takes and releases the lock again and again.
    #[error("another program, which opens and closes it all the time")]
    Restless,
    /// A program that signed the lock, on a file system without locks.
    #[error("{holder}, according to {lock}; delete that file if this is not true")]
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
