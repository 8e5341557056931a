//! Which clips are wanted: the options shared by the verbs that make something of clips.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use clap_complete::ArgValueCompleter;

use super::answer::{CliError, complain};
use super::archive::Archive;
use super::completed;
use super::reading::shown;
use super::searched::Wanted;
use super::summary::{Asked, tell_copies};
use crate::clips::{Clip, ClipList, Lead};
use crate::facts::PointRef;
use crate::pattern::{Pattern, PatternFile};
#[cfg(feature = "video")]
use crate::record::footage::footage_path;
use crate::record::footage::{OTHER, astray, others};
use crate::record::{Record, printable};
use crate::session::cuts::clips;
use crate::summary::summarise;
use crate::time::MatchTime;

/// Which clips are wanted.
#[derive(Debug, clap::Args)]
pub(super) struct Selection {
    /// The records to ask, or folders: all records in them and in their subfolders.
    #[arg(required = true, value_name = "RECORD|FOLDER")]
    pub(super) records: Vec<PathBuf>,
    /// The pattern whose points are wanted; `changeover summary --list` names them.
    #[arg(long, value_name = "NAME", add = ArgValueCompleter::new(completed::patterns))]
    pattern: Option<String>,
    #[command(flatten)]
    wanted: Wanted,
    #[command(flatten)]
    asked: Asked,
    /// Footage kept before each point: seconds, or HH:MM:SS.
    #[arg(long, value_name = "TIME", default_value = "2", allow_negative_numbers = true)]
    lead_in: MatchTime,
    /// Footage kept after each point: seconds, or HH:MM:SS.
    #[arg(long, value_name = "TIME", default_value = "1", allow_negative_numbers = true)]
    lead_out: MatchTime,
    /// Join clips of one file that overlap or touch.
    #[arg(long)]
    merge: bool,
    /// First look for cuts in the footage of the clips, where that was not done yet. This takes as long as decoding it.
    #[cfg(feature = "video")]
    #[arg(long)]
    cuts: bool,
}

/// The clips that were wanted.
pub(super) struct Selected {
    /// The records that were asked, and whether every one was read.
    pub(super) archive: Archive,
    /// What the clips show, in words.
    pub(super) title: String,
    /// How much footage is around each point.
    pub(super) lead: Lead,
    /// The clips, and the points that have none.
    pub(super) list: ClipList,
    /// The pattern that was asked for.
    pub(super) pattern: Option<Pattern>,
}

impl Selection {
    /// Whether anything says which points are wanted.
    pub(super) const fn is_any(&self) -> bool {
        self.pattern.is_some() || self.wanted.is_any()
    }

    /// The files that are read, beside footage.
    pub(super) fn reads<'a>(&'a self, archive: &'a Archive) -> Vec<&'a Path> {
        archive.paths.iter().map(PathBuf::as_path).chain(self.asked.patterns()).collect()
    }

    /// That something says which points are wanted. What is wrong with a file that was named comes first.
    ///
    /// # Errors
    /// [`CliError`] with these words, or why a record cannot be read.
    pub(super) fn must_say(&self, otherwise: &str) -> Result<(), CliError> {
        if self.is_any() {
            return Ok(());
        }
        Archive::read(&self.records)?;
        Err(CliError::Failed(otherwise.to_owned()))
    }

    /// Reads the records and selects the clips. Says which footage of theirs is not where its record says.
    ///
    /// # Errors
    /// [`CliError`] when a file cannot be read, or a name or word is not known.
    pub(super) fn select(&self) -> Result<Selected, CliError> {
        let file = self.asked.file()?;
        let pattern = self.pattern.as_ref().map(|name| file.named(name).map_err(failed)).transpose()?;
        let archive = Archive::read(&self.records)?;
        tell_copies(&archive.paths, &archive.records, "are shown twice");
        let records: Vec<&Record> = archive.records.iter().collect();
        let (title, points) = self.points(&archive, pattern, &file)?;
        let [before, after] = [self.lead_in, self.lead_out].map(|t| t - MatchTime::ZERO);
        let lead = Lead { before, after, merge: self.merge };
        let list = clips(&records, &points, lead);
        #[cfg(feature = "video")]
        let list = if self.cuts {
            find_cuts(&archive.paths, &records, &list.clips);
            clips(&records, &points, lead)
        } else {
            list
        };
        tell_astray(&archive.paths, &records, &list.clips);
        let pattern = pattern.cloned();
        Ok(Selected { archive, title, lead, list, pattern })
    }

    /// The points that show the pattern and are found by the search, with what they show.
    fn points(
        &self,
        archive: &Archive,
        pattern: Option<&Pattern>,
        file: &PatternFile,
    ) -> Result<(String, Vec<PointRef>), CliError> {
        let records: Vec<&Record> = archive.records.iter().collect();
        let whose = self.asked.whose(&records)?;
        let shown = pattern.map(|p| {
            let rows = summarise(&records, std::slice::from_ref(p), &whose).rows;
            (p.name.clone(), rows.into_iter().flat_map(|row| row.happened.points).collect::<Vec<_>>())
        });
        if !self.wanted.is_any() {
            return Ok(shown.unwrap_or_default());
        }
        let (words, mut found) = self.wanted.find(archive, &file.patterns)?;
        found.retain(|at| records.get(at.record).is_some_and(|r| whose.plays(&r.about_at(at.point))));
        let Some((name, points)) = shown else { return Ok((words, found)) };
        let both: BTreeSet<PointRef> = points.into_iter().collect();
        found.retain(|at| both.contains(at));
        Ok((format!("{name} · {words}"), found))
    }
}

/// Says which footage of the clips is not where its record says.
fn tell_astray(paths: &[PathBuf], records: &[&Record], clips: &[Clip]) {
    let wanted: BTreeSet<(usize, &str)> = clips.iter().map(|c| (c.record, c.file.as_str())).collect();
    for (n, name) in wanted {
        let file = records.get(n).and_then(|r| r.footage.iter().find(|f| f.file == name));
        let Some((path, file)) = paths.get(n).zip(file) else { continue };
        let other = || others(path, std::slice::from_ref(file)).next().map(|_| OTHER.to_owned());
        if let Some(why) = astray(path, file).map(|why| why.to_string()).or_else(other) {
            complain(&format!("{}: footage \"{}\" {why}", shown(path), printable(name, 120)));
        }
    }
}

/// Looks for the cuts in the footage of the clips. Footage that cannot be read is complained of.
#[cfg(feature = "video")]
fn find_cuts(paths: &[PathBuf], records: &[&Record], clips: &[Clip]) {
    let wanted: BTreeSet<(usize, &str)> = clips.iter().map(|c| (c.record, c.file.as_str())).collect();
    for (n, name) in wanted {
        let file = records.get(n).and_then(|r| r.footage.iter().find(|f| f.file == name));
        let Some((record, file)) = paths.get(n).zip(file) else { continue };
        // Where the footage is not there, the list says so.
        let Ok(path) = footage_path(record, file) else { continue };
        if path.exists()
            && let Err(e) = super::cuts::ensure(&path)
        {
            complain(&e);
        }
    }
}

fn failed(e: impl std::fmt::Display) -> CliError {
    CliError::Failed(e.to_string())
}
