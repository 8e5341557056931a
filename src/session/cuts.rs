//! The cuts found in footage, kept so that they are looked for once.
//!
//! They are never needed: without them clips reach as far as their points allow.

use super::folders;
use super::kept::Kept;
use crate::clips::{ClipList, Lead, clip_list_uncut, cuts_on_clock};
use crate::facts::PointRef;
use crate::record::{Footage, Record};
use crate::time::MatchTime;

const FORM: &str = concat!("changeover-cuts 3 ", env!("CARGO_PKG_VERSION"));
/// How many files of footage the cuts are kept of.
const MOST: usize = 2000;

/// Where cuts are kept.
#[derive(Debug, Clone)]
pub struct KeptCuts(Kept);

impl Default for KeptCuts {
    fn default() -> Self {
        Self(Kept::new(folders::cache().join("cuts"), FORM, MOST))
    }
}

impl KeptCuts {
    /// In this folder.
    pub fn within(folder: std::path::PathBuf) -> Self {
        Self(Kept::new(folder, FORM, MOST))
    }

    /// The cuts of the footage with this fingerprint; `None` if they were not looked for.
    pub fn of(&self, fingerprint: &str) -> Option<Vec<MatchTime>> {
        let mut cuts: Vec<MatchTime> = self.0.of(fingerprint)?;
        cuts.sort_unstable();
        Some(cuts)
    }

    /// The cuts of a file of a record; none if they were not looked for.
    pub fn of_footage(&self, footage: &Footage) -> Vec<MatchTime> {
        footage.fingerprint.as_deref().and_then(|f| self.of(f)).unwrap_or_default()
    }

    /// The cuts of all files of a record, in order, on the match clock.
    pub fn of_record(&self, record: &Record) -> Vec<MatchTime> {
        cuts_on_clock(record, &|f| self.of_footage(f))
    }

    /// Keeps cuts.
    pub fn keep(&self, fingerprint: &str, cuts: &[MatchTime]) {
        self.0.keep(fingerprint, cuts);
    }
}

/// The clips that show these points, no lead-in or lead-out over a cut that is known.
pub fn clips(records: &[&Record], points: &[PointRef], lead: Lead) -> ClipList {
    let kept = KeptCuts::default();
    clip_list_uncut(records, points, lead, &|f| kept.of_footage(f))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cuts_are_kept_by_the_fingerprint() {
        let folder = tempfile::tempdir().unwrap();
        let kept = KeptCuts::within(folder.path().join("cuts"));
        let print = |n: u8| format!("sha256:{}", format!("{n:02x}").repeat(32));
        let cuts = [8, 3].map(MatchTime::from_secs);
        kept.keep(&print(1), &cuts);
        kept.keep(&print(2), &[]);
        assert_eq!(kept.of(&print(1)), Some([3, 8].map(MatchTime::from_secs).to_vec()));
        assert_eq!(kept.of(&print(2)), Some(vec![]));
        assert_eq!(kept.of(&print(3)), None);
    }
}
