//! The user's settings: a small file in the user's settings folder.

use std::path::{Path, PathBuf};
use std::time::Duration;

use serde::{Deserialize, Serialize};

use super::error::OwnFileError;
use super::folders;
use crate::saving::update;
use crate::textfile::{self, Limit, TextError};
use crate::wording::in_toml;

/// Which key card is used.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Card {
    /// The one built in.
    #[default]
    BuiltIn,
    /// The pad under the left hand.
    LeftHanded,
    /// The pad on the numeric keypad.
    Numpad,
    /// Tags only, without shots.
    TagsOnly,
    /// A file.
    File(PathBuf),
}

/// What the user set.
#[expect(clippy::struct_excessive_bools, reason = "each is one switch that the user sets by itself")]
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, rename_all = "kebab-case")]
pub struct Settings {
    /// The key card.
    pub card: Card,
    /// Whether a plain key of the pad also says forehand.
    pub plain_forehand: bool,
    /// Whether a plain key of the pad also says groundstroke.
    pub plain_groundstroke: bool,
    /// Whether missed shots are keyed as all others are.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub plain_misses: bool,
    /// The reaction time that is subtracted from stamps made while playing, in milliseconds.
    pub reaction_ms: u32,
    /// How long before a point's start a jump to it begins, in milliseconds; two seconds where nothing was set.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lead_in_ms: Option<u32>,
    /// Whether the usual reaction time was offered: once is enough.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub reaction_offered: bool,
    /// Width of the column beside the footage, in pixels, where somebody dragged it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub column: Option<u32>,
    /// On the Study page: the answer's share of the width, in thousandths; none where nobody moved the handle.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub study_answer: Option<u16>,
    /// Likewise the share of the height that the footage has beside the clips.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub study_footage: Option<u16>,
    /// Whether lists of points and clips are shown without small pictures.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub no_pictures: bool,
    /// The folders of the library, as [`crate::record::footage::name_text`] writes them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub library: Vec<String>,
    /// The GStreamer source of the coach's voice, as `pulsesrc device=…`; without it, what the desktop says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub microphone: Option<String>,
    /// By how much the coach's own stamps were later found to be late, in milliseconds; early ones below 0.
    pub late_ms: Vec<i32>,
}

/// The names of all settings in the file. Others are of a newer version, and are kept.
const NAMES: [&str; 14] = [
    "card",
    "plain-forehand",
    "plain-groundstroke",
    "plain-misses",
    "reaction-ms",
    "lead-in-ms",
    "reaction-offered",
    "column",
    "study-answer",
    "study-footage",
    "no-pictures",
    "library",
    "microphone",
    "late-ms",
];

/// How many late stamps are kept: the newest.
const MOST_LATE: usize = 200;

fn file() -> PathBuf {
    folders::config().join("settings.toml")
}

impl Settings {
    /// How long before a point's start a jump to it begins.
    pub fn lead_in(&self) -> Duration {
        Duration::from_millis(self.lead_in_ms.unwrap_or(2_000).into())
    }

    /// The saved settings. If the file cannot be understood, the default settings and the error; the file is left as it is.
    pub fn read() -> (Self, Option<OwnFileError>) {
        Self::read_from(file())
    }

    fn read_from(path: PathBuf) -> (Self, Option<OwnFileError>) {
        let text = match textfile::text(&path, Limit::SETTINGS) {
            Ok(text) => text,
            Err(e) if e.is_missing() => return (Self::default(), None),
            Err(why) => return (Self::default(), Some(OwnFileError::Text { path, why })),
        };
        match toml::from_str(&text) {
            Ok(settings) => (settings, None),
            Err(e) => {
                let found = in_toml(&text, &e);
                (Self::default(), Some(OwnFileError::Settings { path, found }))
            }
        }
    }

    /// As [`Self::read`], when the program starts: a file that is not understood gets another name, so that the user loses
    /// nothing and can set everything again. A file that the system refuses stays where it is.
    pub fn read_at_start() -> (Self, Option<OwnFileError>) {
        Self::start_from(file())
    }

    fn start_from(path: PathBuf) -> (Self, Option<OwnFileError>) {
        let (settings, trouble) = Self::read_from(path);
        (settings, trouble.map(kept_aside))
    }

