//! A typist for tests: keys of a card at moments, as a window would pass them on.

use super::card::{KeyCard, Meaning};
use super::code::Layout;
use super::key::{Key, Press};
use super::log::{FrameClock, Logger, Moment};
use super::pad::PadView;
use super::scored::Scored;
use crate::facts::{Tally, facts};
use crate::record::{Edit, Record};
use crate::time::MatchTime;

/// Frames every 40 ms for ten hours.
pub(crate) struct Every40;

impl FrameClock for Every40 {
    fn after(&self, t: MatchTime) -> Option<MatchTime> {
        Some(MatchTime::from_millis((t.nanos() / 40_000_000 + 1) * 40)).filter(|t| t.as_secs_f64() < 36_000.0)
    }
    fn before(&self, t: MatchTime) -> Option<MatchTime> {
        (t.nanos().div_ceil(40_000_000)).checked_sub(1).map(|n| MatchTime::from_millis(n * 40))
    }
}

/// Somebody at a keyboard.
pub(crate) struct Typist {
    pub(crate) card: KeyCard,
    pub(crate) layout: Layout,
    pub(crate) record: Record,
    pub(crate) logger: Logger,
    /// What was refused, in words.
    pub(crate) said: Vec<String>,
    /// Presses so far.
    pub(crate) presses: usize,
    inverses: Vec<Edit>,
}

impl Default for Typist {
    fn default() -> Self {
        Self {
            card: KeyCard::parse(super::card::BUILT_IN).unwrap(),
            layout: Layout::us(),
            record: Record::default(),
            logger: Logger::default(),
            said: Vec::new(),
            presses: 0,
            inverses: Vec::new(),
        }
    }
}

impl Typist {
    /// Presses a key that the card knows. Says whether the record changed.
    pub(crate) fn press(&mut self, key: &str, moment: impl Into<Moment>) -> bool {
        self.presses += 1;
        let press = Press::typed(&key.parse::<Key>().unwrap(), &self.layout);
        let meaning = self.card.pressed(&press).unwrap_or_else(|| panic!("{key} means nothing")).clone();
        if meaning == Meaning::Do(super::Action::Undo) {
            return self.undo();
        }
        let step = match &meaning {
            Meaning::Tag(t) => self.logger.tag(t, &self.record),
            Meaning::Do(a) => {
                let tally = Tally::of(&self.record);
                self.logger.act(*a, moment, &Every40, &Scored::new(&self.record, &tally))
            }
        };
        match step {
            Ok(step) => {
                let changed = step.edit.is_some();
                if let Some(edit) = step.edit {
                    self.inverses.push(self.record.apply(edit).unwrap().1);
                }
                self.logger = step.after;
                changed
            }
            Err(e) => {
                self.said.push(e.to_string());
                false
            }
        }
    }

    /// Takes the last edit back, as the record's keeper does.
    pub(crate) fn undo(&mut self) -> bool {
        let Some(inverse) = self.inverses.pop() else { return false };
        let _ = self.record.apply(inverse).unwrap();
        let last = self.record.points.len().checked_sub(1);
        self.logger.choose(self.logger.current().min(last));
        true
    }

    pub(crate) fn undo_all(&mut self) {
        while self.undo() {}
    }

    /// What the pad shows.
    pub(crate) fn pad(&self) -> PadView {
        self.pad_of(&self.logger)
    }

    /// What it would show another logger.
    pub(crate) fn pad_of(&self, logger: &Logger) -> PadView {
        PadView::of(&self.record, &facts(&self.record), &self.record.replay().end.state(), logger)
    }
}

/// Types a script of keys and milliseconds, as `s@1000 w@1200 a@5000`; gives the record and what was refused.
pub(crate) fn log(script: &str) -> (Record, Vec<String>) {
    let mut typist = Typist::default();
    for word in script.split_whitespace() {
        let (key, at) = word.rsplit_once('@').unwrap();
        typist.press(key, MatchTime::from_millis(at.parse().unwrap()));
    }
    (typist.record, typist.said)
}
