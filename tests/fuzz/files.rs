//! Targets of what is read beside records and tables: settings, names in footage lists, lists of files.

use std::path::Path;

use changeover::lesson::{self, Lesson, to_text};
use changeover::record::footage::{astray, name_path, name_text};
use changeover::record::{Footage, Record, footage_path, relative};
use changeover::session::settings::Settings;
use changeover::time::MatchTime;
use changeover::{textfile, voice, wording};

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

/// What a kill left of a take: its log and its voice.
pub struct TakeFiles {
    dir: tempfile::TempDir,
}

impl TakeFiles {
    pub fn new() -> Self {
        Self { dir: tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap() }
    }
}

impl Target for TakeFiles {
    const NAME: &'static str = "take";

    fn seeds(&self) -> Vec<Vec<u8>> {
        let path = self.dir.path().join("seed.lesson.json");
        let footage = serde_json::json!({ "file": "m.mp4", "duration": "00:00:09.000" });
        let clip = serde_json::json!({ "footage": footage, "from": "00:00:00.000", "to": "00:00:05.000" });
        let mut take = voice::TakeWriter::begin(&path, None).unwrap();
        take.show(serde_json::from_value(serde_json::json!({ "clip": clip })).unwrap()).unwrap();
        let appears = serde_json::json!({ "at": "00:00:00.000", "does": { "clip": { "clip": 0, "moment": "00:00:00.000" } } });
        take.act(serde_json::from_value(appears).unwrap()).unwrap();
        take.hear(&[100; 4800]).unwrap();
        drop(take);
        let log = std::fs::read(voice::talk_folder(&path).join("take-1.actions.part")).unwrap();
        std::fs::remove_dir_all(voice::talk_folder(&path)).unwrap();
        vec![log]
    }

    /// Makes a take of it. What comes of it, the lesson takes or refuses; its voice is read.
    fn read(&mut self, input: &[u8]) -> String {
        let path = self.dir.path().join("t.lesson.json");
        let folder = voice::talk_folder(&path);
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir(&folder).unwrap();
        std::fs::write(folder.join("take-1.actions.part"), input).unwrap();
        std::fs::write(folder.join("take-1.wav.part"), input).unwrap();
        std::fs::write(folder.join("take-2.wav"), input).unwrap();
        let mut said = String::new();
        if let Err(e) = voice::VoiceFile::open(&folder.join("take-2.wav")) {
            said = e.to_string();
        }
        for found in voice::recover(&path, None) {
            match found {
                Ok(kept) => {
                    let mut file = voice::VoiceFile::open(&folder.join("take-1.wav")).unwrap();
                    assert_eq!(voice::time_of(file.samples()), kept.take.voice.duration);
                    file.read(100).unwrap();
                    let talk = lesson::talk::Talk::default().then(kept.take);
                    let edit = lesson::Edit::SetTalk { talk: Some(Box::new(talk)) };
                    said += &Lesson::default().apply(edit).err().map(|e| e.to_string()).unwrap_or_default();
                }
                Err(e) => said += &e.to_string(),
            }
        }
        said
    }
}
