//! When it is asked what the footage shows, and what an answer does.

use std::path::{Path, PathBuf};

use super::question::{Question, Together, likely, shows, stem_of};
use super::state::Session;
use crate::record::{Edit, Kind, MatchInfo, Record};
use crate::time::MatchTime;

impl Session {
    /// What is to be asked now, if anything: nothing where the record cannot be changed, and nothing once points are logged, unless
    /// the user asks to be asked.
    pub fn question(&self) -> Option<&Question> {
        let free = self.view.read_only.is_none() && self.attaching.is_none();
        let again = matches!(self.asked, Some(Question::Footage { again: true, .. }));
        self.asked.as_ref().filter(|_| free && (again || self.view.record.points.is_empty()))
    }

    /// Whether nothing was logged or said of the footage yet.
    pub fn is_untouched(&self) -> bool {
        let record = &*self.view.record;
        let about = MatchInfo { date: record.about.date, ..MatchInfo::default() };
        let bare = Record { footage: record.footage.clone(), about, ..Record::default() };
        !record.footage.is_empty() && *record == bare
    }

    /// Asks what newly opened footage shows, if nobody said it.
    pub fn ask_what(&mut self) {
        if self.is_untouched() {
            let names: Vec<&Path> = self.media.iter().map(|m| m.path.as_path()).collect();
            let lasts = self.media.iter().map(|m| m.duration - MatchTime::ZERO).sum();
            self.asked = Some(Question::Footage { likely: likely(&names, lasts), again: false });
        }
    }

    /// Asks whether these files are one match, before all else.
    pub fn ask_files(&mut self, paths: Vec<PathBuf>, each_has_its_own: bool) {
        let same = paths.windows(2).all(|two| stem_of(&two[0]) == stem_of(&two[1]));
        let likely = if same && !each_has_its_own { Together::OneMatch } else { Together::Each };
        self.asked = Some(Question::Files { paths, likely });
    }

    /// Asks again what the footage shows.
    pub fn ask_again(&mut self) {
        self.asked = Some(Question::Footage { likely: self.view.record.about.kind(), again: true });
    }

    /// The question is over.
    pub fn stop_asking(&mut self) {
        self.asked = None;
    }

    /// Takes an answer about what the footage shows; gives the edit that it takes, if any.
    pub fn answered(&mut self, kind: Kind) -> Option<Edit> {
        self.asked = None;
        if kind == Kind::Part && self.view.record.points.is_empty() {
            self.asked = Some(Question::ScoreNow);
        }
        shows(&self.view.record, kind)
    }
}
