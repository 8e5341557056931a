//! The files opened before: a short list in the user's data folder. Call it on a thread.

use std::path::{Path, PathBuf};

use super::alone::{is_alone, known_as};
use super::folders;
use crate::record::footage::{fingerprint, footage_path};
use crate::record::store::sidecar_for;
use crate::record::{MatchInfo, load};
use crate::textfile::{self, Limit};

const MOST: usize = 6;

/// A file opened before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recent {
    /// Where it was.
    pub path: PathBuf,
    /// Whether it is there now.
    pub there: bool,
}

/// What is known of a match in the list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Known {
    /// Who plays; empty where nobody was named.
    pub players: String,
    /// When, as written.
    pub date: String,
    /// Its footage, where that is there.
    pub footage: Option<PathBuf>,
    /// The fingerprint of the footage, by which its picture is kept.
    pub fingerprint: Option<String>,
    /// What opens it: the file itself, or its record if the footage is gone.
    pub opens: Option<PathBuf>,
}

impl Recent {
    /// Reads the record of the match. To be asked for on a thread.
    pub fn known(&self) -> Known {
        let is_record = self.path.to_string_lossy().ends_with(".points.json");
        let sidecar = if is_record { self.path.clone() } else { sidecar_for(&self.path) };
        let record = load(&sidecar).ok().map(|(record, _)| record);
        let named =
            record.as_ref().map(|r| &r.about).filter(|m| !m.a.name.is_empty() || !m.b.name.is_empty());
        let first = record.as_ref().and_then(|r| r.footage.first());
        let filmed = first.and_then(|f| footage_path(&sidecar, f).ok()).filter(|f| f.is_file());
        let footage = filmed.or_else(|| Some(self.path.clone()).filter(|p| !is_record && p.is_file()));
        let kept = first.and_then(|f| f.fingerprint.clone());
        let opens = [&self.path, &sidecar].into_iter().find(|p| p.is_file());
        Known {
            players: named.map_or_else(String::new, MatchInfo::title),
            date: record.as_ref().and_then(|r| r.about.date).map_or_else(String::new, |d| d.to_string()),
            fingerprint: kept.or_else(|| footage.as_ref().and_then(|f| fingerprint(f).ok())),
            footage,
            opens: opens.cloned(),
        }
    }

    /// Who plays, or the file's name; then when, the file, where it is, and what of it is missing.
    pub fn words(&self, known: &Known) -> (String, String) {
        let name = self.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        // A sandbox shows a file that was chosen alone without its folder.
        let folder =
            Some(&self.path).filter(|path| !is_alone(path)).and_then(|path| path.parent()).map(known_as);
        let missing = match (&known.footage, &known.opens) {
            (_, None) => {
                Some(folder.as_ref().map_or_else(|| "not found".into(), |f| format!("not found in {f}")))
            }
            (None, Some(_)) => Some("footage missing, opens without it".into()),
            _ => None,
        };
        let title = if known.players.is_empty() { name.clone() } else { known.players.clone() };
        let name = Some(name).filter(|n| *n != title);
        let parts = [Some(known.date.clone()).filter(|d| !d.is_empty()), name, missing.or(folder)];
        (title, parts.into_iter().flatten().collect::<Vec<_>>().join(" · "))
    }
}

/// The list, as the file that keeps it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecentFiles {
    file: PathBuf,
}

impl Default for RecentFiles {
    /// The user's own.
    fn default() -> Self {
        Self { file: folders::data().join("recent.json") }
    }
}

impl RecentFiles {
    /// The lessons opened before.
    pub fn lessons() -> Self {
        Self { file: folders::data().join("recent-lessons.json") }
    }

    /// A list in another file.
    #[cfg(test)]
    pub const fn kept_in(file: PathBuf) -> Self {
        Self { file }
    }

    /// The paths in the list. An unreadable list is an empty one.
    fn paths(&self) -> Vec<PathBuf> {
        let text = textfile::bytes(&self.file, Limit::SETTINGS).unwrap_or_default();
        serde_json::from_slice(&text).unwrap_or_default()
    }

    /// The files opened before, the newest first.
    pub fn all(&self) -> Vec<Recent> {
        let all = self.paths().into_iter().take(MOST);
        all.map(|path| Recent { there: path.is_file(), path }).collect()
    }

