//! The answer on the screen, for an export.

use std::path::Path;

use gtk::subclass::prelude::*;

use super::page::StudyPage;
use crate::export::Of;
use crate::session::exporting::OnScreen;

impl StudyPage {
    /// What is chosen, in words: the title of its clips.
    pub fn chosen_title(&self) -> Option<String> {
        let study = &self.imp().study;
        Some(study.spot().title(&study.answered()?.found))
    }

    /// The answer that is shown, and the records that it is of: the one that is open at `path`, and those that were added.
    pub fn answer_of(&self, path: &Path) -> Option<(Vec<Of>, OnScreen)> {
        let study = &self.imp().study;
        let answered = study.answered()?;
        let others = study.imp().others.borrow();
        let paths = std::iter::once(path).chain(others.iter().map(|(p, _)| p.as_path()));
        let records = paths.zip(answered.pool.records());
        let records = records.map(|(p, r)| Of::record(&p.to_string_lossy(), r)).collect();
        let found = answered.found.clone();
        let shown = found.numbers.map_or_else(|| OnScreen::Tables(found.findings), OnScreen::Numbers);
        Some((records, shown))
    }
}
