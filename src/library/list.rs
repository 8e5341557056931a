//! Listing the records of folders, with what was read before.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::NaiveDate;

use super::cache::Cache;
use super::entry::{Content, Entry, Known};
use super::missing::Missing;
use super::stamp::Stamp;
use super::walk::Walk;
use crate::near::has;
use crate::system::{reading, shown};

/// A record as a list shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed {
    /// The record.
    pub entry: Entry,
    /// What is missing of it.
    pub missing: Vec<Missing>,
    /// All that it can be found by.
    text: String,
}

/// The records of some folders.
#[derive(Debug, Default)]
pub struct Listing {
    /// The records: the newest match first, those without a date last, then by their players.
    pub records: Vec<Listed>,
    /// The folders that could not be listed.
    pub failed: Vec<(PathBuf, io::Error)>,
    /// How many records were read, because the cache did not know them.
    pub read: usize,
    /// What is to be kept for the next time, if that is something else than what was kept.
    pub cache: Option<Cache>,
}

/// Lists the records in these folders and their subfolders. `go_on` hears how many of how many are done, and says whether to go on:
/// if not, `None`.
pub fn list(
    folders: &[PathBuf],
    cache: &Cache,
    today: NaiveDate,
    go_on: &(dyn Fn(usize, usize) -> bool + Sync),
) -> Option<Listing> {
    let Walk { records: paths, failed } = Walk::of_all(folders);
    let (done, read) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let one = |path: &PathBuf| {
        if !go_on(done.fetch_add(1, Ordering::Relaxed), paths.len()) {
            return None;
        }
        let known = Stamp::of(path).and_then(|stamp| cache.get(path, stamp)).cloned();
        let entry = known.or_else(|| {
            read.fetch_add(1, Ordering::Relaxed);
            Entry::read(path)
        })?;
        Some(Listed::of(entry, today))
    };
    let mut records: Vec<Listed> = on_all_processors(&paths, one).into_iter().flatten().collect();
    if !go_on(paths.len(), paths.len()) {
        return None;
    }
    let new = cache.with(folders, records.iter().map(|l| &l.entry));
    records.sort_by(|a, b| order(a).cmp(&order(b)));
    Some(Listing { records, failed, read: read.into_inner(), cache: Some(new).filter(|new| new != cache) })
}

impl Listing {
    /// The first folder that could not be listed, and why; nothing if all could.
    pub fn trouble(&self) -> Option<String> {
        let (folder, why) = self.failed.first()?;
        Some(format!("The folder {} cannot be read: {}.", shown(folder), reading(why)))
    }
}

/// The newest day first.
fn order(listed: &Listed) -> (std::cmp::Reverse<Option<NaiveDate>>, &str, &Path) {
    let known = listed.known();
    (
        std::cmp::Reverse(known.and_then(|k| k.date)),
        known.map_or("", |k| k.players.as_str()),
        &listed.entry.path,
    )
}

/// What `one` makes of each, in their order, on as many threads as there are processors.
pub(super) fn on_all_processors<T: Sync, R: Send>(all: &[T], one: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let threads = std::thread::available_parallelism().map_or(1, Into::into);
    let share = all.len().div_ceil(threads).max(1);
    std::thread::scope(|scope| {
        let work: Vec<_> = (all.chunks(share))
            .map(|some| (some, scope.spawn(|| some.iter().map(&one).collect::<Vec<R>>())))
            .collect();
        // A thread that panicked is a defect: what it was asked is asked again here, to end in the usual way.
        let done = |(some, thread): (&[T], std::thread::ScopedJoinHandle<'_, Vec<R>>)| {
            thread.join().unwrap_or_else(|_| some.iter().map(&one).collect())
        };
        work.into_iter().flat_map(done).collect()
    })
}

impl Listed {
    /// A record, with what is missing of it on this day.
    pub fn of(entry: Entry, today: NaiveDate) -> Self {
        let missing = entry.content.known().map_or_else(Vec::new, |k| Missing::of(&entry.path, k, today));
        let text = text(&entry, &missing);
        Self { entry, missing, text }
    }

    /// What is known of it; nothing if it could not be read.
    pub fn known(&self) -> Option<&Known> {
        self.entry.content.known()
    }

    /// Whether all typed words are somewhere in what is known of it: names, day, surface, venue, score, file, what is missing.
    pub fn has(&self, typed: &str) -> bool {
        has(typed, &self.text)
    }
}

fn text(entry: &Entry, missing: &[Missing]) -> String {
    let mut parts = vec![entry.path.to_string_lossy().into_owned()];
    match &entry.content {
        Content::Known(k) => {
            parts.extend([k.players.clone(), k.place(), k.score.clone(), k.logged(), k.shows.words().into()]);
            parts.extend(k.people.iter().map(|p| p.name.clone()));
            parts.extend(k.date.map(|d| d.format("%-d %B %Y").to_string()));
        }
        Content::Broken(_) => parts.push("cannot be read".into()),
    }
    parts.extend(missing.iter().map(Missing::words));
    parts.join(" · ")
}
