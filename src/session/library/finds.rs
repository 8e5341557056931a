//! The clips that a search finds in the library, in the user's order: to be played, reordered, exported.

use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::super::copying::{line, shows, timecodes};
use super::super::exporting::ExportFailure;
use super::super::pictured::Moment;
use super::super::play_list::Item;
use crate::clips::{ClipList, Lead};
use crate::export::{Format, Of, Sheet, name_from};
use crate::facts::{PointRef, score_of};
use crate::library::Kept;
use crate::record::{Point, Record, is_star, printable};
use crate::saving::{Replace, save};
use crate::session::cuts;
use crate::tennis::Side;
use crate::time::MatchTime;

/// Points of the library, in the user's order.
#[derive(Debug, Clone, Default)]
pub struct Finds {
    kept: Arc<Kept>,
    /// What they show, in words.
    pub title: String,
    /// The points.
    pub points: Vec<PointRef>,
    /// How many points lack the data to tell.
    pub unknown: usize,
    /// The points that the user took out of the list, each with the place that it had, the last one last.
    removed: Vec<(usize, PointRef)>,
    /// Whether the user put them in an order.
    ordered: bool,
}

/// A clip as a row of a list.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FindRow {
    /// Who plays: `Holt – Okafor`.
    pub title: String,
    /// At which score: `2–1 30–40, Holt serves`; empty where none is known.
    pub score: String,
    /// When: the day, and the time in the match.
    pub when: String,
    /// What is in it.
    pub shows: String,
    /// The note.
    pub note: String,
    /// Whether it has the star.
    pub starred: bool,
}

impl Finds {
    /// These points of a library.
    pub fn new(kept: Arc<Kept>, title: String, points: Vec<PointRef>, unknown: usize) -> Self {
        Self { kept, title, points, unknown, removed: Vec::new(), ordered: false }
    }

    /// The same search over records that were read again: what was taken out stays out, the user's order is kept, and what is new
    /// comes last.
    #[must_use]
    pub fn after(mut self, before: &Self) -> Self {
        if self.title != before.title {
            return self;
        }
        let places: HashMap<&Path, usize> =
            (0..self.kept.len()).filter_map(|n| Some((self.kept.path(n)?, n))).collect();
        let now = |at: &PointRef| {
            let record = *places.get(before.path(*at)?)?;
            let (start, points) = (before.point(*at)?.start, &self.kept.record(record)?.1.points);
            let is_same = |p: &Point| p.start == start;
            // Points before it may have been deleted or put in.
            let point = match points.get(at.point) {
                Some(same) if is_same(same) => at.point,
                _ => points.iter().position(is_same).filter(|_| start.is_some())?,
            };
            Some(PointRef { record, point })
        };
        self.removed = before.removed.iter().filter_map(|(at, point)| Some((*at, now(point)?))).collect();
        self.ordered = before.ordered;
        let order: HashMap<PointRef, usize> =
            before.points.iter().zip(0..).filter_map(|(at, n)| Some((now(at)?, n))).collect();
        let removed: HashSet<PointRef> = self.removed.iter().map(|(_, point)| *point).collect();
        self.points.retain(|at| !removed.contains(at));
        if self.ordered {
            self.points.sort_by_key(|at| order.get(at).copied().unwrap_or(usize::MAX));
        }
        self
    }

    /// The place of a point in the list.
    pub fn place_of(&self, path: &Path, point: usize) -> Option<usize> {
        self.points.iter().position(|at| at.point == point && self.path(*at) == Some(path))
    }

    /// The same clips, after a record was changed here.
    pub fn follow(&mut self, kept: Arc<Kept>) {
        self.kept = kept;
    }

    /// The point as its record has it.
    pub fn point(&self, at: PointRef) -> Option<&Point> {
        let (m, f) = self.kept.at(at)?;
        m.record.points.get(f.number)
    }

    /// A point as a row.
    pub fn row(&self, at: PointRef) -> Option<FindRow> {
        let (m, f) = self.kept.at(at)?;
        let point = m.record.points.get(f.number)?;
        let score = score_of(&m.record, f).unwrap_or_default();
        let day = m.record.about.date.map(|d| d.to_string());
        let when = [day, point.start.map(MatchTime::short)].into_iter().flatten().collect::<Vec<_>>();
        Some(FindRow {
            title: pair(&m.record),
            score,
            when: when.join(" · "),
            shows: shows(f),
            note: printable(&point.note, 200),
            starred: point.tags.iter().any(|t| is_star(t)),
        })
    }

