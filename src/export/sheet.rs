//! A clip list with all that its file says beside it.

use schemars::JsonSchema;
use serde::Serialize;

use super::error::ExportError;
use super::timecode::Label;
use crate::clips::{Clip, ClipList, Lead, Unreachable};
use crate::record::Record;
use crate::tennis::Side;
use crate::time::MatchTime;

/// A record that clips or points are of.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Of {
    /// Its file, as it was named.
    pub file: String,
    /// The first-named player.
    pub a: String,
    /// The second-named player.
    pub b: String,
}

impl Of {
    /// What is said of a record beside its clips.
    pub fn record(file: &str, record: &Record) -> Self {
        let name = |side| record.about.player(side).name.clone();
        Self { file: file.into(), a: name(Side::A), b: name(Side::B) }
    }
}

/// A clip list with all that its file says beside it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Sheet {
    /// Always `changeover-clips`.
    pub format: String,
    /// Version of the form, now 1.
    pub version: u32,
    /// What the clips show.
    pub title: String,
    /// Footage kept before each point.
    pub lead_in: MatchTime,
    /// Footage kept after each point.
    pub lead_out: MatchTime,
    /// The records, in the order that the clips refer to.
    pub records: Vec<Of>,
    /// The clips.
    pub clips: Vec<Clip>,
    /// The points that no clip shows.
    pub unreachable: Vec<Unreachable>,
    /// What the lesson of the clips holds and this list does not, in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<String>,
    /// The timecode of the first frame of each file; 00:00:00:00 if absent.
    #[serde(skip)]
    pub start_timecode: Option<Label>,
}

impl Sheet {
    /// A sheet of a clip list.
    pub fn new(title: &str, records: Vec<Of>, lead: Lead, list: ClipList) -> Self {
        Self {
            format: "changeover-clips".into(),
            version: 1,
            title: title.into(),
            lead_in: MatchTime::ZERO.later(lead.before),
            lead_out: MatchTime::ZERO.later(lead.after),
            records,
            clips: list.clips,
            unreachable: list.unreachable,
            left_out: Vec::new(),
            start_timecode: None,
        }
    }

    /// The media files of the clips, each once, in their order.
    pub fn files(&self) -> Vec<&str> {
        let mut files: Vec<&str> = Vec::new();
        for clip in &self.clips {
            if !files.contains(&clip.file.as_str()) {
                files.push(&clip.file);
            }
        }
        files
    }

    /// Holds the clips to one file; `what` begins the message for several, as `Matroska chapters are`.
    pub(super) fn one_file(&self, what: &'static str) -> Result<(), ExportError> {
        let files = self.files();
        if files.len() <= 1 {
            return Ok(());
        }
        Err(ExportError::SeveralFiles { what, files: files.into_iter().map(Into::into).collect() })
    }

    /// Keeps the clips of one file.
    ///
    /// # Errors
    /// [`ExportError::NoSuchFile`] when none is of it.
    pub fn keep_file(&mut self, file: &str) -> Result<(), ExportError> {
        if !self.clips.iter().any(|c| c.file == file) {
            return Err(ExportError::NoSuchFile { found: file.into(), allowed: self.files().join(", ") });
        }
        self.clips.retain(|c| c.file == file);
        Ok(())
    }
}

/// Text on one line: line ends and other control characters become blanks.
pub(super) fn one_line(text: &str) -> String {
    let blank = |c: char| if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}') { ' ' } else { c };
    text.chars().map(blank).collect::<String>().trim().to_owned()
}

/// The same for text that people read as it stands in the file: without marks that turn the direction of what follows them.
pub(super) fn plain_line(text: &str) -> String {
    let turns = |c: &char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
    one_line(&text.chars().filter(|c| !turns(c)).collect::<String>())
}
