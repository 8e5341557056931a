//! Choosing a spot: its clips are listed, the ribbon dims the other points, and they can be played.

use std::collections::{BTreeMap, BTreeSet};

use gtk::subclass::prelude::*;

use super::super::model::Event;
use super::model::{StudyModel, Told};
use super::outside::{Row, row_of};
use crate::clips::{Lead, Why};
use crate::counted::{Counted, Noun};
use crate::facts::PointRef;
use crate::session::cuts;
use crate::session::play_list::Item;
use crate::session::state::Session;
use crate::session::study::asking::Answered;
use crate::session::study::facets::teams;
use crate::session::study::spot::Spot;

/// Those of these points that cannot be played, with the reason. Whether the footage of other matches is there is found out when
/// it is played.
fn not_played(
    session: &Session,
    answered: &Answered,
    points: &[PointRef],
) -> BTreeMap<PointRef, &'static str> {
    let (here, elsewhere): (Vec<PointRef>, Vec<PointRef>) = points.iter().partition(|p| answered.is_here(p));
    let of_record: Vec<PointRef> = here.iter().map(|p| PointRef { record: 0, ..*p }).collect();
    let list = cuts::clips(&[&*session.view.record], &of_record, Lead::default());
    let shown = list.clips.iter().filter(|c| session.parts.showing(c.span.start()).is_some());
    let shown: BTreeSet<usize> = shown.flat_map(|c| c.points.iter().copied()).collect();
    let missing = here.iter().filter(|p| !shown.contains(&p.point)).map(|p| (*p, Why::NoFootage.words()));
    let mut all: BTreeMap<_, _> = missing.collect();
    let unreachable =
        list.unreachable.iter().filter_map(|u| Some((answered.of_open(u.point.point)?, u.why.words())));
    all.extend(unreachable);
    let why = |p: &PointRef| {
        let m = answered.pool.matches().get(p.record)?;
        match m.fact(p.point).and_then(|f| f.span) {
            None => Some(Why::NoTimes.words()),
            Some(span) if m.record.footage.iter().any(|f| f.covers(span.start())) => None,
            Some(_) => Some(Why::NoFootage.words()),
        }
    };
    all.extend(elsewhere.into_iter().filter_map(|p| Some((p, why(&p)?))));
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
            let here: BTreeSet<usize> =
                points.iter().filter(|p| answered.is_here(p)).map(|p| p.point).collect();
            s.only = Some(here).filter(|_| !all);
            self.imp().not_played.replace(not_played(s, answered, points));
        }
        model.tell(Event::Dimmed);
    }

    /// The points behind the spot that is chosen.
    pub fn points(&self) -> Vec<PointRef> {
        self.answered().map_or_else(Vec::new, |a| self.spot().points(&a.found))
    }

    /// The point that is shown: of the clip that is played, or else of the open match.
    pub fn shown_point(&self) -> Option<PointRef> {
        let model = self.model()?;
        if let Some((clip, _)) = model.clip() {
            return self.imp().played.borrow().get(clip).copied();
        }
        let session = model.session().borrow();
        self.answered()?.of_open(session.as_ref()?.current()?)
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

    /// Plays these points, each from the footage of its match.
    pub fn play_these(&self, points: &[PointRef]) {
        let Some(model) = self.model() else { return };
        if points.is_empty() {
            return model.say("There are no points to play.");
        }
        let (played, items): (Vec<_>, Vec<_>) = self.items(points).into_iter().unzip();
        if items.is_empty() {
            return model
                .say("None of these points can be played: each needs a start, an end and its footage.");
        }
        model.be_quiet();
        let with_clip: BTreeSet<&PointRef> = played.iter().collect();
        let left_out = points.iter().filter(|p| !with_clip.contains(p)).count();
        if left_out > 0 {
            let n = Counted(left_out, Noun::Point);
            model.say(&format!("{n} {} left out: no start, no end, or no footage.", n.is()));
        }
        self.imp().played.replace(played);
        model.play_clips(items);
        self.tell(Told::Played);
    }

    /// The clips of these points, in their order.
    fn items(&self, points: &[PointRef]) -> Vec<(PointRef, Item)> {
        let (Some(model), Some(answered)) = (self.model(), self.answered()) else { return Vec::new() };
        let session = model.session().borrow();
        let Some(s) = session.as_ref() else { return Vec::new() };
        let mut wanted: BTreeMap<usize, Vec<PointRef>> = BTreeMap::new();
        for p in points {
            wanted.entry(p.record).or_default().push(PointRef { record: 0, ..*p });
        }
        let mut found: BTreeMap<PointRef, Vec<Item>> = BTreeMap::new();
        for (record, points) in wanted {
            let other =
                record.checked_sub(answered.here).and_then(|n| self.imp().others.borrow().get(n).cloned());
            let clips = match (&other, answered.pool.matches().get(record)) {
                (_, _) if record < answered.here => {
                    cuts::clips(&[&*s.view.record], &points, Lead::default()).clips
                }
                (Some(_), Some(m)) => cuts::clips(&[&m.record], &points, Lead::default()).clips,
                _ => continue,
            };
            for clip in clips {
                let item = match &other {
                    Some((path, m)) => Item::of(&clip, &m.record, path),
                    None => s.item_of(clip.span),
                };
                if let (Some(point), Some(item)) = (clip.points.first(), item) {
                    found.entry(PointRef { record, point: *point }).or_default().push(item);
                }
            }
        }
        let mut all = Vec::new();
        for p in points {
            all.extend(found.remove(p).unwrap_or_default().into_iter().map(|item| (*p, item)));
        }
        all
    }
}
