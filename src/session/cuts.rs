//! The cuts found in footage, kept in the user's cache folder by the footage's fingerprint, so that they are looked for once.
//!
//! They are never needed: without them clips reach as far as their points allow.

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::folders;
use crate::clips::{ClipList, Lead, clip_list_uncut, cuts_on_clock};
use crate::facts::PointRef;
use crate::record::{Footage, Record};
use crate::textfile::{self, Limit};
use crate::time::MatchTime;

/// The form of a file: of this version of the program, so that a better search looks again.
const FORM: &str = concat!("changeover-cuts 2 ", env!("CARGO_PKG_VERSION"));
/// How many files of footage the cuts are kept of; the oldest go first.
const MOST: usize = 2000;

#[derive(Debug, Serialize, Deserialize)]
struct File {
    form: String,
    cuts: Vec<MatchTime>,
}

/// Where cuts are kept.
#[derive(Debug, Clone)]
pub struct KeptCuts(PathBuf);

impl Default for KeptCuts {
    fn default() -> Self {
        Self(folders::cache().join("cuts"))
    }
}

impl KeptCuts {
    /// The cuts of the footage with this fingerprint; `None` if they were not looked for.
    pub fn of(&self, fingerprint: &str) -> Option<Vec<MatchTime>> {
        let bytes = textfile::bytes(&self.file(fingerprint)?, Limit::RECORD).ok()?;
        let mut found: File = serde_json::from_slice(&bytes).ok()?;
        found.cuts.sort_unstable();
        (found.form == FORM).then_some(found.cuts)
    }

    /// The cuts of a file of a record; none if they were not looked for.
    pub fn of_footage(&self, footage: &Footage) -> Vec<MatchTime> {
        footage.fingerprint.as_deref().and_then(|f| self.of(f)).unwrap_or_default()
    }

    /// The cuts of all files of a record, in order, on the match clock.
    pub fn of_record(&self, record: &Record) -> Vec<MatchTime> {
        cuts_on_clock(record, &|f| self.of_footage(f))
    }

    /// Keeps cuts. Whether that works does not matter to anybody: they can be looked for again.
    pub fn keep(&self, fingerprint: &str, cuts: &[MatchTime]) {
        let Some(file) = self.file(fingerprint) else { return };
        let kept = File { form: FORM.to_owned(), cuts: cuts.to_vec() };
        let Ok(text) = serde_json::to_vec(&kept) else { return };
        if std::fs::create_dir_all(&self.0).is_err() {
            return;
        }
        // Another program that reads it meanwhile finds the old file or the new one.
        let part = file.with_extension(format!("part-{}", std::process::id()));
        if std::fs::write(&part, text).and_then(|()| std::fs::rename(&part, &file)).is_err() {
            let _ = std::fs::remove_file(&part);
        }
        self.bound(MOST);
    }

    /// The file for a fingerprint, if it is one.
    fn file(&self, fingerprint: &str) -> Option<PathBuf> {
        let sum = fingerprint.strip_prefix("sha256:")?;
        let plain = sum.len() == 64 && sum.bytes().all(|b| b.is_ascii_hexdigit());
        plain.then(|| self.0.join(format!("{sum}.json")))
    }

    /// Deletes the oldest files beyond so many.
    fn bound(&self, most: usize) {
        folders::keep_newest(&self.0, most);
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

    #[test]
    fn cuts_are_kept_by_the_fingerprint() {
        let folder = tempfile::tempdir().unwrap();
        let kept = KeptCuts(folder.path().join("cuts"));
        let cuts = [3, 8].map(MatchTime::from_secs);
        kept.keep(&print(1), &cuts);
        kept.keep(&print(2), &[]);
        assert_eq!(kept.of(&print(1)), Some(cuts.to_vec()));
        assert_eq!(kept.of(&print(2)), Some(vec![]));
        assert_eq!(kept.of(&print(3)), None);
        kept.keep("sha256:../../evil", &cuts);
        assert_eq!(std::fs::read_dir(&kept.0).unwrap().count(), 2);
    }

    #[test]
    fn a_damaged_file_or_one_of_another_version_is_as_good_as_none() {
        let folder = tempfile::tempdir().unwrap();
        let kept = KeptCuts(folder.path().to_owned());
        let file = kept.file(&print(1)).unwrap();
        for text in ["", "{\"form\":\"changeover-cuts 1 0.1.0\",\"cuts\":[]}", "{\"form\":7}", "[[[["] {
            std::fs::write(&file, text).unwrap();
            assert_eq!(kept.of(&print(1)), None, "{text}");
        }
    }

    #[test]
    fn so_many_files_are_kept_and_the_oldest_go() {
        let folder = tempfile::tempdir().unwrap();
        let kept = KeptCuts(folder.path().to_owned());
        for n in 0..5 {
            kept.keep(&print(n), &[]);
            std::thread::sleep(std::time::Duration::from_millis(15));
        }
        kept.bound(3);
        let left: Vec<u8> = (0..5).filter(|n| kept.of(&print(*n)).is_some()).collect();
        assert_eq!(left, [2, 3, 4]);
    }
}
