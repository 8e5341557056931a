//! The formats in which something can be written, for the command line and the window.

use std::io::{self, Write};

use super::error::ExportError;
use super::extent::Extent;
use super::sheet::{Of, Sheet};
use super::{answers_csv, chapters, csv, edl, json, numbers, otio, points, study, table, webvtt, xspf};
use crate::record::Record;
use crate::summary::numbers::Numbers;
use crate::summary::study::Findings;

/// How a clip list is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Columns for people.
    Table,
    /// JSON.
    Json,
    /// CSV.
    Csv,
    /// Chapters of one media file.
    Webvtt,
    /// A playlist.
    Xspf,
    /// A timeline for an editor.
    Otio,
    /// An edit decision list.
    Edl,
    /// Matroska chapters.
    Mkv,
    /// Chapter lines of a description.
    Lines,
}

impl Format {
    /// Every format.
    pub const ALL: [Self; 9] = [
        Self::Table,
        Self::Json,
        Self::Csv,
        Self::Webvtt,
        Self::Xspf,
        Self::Otio,
        Self::Edl,
        Self::Mkv,
        Self::Lines,
    ];

    /// Its name on the command line.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Table => "table",
            Self::Json => "json",
            Self::Csv => "csv",
            Self::Webvtt => "webvtt",
            Self::Xspf => "xspf",
            Self::Otio => "otio",
            Self::Edl => "edl",
            Self::Mkv => "mkv-chapters",
            Self::Lines => "chapter-lines",
        }
    }

    /// How a file of it ends, without the dot.
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Table | Self::Lines => "txt",
            Self::Json => "json",
            Self::Csv => "csv",
            Self::Webvtt => "vtt",
            Self::Xspf => "xspf",
            Self::Otio => "otio",
            Self::Edl => "edl",
            Self::Mkv => "xml",
        }
    }

    /// What it is for, for those who choose it in the window.
    pub const fn purpose(self) -> &'static str {
        match self {
            Self::Table => "Text: to read or print",
            Self::Json => "JSON: for programs",
            Self::Csv => "CSV: for spreadsheets",
            Self::Webvtt => "WebVTT: chapters of one video, for web pages",
            Self::Xspf => "XSPF: a playlist for media players",
            Self::Otio => "OpenTimelineIO: for video editors",
            Self::Edl => "Edit decision list: for older video editors",
            Self::Mkv => "Matroska chapters: of one video",
            Self::Lines => "Chapter lines: for the description of one video",
        }
    }

    /// What it is, in words of the command line.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Table => "Text in columns",
            Self::Json => "JSON; `changeover schema clips` describes it",
            Self::Csv => "CSV (RFC 4180), safe to open in a spreadsheet",
            Self::Webvtt => "WebVTT chapters of one footage file",
            Self::Xspf => "XSPF playlist with Media Fragments",
            Self::Otio => "OpenTimelineIO timeline for video editors",
            Self::Edl => "Edit decision list (SMPTE 258M) for video editors",
            Self::Mkv => "Matroska chapters (XML) of one footage file",
            Self::Lines => "Chapter lines (M:SS title) of one footage file",
        }
    }

    /// Whether it holds clips of one footage file only.
    pub const fn is_of_one_file(self) -> bool {
        matches!(self, Self::Webvtt | Self::Mkv | Self::Lines)
    }

    /// The clip list in this format.
    ///
    /// # Errors
    /// [`ExportError`] when the clips do not fit the format.
    pub fn text(self, sheet: &Sheet) -> Result<String, ExportError> {
        match self {
            Self::Table => Ok(table::clips(sheet)),
            Self::Json => json::clips(sheet),
            Self::Csv => csv::clips(sheet),
            Self::Webvtt => webvtt::clips(sheet),
            Self::Xspf => xspf::clips(sheet),
            Self::Otio => otio::clips(sheet),
            Self::Edl => edl::clips(sheet),
            Self::Mkv => chapters::matroska(sheet),
            Self::Lines => chapters::lines(sheet),
        }
    }
}

/// How points are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointFormat {
    /// CSV with the columns that the import reads.
    Csv,
}

impl PointFormat {
    /// Every format.
    pub const ALL: [Self; 1] = [Self::Csv];

    /// Its name on the command line.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Csv => "csv",
        }
    }

    /// How a file of it ends, without the dot.
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Csv => "csv",
        }
    }

    /// What it is for, for those who choose it in the window.
    pub const fn purpose(self) -> &'static str {
        match self {
            Self::Csv => "CSV: for spreadsheets",
        }
    }

    /// What it is, in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Csv => "CSV (RFC 4180), safe to open in a spreadsheet",
        }
    }

    /// The points of records, each with the name that tells it from the others.
    ///
    /// # Errors
    /// [`ExportError::Make`] when it cannot be made.
    pub fn text(self, records: &[(&str, &Record)]) -> Result<String, ExportError> {
        match self {
            Self::Csv => points::csv(records),
        }
    }
}

/// How the answers of the Study page are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AnswerFormat {
    /// Tables and sentences for people.
    Text,
    /// The lines of its tables.
    Csv,
    /// JSON.
    Json,
}

impl AnswerFormat {
    /// Every format.
    pub const ALL: [Self; 3] = [Self::Text, Self::Csv, Self::Json];

    /// How a file of it ends, without the dot.
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Text => "txt",
            Self::Csv => "csv",
            Self::Json => "json",
        }
    }

    /// What it is for, for those who choose it in the window.
    pub const fn purpose(self) -> &'static str {
        match self {
            Self::Text => "Text: to read or print",
            Self::Csv => "CSV: for spreadsheets",
            Self::Json => "JSON: for programs",
        }
    }

    /// What it is, in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Text => "Text in tables",
            Self::Csv => "CSV, for spreadsheets",
            Self::Json => "JSON; `changeover schema study` describes it",
        }
    }

    /// The match in numbers, the whole match and each set; `records` are those that its points are of.
    ///
    /// # Errors
    /// [`ExportError::Make`] when it cannot be made.
    pub fn numbers(self, records: Vec<Of>, found: Numbers) -> Result<String, ExportError> {
        match self {
            Self::Json => json::numbers(records, found),
            Self::Csv => answers_csv::numbers(&found),
            Self::Text => {
                let parts = found.parts.iter().map(|p| numbers::numbers(&found, p.set));
                Ok(parts.collect::<Vec<_>>().join("\n\n"))
            }
        }
    }

    /// Writes the answers: `records` are those that their points are of.
    ///
    /// # Errors
    /// What the writer says.
    pub fn write(
        self,
        records: Vec<Of>,
        answers: Vec<Findings>,
        extent: Extent,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        match self {
            Self::Json => json::study(records, answers, extent, out),
            Self::Text => {
                let all: Vec<String> = answers.iter().map(|a| study::study(a, extent)).collect();
                out.write_all(all.join("\n\n").as_bytes())
            }
            Self::Csv => {
                let text = answers_csv::answers(&answers).map_err(io::Error::other)?;
                out.write_all(text.as_bytes())
            }
        }
    }
}
