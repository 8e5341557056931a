//! Who holds a record's lock.

use std::fmt;

use chrono::{DateTime, Local};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::system::printable;

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
        match DateTime::parse_from_rfc3339(&self.since) {
            Ok(since) => write!(f, ", since {}", since.with_timezone(&Local).format("%Y-%m-%d %H:%M")),
            Err(_) => write!(f, ", since {}", printable(&self.since, 40)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_holder_is_told_with_the_time_of_the_clock_on_the_wall() {
        let of = |since: &str| Holder { pid: 7, host: "court-3".into(), since: since.into() }.to_string();
        let now = Local::now();
        let wanted = format!("process 7 on court-3, since {}", now.format("%Y-%m-%d %H:%M"));
        assert_eq!(of(&now.to_rfc3339()), wanted);
        assert_eq!(of(&now.to_utc().to_rfc3339()), wanted, "in whatever zone it was signed");
        assert_eq!(of("yesterday\u{1b}"), "process 7 on court-3, since yesterday\\u{1b}");
    }
}