    /// Puts a file at the head of the list.
    pub fn remember(&self, path: &Path) {
        let Ok(path) = std::path::absolute(path) else { return };
        let mut all = self.paths();
        all.retain(|p| *p != path);
        all.insert(0, path);
        all.truncate(MOST);
        self.write(&all);
    }

    /// Takes a file off the list.
    pub fn forget(&self, path: &Path) {
        let mut all = self.paths();
        all.retain(|p| p != path);
        self.write(&all);
    }

    /// The list is a convenience: if it cannot be written, nothing is said.
    fn write(&self, all: &[PathBuf]) {
        let Some(folder) = self.file.parent() else { return };
        let Ok(text) = serde_json::to_vec(all) else { return };
        let written =
            std::fs::create_dir_all(folder).and_then(|()| tempfile::NamedTempFile::new_in(folder)).and_then(
                |t| std::fs::write(t.path(), &text).and_then(|()| t.persist(&self.file).map_err(|e| e.error)),
            );
        drop(written);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_gone_stays_in_the_list_until_it_is_taken_off() {
        let folder = tempfile::tempdir().unwrap();
        let (there, gone) = (folder.path().join("holt.mp4"), folder.path().join("reyes.mp4"));
        std::fs::write(&there, "pictures").unwrap();
        let list = RecentFiles { file: folder.path().join("data").join("recent.json") };
        list.remember(&gone);
        list.remember(&there);
        let found = |path: &Path| list.all().into_iter().find(|r| r.path == path).map(|r| r.there);
        assert_eq!((found(&there), found(&gone)), (Some(true), Some(false)));
        list.forget(&gone);
        assert_eq!((found(&there), found(&gone)), (Some(true), None));
    }

    #[test]
    fn a_match_is_known_by_its_record_also_where_its_footage_is_gone() {
        use crate::record::{Player, Record, Store};
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("holt.mp4");
        let recent = |there| Recent { path: path.clone(), there };
        assert_eq!(recent(false).known(), Known::default());
        std::fs::write(&path, "pictures").unwrap();
        let known = recent(true).known();
        assert_eq!((known.opens.as_ref(), known.footage.as_ref()), (Some(&path), Some(&path)));
        let mut record = Record::default();
        (record.about.a, record.about.b) = (Player::named("Holt"), Player::named("Okafor"));
        record.about.date = chrono::NaiveDate::from_ymd_opt(2026, 5, 9);
        drop(Store::create(&sidecar_for(&path), record).unwrap());
        std::fs::remove_file(&path).unwrap();
        let known = recent(false).known();
        assert_eq!((known.players.as_str(), known.date.as_str()), ("Holt – Okafor", "2026-05-09"));
        assert_eq!((known.opens, known.footage), (Some(sidecar_for(&path)), None));
    }

    #[test]
    fn a_match_is_listed_by_a_name_that_a_person_knows() {
        let known = |players: &str, there: bool| Known {
            players: players.into(),
            date: "2026-05-09".into(),
            footage: there.then(PathBuf::new),
            opens: there.then(PathBuf::new),
            ..Known::default()
        };
        let portal = "/run/user/1000/doc/1a2b3c4d";
        for (path, known, title, rest) in [
            (
                "/films/holt.mp4".into(),
                known("Holt – Okafor", true),
                "Holt – Okafor",
                "2026-05-09 · holt.mp4 · /films",
            ),
            ("/films/holt.mp4".into(), known("", false), "holt.mp4", "2026-05-09 · not found in /films"),
            (format!("{portal}/films/holt.mp4"), known("", true), "holt.mp4", "2026-05-09 · films"),
            (
                format!("{portal}/holt.mp4"),
                known("Holt – Okafor", true),
                "Holt – Okafor",
                "2026-05-09 · holt.mp4",
            ),
            (format!("{portal}/holt.mp4"), known("", false), "holt.mp4", "2026-05-09 · not found"),
        ] {
            let listed = Recent { path: path.into(), there: true };
            assert_eq!(listed.words(&known), (title.to_owned(), rest.to_owned()));
        }
    }

    /// A list that cannot be one is not read through: a pipe would be waited for.
    #[cfg(unix)]
    #[test]
    fn a_list_that_is_no_file_is_an_empty_one() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("recent.json");
        assert!(std::process::Command::new("mkfifo").arg(&file).status().unwrap().success());
        assert_eq!(RecentFiles { file }.all(), []);
        assert_eq!(RecentFiles { file: "/dev/zero".into() }.all(), []);
    }
}
