//! Which frame stands for a point or a clip in a list, and how many such pictures are kept. Pure.

use std::collections::{HashMap, VecDeque};
use std::path::{Path, PathBuf};

use super::play_list::Item;
use crate::record::Record;
use crate::record::footage::footage_path;
use crate::time::MatchTime;

/// How many small pictures are kept on disk, the newest; each is below 24 KiB.
pub const MOST_ON_DISK: usize = 2000;

/// How many are kept in memory, those asked for last; each has 21 KiB.
pub const MOST_IN_MEMORY: usize = 300;

/// A moment of footage that is shown as a small picture.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Moment {
    /// The file.
    pub footage: PathBuf,
    /// Counted from the file's own start.
    pub at: MatchTime,
}

impl Moment {
    /// What stands for a point of the record at `path`: its first strike that has a time, else its start. `None` if no footage
    /// covers it, or the footage is outside the record's folder.
    pub fn of_point(record: &Record, path: &Path, point: usize) -> Option<Self> {
        let point = record.points.get(point)?;
        let on_clock = point.shots.iter().find_map(|shot| shot.at).or(point.start)?;
        let file = record.footage.iter().find(|f| f.covers(on_clock))?;
        let at = MatchTime::from_nanos(on_clock.nanos().checked_sub(file.start.nanos())?);
        Some(Self { footage: footage_path(path, file).ok()?, at })
    }

    /// The beginning of a clip.
    pub fn of_clip(item: &Item) -> Self {
        Self { footage: item.footage.clone(), at: item.span.start() }
    }
}

/// Values that were asked for last, at most [`MOST_IN_MEMORY`] of them.
#[derive(Debug)]
pub struct Latest<T> {
    values: HashMap<Moment, T>,
    /// The moments, the one asked for longest ago first.
    order: VecDeque<Moment>,
}

impl<T> Default for Latest<T> {
    fn default() -> Self {
        Self { values: HashMap::new(), order: VecDeque::new() }
    }
}

impl<T: Clone> Latest<T> {
    /// What is kept for a moment.
    pub fn get(&mut self, moment: &Moment) -> Option<T> {
        let found = self.values.get(moment).cloned()?;
        if let Some(asked) = self.order.iter().position(|m| m == moment).and_then(|n| self.order.remove(n)) {
            self.order.push_back(asked);
        }
        Some(found)
    }

    /// Keeps a value; the one asked for longest ago goes if there are too many.
    pub fn keep(&mut self, moment: Moment, value: T) {
        if self.values.insert(moment.clone(), value).is_none() {
            self.order.push_back(moment);
        }
        while self.order.len() > MOST_IN_MEMORY {
            if let Some(oldest) = self.order.pop_front() {
                self.values.remove(&oldest);
            }
        }
    }

    /// Forgets all of them.
    pub fn clear(&mut self) {
        self.values.clear();
        self.order.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Footage, Point, Shot};

    fn secs(s: u64) -> MatchTime {
        MatchTime::from_secs(s)
    }

    fn file(name: &str, from: u64, lasts: u64) -> Footage {
        Footage {
            file: name.into(),
            fingerprint: None,
            duration: secs(lasts),
            rate: None,
            rotation: 0,
            start: secs(from),
        }
    }

    #[test]
    fn a_point_is_shown_at_its_first_strike_or_else_at_its_start() {
        let struck = |at| Shot { at, ..Shot::default() };
        let point = |start, shots| Point { start, shots, ..Point::default() };
        let record = Record {
            footage: vec![file("a.mp4", 0, 100), file("b.mp4", 200, 100), file("../c.mp4", 400, 100)],
            points: [
                point(Some(secs(10)), vec![struck(Some(secs(12))), struck(Some(secs(14)))]),
                point(Some(secs(20)), Vec::new()),
                point(Some(secs(209)), vec![struck(None), struck(Some(secs(210)))]),
                // Between the files, outside the folder, and without any time.
                point(Some(secs(150)), Vec::new()),
                point(Some(secs(410)), Vec::new()),
                point(None, vec![struck(None)]),
            ]
            .into(),
            ..Record::default()
        };
        let path = Path::new("/matches/m.points.json");
        let shown = |n| Moment::of_point(&record, path, n);
        let of = |name: &str, s| Some(Moment { footage: Path::new("/matches").join(name), at: secs(s) });
        let wanted = [of("a.mp4", 12), of("a.mp4", 20), of("b.mp4", 10), None, None, None, None];
        assert_eq!((0..7).map(shown).collect::<Vec<_>>(), wanted);
    }

    #[test]
    fn what_was_asked_for_longest_ago_goes_first() {
        let at = |n: usize| Moment { footage: "a.mp4".into(), at: secs(n as u64) };
        let mut latest = Latest::default();
        for n in 0..MOST_IN_MEMORY {
            latest.keep(at(n), n);
        }
        assert_eq!(latest.get(&at(0)), Some(0));
        latest.keep(at(MOST_IN_MEMORY), MOST_IN_MEMORY);
        assert_eq!((latest.get(&at(0)), latest.get(&at(1)), latest.get(&at(2))), (Some(0), None, Some(2)));
        assert_eq!((latest.values.len(), latest.order.len()), (MOST_IN_MEMORY, MOST_IN_MEMORY));
        latest.keep(at(2), 9);
        assert_eq!((latest.get(&at(2)), latest.order.len()), (Some(9), MOST_IN_MEMORY));
        latest.clear();
        assert_eq!(latest.get(&at(2)), None);
    }
}
