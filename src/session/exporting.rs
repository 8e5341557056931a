//! Exports asked for in the window: what is written, in which format, and to which file.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use thiserror::Error;

use crate::clips::{Clip, ClipList, Lead};
use crate::drawing::CourtPlan;
use crate::export::{AnswerFormat, ExportError, Extent, Format, Of, PointFormat, Sheet, name_from};
use crate::facts::PointRef;
use crate::record::Record;
use crate::saving::{Replace, SaveError, allowed, save};
use crate::session::cuts;
use crate::session::play_list::Item;
use crate::summary::numbers::Numbers;
use crate::summary::plans::map_plan;
use crate::summary::study::{CourtMap, Findings};
use crate::system::writing;

/// What is written, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wish {
    /// Clips of the points that the filter keeps.
    Clips(Format, Lead),
    /// The points of the match as a table.
    Points(PointFormat),
    /// The answer on the screen.
    Answer(AnswerFormat),
}

impl Wish {
    /// How its file ends, without the dot.
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Clips(format, _) => format.ending(),
            Self::Points(format) => format.ending(),
            Self::Answer(format) => format.ending(),
        }
    }
}

/// The answer on the screen.
#[derive(Debug, Clone)]
pub enum OnScreen {
    /// The tables of a question.
    Tables(Findings),
    /// The match in numbers.
    Numbers(Numbers),
}

/// What can be exported.
#[derive(Debug, Clone)]
pub struct Source {
    /// The record's own file.
    pub path: PathBuf,
    /// The record.
    pub record: Arc<Record>,
    /// What the filter keeps, in words.
    pub title: String,
    /// The points that it keeps, from 0.
    pub kept: Vec<usize>,
    /// The answer on the screen, and the records that it is of.
    pub answer: Option<(Vec<Of>, OnScreen)>,
}

