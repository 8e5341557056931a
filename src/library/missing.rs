//! What a record lacks for watching it, or for keeping it.

use std::path::Path;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::entry::Known;
use crate::record::footage_path;

/// What is missing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case")]
pub enum Missing {
    /// A file of footage is not where the record says.
    Footage {
        /// Its name, as the record has it.
        file: String,
    },
    /// The record has no footage at all.
    NoFootage,
    /// A player did not agree to be filmed.
    Refused {
        /// Who.
        player: String,
    },
    /// The footage of a player could be kept until a day that has passed.
    Expired {
        /// Who.
        player: String,
        /// The last day.
        until: NaiveDate,
    },
}

impl Missing {
    /// What is missing of a record at this path.
    pub fn of(path: &Path, known: &Known, today: NaiveDate) -> Vec<Self> {
        let gone = known.footage.iter().filter(|f| !footage_path(path, f).is_ok_and(|p| p.is_file()));
        let gone = gone.map(|f| Self::Footage { file: f.file.clone() });
        let none = known.footage.is_empty().then_some(Self::NoFootage);
        let people = known.people.iter().flat_map(|p| {
            let refused = (p.consent == Some(false)).then(|| Self::Refused { player: p.name.clone() });
            let passed = p.keep_until.filter(|day| *day < today);
            refused.into_iter().chain(passed.map(|until| Self::Expired { player: p.name.clone(), until }))
        });
        gone.chain(none).chain(people).collect()
    }

    /// In words.
    pub fn words(&self) -> String {
        match self {
            Self::Footage { file } => format!("footage missing: {file}"),
            Self::NoFootage => "no footage".into(),
            Self::Refused { player } => format!("{player} did not agree to be filmed"),
            Self::Expired { player, until } => format!("consent of {player} expired on {until}"),
        }
    }

    /// Whether it concerns what may be kept and shown.
    pub const fn is_consent(&self) -> bool {
        matches!(self, Self::Refused { .. } | Self::Expired { .. })
    }
}