    /// Saves the settings, and what a newer version set. A file that cannot be understood is left as it is.
    ///
    /// # Errors
    /// [`OwnFileError`].
    pub fn write(&self) -> Result<(), OwnFileError> {
        self.write_to(&file())
    }

    fn write_to(&self, path: &Path) -> Result<(), OwnFileError> {
        if let (_, Some(trouble)) = Self::read_from(path.to_owned()) {
            return Err(OwnFileError::Kept(Box::new(trouble)));
        }
        let mut kept = self.clone();
        kept.late_ms.drain(..kept.late_ms.len().saturating_sub(MOST_LATE));
        let was = textfile::text(path, Limit::SETTINGS).unwrap_or_default();
        let mut table = toml::Table::try_from(&kept)?;
        let before: toml::Table = toml::from_str(&was).unwrap_or_default();
        table.extend(before.into_iter().filter(|(name, _)| !NAMES.contains(&name.as_str())));
        Ok(update(path, &was, &toml::to_string(&table)?)?)
    }
}

/// Gives a file that is not understood another name; what the system refuses stays as it is.
fn kept_aside(trouble: OwnFileError) -> OwnFileError {
    let (path, found) = match &trouble {
        OwnFileError::Settings { path, found } => (path, found.clone()),
        OwnFileError::Text { path, why: TextError::Folder } => (path, "this is a folder, not a file".into()),
        OwnFileError::Text { path, why: TextError::NotAFile } => (path, "this is not a regular file".into()),
        OwnFileError::Text { why: TextError::Open(_) | TextError::Read(_), .. } => return trouble,
        OwnFileError::Text { path, why } => (path, why.to_string()),
        _ => return trouble,
    };
    match aside(path) {
        Some(kept) => OwnFileError::Aside { path: path.clone(), kept, found },
        None => trouble,
    }
}

