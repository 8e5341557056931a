//! Targets of what is read beside records and tables: settings, names in footage lists, lists of files.

use std::path::Path;

use changeover::lesson::{self, Lesson, to_text};
use changeover::record::footage::{astray, name_path, name_text};
use changeover::record::{Footage, Record, footage_path, relative};
use changeover::session::settings::Settings;
use changeover::time::MatchTime;
use changeover::{textfile, wording};

use crate::targets::Target;

/// What the user set.
pub struct SettingsFile;

impl Target for SettingsFile {
    const NAME: &'static str = "settings";

    fn seeds(&self) -> Vec<Vec<u8>> {
        Vec::new()
    }

    /// Reads settings; what is written of them is read again as the same.
    fn read(&mut self, input: &[u8]) -> String {
        let text = match textfile::utf_8(input) {
            Ok(text) => text,
            Err(e) => return e.to_string(),
        };
        match toml::from_str::<Settings>(text) {
            Err(e) => wording::in_toml(text, &e),
            Ok(settings) => {
                let written = toml::to_string(&settings).unwrap();
                assert_eq!(toml::from_str::<Settings>(&written).unwrap(), settings);
                format!("{:?}", settings.card)
            }
        }
    }
}

/// Names of footage, one a line.
pub struct FootageNames;

impl Target for FootageNames {
    const NAME: &'static str = "footage";

    fn seeds(&self) -> Vec<Vec<u8>> {
        Vec::new()
    }

    /// No name leads out of the record's folder unasked, and each comes through a record and an export as it was.
    fn read(&mut self, input: &[u8]) -> String {
        let home = Path::new("/home/m.points.json");
        let mut said = String::new();
        for name in String::from_utf8_lossy(input).lines().take(50) {
            let footage = Footage {
                file: name.into(),
                fingerprint: None,
                duration: MatchTime::from_secs(1),
                rate: None,
                rotation: 0,
                start: MatchTime::ZERO,
            };
            let read: Record = Record { footage: vec![footage.clone()], ..Record::default() };
            let text = serde_json::to_string(&read).unwrap();
            assert_eq!(serde_json::from_str::<Record>(&text).unwrap(), read);
            assert_eq!(name_path(&name_text(&name_path(name))), name_path(name), "a name is kept");
            said = match footage_path(home, &footage) {
                Ok(path) => {
                    assert!(path.starts_with("/home") && !path.components().any(|c| c.as_os_str() == ".."));
                    relative(Path::new("/home"), name, Path::new("/home/out"));
                    "inside".into()
                }
                Err(e) => e.to_string(),
            };
            if let Some(why) = astray(home, &footage) {
                said += &why.to_string();
            }
        }
        said
    }
}

/// A lesson.
pub struct LessonFile {
    dir: tempfile::TempDir,
}

impl LessonFile {
    pub fn new() -> Self {
        Self { dir: tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap() }
    }
}

impl Target for LessonFile {
    const NAME: &'static str = "lesson";

    fn seeds(&self) -> Vec<Vec<u8>> {
        vec![to_text(Path::new("d.lesson.json"), &Lesson::default()).unwrap()]
    }

    /// Reads a lesson; what is written of it is read again as the same, and no footage outside is opened.
    fn read(&mut self, input: &[u8]) -> String {
        let path = self.dir.path().join("d.lesson.json");
        std::fs::write(&path, input).unwrap();
        let (lesson, notices) = match lesson::load(&path) {
            Ok(read) => read,
            Err(e) => return e.to_string(),
        };
        for footage in lesson.footage().take(5) {
            let found = lesson::find(&path, footage);
            assert!(found.path().is_none_or(|p| p.starts_with(self.dir.path())), "{found:?}");
        }
        std::fs::write(&path, to_text(&path, &lesson).unwrap()).unwrap();
        assert_eq!(lesson::load(&path).unwrap().0.parts, lesson.parts);
        notices.join(" ")
    }
}
