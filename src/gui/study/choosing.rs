//! Choosing a spot: its clips are listed, the ribbon dims the other points, and they can be played.

use std::collections::{BTreeMap, BTreeSet};

use gtk::subclass::prelude::*;

use super::super::model::Event;
use super::model::{StudyModel, Told};
use super::outside::{Row, row_of};
use crate::clips::{Lead, Why, clip_list};
use crate::counted::{Counted, Noun};
use crate::facts::PointRef;
use crate::session::state::Session;
use crate::session::study::asking::Answered;
use crate::session::study::facets::teams;
use crate::session::study::spot::Spot;

/// Those of these points that cannot be played here, with the reason: as the model plays them.
fn not_played(session: &Session, points: &[PointRef]) -> BTreeMap<PointRef, &'static str> {
    let (here, elsewhere): (Vec<PointRef>, Vec<PointRef>) = points.iter().partition(|p| p.record == 0);
    let list = clip_list(&[&*session.view.record], &here, Lead::default());
    let shown = list.clips.iter().filter(|c| session.parts.showing(c.span.start()).is_some());
    let shown: BTreeSet<usize> = shown.flat_map(|c| c.points.iter().copied()).collect();
    let missing = here.iter().filter(|p| !shown.contains(&p.point)).map(|p| (*p, Why::NoFootage.words()));
    let mut all: BTreeMap<_, _> = missing.collect();
    all.extend(list.unreachable.iter().map(|u| (u.point, u.why.words())));
    all.extend(elsewhere.into_iter().map(|p| (p, "its match is not open")));
    all
}

impl StudyModel {
    /// Chooses a spot of the answer.
    pub fn choose(&self, spot: Spot) {
        let Some(answered) = self.answered() else { return };
        self.imp().spot.set(Some(spot));
        self.dim_others(&answered, spot, &spot.points(&answered.found));
        self.tell(Told::Chosen);
    }

    /// Lets the ribbon dim what is not chosen, and finds out what cannot be played.
    fn dim_others(&self, answered: &Answered, spot: Spot, points: &[PointRef]) {
        let Some(model) = self.model().filter(|_| self.is_seen()) else { return };
        {
            let mut session = model.session().borrow_mut();
            let Some(s) = session.as_mut() else { return };
            let all = spot == Spot::All && answered.found.points.len() == answered.pool.points();
            let here: BTreeSet<usize> = points.iter().filter(|p| p.record == 0).map(|p| p.point).collect();
            s.only = Some(here).filter(|_| !all);
            self.imp().not_played.replace(not_played(s, points));
        }
        model.tell(Event::Dimmed);
    }

    /// The points behind the spot that is chosen.
    pub fn points(&self) -> Vec<PointRef> {
        self.answered().map_or_else(Vec::new, |a| self.spot().points(&a.found))
    }

    /// The point of the open match that is shown.
    pub fn shown_point(&self) -> Option<PointRef> {
        let session = self.model()?.session().borrow();
        session.as_ref()?.current().map(|point| PointRef { record: 0, point })
    }

    /// A clip as a row of the list.
    pub fn clip_row(&self, at: PointRef) -> Option<Row> {
        let answered = self.answered()?;
        let m = answered.pool.matches().get(at.record)?;
        let mut row = row_of(&m.record, m.fact(at.point)?, Vec::new());
        let several = answered.pool.matches().len() > 1;
        let why = self.imp().not_played.borrow().get(&at).map(|w| format!("not played: {w}"));
        let words =
            why.into_iter().chain(several.then(|| teams(m))).chain(Some(row.text).filter(|t| !t.is_empty()));
        row.text = words.collect::<Vec<_>>().join(" · ");
        Some(row)
    }

    /// Those of the points chosen whose row has all of these words.
    pub fn points_with(&self, typed: &str) -> Vec<PointRef> {
        let has = |at: &PointRef| self.clip_row(*at).is_some_and(|row| row.has(typed));
        let mut points = self.points();
        if !typed.trim().is_empty() {
            points.retain(has);
        }
        points
    }

    /// What is to be said of the clips that cannot be played here.
    pub fn not_played_words(&self) -> String {
        match (self.imp().not_played.borrow().len(), self.points().len()) {
            (0, _) => String::new(),
            (n, all) if n == all => "None of these clips can be played here. The list says why.".into(),
            (n, _) => format!("{} cannot be played here. The list says why.", Counted(n, Noun::Point)),
        }
    }

    /// Plays the clips of the spot that is chosen.
    pub fn play(&self) {
        self.play_these(&self.points());
    }

    /// Plays these points: those of the open match; of another match it asks whether to open that.
    pub fn play_these(&self, points: &[PointRef]) {
        let Some(model) = self.model() else { return };
        let here: Vec<usize> = points.iter().filter(|p| p.record == 0).map(|p| p.point).collect();
        let elsewhere = points.iter().find(|p| p.record != 0).map(|p| p.record);
        match elsewhere {
            _ if points.is_empty() => model.say("There are no points to play."),
            Some(record) if here.is_empty() => {
                self.imp().elsewhere.set(record);
                self.tell(Told::Elsewhere);
            }
            _ => {
                let others = points.len() - here.len();
                model.be_quiet();
                model.play_points(here);
                if model.session().borrow().as_ref().is_some_and(|s| !s.queue.is_empty()) {
                    self.tell(Told::Played);
                }
                if others > 0 {
                    let n = Counted(others, Noun::Point);
                    let words = format!(
                        "Only the clips of the open match are played. {n} of other matches {} left out: choose one in \
                         the list to open its match.",
                        n.is()
                    );
                    model.say_too(&words);
                }
            }
        }
    }
}