/// Gives a file a name that is free, beside where it was; none if the system refuses.
fn aside(path: &Path) -> Option<PathBuf> {
    let names = (1..1_000).map(|n| match n {
        1 => "settings.unreadable.toml".to_owned(),
        n => format!("settings.unreadable-{n}.toml"),
    });
    let free = names.map(|name| path.with_file_name(name)).find(|p| p.symlink_metadata().is_err())?;
    std::fs::rename(path, &free).ok()?;
    Some(free)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `tests/records/` keeps the settings of every version that was released.
    #[test]
    fn the_settings_of_every_version_are_read() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/records");
        let mut read = 0;
        for file in std::fs::read_dir(folder).unwrap().map(|f| f.unwrap().path()) {
            if file.extension().is_some_and(|e| e == "toml") {
                let text = std::fs::read_to_string(&file).unwrap();
                let settings: Settings = toml::from_str(&text).unwrap();
                assert_eq!(
                    (settings.reaction_ms, settings.card),
                    (180, Card::LeftHanded),
                    "{}",
                    file.display()
                );
                read += 1;
            }
        }
        assert!(read >= 1);
    }

    /// Puts at `path` what no settings file should be.
    type Put = fn(&Path);

    #[cfg(unix)]
    #[test]
    fn settings_that_are_not_understood_are_kept_under_another_name_and_told() {
        let all: [(&str, Put, &str); 9] = [
            ("broken", |p| std::fs::write(p, "card = ").unwrap(), "\"card\": a value is missing"),
            ("newer", |p| std::fs::write(p, "card = \"of-the-future\"").unwrap(), "of-the-future"),
            ("of another kind", |p| std::fs::write(p, "reaction-ms = \"soon\"").unwrap(), "\"reaction-ms\""),
            ("a folder", |p| std::fs::create_dir(p).unwrap(), "this is a folder, not a file"),
            ("a pipe", pipe, "this is not a regular file"),
            ("1 GB", |p| std::fs::File::create(p).unwrap().set_len(1 << 30).unwrap(), "larger than 1 MiB"),
            ("zeros", |p| std::fs::write(p, [0u8; 99]).unwrap(), "this is not a text file"),
            ("UTF-16", |p| std::fs::write(p, b"\xff\xfec\0").unwrap(), "UTF-16"),
            ("Latin-1", |p| std::fs::write(p, b"microphone = \"R\xf6hre\"").unwrap(), "not text in UTF-8"),
        ];
        for (what, put, found) in all {
            let folder = tempfile::tempdir().unwrap();
            let path = folder.path().join("settings.toml");
            put(&path);
            let was = path.symlink_metadata().unwrap();
            let (settings, trouble) = Settings::start_from(path.clone());
            let told = trouble.unwrap_or_else(|| panic!("{what}: nothing was told")).to_string();
            assert!(told.contains(found) && told.contains("settings.unreadable.toml"), "{what}: {told}");
            assert_eq!(settings, Settings::default(), "{what}");
            let kept = folder.path().join("settings.unreadable.toml").symlink_metadata().unwrap();
            assert_eq!((kept.file_type(), kept.len()), (was.file_type(), was.len()), "{what}");
            Settings { reaction_ms: 70, ..settings }.write_to(&path).unwrap();
            assert_eq!(Settings::start_from(path).0.reaction_ms, 70, "{what}: settings work again");
        }
    }

    #[cfg(unix)]
    fn pipe(path: &Path) {
        assert!(std::process::Command::new("mkfifo").arg(path).status().unwrap().success());
    }

    /// What the system refuses may be readable tomorrow.
    #[cfg(unix)]
    #[test]
    fn settings_that_the_system_refuses_stay_and_are_told() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("settings.toml");
        std::os::unix::fs::symlink(&path, &path).unwrap();
        let (settings, trouble) = Settings::start_from(path.clone());
        let told = trouble.unwrap().to_string();
        assert!(told.contains("settings.toml: cannot open it"), "{told}");
        assert!(path.symlink_metadata().is_ok() && settings.write_to(&path).is_err());
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn names_for_files_kept_aside_are_not_used_twice() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("settings.toml");
        for text in ["one", "two"] {
            std::fs::write(&path, text).unwrap();
            assert_eq!(std::fs::read_to_string(aside(&path).unwrap()).unwrap(), text);
        }
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
        assert_eq!(aside(&path), None);
    }

    #[test]
    fn what_a_newer_version_set_is_kept_when_this_one_writes() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("settings.toml");
        std::fs::write(&path, "reaction-ms = 70\ncolumn = 300\nsky = \"grey\"\n[rooms]\nlast = 7\n").unwrap();
        let (settings, trouble) = Settings::start_from(path.clone());
        assert!(trouble.is_none());
        let card = Card::File("/cards/mine.keys.toml".into());
        Settings { reaction_ms: 80, column: None, card, ..settings }.write_to(&path).unwrap();
        let table: toml::Table = std::fs::read_to_string(&path).unwrap().parse().unwrap();
        assert_eq!((table["sky"].as_str(), table["rooms"]["last"].as_integer()), (Some("grey"), Some(7)));
        assert_eq!((table["reaction-ms"].as_integer(), table.get("column")), (Some(80), None));
    }

    /// `NAMES` is compared with settings in which everything is set.
    #[test]
    fn every_setting_is_named() {
        let all = Settings {
            card: Card::Numpad,
            plain_forehand: true,
            plain_groundstroke: true,
            plain_misses: true,
            reaction_ms: 1,
            lead_in_ms: Some(1),
            reaction_offered: true,
            column: Some(1),
            study_answer: Some(1),
            study_footage: Some(1),
            no_pictures: true,
            library: vec!["films".into()],
            microphone: Some("pulsesrc".into()),
            late_ms: vec![1],
        };
        let table = toml::Table::try_from(&all).unwrap();
        let mut names = NAMES.map(str::to_owned);
        names.sort();
        assert_eq!(table.keys().cloned().collect::<Vec<_>>(), names);
    }

    #[test]
    fn what_is_set_reads_back() {
        for card in [Card::BuiltIn, Card::Numpad, Card::File("/cards/mine.keys.toml".into())] {
            let all = Settings {
                card,
                plain_forehand: true,
                reaction_ms: 250,
                reaction_offered: true,
                late_ms: vec![-3, 240],
                study_answer: Some(470),
                ..Settings::default()
            };
            let text = toml::to_string(&all).unwrap();
            assert_eq!(toml::from_str::<Settings>(&text).unwrap(), all, "{text}");
        }
        assert_eq!(toml::from_str::<Settings>("").unwrap(), Settings::default());
        assert!(toml::from_str::<Settings>("card = \"none\"").is_err());
    }
}