/// Why nothing was exported.
#[derive(Debug, Error)]
pub enum ExportFailure {
    /// The filter keeps nothing.
    #[error("the filter keeps no points; choose another filter first")]
    NoPoints,
    /// No question has an answer yet.
    #[error("there is no answer on the screen; open Study and choose a question first")]
    NoAnswer,
    /// The clips are of several files, and chapters belong to one.
    #[error("the clips come from {0} files, and chapters are those of one file; choose another format")]
    SeveralFiles(usize),
    /// The clips have several frame rates, and an edit decision list has one.
    #[error(
        "the clips have several frame rates ({0}), and an edit decision list has one; export OpenTimelineIO instead"
    )]
    SeveralRates(String),
    /// It cannot be made.
    #[error(transparent)]
    Make(ExportError),
    /// It cannot be written as text.
    #[error("the answer cannot be written: {}", writing(.0))]
    Write(#[from] std::io::Error),
    /// The picture cannot be painted.
    #[error("the picture cannot be painted: {0}")]
    Paint(Box<dyn std::error::Error + Send + Sync>),
    /// It cannot be saved there.
    #[error(transparent)]
    Save(#[from] SaveError),
}

impl From<ExportError> for ExportFailure {
    /// The window cannot choose one file of several, as the command line can.
    fn from(why: ExportError) -> Self {
        match why {
            ExportError::SeveralFiles { files, .. } => Self::SeveralFiles(files.len()),
            ExportError::SeveralRates { rates } => Self::SeveralRates(rates),
            why => Self::Make(why),
        }
    }
}

/// Whether an export may be written at `to`, which may be there and was written by a program.
///
/// # Errors
/// [`ExportFailure::Save`].
pub fn check(to: &Path) -> Result<(), ExportFailure> {
    Ok(allowed(to, Replace::WhatWasWritten, &[])?)
}

impl Source {
    /// A name for the file: of the record, with what is in it.
    pub fn name_for(&self, wish: Wish) -> String {
        let what = match wish {
            Wish::Clips(..) => "clips",
            Wish::Points(_) => "points",
            Wish::Answer(_) => "answer",
        };
        self.name_of(what, wish.ending())
    }

    /// The same for anything else made of the record.
    pub fn name_of(&self, what: &str, ending: &str) -> String {
        format!("{}.{ending}", self.folder_of(what))
    }

    /// The same for a folder.
    pub fn folder_of(&self, what: &str) -> String {
        let file = self.path.file_name().unwrap_or_default().to_string_lossy();
        let stem = file.strip_suffix(".points.json").unwrap_or(&file);
        format!("{stem}-{what}")
    }

    /// The court pictures of the answer on the screen, each with which shot it shows.
    pub fn pictures(&self) -> Vec<(String, CourtPlan)> {
        let Some((_, OnScreen::Tables(findings))) = &self.answer else { return Vec::new() };
        let of = |map: &CourtMap| (map.ball.clone(), map_plan(map, &findings.question, &findings.looked_at));
        findings.maps.iter().map(of).collect()
    }

    /// Writes what was made of the record to a file, as [`Self::save`].
    ///
    /// # Errors
    /// [`ExportFailure`]; nothing is then written.
    pub fn save_bytes(&self, bytes: &[u8], to: &Path) -> Result<(), ExportFailure> {
        Ok(save(to, bytes, Replace::WhatWasWritten, &[&self.path])?)
    }

    /// Writes it to a file. What a program wrote there before is replaced, as the user was asked; a record, footage or
    /// settings never are.
    ///
    /// # Errors
    /// [`ExportFailure`]; nothing is then written.
    pub fn save(&self, wish: Wish, to: &Path) -> Result<(), ExportFailure> {
        Ok(save(to, &self.text(wish, to)?, Replace::WhatWasWritten, &[&self.path])?)
    }

    /// The clips of the points that the filter keeps, each with its footage.
    pub fn items(&self, lead: Lead) -> Vec<Item> {
        let item = |clip: &Clip| Item::of(clip, &self.record, &self.path);
        self.list(lead).clips.iter().filter_map(item).collect()
    }

    /// The names of its players.
    pub fn people(&self) -> Vec<String> {
        self.record.about.people().map(|(_, p)| p.name.clone()).collect()
    }

    fn list(&self, lead: Lead) -> ClipList {
        let points: Vec<PointRef> =
            self.kept.iter().map(|point| PointRef { record: 0, point: *point }).collect();
        cuts::clips(&[&*self.record], &points, lead)
    }

    fn text(&self, wish: Wish, to: &Path) -> Result<String, ExportFailure> {
        match wish {
            Wish::Clips(format, lead) => self.clips(format, lead, to),
            Wish::Points(format) => {
                let name = self.path.file_name().unwrap_or_default().to_string_lossy();
                let name = name.strip_suffix(".points.json").unwrap_or(&name);
                Ok(format.text(&[(name, &*self.record)])?)
            }
            Wish::Answer(format) => {
                let (records, shown) = self.answer.clone().ok_or(ExportFailure::NoAnswer)?;
                let mut bytes = Vec::new();
                match shown {
                    OnScreen::Tables(findings) => {
                        format.write(records, vec![findings], Extent::Full, &mut bytes)?;
                    }
                    OnScreen::Numbers(numbers) => return Ok(format.numbers(records, numbers)?),
                }
                Ok(String::from_utf8_lossy(&bytes).into_owned())
            }
        }
    }

    fn clips(&self, format: Format, lead: Lead, to: &Path) -> Result<String, ExportFailure> {
        if self.kept.is_empty() {
            return Err(ExportFailure::NoPoints);
        }
        let list = self.list(lead);
        let file = self.path.file_name().unwrap_or_default().to_string_lossy();
        let mut sheet = Sheet::new(&self.title, vec![Of::record(&file, &self.record)], lead, list);
        name_from(&mut sheet, std::slice::from_ref(&self.path), Some(to))?;
        Ok(format.text(&sheet)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Footage, Point, Store};
    use crate::tennis::Side;
    use crate::time::MatchTime;

    fn source(folder: &Path) -> Source {
        let point = |s| Point {
            start: Some(MatchTime::from_secs(s)),
            end: Some(MatchTime::from_secs(s + 4)),
            winner: Some(Side::A),
            ..Point::default()
        };
        let footage = Footage {
            file: "holt-okafor.mp4".into(),
            fingerprint: None,
            duration: MatchTime::from_secs(60),
            rate: "30".parse().ok(),
            rotation: 0,
            start: MatchTime::ZERO,
        };
        let record = Record {
            points: [point(5), point(20), point(40)].into(),
            footage: vec![footage],
            ..Record::default()
        };
        let path = folder.join("holt-okafor.points.json");
        drop(Store::create(&path, record.clone()).unwrap());
        Source { path, record: Arc::new(record), title: "net".into(), kept: vec![0, 2], answer: None }
    }

    #[test]
    fn clips_and_points_are_written_in_every_format() {
        let folder = tempfile::tempdir().unwrap();
        let source = source(folder.path());
        for format in Format::ALL {
            let wish = Wish::Clips(format, Lead::default());
            let to = folder.path().join(source.name_for(wish));
            source.save(wish, &to).unwrap();
            let text = std::fs::read_to_string(&to).unwrap();
            assert!(text.contains("holt-okafor.mp4") || format.is_of_one_file(), "{text}");
            source.save(wish, &to).unwrap();
        }
        let to = folder.path().join("points.csv");
        source.save(Wish::Points(PointFormat::Csv), &to).unwrap();
        assert_eq!(std::fs::read_to_string(&to).unwrap().lines().count(), 4);
    }

    #[test]
    fn a_record_and_footage_are_never_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let source = source(folder.path());
        let before = std::fs::read(&source.path).unwrap();
        let wish = Wish::Points(PointFormat::Csv);
        let said = source.save(wish, &source.path).unwrap_err();
        assert!(matches!(said, ExportFailure::Save(SaveError::Theirs { .. })), "{said}");
        assert_eq!(std::fs::read(&source.path).unwrap(), before);
        let film = folder.path().join("holt-okafor.mp4");
        std::fs::write(&film, "pictures").unwrap();
        assert!(source.save(wish, &film).is_err());
        assert_eq!(std::fs::read(&film).unwrap(), b"pictures");
    }

    #[test]
    fn a_timeline_of_footage_without_a_constant_rate_is_refused_in_words() {
        let folder = tempfile::tempdir().unwrap();
        let mut source = source(folder.path());
        let mut record = (*source.record).clone();
        record.footage[0].rate = None;
        source.record = Arc::new(record);
        for format in [Format::Otio, Format::Edl] {
            let to = folder.path().join("clips.out");
            let said = source.save(Wish::Clips(format, Lead::default()), &to).unwrap_err().to_string();
            assert!(said.contains("has no constant frame rate"), "{said}");
            assert!(!to.exists());
        }
    }

    #[test]
    fn what_is_missing_is_said() {
        let folder = tempfile::tempdir().unwrap();
        let mut source = source(folder.path());
        let to = folder.path().join("x.txt");
        let failed = |source: &Source, wish| source.save(wish, &to).unwrap_err().to_string();
        assert!(failed(&source, Wish::Answer(AnswerFormat::Text)).starts_with("there is no answer"));
        source.kept.clear();
        let said = failed(&source, Wish::Clips(Format::Csv, Lead::default()));
        assert_eq!(said, "the filter keeps no points; choose another filter first");
        assert!(!to.exists());
    }
}
