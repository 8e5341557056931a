//! What is put on a clip of the library, in its record: the star or another tag, on or off, and the note.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use thiserror::Error;

use crate::record::{Edit, Point, Record, RecordError, Store, is_star};
use crate::system::shown;

/// What is put on a point, or taken off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Mark {
    /// A tag, or the star: on or off.
    Tag(String, bool),
    /// The note. An empty text takes it off.
    Note(String),
}

/// Why it is not there.
#[derive(Debug, Error)]
pub enum MarkError {
    /// The record was changed since the point was found.
    #[error(
        "{0}: the point is no longer as it was found, so nothing is changed; the list is read again, then try again"
    )]
    Changed(String),
    /// The record cannot be changed.
    #[error(transparent)]
    Record(#[from] RecordError),
}

/// A record after a mark was put on one of its points.
#[derive(Debug)]
pub struct Marked {
    /// The record.
    pub record: Record,
    /// What the user should be told once.
    pub notices: Vec<String>,
}

impl Mark {
    /// A tag on a point that does not have it, or off one that does.
    pub fn turned(tag: &str, point: &Point) -> Self {
        Self::Tag(tag.to_owned(), !point.tags.contains(tag))
    }

    /// What makes a point again what it is.
    #[must_use]
    pub fn undoing(&self, point: &Point) -> Self {
        match self {
            Self::Tag(tag, _) => Self::Tag(tag.clone(), point.tags.contains(tag)),
            Self::Note(_) => Self::Note(point.note.clone()),
        }
    }

    /// The edit that puts it on a point, where `seen` is the point as the user knows it. None if the point has it already.
    ///
    /// # Errors
    /// [`MarkError::Changed`] if it is another point now.
    pub fn edit(
        &self,
        record: &Record,
        at: usize,
        seen: &Point,
        path: &Path,
    ) -> Result<Option<Edit>, MarkError> {
        // A note takes the place of the one that was seen, and of no other.
        let is_seen = |now: &&Point| {
            bare(now) == bare(seen) && (matches!(self, Self::Tag(..)) || now.note == seen.note)
        };
        let now = record.points.get(at).filter(is_seen);
        let Some(now) = now else { return Err(MarkError::Changed(shown(path))) };
        let point = self.on(now);
        Ok((point != *now).then_some(Edit::SetPoint { at, point }))
    }

    /// A point with the mark.
    pub fn on(&self, point: &Point) -> Point {
        let mut point = point.clone();
        match self {
            Self::Tag(tag, true) => {
                point.tags.insert(tag.clone());
            }
            Self::Tag(tag, false) => {
                point.tags.remove(tag);
                point.tags_by.remove(tag);
            }
            Self::Note(note) => note.trim().clone_into(&mut point.note),
        }
        point
    }

    /// What was done, in words: `Starred point 12 of Holt – Okafor.`
    pub fn words(&self, point: &str) -> String {
        match self {
            Self::Tag(tag, true) if is_star(tag) => format!("Starred {point}."),
            Self::Tag(tag, false) if is_star(tag) => format!("Took the star off {point}."),
            Self::Tag(tag, true) => format!("Tagged {point}: {tag}."),
            Self::Tag(tag, false) => format!("Took the tag “{tag}” off {point}."),
            Self::Note(note) if note.trim().is_empty() => format!("Deleted the note of {point}."),
            Self::Note(_) => format!("Saved the note of {point}."),
        }
    }
}

/// A point without what a mark can change.
fn bare(point: &Point) -> Point {
    Point { tags: BTreeSet::default(), tags_by: BTreeMap::default(), note: String::new(), ..point.clone() }
}

/// Puts a mark on a point of a record that is not open here: under its lock, by its journal, and saved.
///
/// # Errors
/// [`MarkError`]: another program has the record open, it may only be read, or its point is another one now.
pub fn put(path: &Path, at: usize, seen: &Point, mark: &Mark) -> Result<Marked, MarkError> {
    let mut store = Store::open(path)?;
    if let Some(edit) = mark.edit(store.record(), at, seen, path)? {
        let _ = store.apply(edit)?;
        store.save()?;
    }
    Ok(Marked { record: store.record().clone(), notices: store.notices().to_vec() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::tests::record;
    use crate::record::{STAR, load};

    fn star(on: bool) -> Mark {
        Mark::Tag(STAR.into(), on)
    }

    #[test]
    fn a_mark_is_in_the_file_and_what_undoes_it_makes_the_point_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("m.points.json");
        let mut before = record("AAB");
        before.points = before
            .points
            .iter()
            .cloned()
            .map(|p| Point { note: "late".into(), tags: ["net".to_owned()].into(), ..p })
            .collect();
        drop(Store::create(&path, before).unwrap());
        let read = || load(&path).unwrap().0;
        let first = read();
        for mark in [star(true), Mark::Note(" Too far back. ".into()), Mark::Tag("net".into(), false)] {
            let seen = read().points[1].clone();
            put(&path, 1, &seen, &mark).unwrap();
            assert_ne!(read().points[1], seen, "{mark:?}");
            put(&path, 1, &read().points[1], &mark.undoing(&seen)).unwrap();
            assert_eq!(read(), first, "{mark:?}");
        }
        put(&path, 1, &first.points[1], &star(true)).unwrap();
        put(&path, 1, &first.points[1], &Mark::Note("Too far back.".into())).unwrap();
        let point = read().points[1].clone();
        assert_eq!(
            (point.note.as_str(), point.tags.len()),
            ("Too far back.", 2),
            "both, though one was not seen"
        );
        assert_eq!((&read().points[0], &read().points[2]), (&first.points[0], &first.points[2]));
    }

    #[test]
    fn a_record_that_is_open_elsewhere_or_has_changed_stays_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("m.points.json");
        let mut open = Store::create(&path, record("AAB")).unwrap();
        let seen = open.record().points[1].clone();
        let said = put(&path, 1, &seen, &star(true)).unwrap_err().to_string();
        assert!(said.contains("it is open in process") && said.contains("close it there"), "{said}");
        let _ = open.apply(Edit::RemovePoint { at: 0 }).unwrap();
        open.save().unwrap();
        drop(open);
        let bytes = std::fs::read(&path).unwrap();
        // The note of another is not written over.
        let now = load(&path).unwrap().0.points[0].clone();
        let other = Point { note: "seen before".into(), ..now };
        let said = put(&path, 0, &other, &Mark::Note("mine".into())).unwrap_err().to_string();
        assert!(said.contains("no longer as it was found"), "{said}");
        let said = put(&path, 1, &seen, &star(true)).unwrap_err().to_string();
        assert!(said.contains("no longer as it was found"), "{said}");
        let said = put(&path, 7, &seen, &star(true)).unwrap_err().to_string();
        assert!(said.contains("no longer as it was found"), "{said}");
        assert_eq!(std::fs::read(&path).unwrap(), bytes);
    }

    #[test]
    fn what_was_done_is_said_with_the_point_and_its_players() {
        let words = |mark: Mark| mark.words("point 12 of Holt – Okafor");
        assert_eq!(words(star(true)), "Starred point 12 of Holt – Okafor.");
        assert_eq!(words(star(false)), "Took the star off point 12 of Holt – Okafor.");
        assert_eq!(words(Mark::Tag("ask".into(), true)), "Tagged point 12 of Holt – Okafor: ask.");
        assert_eq!(words(Mark::Note(" ".into())), "Deleted the note of point 12 of Holt – Okafor.");
        assert_eq!(words(Mark::Note("late".into())), "Saved the note of point 12 of Holt – Okafor.");
    }
}
