//! The answer on the screen, for an export.

use std::path::Path;
use std::sync::Arc;

use gtk::subclass::prelude::*;

use super::model::StudyModel;
use super::page::StudyPage;
use crate::export::Of;
use crate::facts::PointRef;
use crate::library::Kept;
use crate::session::exporting::OnScreen;
use crate::session::library::finds::Finds;
use crate::session::pictured::Moment;

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
        let records = answered.paths(path, &others).into_iter().zip(answered.pool.records());
        let records = records.map(|(p, r)| Of::record(&p.to_string_lossy(), r)).collect();
        let found = answered.found.clone();
        let shown = found.numbers.map_or_else(|| OnScreen::Tables(found.findings), OnScreen::Numbers);
        Some((records, shown))
    }
}

impl StudyPage {
    /// The clips that are listed, or only the one that is shown.
    pub fn to_add(&self, all: bool) -> Option<Finds> {
        let study = &self.imp().study;
        let points = if all { self.imp().clips.listed() } else { Vec::from_iter(study.shown_point()) };
        study.finds(&self.chosen_title().unwrap_or_default(), points)
    }
}

impl StudyModel {
    /// These points of the answer, to be saved or copied; nothing before there is an answer.
    pub fn finds(&self, title: &str, points: Vec<PointRef>) -> Option<Finds> {
        let answered = self.answered()?;
        let open = self.model()?.session().borrow().as_ref()?.view.path.clone();
        let others = self.imp().others.borrow();
        let paths = answered.paths(&open, &others);
        let kept = Kept::of_matches(paths.into_iter().zip(answered.pool.matches().iter().cloned()));
        Some(Finds::new(Arc::new(kept), title.to_owned(), points, 0))
    }

    /// What is shown of a point in its small picture.
    pub fn moment(&self, at: PointRef) -> Option<Moment> {
        let answered = self.answered()?;
        let m = answered.pool.matches().get(at.record)?;
        if answered.is_here(&at) {
            let session = self.model()?.session().borrow();
            return Moment::of_point(&m.record, &session.as_ref()?.view.path, at.point);
        }
        let others = self.imp().others.borrow();
        let (path, _) = others.get(at.record - answered.open_matches().len())?;
        Moment::of_point(&m.record, path, at.point)
    }
}