    /// A point in the middle of a sentence: `point 12 of Holt – Okafor, 2026-05-02`.
    pub fn words(&self, at: PointRef) -> Option<String> {
        let (m, f) = self.kept.at(at)?;
        let day = m.record.about.date.map(|d| format!(", {d}")).unwrap_or_default();
        Some(format!("point {} of {}{day}", f.number + 1, pair(&m.record)))
    }

    /// What is shown of a point in its small picture.
    pub fn moment(&self, at: PointRef) -> Option<Moment> {
        let (m, f) = self.kept.at(at)?;
        Moment::of_point(&m.record, self.path(at)?, f.number)
    }

    /// The record that a point is in.
    pub fn path(&self, at: PointRef) -> Option<&Path> {
        self.kept.path(at.record)
    }

    /// The names of the players of its matches.
    pub fn people(&self) -> Vec<String> {
        let (_, records) = self.clips(Lead::default(), &self.points);
        records.iter().flat_map(|(_, r)| r.about.people().map(|(_, p)| p.name.clone())).collect()
    }

    /// Moves a point one place up or down; says whether it moved.
    pub fn shift(&mut self, at: usize, down: bool) -> bool {
        let to = if down { at.checked_add(1) } else { at.checked_sub(1) };
        match to.filter(|to| *to < self.points.len() && at < self.points.len()) {
            Some(to) => self.points.swap(at, to),
            None => return false,
        }
        self.ordered = true;
        true
    }

    /// Takes a point out of the list. The record stays as it is.
    pub fn remove(&mut self, at: usize) {
        if at < self.points.len() {
            self.removed.push((at, self.points.remove(at)));
        }
    }

    /// Puts the point that was taken out last back to its place, and gives the place. None if there is no such point.
    pub fn put_back(&mut self) -> Option<usize> {
        let (at, point) = self.removed.pop()?;
        let at = at.min(self.points.len());
        self.points.insert(at, point);
        Some(at)
    }

    /// Each point on one line.
    pub fn text(&self) -> String {
        let found = self.points.iter().filter_map(|at| self.kept.at(*at));
        found.map(|(m, f)| line(&m.record, f) + "\n").collect()
    }

    /// The clips as timecodes, a line for each; files are named with their folders.
    pub fn timecodes(&self, lead: Lead) -> String {
        let (mut sheet, paths) = self.sheet(lead, &self.points);
        for clip in &mut sheet.clips {
            if let Some(folder) = paths.get(clip.record).and_then(|p| p.parent()) {
                clip.file = folder.join(&clip.file).to_string_lossy().into_owned();
            }
        }
        timecodes(&sheet)
    }

    /// What to play from this place of the list on, at most so many clips; and how many points have nothing to play.
    pub fn pieces(&self, from: usize, most: usize, lead: Lead) -> (Vec<Item>, usize) {
        let (pieces, lost) = self.playable(from, most, lead);
        (pieces.into_iter().map(|(item, _)| item).collect(), lost)
    }

    /// The same, each clip with its first point.
    pub fn playable(&self, from: usize, most: usize, lead: Lead) -> (Vec<(Item, PointRef)>, usize) {
        let points: Vec<PointRef> = self.points.iter().skip(from).take(most).copied().collect();
        let (list, records) = self.clips(lead, &points);
        let places: HashMap<&Path, usize> =
            points.iter().filter_map(|p| Some((self.path(*p)?, p.record))).collect();
        let piece = |c: &crate::clips::Clip| {
            let (path, record) = records.get(c.record)?;
            let at = PointRef { record: *places.get(path)?, point: *c.points.first()? };
            Item::of(c, record, path).filter(|item| item.footage.is_file()).map(|item| (item, at))
        };
        let pieces: Vec<_> = list.clips.iter().filter_map(piece).collect();
        let lost = list.clips.len() - pieces.len();
        (pieces, list.unreachable.len() + lost)
    }

    /// Writes the clips to a file. What a program wrote there before is replaced; a record, footage or settings never are.
    ///
    /// # Errors
    /// [`ExportFailure`]; nothing is then written.
    pub fn save(&self, format: Format, lead: Lead, to: &Path) -> Result<(), ExportFailure> {
        if self.points.is_empty() {
            return Err(ExportFailure::NoPoints);
        }
        let (mut sheet, paths) = self.sheet(lead, &self.points);
        name_from(&mut sheet, &paths, Some(to))?;
        let reads: Vec<&Path> = paths.iter().map(PathBuf::as_path).collect();
        Ok(save(to, &format.text(&sheet)?, Replace::WhatWasWritten, &reads)?)
    }

