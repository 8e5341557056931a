//! The user's settings: a small file in the user's settings folder.

use std::path::{Path, PathBuf};
use std::time::Duration;

use serde::{Deserialize, Serialize};

use super::error::OwnFileError;
use super::folders;
use crate::saving::update;
use crate::textfile::{self, Limit};
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
        let path = file();
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
    /// nothing and can set everything again.
    pub fn read_at_start() -> (Self, Option<OwnFileError>) {
        match Self::read() {
            (settings, Some(OwnFileError::Settings { path, found })) => {
                let trouble = match aside(&path) {
                    Some(kept) => OwnFileError::Aside { path, kept, found },
                    None => OwnFileError::Settings { path, found },
                };
                (settings, Some(trouble))
            }
            read => read,
        }
    }

    /// Saves the settings. A file that cannot be understood is left as it is.
    ///
    /// # Errors
    /// [`OwnFileError`].
    pub fn write(&self) -> Result<(), OwnFileError> {
        if let (_, Some(trouble)) = Self::read() {
            return Err(OwnFileError::Kept(Box::new(trouble)));
        }
        let mut kept = self.clone();
        kept.late_ms.drain(..kept.late_ms.len().saturating_sub(MOST_LATE));
        let text = toml::to_string(&kept)?;
        let path = file();
        let was = textfile::text(&path, Limit::SETTINGS).unwrap_or_default();
        Ok(update(&path, &was, &text)?)
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

    #[test]
    fn settings_that_are_not_understood_are_kept_under_another_name() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("settings.toml");
        for text in ["card = \"of-the-future\"", "again"] {
            std::fs::write(&path, text).unwrap();
            let kept = aside(&path).unwrap();
            assert_eq!(std::fs::read_to_string(kept).unwrap(), text);
            assert!(!path.exists());
        }
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
        assert_eq!(aside(&path), None);
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
