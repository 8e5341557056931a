//! What the window works on: an open record, the point that is current, the footage, the filter. No widgets.

use std::sync::Arc;

use crate::facts::{PointFacts, facts};
use crate::logging::{FrameClock, Logger};
use crate::pattern::{Answer, Pattern, answer};
use crate::record::store::Store;
use crate::time::{MatchTime, Span};
use crate::video::{FrameIndex, Media};

/// Which points the coach wants to see.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Filter {
    /// All of them.
    All,
    /// Those with a tag.
    Tag(String),
    /// Those that show a pattern.
    Pattern(Box<Pattern>),
}

impl Filter {
    /// As the menu shows it.
    pub fn title(&self) -> String {
        match self {
            Self::All => "All points".into(),
            Self::Tag(t) => t.clone(),
            Self::Pattern(p) => format!("Pattern: {}", p.name),
        }
    }

    fn keeps(&self, f: &PointFacts) -> bool {
        match self {
            Self::All => true,
            Self::Tag(t) => f.tags.contains(t),
            Self::Pattern(p) => answer(p, f) == Answer::Yes,
        }
    }
}

/// An open record with its footage.
pub struct Session {
    /// The record, its history and its journal.
    pub store: Store,
    /// Which point is current.
    pub logger: Logger,
    /// The footage, once it was looked at.
    pub media: Option<Arc<Media>>,
    /// Where the footage starts on the match clock.
    pub start: MatchTime,
    /// Which points to see.
    pub filter: Filter,
    /// The spans still to play, one after another, and the one being played.
    pub queue: Vec<Span>,
    /// Whether the current point is played over and over.
    pub looping: bool,
    facts: Vec<PointFacts>,
}

impl Session {
    /// A session on a record as it was left.
    pub fn new(store: Store, media: Option<Arc<Media>>) -> Self {
        let logger = Logger::resume(store.record());
        let start = store.record().footage.first().map_or(MatchTime::ZERO, |f| f.start);
        let facts = facts(store.record());
        let filter = Filter::All;
        Self { store, logger, media, start, filter, queue: Vec::new(), looping: false, facts }
    }

    /// Works the facts out anew after a change.
    pub fn derive(&mut self) {
        self.facts = facts(self.store.record());
        let last = self.facts.len().checked_sub(1);
        if self.logger.current() > last {
            self.logger.choose(last);
        }
    }

    /// What is derived about each point.
    pub fn facts(&self) -> &[PointFacts] {
        &self.facts
    }

    /// Whether the filter keeps a point.
    pub fn keeps(&self, point: usize) -> bool {
        self.facts.get(point).is_some_and(|f| self.filter.keeps(f))
    }

    /// The points that the filter keeps.
    pub fn kept(&self) -> Vec<usize> {
        (0..self.facts.len()).filter(|i| self.keeps(*i)).collect()
    }

    /// The next kept point after (or before) the current one.
    pub fn kept_from(&self, forward: bool) -> Option<usize> {
        let kept = self.kept();
        match (self.logger.current(), forward) {
            (None, true) => kept.first().copied(),
            (None, false) => kept.last().copied(),
            (Some(c), true) => kept.into_iter().find(|i| *i > c),
            (Some(c), false) => kept.into_iter().rev().find(|i| *i < c),
        }
    }

    /// The first point of the game after (or before) the current point's.
    pub fn game_from(&self, forward: bool) -> Option<usize> {
        let current = self.logger.current()?;
        let game = |i: usize| self.facts.get(i).map(|f| (f.state.set, f.state.game));
        let here = game(current);
        if forward {
            return (current..self.facts.len()).find(|i| game(*i) != here);
        }
        let before = (0..current).rev().find(|i| game(*i) != here)?;
        (0..=before).rev().take_while(|i| game(*i) == game(before)).last()
    }

    /// The frame of the footage at a moment of the match clock.
    pub fn frame_at(&self, t: MatchTime) -> Option<usize> {
        let media = self.media.as_ref()?;
        Some(media.index.at(MatchTime::from_nanos(t.nanos().saturating_sub(self.start.nanos()))))
    }

    /// The moment on the match clock of a time in the footage.
    pub fn on_clock(&self, t: MatchTime) -> MatchTime {
        t.later(self.start - MatchTime::ZERO)
    }

    /// The tags in use, then those of the card that are not, without doubles.
    pub fn tags<'a>(&'a self, card: impl Iterator<Item = &'a str>) -> Vec<String> {
        let mut tags: Vec<String> = Vec::new();
        for t in self.facts.iter().flat_map(|f| f.tags.iter().map(String::as_str)).chain(card) {
            if !tags.iter().any(|known| known == t) {
                tags.push(t.into());
            }
        }
        tags
    }
}

/// The footage's frames on the match clock.
pub struct Frames<'a> {
    /// The frames' times in the file.
    pub index: Option<&'a FrameIndex>,
    /// Where the file starts on the match clock.
    pub start: MatchTime,
}

impl Frames<'_> {
    fn in_file(&self, t: MatchTime) -> Option<(&FrameIndex, MatchTime)> {
        let t = t.nanos().checked_sub(self.start.nanos())?;
        Some((self.index?, MatchTime::from_nanos(t)))
    }
}

impl FrameClock for Frames<'_> {
    fn after(&self, t: MatchTime) -> Option<MatchTime> {
        let (index, t) = self.in_file(t)?;
        let next = if t < index.time(0) { 0 } else { index.at(t) + 1 };
        (next < index.len()).then(|| index.time(next).later(self.start - MatchTime::ZERO))
    }

    fn before(&self, t: MatchTime) -> Option<MatchTime> {
        let (index, t) = self.in_file(t)?;
        let at = index.at(t);
        let back = if index.time(at) < t { Some(at) } else { at.checked_sub(1) };
        back.map(|i| index.time(i).later(self.start - MatchTime::ZERO))
    }
}