    fn sheet(&self, lead: Lead, points: &[PointRef]) -> (Sheet, Vec<PathBuf>) {
        let (list, records) = self.clips(lead, points);
        let of = records.iter().map(|(path, r)| Of::record(&path.to_string_lossy(), r)).collect();
        let paths = records.iter().map(|(path, _)| path.to_path_buf()).collect();
        (Sheet::new(&self.title, of, lead, list), paths)
    }

    /// The clips of these points in their order, and the records that they are of.
    pub(crate) fn clips(&self, lead: Lead, points: &[PointRef]) -> (ClipList, Vec<(&Path, &Record)>) {
        let mut wanted: Vec<usize> = points.iter().map(|p| p.record).collect();
        wanted.sort_unstable();
        wanted.dedup();
        wanted.retain(|n| self.kept.record(*n).is_some());
        let records: Vec<(&Path, &Record)> = wanted.iter().filter_map(|n| self.kept.record(*n)).collect();
        let place =
            |p: &PointRef| wanted.binary_search(&p.record).ok().map(|record| PointRef { record, ..*p });
        let asked: Vec<PointRef> = points.iter().filter_map(place).collect();
        let only: Vec<&Record> = records.iter().map(|(_, r)| *r).collect();
        let mut list = cuts::clips(&only, &asked, lead);
        let order: HashMap<PointRef, usize> = asked.iter().copied().zip(0..).collect();
        list.clips.sort_by_key(|c| {
            let first = c.points.first().map(|point| PointRef { record: c.record, point: *point });
            first.and_then(|at| order.get(&at).copied())
        });
        (list, records)
    }
}

