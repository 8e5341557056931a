//! The cuts of footage: those that were found, kept so that they are looked for once, and those that the user marked or deleted by
//! hand, kept with what else the user made.
//!
//! They are never needed: without them clips reach as far as their points allow.

use std::path::Path;

use serde::{Deserialize, Serialize};

use super::folders;
use super::kept::Kept;
use crate::clips::{ClipList, Lead, clip_list_uncut, cuts_on_clock};
use crate::facts::PointRef;
use crate::record::{Footage, Record};
use crate::time::MatchTime;

const FORM: &str = concat!("changeover-cuts 4 ", env!("CARGO_PKG_VERSION"));
/// How many files of footage the cuts are kept of.
const MOST: usize = 2000;

/// The form of what was done by hand: of any version of the program, for nobody can find it again.
const BY_HAND: &str = "changeover-cuts-by-hand 1";
/// A cut this near to a frame, in nanoseconds, is that frame's: less than a frame of any footage, more than times are rounded by.
const SAME: u64 = 2_000_000;

/// Where cuts are kept.
#[derive(Debug, Clone)]
pub struct KeptCuts {
    found: Kept,
    by_hand: Kept,
}

/// What was done by hand, on the file's own clock.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
struct ByHand {
    /// Cuts that were not found.
    marked: Vec<MatchTime>,
    /// Cuts that were found and are none.
    deleted: Vec<MatchTime>,
}

/// What came of marking a cut by hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toggled {
    /// There is a cut now.
    Marked,
    /// There is none any more.
    Deleted,
    /// It could not be kept: the folder cannot be written to, the footage has no fingerprint, or what is kept cannot be read.
    NotKept,
}

impl Default for KeptCuts {
    fn default() -> Self {
        Self::within(&folders::cache().join("cuts"), &folders::data().join("cuts-by-hand"))
    }
}

fn is(at: MatchTime) -> impl Fn(&MatchTime) -> bool {
    move |t| t.nanos().abs_diff(at.nanos()) <= SAME
}

impl KeptCuts {
    /// Those that were found in one folder, those done by hand in another.
    pub fn within(found: &Path, by_hand: &Path) -> Self {
        Self {
            found: Kept::new(found.to_owned(), FORM, MOST),
            by_hand: Kept::new(by_hand.to_owned(), BY_HAND, usize::MAX),
        }
    }

    /// Whether the footage with this fingerprint was searched for cuts.
    pub fn are_found(&self, fingerprint: &str) -> bool {
        self.found.of::<Vec<MatchTime>>(fingerprint).is_some()
    }

    /// The cuts of the footage with this fingerprint that are known: those found and not deleted, and those marked by hand.
    pub fn of(&self, fingerprint: &str) -> Vec<MatchTime> {
        let ByHand { marked, deleted } = self.by_hand.of(fingerprint).unwrap_or_default();
        let mut cuts: Vec<MatchTime> = self.found.of(fingerprint).unwrap_or_default();
        cuts.retain(|found| !deleted.iter().any(is(*found)) && !marked.iter().any(is(*found)));
        cuts.extend(marked);
        cuts.sort_unstable();
        cuts.dedup();
        cuts
    }

    /// Marks a cut before the frame that is shown at this time of the file, or deletes the one that is there. Never writes over
    /// what another version of the program keeps, or what is damaged.
    pub fn toggle(&self, fingerprint: &str, at: MatchTime) -> Toggled {
        let there = self.of(fingerprint).into_iter().any(|t| is(at)(&t));
        let kept = self.by_hand.of::<ByHand>(fingerprint);
        if kept.is_none() && self.by_hand.file(fingerprint).is_none_or(|f| f.exists()) {
            return Toggled::NotKept;
        }
        let mut by_hand = kept.unwrap_or_default();
        by_hand.marked.retain(|t| !is(at)(t));
        by_hand.deleted.retain(|t| !is(at)(t));
        let found = self.found.of::<Vec<MatchTime>>(fingerprint).unwrap_or_default().into_iter().find(is(at));
        match (there, found) {
            (true, Some(found)) => by_hand.deleted.push(found),
            (true, None) | (false, Some(_)) => {}
            (false, None) => by_hand.marked.push(at),
        }
        self.by_hand.keep(fingerprint, &by_hand);
        match self.by_hand.of::<ByHand>(fingerprint) {
            Some(kept) if kept == by_hand => {
                if there {
                    Toggled::Deleted
                } else {
                    Toggled::Marked
                }
            }
            _ => Toggled::NotKept,
        }
    }

