//! The records of a library with the facts of their points, kept so that a search over all of them is answered at once.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::list::on_all_processors;
use super::stamp::Stamp;
use crate::facts::{PointFacts, PointRef};
use crate::pattern::{Answer, Pattern};
use crate::record::{Record, load_whole};
use crate::search::{Search, Vocabulary};
use crate::summary::study::Match;

/// A record that is kept.
#[derive(Debug, Clone)]
struct One {
    path: PathBuf,
    /// How its file was when it was read; none if it was read elsewhere.
    stamp: Option<Stamp>,
    /// One match, or one for each pair of players.
    matches: Vec<Arc<Match>>,
}

/// Records with the facts of their points.
#[derive(Debug, Clone, Default)]
pub struct Kept(Vec<One>);

/// What a search found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Answered {
    /// The points that match: the record by its place among those kept, the point by its place in the record.
    pub points: Vec<PointRef>,
    /// How many points lack the data to tell.
    pub unknown: usize,
}

impl Kept {
    /// Reads these records, and takes from `before` those that have not changed since. What cannot be read is left out.
    pub fn read(
        paths: &[PathBuf],
        before: &Self,
        go_on: &(dyn Fn(usize, usize) -> bool + Sync),
    ) -> Option<Self> {
        let known: HashMap<&Path, &One> = before.0.iter().map(|one| (one.path.as_path(), one)).collect();
        let done = std::sync::atomic::AtomicUsize::new(0);
        let one = |path: &PathBuf| {
            if !go_on(done.fetch_add(1, std::sync::atomic::Ordering::Relaxed), paths.len()) {
                return None;
            }
            let stamp = Stamp::of(path)?;
            if let Some(same) = known.get(path.as_path()).filter(|one| one.stamp == Some(stamp)) {
                return Some((*same).clone());
            }
            Some(One { stamp: Some(stamp), ..One::read(path.clone(), load_whole(path).ok()?.0) })
        };
        let all = on_all_processors(paths, one).into_iter().flatten().collect();
        go_on(paths.len(), paths.len()).then_some(Self(all))
    }

    /// Matches that were read before, each with the file of its record and counted as a record of its own.
    pub fn of_matches(matches: impl IntoIterator<Item = (PathBuf, Arc<Match>)>) -> Self {
        let one = |(path, m)| One { path, stamp: None, matches: vec![m] };
        Self(matches.into_iter().map(one).collect())
    }

    /// Whether these are the records, and none has changed since.
    pub fn is_of(&self, paths: &[PathBuf]) -> bool {
        let same = |(one, path): (&One, &PathBuf)| {
            one.path == *path && one.stamp.is_some() && Stamp::of(path) == one.stamp
        };
        self.0.len() == paths.len() && self.0.iter().zip(paths).all(same)
    }

    /// The same, after one of the records was changed here. Its file is read again the next time.
    #[must_use]
    pub fn with(&self, path: &Path, record: Record) -> Self {
        let mut all = self.0.clone();
        if let Some(one) = all.iter_mut().find(|one| one.path == path) {
            *one = One::read(path.to_owned(), record);
        }
        Self(all)
    }

    /// How many records there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many points they have.
    pub fn points(&self) -> usize {
        self.0.iter().flat_map(|one| &one.matches).map(|m| m.facts.len()).sum()
    }

    /// The file of a record.
    pub fn path(&self, record: usize) -> Option<&Path> {
        self.0.get(record).map(|one| one.path.as_path())
    }

    /// A record, and its file. Of points of many matches the names beside its points are those of the first match.
    pub fn record(&self, record: usize) -> Option<(&Path, &Record)> {
        let one = self.0.get(record)?;
        Some((&one.path, &one.matches.first()?.record))
    }

    /// The match that a point is of, and the facts of the point.
    pub fn at(&self, at: PointRef) -> Option<(&Match, &PointFacts)> {
        let matches = &self.0.get(at.record)?.matches;
        matches.iter().find_map(|m| Some((&**m, m.fact(at.point)?)))
    }

    /// The words that a search over them understands.
    pub fn vocabulary(&self, patterns: &[Pattern]) -> Vocabulary {
        // Each match of points of many matches names the players of all of them.
        let records = self.0.iter().filter_map(|one| Some(&one.matches.first()?.record));
        Vocabulary::of(records, patterns)
    }

    /// The points that a search finds, in the order of the records.
    pub fn answer(&self, search: &Search) -> Answered {
        if search.is_empty() {
            return Answered::default();
        }
        let places: Vec<usize> = (0..self.0.len()).collect();
        let mut all = Answered::default();
        for (points, unknown) in on_all_processors(&places, |n| self.of_one(*n, search)) {
            all.points.extend(points);
            all.unknown += unknown;
        }
        all
    }

    fn of_one(&self, record: usize, search: &Search) -> (Vec<PointRef>, usize) {
        let (mut points, mut unknown) = (Vec::new(), 0);
        for m in &self.0[record].matches {
            let Some(asked) = search.of(&m.record) else { continue };
            for f in &m.facts {
                let Some(point) = m.record.points.get(f.number) else { continue };
                match asked.answer(f, point) {
                    Answer::Yes => points.push(PointRef { record, point: f.number }),
                    Answer::Unknown => unknown += 1,
                    Answer::No => {}
                }
            }
        }
        points.sort_unstable();
        (points, unknown)
    }
}

impl One {
    fn read(path: PathBuf, record: Record) -> Self {
        let matches = Match::all(record, 0).into_iter().map(Arc::new).collect();
        Self { path, stamp: None, matches }
    }
}
