//! What the program keeps of a match outside its folder: a small picture of its footage, its lines in the list of recent
//! matches, and its line in the library. All show who played.

use std::io;
use std::path::{Path, PathBuf};

use super::desktop_list::DesktopList;
use super::folders;
use super::library::cache_file;
use super::recent::RecentFiles;
use crate::lesson::{Lesson, find};
use crate::library::Cache;
use crate::record::Record;
use crate::record::footage::{fingerprint, footage_path};
use crate::time::MatchTime;

/// What is kept of a match.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Traces {
    /// Pictures of its footage.
    pub pictures: Vec<PathBuf>,
    /// Its lines in the list of recent matches.
    pub recent: Vec<PathBuf>,
    /// The record, if the library knows it.
    pub library: Option<PathBuf>,
    list: RecentFiles,
    /// The files of the match, and the desktop's list, which may name them.
    own: Vec<PathBuf>,
    desktop: Option<DesktopList>,
    /// The file in which the library keeps what it knows.
    index: PathBuf,
}

/// Where the picture of footage with this fingerprint is kept.
pub fn picture_of(fingerprint: &str) -> PathBuf {
    picture_in(&folders::cache(), fingerprint)
}

fn picture_in(cache: &Path, fingerprint: &str) -> PathBuf {
    cache.join("pictures").join(format!("{}.png", letters(fingerprint)))
}

fn letters(fingerprint: &str) -> String {
    fingerprint.chars().filter(char::is_ascii_alphanumeric).collect()
}

/// The folder of the small pictures in lists.
pub fn small_pictures() -> PathBuf {
    small_in(&folders::cache())
}

fn small_in(cache: &Path) -> PathBuf {
    cache.join("small-pictures")
}

/// Where the small picture of a moment of footage with this fingerprint is kept.
pub fn small_picture_of(fingerprint: &str, at: MatchTime) -> PathBuf {
    small_pictures().join(format!("{}-{}.png", letters(fingerprint), at.nanos()))
}

/// The small pictures of footage with one of these fingerprints.
fn small_of(cache: &Path, fingerprints: &[String]) -> Vec<PathBuf> {
    let begins: Vec<String> = fingerprints.iter().map(|f| format!("{}-", letters(f))).collect();
    let entries = std::fs::read_dir(small_in(cache)).into_iter().flatten().flatten();
    let named = |name: &str| begins.iter().any(|b| name.starts_with(b));
    entries.filter(|e| named(&e.file_name().to_string_lossy())).map(|e| e.path()).collect()
}

/// The footage of a document: where it is, and its fingerprints as they are noted.
struct Shown {
    films: Vec<PathBuf>,
    prints: Vec<String>,
}

impl Shown {
    fn of_record(path: &Path, record: &Record) -> Self {
        let films = record.footage.iter().filter_map(|f| footage_path(path, f).ok());
        let prints = record.footage.iter().filter_map(|f| f.fingerprint.clone());
        Self { films: films.collect(), prints: prints.collect() }
    }
}

impl Traces {
    /// What is kept of the match whose record is at `path`.
    pub fn of(path: &Path, record: &Record) -> Self {
        Self::here(path, Shown::of_record(path, record))
    }

    /// What is kept of the lesson at `path` and of the footage that it shows.
    pub fn of_lesson(path: &Path, lesson: &Lesson) -> Self {
        let films = lesson.footage().filter_map(|f| find(path, f).path().map(Path::to_owned));
        let prints = lesson.footage().filter_map(|f| f.fingerprint.clone());
        Self::here(path, Shown { films: films.collect(), prints: prints.collect() })
    }

    fn here(path: &Path, shown: Shown) -> Self {
        let list = folders::data().parent().map(DesktopList::below);
        let traces = Self::within(path, shown, &folders::cache(), RecentFiles::default(), cache_file());
        Self { desktop: list, ..traces }
    }