    /// The cuts of a file of a record that are known.
    pub fn of_footage(&self, footage: &Footage) -> Vec<MatchTime> {
        footage.fingerprint.as_deref().map(|f| self.of(f)).unwrap_or_default()
    }

    /// The cuts of all files of a record, in order, on the match clock.
    pub fn of_record(&self, record: &Record) -> Vec<MatchTime> {
        cuts_on_clock(record, &|f| self.of_footage(f))
    }

    /// Keeps cuts.
    pub fn keep(&self, fingerprint: &str, cuts: &[MatchTime]) {
        self.found.keep(fingerprint, cuts);
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

    fn print(n: u8) -> String {
        format!("sha256:{}", format!("{n:02x}").repeat(32))
    }

    fn kept(folder: &Path) -> KeptCuts {
        KeptCuts::within(&folder.join("cache"), &folder.join("data"))
    }

    #[test]
    fn cuts_are_kept_by_the_fingerprint() {
        let folder = tempfile::tempdir().unwrap();
        let kept = kept(folder.path());
        kept.keep(&print(1), &[8, 3].map(MatchTime::from_secs));
        kept.keep(&print(2), &[]);
        assert_eq!(kept.of(&print(1)), [3, 8].map(MatchTime::from_secs));
        assert_eq!(kept.of(&print(2)), []);
        assert_eq!([1, 2, 3].map(|n| kept.are_found(&print(n))), [true, true, false]);
    }

    #[test]
    fn a_cut_is_marked_by_hand_and_taken_away() {
        let folder = tempfile::tempdir().unwrap();
        let kept = kept(folder.path());
        let at = MatchTime::from_millis;
        assert_eq!(kept.toggle(&print(1), at(5000)), Toggled::Marked);
        assert!(!kept.are_found(&print(1)), "it is searched all the same");
        kept.keep(&print(1), &[at(3000), at(8000)]);
        assert_eq!(kept.of(&print(1)), [3000, 5000, 8000].map(at));
        // One that was found, a rounded time from it: deleted, and there again.
        assert_eq!(kept.toggle(&print(1), at(8001)), Toggled::Deleted);
        assert_eq!(kept.of(&print(1)), [3000, 5000].map(at));
        assert_eq!(kept.toggle(&print(1), at(8000)), Toggled::Marked);
        assert_eq!(kept.of(&print(1)), [3000, 5000, 8000].map(at));
        assert_eq!(kept.toggle(&print(1), at(5000)), Toggled::Deleted);
        assert_eq!(kept.of(&print(1)), [3000, 8000].map(at));
        assert_eq!(kept.toggle("no fingerprint", at(1)), Toggled::NotKept);
    }

    #[test]
    fn what_another_version_keeps_is_not_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let kept = kept(folder.path());
        kept.toggle(&print(1), MatchTime::from_secs(5));
        let file = kept.by_hand.file(&print(1)).unwrap();
        let newer = std::fs::read_to_string(&file).unwrap().replace("by-hand 1", "by-hand 2");
        std::fs::write(&file, &newer).unwrap();
        assert_eq!(kept.toggle(&print(1), MatchTime::from_secs(7)), Toggled::NotKept);
        assert_eq!(std::fs::read_to_string(&file).unwrap(), newer);
    }

    /// What was done by hand stays when the cache is emptied and when the footage is searched again.
    #[test]
    fn what_was_done_by_hand_outlives_the_cache() {
        let folder = tempfile::tempdir().unwrap();
        let kept = kept(folder.path());
        let at = MatchTime::from_millis;
        kept.keep(&print(1), &[at(3000)]);
        kept.toggle(&print(1), at(3000));
        kept.toggle(&print(1), at(5000));
        std::fs::remove_dir_all(folder.path().join("cache")).unwrap();
        assert_eq!(kept.of(&print(1)), [at(5000)]);
        kept.keep(&print(1), &[at(3000), at(5000)]);
        assert_eq!(kept.of(&print(1)), [at(5000)]);
    }
}
