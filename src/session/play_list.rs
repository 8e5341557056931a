//! Clips that are played one after another, each from any file of footage. Pure.

use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::clips::Clip;
use crate::frames::FrameIndex;
use crate::record::Record;
use crate::record::footage::footage_path;
use crate::time::{MatchTime, Span};

/// A clip to be played.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// The file.
    pub footage: PathBuf,
    /// What to play of it, counted from the file's own start.
    pub span: Span,
}

impl Item {
    /// A clip of the record that lies at `path`. `None` if the record has no such footage, or its name leads out of the record's
    /// folder.
    pub fn of(clip: &Clip, record: &Record, path: &Path) -> Option<Self> {
        let file = record.footage.iter().find(|f| f.file == clip.file)?;
        Some(Self { footage: footage_path(path, file).ok()?, span: clip.file_span })
    }

    /// The first and the last frame of the clip ([`FrameIndex::clip`]). `None` if the file ends before the span starts.
    pub fn frames(&self, index: &FrameIndex) -> Option<(usize, usize)> {
        let frames = index.clip(self.span.start(), self.span.end())?;
        Some((frames.start, frames.end - 1))
    }
}

/// Clips in their order, and which of them is played.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PlayList {
    items: Vec<Item>,
    at: Option<usize>,
    /// Clips that cannot be played, by their places.
    skipped: Vec<usize>,
}

impl PlayList {
    /// These clips; none is played yet.
    pub const fn new(items: Vec<Item>) -> Self {
        Self { items, at: None, skipped: Vec::new() }
    }

    /// A clip, by its place.
    pub fn item(&self, at: usize) -> Option<&Item> {
        self.items.get(at)
    }

    /// How many clips there are.
    pub const fn len(&self) -> usize {
        self.items.len()
    }

    /// Whether there is no clip.
    pub const fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// The clip that is played, by its place.
    pub const fn at(&self) -> Option<usize> {
        self.at
    }

    /// This clip is played now.
    pub const fn begin(&mut self, at: usize) {
        self.at = Some(at);
    }

    /// This clip cannot be played.
    pub fn skip(&mut self, at: usize) {
        self.skipped.push(at);
    }

    /// How many clips cannot be played, as far as is known.
    pub const fn skipped(&self) -> usize {
        self.skipped.len()
    }

    /// The clip after the one that is played, or the first one; clips that cannot be played are passed over.
    pub fn following(&self) -> Option<usize> {
        let from = self.at.map_or(0, |at| at + 1);
        (from..self.items.len()).find(|at| !self.skipped.contains(at))
    }

    /// The clip before the one that is played.
    pub fn before(&self) -> Option<usize> {
        (0..self.at?).rev().find(|at| !self.skipped.contains(at))
    }
}

/// How long a clip that is played at a speed still stays on the screen after its last frame appeared.
pub fn last_frame_lasts(index: &FrameIndex, last: usize, end: MatchTime, speed: f64) -> Duration {
    let shown = index.gone(last).min(end.max(index.time(last))) - index.time(last);
    shown.div_f64(speed.clamp(0.1, 2.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(ms: u64) -> MatchTime {
        MatchTime::from_millis(ms)
    }

    fn item(from: u64, to: u64) -> Item {
        Item { footage: "a.mp4".into(), span: Span::new(at(from), at(to)).unwrap() }
    }

    /// Ten frames, 40 ms each.
    fn index() -> FrameIndex {
        FrameIndex::new((0..10).map(|n| (at(40 * n), n == 0)).collect(), Some(Duration::from_millis(40)))
            .unwrap()
    }

    #[test]
    fn a_clip_begins_and_ends_at_the_frames_nearest_to_its_times() {
        let frames = |from, to| item(from, to).frames(&index());
        assert_eq!(frames(0, 400), Some((0, 9)));
        assert_eq!(frames(80, 160), Some((2, 3)));
        assert_eq!(frames(90, 161), Some((2, 3)));
        assert_eq!(frames(390, 9000), Some((9, 9)));
        assert_eq!(frames(90, 91), Some((2, 2)));
        assert_eq!(frames(400, 500), None);
    }

    #[test]
    fn clips_that_cannot_be_played_are_passed_over() {
        let mut list = PlayList::new(vec![item(0, 10); 4]);
        assert_eq!((list.following(), list.before()), (Some(0), None));
        list.skip(0);
        list.skip(2);
        assert_eq!(list.following(), Some(1));
        list.begin(1);
        assert_eq!((list.following(), list.before()), (Some(3), None));
        list.begin(3);
        assert_eq!((list.following(), list.before(), list.skipped()), (None, Some(1), 2));
        assert_eq!(PlayList::default().following(), None);
    }

    #[test]
    fn the_last_frame_stays_until_its_time_or_the_clip_is_over() {
        let lasts = |end, speed| last_frame_lasts(&index(), 3, at(end), speed).as_millis();
        assert_eq!((lasts(500, 1.0), lasts(140, 1.0), lasts(500, 0.5), lasts(100, 1.0)), (40, 20, 80, 0));
    }
}