    fn within(path: &Path, shown: Shown, cache: &Path, list: RecentFiles, index: PathBuf) -> Self {
        let real = |p: &Path| std::fs::canonicalize(p).or_else(|_| std::path::absolute(p));
        let Shown { films, prints } = shown;
        let read = films.iter().filter_map(|f| fingerprint(f).ok());
        let fingerprints: Vec<String> = prints.into_iter().chain(read).collect();
        let mut pictures: Vec<PathBuf> = fingerprints.iter().map(|f| picture_in(cache, f)).collect();
        pictures.extend(small_of(cache, &fingerprints));
        pictures.sort();
        pictures.dedup();
        pictures.retain(|p| p.is_file());
        let mut own: Vec<PathBuf> =
            films.iter().map(PathBuf::as_path).chain([path]).filter_map(|p| real(p).ok()).collect();
        let is_own = |p: &PathBuf| real(p).is_ok_and(|p| own.contains(&p));
        let recent: Vec<PathBuf> = list.all().into_iter().map(|r| r.path).filter(is_own).collect();
        let known = Cache::read(&index);
        let paths = [Some(path.to_owned()), real(path).ok(), std::path::absolute(path).ok()];
        let library = paths.into_iter().flatten().find(|p| known.knows(p));
        own.extend(recent.iter().cloned());
        own.extend(films);
        own.extend(std::path::absolute(path));
        Self { pictures, recent, library, list, own, desktop: None, index }
    }

    /// Deletes them all; gives those that could not be deleted, with the system's answer.
    pub fn delete(&self) -> Vec<(PathBuf, io::Error)> {
        self.recent.iter().for_each(|path| self.list.forget(path));
        let failed = |p: &PathBuf| std::fs::remove_file(p).err().map(|e| (p.clone(), e));
        let mut left: Vec<_> = self.pictures.iter().filter_map(failed).collect();
        left.extend(self.desktop.as_ref().and_then(|list| list.forget(&self.own).err()));
        if let Some(record) = &self.library {
            let mut known = Cache::read(&self.index);
            known.forget(record);
            left.extend(known.write(&self.index).err().map(|e| (self.index.clone(), e)));
        }
        left
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Footage;

    #[test]
    fn pictures_and_lines_of_the_match_go_and_others_stay() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let pictures = at("pictures");
        std::fs::create_dir(&pictures).unwrap();
        for name in ["holt.mp4", "second.mp4", "other.mp4"] {
            std::fs::write(at(name), name.repeat(9)).unwrap();
        }
        let film = |name: &str, known: bool| Footage {
            file: name.into(),
            fingerprint: known.then(|| fingerprint(&at(name)).unwrap()),
            duration: crate::time::MatchTime::from_secs(1),
            rate: None,
            rotation: 0,
            start: crate::time::MatchTime::ZERO,
        };
        // The record does not have the fingerprint of its second file.
        let record =
            Record { footage: vec![film("holt.mp4", true), film("second.mp4", false)], ..Record::default() };
        let all = ["holt.mp4", "second.mp4", "other.mp4"];
        for name in all {
            std::fs::write(picture_in(folder.path(), &fingerprint(&at(name)).unwrap()), "picture").unwrap();
        }
        // Two points of the first file, and one of a match that stays.
        let small = at("small-pictures");
        std::fs::create_dir(&small).unwrap();
        for (name, ns) in [("holt.mp4", 7), ("holt.mp4", 9), ("other.mp4", 7)] {
            let print = letters(&fingerprint(&at(name)).unwrap());
            std::fs::write(small.join(format!("{print}-{ns}.png")), "picture").unwrap();
        }
        let list = RecentFiles::kept_in(at("recent.json"));
        for name in all {
            list.remember(&at(name));
        }
        let record_at = at("holt.points.json");
        drop(crate::record::Store::create(&record_at, record.clone()).unwrap());
        let known = crate::library::Entry::read(&record_at).unwrap();
        let other = crate::library::Entry { path: at("other.points.json"), ..known.clone() };
        Cache::default().with(&[], [&known, &other]).write(&at("library.json")).unwrap();
        let shown = Shown::of_record(&record_at, &record);
        let traces = Traces::within(&record_at, shown, folder.path(), list.clone(), at("library.json"));
        assert_eq!((traces.pictures.len(), traces.recent.len()), (4, 2));
        assert_eq!(traces.library.as_deref(), Some(&*record_at));
        assert!(traces.delete().is_empty());
        assert_eq!(std::fs::read_dir(&pictures).unwrap().count(), 1);
        assert_eq!(std::fs::read_dir(&small).unwrap().count(), 1);
        let left: Vec<_> = list.all().into_iter().map(|r| r.path).collect();
        assert_eq!(left, [at("other.mp4")]);
        let kept = Cache::read(&at("library.json"));
        assert!(!kept.knows(&record_at) && kept.knows(&at("other.points.json")));
    }
}