/// The players of a match: `Holt – Okafor`.
fn pair(record: &Record) -> String {
    let name = |side| printable(&record.about.side_name(side), 80);
    format!("{} – {}", name(Side::A), name(Side::B))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::tests::record;
    use crate::record::{Kind, Point, Source, Store};

    fn finds(folder: &Path) -> Finds {
        let paths = ["a", "b"].map(|name| {
            let sub = folder.join(name);
            std::fs::create_dir(&sub).unwrap();
            std::fs::write(sub.join("match.webm"), "pictures").unwrap();
            let path = sub.join("m.points.json");
            let mut record = record("AABB");
            record.footage[0].rate = "30".parse().ok();
            drop(Store::create(&path, record).unwrap());
            path
        });
        let kept = Kept::read(&paths, &Kept::default(), &|_, _| true).unwrap();
        let at = |record, point| PointRef { record, point };
        Finds::new(Arc::new(kept), "x".into(), vec![at(1, 2), at(0, 1), at(1, 0)], 0)
    }

    #[test]
    fn clips_of_several_records_keep_the_users_order() {
        let folder = tempfile::tempdir().unwrap();
        let mut finds = finds(folder.path());
        let starts = |finds: &Finds| -> Vec<(String, String)> {
            let (pieces, lost) = finds.pieces(0, 9, Lead::default());
            assert_eq!(lost, 0);
            let name =
                |p: &Item| p.footage.parent().unwrap().file_name().unwrap().to_string_lossy().into_owned();
            pieces.iter().map(|p| (name(p), p.span.start().short())).collect()
        };
        let pair = |a: &str, b: &str| (a.to_owned(), b.to_owned());
        assert_eq!(starts(&finds), [pair("b", "0:00:28"), pair("a", "0:00:18"), pair("b", "0:00:08")]);
        assert!(finds.shift(2, false) && !finds.shift(2, true) && !finds.shift(0, false));
        assert_eq!(starts(&finds), [pair("b", "0:00:28"), pair("b", "0:00:08"), pair("a", "0:00:18")]);
        finds.remove(0);
        assert_eq!([finds.put_back(), finds.put_back()], [Some(0), None]);
        assert_eq!(starts(&finds), [pair("b", "0:00:28"), pair("b", "0:00:08"), pair("a", "0:00:18")]);
        finds.remove(0);
        assert_eq!(starts(&finds), [pair("b", "0:00:08"), pair("a", "0:00:18")]);
        assert_eq!(finds.text(), "Holt–Okafor 0–0 0–0 0:00:10\nHolt–Okafor 0–0 15–0 0:00:20\n");
        let codes = finds.timecodes(Lead::default());
        assert!(
            codes.starts_with(&format!(
                "{}\t00:00:08.000\t00:00:16.000\n",
                folder.path().join("b/match.webm").display()
            )),
            "{codes}"
        );
        std::fs::remove_file(folder.path().join("a/match.webm")).unwrap();
        assert_eq!(finds.pieces(0, 9, Lead::default()).1, 1, "footage that is gone is counted");
    }

    #[test]
    fn a_row_says_the_servers_score_first_and_only_what_is_known() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("m.points.json");
        // A wins two games and one point; B served the second game, A serves the third.
        let mut long = record("AAAABBBBBBBBA");
        drop(Store::create(&path, long.clone()).unwrap());
        let row = |point| {
            let kept = Kept::read(std::slice::from_ref(&path), &Kept::default(), &|_, _| true).unwrap();
            Finds::new(Arc::new(kept), "x".into(), Vec::new(), 0)
                .row(PointRef { record: 0, point })
                .map(|row| format!("{} · {}", row.title, row.score))
                .unwrap()
        };
        assert_eq!(row(4), "Holt – Okafor · 0–1 0–0, Okafor serves");
        assert_eq!(row(12), "Holt – Okafor · 2–1 0–0, Okafor serves");
        long.points =
            long.points.iter().cloned().map(|p| Point { source: Some(Box::new(source())), ..p }).collect();
        long.about.shows = Kind::Points;
        std::fs::remove_file(&path).unwrap();
        drop(Store::create(&path, long).unwrap());
        assert_eq!(row(4), "Reyes – Lind · 30–40", "no games are counted from one match to the next");
    }

    #[test]
    fn the_users_order_is_kept_when_records_are_read_again() {
        let folder = tempfile::tempdir().unwrap();
        let mut finds = finds(folder.path());
        let at = |record, point| PointRef { record, point };
        let path = finds.path(at(1, 0)).unwrap().to_owned();
        let other = finds.path(at(0, 0)).unwrap().to_owned();
        assert!(finds.shift(0, true));
        finds.remove(2);
        assert_eq!(finds.points, [at(0, 1), at(1, 2)]);
        // The first point of the second record is deleted; a search over both finds three points in the order of the records.
        let mut store = Store::open(&path).unwrap();
        let _ = store.apply(crate::record::Edit::RemovePoint { at: 0 }).unwrap();
        store.save().unwrap();
        let kept = Kept::read(&[other, path], &Kept::default(), &|_, _| true).unwrap();
        let again = |title: &str| {
            let found = vec![at(0, 0), at(0, 1), at(1, 1)];
            Finds::new(Arc::new(kept.clone()), title.into(), found, 0).after(&finds)
        };
        assert_eq!(again("x").points, [at(0, 1), at(1, 1), at(0, 0)], "what is new comes last");
        assert_eq!(again("y").points, [at(0, 0), at(0, 1), at(1, 1)], "another search has no order yet");
        finds.remove(1);
        let found = vec![at(0, 1), at(1, 1)];
        let again = Finds::new(Arc::new(kept), "x".into(), found, 0).after(&finds);
        assert_eq!(
            again.points,
            [at(0, 1)],
            "what was taken out stays out, also where its number is another"
        );
    }

    fn source() -> Source {
        Source { a: "Reyes".into(), b: "Lind".into(), score: "30–40".into(), ..Source::default() }
    }

    #[test]
    fn clips_are_saved_in_every_format_that_can_hold_them() {
        let folder = tempfile::tempdir().unwrap();
        let mut finds = finds(folder.path());
        for format in Format::ALL {
            let to = folder.path().join(format!("clips.{}", format.ending()));
            match (format, finds.save(format, Lead::default(), &to)) {
                (one, said) if one.is_of_one_file() => {
                    assert!(matches!(said, Err(ExportFailure::SeveralFiles(2))));
                }
                (_, said) => said.unwrap(),
            }
        }
        let csv = std::fs::read_to_string(folder.path().join("clips.csv")).unwrap();
        let files: Vec<&str> =
            csv.lines().filter_map(|l| l.split(',').find(|c| c.ends_with("match.webm"))).collect();
        assert_eq!(files, ["b/match.webm", "a/match.webm", "b/match.webm"]);
        finds.points.clear();
        let said = finds.save(Format::Csv, Lead::default(), &folder.path().join("none.csv")).unwrap_err();
        assert!(matches!(said, ExportFailure::NoPoints));
    }
}
