//! Where the footage of a lesson lies, and how it is found again.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::model::Footage;
use super::whole::Lesson;
use crate::record::footage::{OTHER, find_same, fingerprint, is_inside, is_other, name_path};
use crate::record::printable;

/// What came of looking for the footage of a clip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// It is where the lesson says.
    Here(PathBuf),
    /// It is not there; this file is the same footage.
    Renamed(PathBuf),
    /// It is not opened.
    Astray(Astray),
}

/// Why footage or a voice of a lesson is not opened, to be read after its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum Astray {
    /// It is not there, and no other file is the same.
    #[error("is not there; put it back")]
    Missing,
    /// Its name leads out of the lesson's folder, to a file that the lesson does not know.
    #[error(
        "is outside the folder of the lesson and not known to the lesson, so it is not opened; move it into the folder"
    )]
    Outside,
}

impl Found {
    /// The file to open, if there is one.
    pub fn path(&self) -> Option<&Path> {
        match self {
            Self::Here(path) | Self::Renamed(path) => Some(path),
            Self::Astray(_) => None,
        }
    }

    /// The file to open.
    ///
    /// # Errors
    /// [`Astray`] when there is none.
    pub fn file(self) -> Result<PathBuf, Astray> {
        match self {
            Self::Here(path) | Self::Renamed(path) => Ok(path),
            Self::Astray(why) => Err(why),
        }
    }
}

/// Looks for footage where the lesson at `lesson` says; then for the same content in that folder and in the lesson's folder.
///
/// A lesson from a stranger may not make the program open any file: outside the lesson's folder only a file with the
/// fingerprint that the lesson knows is opened. Whoever wrote the lesson had that file already.
pub fn find(lesson: &Path, footage: &Footage) -> Found {
    let home = lesson.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let named = home.join(name_path(&footage.file));
    let inside = is_inside(&footage.file);
    let known = footage.fingerprint.as_deref();
    if named.is_file() {
        let same = || known.is_some_and(|known| fingerprint(&named).is_ok_and(|found| found == known));
        if inside || same() {
            return Found::Here(named);
        }
    }
    let folders = [named.parent(), Some(home)];
    let again = known.and_then(|known| {
        folders.into_iter().flatten().find_map(|folder| find_same(folder, named.extension(), known))
    });
    match again {
        Some(path) => Found::Renamed(path),
        None if inside || !named.exists() => Found::Astray(Astray::Missing),
        None => Found::Astray(Astray::Outside),
    }
}

/// What is to be said of footage that is there and is not that of the lesson.
pub fn others(path: &Path, lesson: &Lesson) -> Vec<String> {
    let mut told = BTreeSet::new();
    let all = lesson.footage().filter(|f| told.insert(f.file.as_str()));
    let other = all.filter(|f| match find(path, f) {
        Found::Here(at) => is_other(&at, f.fingerprint.as_deref()),
        Found::Renamed(_) | Found::Astray(_) => false,
    });
    other.map(|f| format!("\"{}\" {OTHER}.", printable(&f.file, 120))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::MatchTime;

    #[test]
    fn footage_is_found_again_and_no_strangers_file_is_opened() {
        let dir = tempfile::tempdir().unwrap();
        let (home, other) = (dir.path().join("home"), dir.path().join("other"));
        std::fs::create_dir(&home).unwrap();
        std::fs::create_dir(&other).unwrap();
        let lesson = home.join("drops.lesson.json");
        let file = other.join("match.mp4");
        std::fs::write(&file, b"pictures").unwrap();
        let mut footage = Footage {
            file: "../other/match.mp4".into(),
            fingerprint: None,
            duration: MatchTime::from_secs(9),
            rate: None,
        };
        assert_eq!(find(&lesson, &footage), Found::Astray(Astray::Outside), "the lesson does not know it");
        footage.fingerprint = fingerprint(&file).ok();
        assert_eq!(find(&lesson, &footage), Found::Here(home.join("../other/match.mp4")));
        std::fs::rename(&file, other.join("renamed.mp4")).unwrap();
        assert_eq!(find(&lesson, &footage), Found::Renamed(home.join("../other/renamed.mp4")));
        std::fs::rename(other.join("renamed.mp4"), home.join("here.mp4")).unwrap();
        assert_eq!(find(&lesson, &footage), Found::Renamed(home.join("here.mp4")));
        footage.fingerprint = Some("sha256:0".into());
        assert_eq!(find(&lesson, &footage), Found::Astray(Astray::Missing));
        footage.file = "here.mp4".into();
        assert_eq!(find(&lesson, &footage), Found::Here(home.join("here.mp4")));
        footage.file = "/dev/zero".into();
        assert_eq!(find(&lesson, &footage), Found::Astray(Astray::Outside));
    }
}
